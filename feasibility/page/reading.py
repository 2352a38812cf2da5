"""What can be looked at: the list, the walk, findings, versions, and the files to take along."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response

from feasibility.archive import enclosures, log_contents
from feasibility.assessment import Assessment
from feasibility.examples import example_names
from feasibility.page.desk import Desk, Opened
from feasibility.page.fields import FieldView, field_view, part_views
from feasibility.page.guide import address_of, addresses, stop_marks, words_of
from feasibility.page.places import NoSuchPlace, path_of, value_at
from feasibility.page.screens import circuits_in_order, screen_for, screens_of
from feasibility.page.sheet import empty_sheet_pdf
from feasibility.page.state import counts_of, values_of
from feasibility.render.generation_view import generation_view
from feasibility.render.html import environment
from feasibility.render.json_document import to_json
from feasibility.render.pdf import to_pdf
from feasibility.render.year_view import year_view
from feasibility.survey.plain_data import KeyPath, number
from feasibility.survey_io.wording import field_type

FIRST_ANSWERS = "first"
WAITS = "The report waits until these are put right."


def desk_of(request: Request) -> Desk:
    """Return the desk of the running page."""
    desk: Desk = request.app.state.desk
    return desk


def page(template: str, status: int = 200, **context: Any) -> HTMLResponse:
    """Return a template of the page as a response."""
    text = environment().get_template(f"page/{template}.html.j2").render(**context)
    return HTMLResponse(text, status)


async def opened(request: Request) -> Opened:
    """Return the survey that the address names."""
    return await run_in_threadpool(desk_of(request).open, request.path_params["name"])


async def survey_list(request: Request) -> Response:
    """Return the list of surveys in the folder, and the ways to start one."""
    listed = await run_in_threadpool(desk_of(request).listed)
    examples = example_names()
    return page("list", surveys=listed, examples=examples, folder=desk_of(request).folder.path.name)


async def enter(request: Request) -> Response:
    """Return the form that asks for the pass phrase."""
    return page("enter", wrong="wrong" in request.query_params)


def frame(found: Opened, key: str, **context: Any) -> dict[str, Any]:
    """Return what every page of a survey needs."""
    data = found.draft.data or {}
    screens = screens_of(data) if found.draft.data is not None else ()
    name, places = found.stored.name, found.problems
    following = [one.place for one in found.answer.next_facts]
    return {
        "name": name,
        "revision": found.stored.revision,
        "title": str(value_at(data, ("site", "name")) or name),
        "screens": screens,
        "marks": stop_marks(found, screens),
        "key": key,
        "answer": found.answer,
        "progress": found.progress,
        "trial": False,
        "problems": places,
        "counts": counts_of(data),
        "missing": sum(one.missing for one in found.draft.problems),
        "wrong": sum(not one.missing for one in found.draft.problems),
        "address": address_of(name),
        "links": addresses(name, screens, (*following, *places)),
        "words": {place: words_of(screens, place) for place in following},
        **context,
    }


def answer_object(found: Opened, also_changed: Sequence[str] = ()) -> dict[str, Any]:
    """Return what the page's script puts in its places."""
    context = frame(found, "")
    return {
        "revision": found.stored.revision,
        "headline": found.answer.brief,
        "verdict": found.answer.verdict,
        "answer": environment().get_template("page/answer.html.j2").render(**context),
        "problems": found.problems,
        "values": values_of(found.draft.data or {}),
        "counts": context["counts"],
        "marks": context["marks"],
        "alsoChanged": list(also_changed),
        "words": words_for(found, also_changed),
    }


def words_for(found: Opened, places: Iterable[str]) -> dict[str, str]:
    """Return places in the words of the form, as far as it asks for them."""
    screens = screens_of(found.draft.data or {})
    return {place: words for place in places if (words := words_of(screens, place))}


async def answer_now(request: Request) -> Response:
    """Return the answer as it stands; nothing to a page that has all of it."""
    found = await opened(request)
    if request.query_params.get("have") == found.stored.revision:
        return Response(status_code=204)
    return JSONResponse(answer_object(found))


def first_fields(found: Opened) -> tuple[FieldView, ...]:
    """Return the six answers of a first indication, of the circuit that ends at the outlet."""
    data, problems = found.draft.data or {}, found.problems
    order = circuits_in_order(data)
    ends = [n for n in order if value_at(data, ("circuit", n, "ends_at")) == "outlet"]
    circuit: KeyPath = ("circuit", ends[0] if ends else 0)
    station = value_at(data, ("station",)) or {}
    by_dc = number(station, "dc_power_kw") is not None
    power = "dc_power_kw" if by_dc else "input_power_kw"
    asked: tuple[tuple[KeyPath, str], ...] = (
        (("outlet", "rating_a"), "Outlet: rated current"),
        ((*circuit, "device", "kind"), "Protective device before it: kind"),
        ((*circuit, "device", "rating_a"), "Protective device: rated current"),
        ((*circuit, "cable", 0, "section_mm2"), "Cable to the outlet: section"),
        ((*circuit, "cable", 0, "length_m"), "Cable to the outlet: length"),
        (("station", power), "Station: requested power" + (" (direct current)" if by_dc else "")),
    )
    return tuple(field_view(path, data, problems, label) for path, label in asked)


