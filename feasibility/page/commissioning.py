"""The commissioning record: readings after the installation, compared with the assessment."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from feasibility.assessment import Assessment
from feasibility.commissioning.compare import compare, known_to
from feasibility.commissioning.outcome import Comparison
from feasibility.commissioning.record import RECORD_VERSION, CommissioningRecord
from feasibility.page.desk import Desk, Opened
from feasibility.page.draft import field_problem
from feasibility.page.editing import Conflict, Edit, item_added, item_removed, typed_in
from feasibility.page.fields import part_views
from feasibility.page.folder import NoSuchSurvey, StoredSurvey, record_of
from feasibility.page.forms import edited, entries_of, entries_of_script, form_of, text_of
from feasibility.page.guide import address_of
from feasibility.page.places import Data, place_text
from feasibility.page.reading import desk_of, download, finished, frame, page
from feasibility.page.screens import whole_screen
from feasibility.page.state import counts_of, values_of
from feasibility.render.commissioning_text import headline, introduction, result_sections
from feasibility.render.html import environment
from feasibility.survey_io.problems import describe
from feasibility.survey_io.record_file import validated_record
from feasibility.survey_io.syntax import parse_toml
from feasibility.survey_io.toml_writer import to_toml

NOT_YET = "No comparison yet"
RECORD = "record"


@dataclass(frozen=True, slots=True, kw_only=True)
class Readings:
    """A record as it stands: its data, all mistakes by their place, and how it compares."""

    stored: StoredSurvey
    data: Data = field(default_factory=dict)
    problems: Mapping[str, list[str]] = field(default_factory=dict)
    comparison: Comparison | None = None

    @property
    def headline(self) -> str:
        """What is said in a few words."""
        return NOT_YET if self.comparison is None else headline(self.comparison)

    @property
    def agreement(self) -> str:
        """What the mark of the answer goes by."""
        return "none" if self.comparison is None else self.comparison.agreement.value


def whole(survey: Opened) -> Assessment | None:
    """Return what readings can be compared with: the assessment of a survey without a mistake."""
    if survey.draft.problems or survey.answer.first_values:
        return None
    return survey.answer.assessment


def read(desk: Desk, survey: Opened) -> Readings:
    """Read the record of a survey and compare it; NoSuchSurvey where there is none yet."""
    stored = desk.folder.read(record_of(survey.stored.name))
    parsed = parse_toml(stored.content.decode("utf-8-sig", "replace"))
    assessment = whole(survey)
    if parsed.data is None or parsed.problems:
        return Readings(stored=stored, problems={"": [describe(one) for one in parsed.problems]})
    if assessment is None:
        return Readings(stored=stored, data=parsed.data)
    record, mistakes = validated_record(parsed.data, parsed.lost, known_to(assessment))
    problems: dict[str, list[str]] = {}
    for one in (field_problem(mistake, parsed.data) for mistake in mistakes):
        problems.setdefault(place_text(one.path), []).append(one.text)
    comparison = None if record is None else compare(assessment, record, survey.draft.logs)
    return Readings(stored=stored, data=parsed.data, problems=problems, comparison=comparison)


def _context(survey: Opened, found: Readings) -> dict[str, Any]:
    comparison = found.comparison
    return {
        "readings": found,
        "waits": whole(survey) is None,
        "introduction": () if comparison is None else introduction(comparison),
        "sections": () if comparison is None else result_sections(comparison),
        "record_address": address_of(survey.stored.name, RECORD),
    }


def _shown(survey: Opened, found: Readings) -> Response:
    assessment = whole(survey)
    offered: dict[str, Sequence[str]] = {}
    if assessment is not None:
        parts = known_to(assessment).parts
        offered["TemperatureReading.link"] = list(dict.fromkeys(link for link, _ in parts))
        offered["TemperatureReading.part"] = list(dict.fromkeys(part for _, part in parts))
    screen = whole_screen("After the installation", found.data, CommissioningRecord)
    views = part_views(screen, found.data, found.problems, CommissioningRecord, offered)
    counts = counts_of(found.data, CommissioningRecord)
    context = frame(survey, RECORD, screen=screen, parts=views, **_context(survey, found))
    context["counts"] = counts
    return page("record", **context)


async def record(request: Request) -> Response:
    """Return the form for the readings, or how to begin one."""
    survey = await finished(request)
    try:
        found = await run_in_threadpool(read, desk_of(request), survey)
    except NoSuchSurvey:
        waits = whole(survey) is None
        return page("record-start", **frame(survey, RECORD, waits=waits))
    return _shown(survey, found)


async def begun(request: Request) -> Response:
    """Begin a record with every node that the assessment names."""
    survey = await finished(request)
    assessment = whole(survey)
    if assessment is not None:
        content = to_toml(_new_record(assessment)).encode()
        folder = desk_of(request).folder
        await run_in_threadpool(folder.create_record, survey.stored.name, content)
    return RedirectResponse(address_of(survey.stored.name, RECORD), 303)


def _new_record(assessment: Assessment) -> Data:
    known = known_to(assessment)
    return {
        "record_version": RECORD_VERSION,
        "survey_reference": known.reference,
        "date": dt.datetime.now().astimezone().date(),
        "node": [{"name": name} for name in known.nodes],
    }


async def change(request: Request) -> Response:
    """Take readings from the page's script; answer with what follows."""
    revision, entries = await entries_of_script(request)
    desk, name = desk_of(request), record_of(request.path_params["name"])

    def edit() -> Edit:
        return typed_in(entries, CommissioningRecord)

    try:
        saved = await run_in_threadpool(edited, desk.folder, name, revision, edit)
    except Conflict as conflict:
        body = {"revision": conflict.current.revision, "places": list(conflict.places)}
        return JSONResponse(body, 409)
    survey = await finished(request)
    found = await run_in_threadpool(read, desk, survey)
    context = frame(survey, RECORD, **_context(survey, found))
    return JSONResponse(
        {
            "revision": found.stored.revision,
            "headline": found.headline,
            "verdict": found.agreement,
            "answer": environment().get_template("page/comparison.html.j2").render(**context),
            "problems": found.problems,
            "values": values_of(found.data, CommissioningRecord),
            "counts": counts_of(found.data, CommissioningRecord),
            "marks": context["marks"],
            "alsoChanged": list(saved.also_changed),
        }
    )


async def record_saved(request: Request) -> Response:
    """Take all readings of the form at once, from a browser without script."""
    form = await form_of(request)
    return await _changed(request, lambda: typed_in(entries_of(form), CommissioningRecord))


async def structure(request: Request) -> Response:
    """Add a temperature, or take away a part of the record."""
    form = await form_of(request)
    place, what = text_of(form, "place"), text_of(form, "what")
    edits = {"add": item_added, "remove": item_removed}
    if what not in edits:
        raise HTTPException(400, "nothing that can be done to a record")
    return await _changed(request, lambda: edits[what](place, CommissioningRecord))


async def _changed(request: Request, edit: Any) -> Response:
    form = await form_of(request)
    desk, survey = desk_of(request), request.path_params["name"]
    revision = text_of(form, "revision")
    try:
        await run_in_threadpool(edited, desk.folder, record_of(survey), revision, edit)
    except Conflict as conflict:
        return page("conflict", 409, **frame(await finished(request), "", places=conflict.places))
    return RedirectResponse(address_of(survey, RECORD), 303)


async def record_file(request: Request) -> Response:
    """Return the record file itself."""
    name = record_of(request.path_params["name"])
    stored = await run_in_threadpool(desk_of(request).folder.read, name)
    return download(stored.content, f"{name}.toml", "application/toml")