async def first_answers(request: Request) -> Response:
    """Return the short form of the first indication."""
    found = await opened(request)
    if found.draft.data is None:
        return page("unreadable", **frame(found, FIRST_ANSWERS))
    return page("first", **frame(found, FIRST_ANSWERS, fields=first_fields(found)))


async def one_screen(request: Request) -> Response:
    """Return one step of the walk."""
    found = await opened(request)
    if found.draft.data is None:
        return page("unreadable", **frame(found, ""))
    screens = screens_of(found.draft.data)
    keys = [one.key for one in screens]
    key = request.path_params["key"]
    if key not in keys:
        raise HTTPException(404)
    at = keys.index(key)
    parts = part_views(screens[at], found.draft.data, found.problems)
    context = frame(
        found,
        key,
        screen=screens[at],
        parts=parts,
        before=screens[at - 1] if at else None,
        behind=screens[at + 1] if at + 1 < len(keys) else None,
    )
    return page("screen", **context)


async def one_value(request: Request) -> Response:
    """Return the form for a single value in full: bounds, how it is known, with what, when."""
    found = await opened(request)
    place = request.path_params["place"]
    path = _field_path(place)
    if found.draft.data is None:
        raise HTTPException(404)
    screens = screens_of(found.draft.data)
    screen = screen_for(screens, place)
    value = value_at(found.draft.data, path)
    parts = value if isinstance(value, dict) else {}
    field = field_view(path, found.draft.data, found.problems)
    return page("value", **frame(found, "", field=field, parts=parts, screen=screen))


def _field_path(place: str) -> KeyPath:
    try:
        path = path_of(place)
    except NoSuchPlace as unknown:
        raise HTTPException(404) from unknown
    field = field_type(path)
    if field is None or not field.stated:
        raise HTTPException(404)
    return path


async def all_findings(request: Request) -> Response:
    """Return every finding with its working, and what was assumed."""
    found = await opened(request)
    return page("findings", **frame(found, "findings"))


async def hours(request: Request) -> Response:
    """Return what the study of every quarter-hour found: maps, curve, settings, places, infeed."""
    found = await opened(request)
    assessment = found.answer.assessment
    study = assessment.year if assessment else None
    view = year_view(study) if study is not None else None
    infeed = generation_view(assessment.generation) if assessment else None
    return page("hours", **frame(found, "hours", year=view, generation=infeed))


async def versions(request: Request) -> Response:
    """Return the earlier states of a survey."""
    found = await opened(request)
    listed = await run_in_threadpool(desk_of(request).folder.versions, found.stored.name)
    return page("versions", **frame(found, "versions", versions=listed))


async def survey_file(request: Request) -> Response:
    """Return the survey file itself."""
    found = await opened(request)
    return download(found.stored.content, f"{found.stored.name}.toml", "application/toml")


async def finished(request: Request) -> Opened:
    """Return the survey that the address names, its hours studied."""
    return await run_in_threadpool(desk_of(request).finished, request.path_params["name"])


async def assessment_file(request: Request) -> Response:
    """Return the whole assessment as JSON; of a survey with mistakes there is none."""
    found = await finished(request)
    if found.draft.problems or found.answer.assessment is None or found.answer.first_values:
        return page("waiting", 409, **frame(found, "", waits=WAITS))
    advice = await run_in_threadpool(desk_of(request).advised, found)
    text = await run_in_threadpool(to_json, found.answer.assessment, advice)
    return download(text.encode(), f"{found.stored.name}.json", "application/json")


async def report_file(request: Request) -> Response:
    """Return the report; of a survey with mistakes there is none."""
    found = await finished(request)
    if found.draft.problems or found.answer.assessment is None or found.answer.first_values:
        return page("waiting", 409, **frame(found, "", waits=WAITS))
    pdf = await run_in_threadpool(_report, desk_of(request), found, found.answer.assessment)
    return download(pdf, f"{found.stored.name}.pdf", "application/pdf")


def _report(desk: Desk, found: Opened, assessment: Assessment) -> bytes:
    checksums = {log.file: log.sha256 for log in found.draft.logs.values()}
    logs = log_contents(desk.folder.path, checksums)
    advice = desk.advised(found)
    enclosed = enclosures(found.stored.content, to_json(assessment, advice), logs)
    return to_pdf(assessment, enclosed, advice)


async def empty_sheet(_request: Request) -> Response:
    """Return the empty survey sheet, to be filled in by hand."""
    pdf = await run_in_threadpool(empty_sheet_pdf)
    return download(pdf, "empty-survey.pdf", "application/pdf")


def download(content: bytes, name: str, kind: str) -> Response:
    """Return a file to be kept under this name."""
    plain = name.encode("ascii", "replace").decode().replace('"', "'").replace("?", "_")
    disposition = f"attachment; filename=\"{plain}\"; filename*=UTF-8''{quote(name)}"
    return Response(content, media_type=kind, headers={"Content-Disposition": disposition})


async def start_of(request: Request) -> Response:
    """Lead from the survey's own address to its first page."""
    return RedirectResponse(address_of(request.path_params["name"], FIRST_ANSWERS), 303)
