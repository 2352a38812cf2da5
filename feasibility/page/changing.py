"""What changes a survey: typed answers, links added and taken away, surveys started, logs."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from feasibility.archive import NotAReport, read_report
from feasibility.examples import example_companions, example_names, example_text
from feasibility.page.desk import Desk
from feasibility.page.editing import (
    Conflict,
    Edit,
    board_inserted,
    item_added,
    item_moved,
    item_removed,
    new_survey,
    parsed,
    stated_at,
    typed_in,
)
from feasibility.page.entries import entry_value
from feasibility.page.folder import NoSuchSurvey, StaleRevision
from feasibility.page.forms import edited, entries_of, entries_of_script, form_of, text_of
from feasibility.page.guide import address_of
from feasibility.page.places import Data, NoSuchPlace, path_of, with_value
from feasibility.page.reading import (
    FIRST_ANSWERS,
    answer_object,
    desk_of,
    frame,
    opened,
    page,
    words_for,
)
from feasibility.page.screens import screens_of
from feasibility.page.state import values_of
from feasibility.survey.source_consistency import described_files
from feasibility.survey.stated import UNKNOWN
from feasibility.survey_io.toml_file import LARGEST_FILE_BYTES
from feasibility.survey_io.toml_writer import to_toml
from feasibility.survey_io.wording import field_type, fields_of

LOG_SUFFIXES = (".csv", ".xlsx")


async def change(request: Request) -> Response:
    """Take what was typed into fields, from the page's script; answer with what follows."""
    revision, entries = await entries_of_script(request)
    name = request.path_params["name"]
    desk = desk_of(request)
    try:
        saved = await run_in_threadpool(
            edited, desk.folder, name, revision, lambda: typed_in(entries)
        )
    except Conflict as conflict:
        places = conflict.places
        found = await run_in_threadpool(desk.open, name)
        body = {
            "revision": conflict.current.revision,
            "places": list(places),
            "words": words_for(found, places),
            "values": values_of(parsed(conflict.current.content)),
        }
        return JSONResponse(body, 409)
    found = await run_in_threadpool(desk.open, name)
    return JSONResponse(answer_object(found, saved.also_changed))


async def screen_saved(request: Request) -> Response:
    """Take all fields of a form at once, from a browser without script."""
    form = await form_of(request)
    return await _changed(request, form, lambda: typed_in(entries_of(form)))


async def value_saved(request: Request) -> Response:
    """Take a single value in full: bounds, how it is known, with what, when."""
    form = await form_of(request)
    place = request.path_params["place"]
    return await _changed(request, form, lambda: stated_at(place, _stated_parts(place, form)))


def _stated_parts(place: str, form: FormData) -> dict[str, Any]:
    path = path_of(place)
    field = field_type(path)
    if field is None or not field.stated:
        raise NoSuchPlace(place)
    parts: dict[str, Any] = {}
    for key in ("value", "low", "high"):
        found = entry_value(field, text_of(form, key))
        if found == UNKNOWN:
            parts["unknown"] = True
        elif found is not None:
            parts[key] = found
    for key in ("known", "instrument", "method", "note"):
        if text := text_of(form, key).strip():
            parts[key] = text
    if date := text_of(form, "date").strip():
        try:
            parts["date"] = dt.date.fromisoformat(date)
        except ValueError:
            parts["date"] = date
    return parts


async def structure(request: Request) -> Response:
    """Add, move or take away a link or another part of the survey."""
    form = await form_of(request)
    place, what = text_of(form, "place"), text_of(form, "what")
    edits: Mapping[str, Any] = {
        "add": lambda: item_added(place),
        "earlier": lambda: item_moved(place, -1),
        "later": lambda: item_moved(place, 1),
        "remove": lambda: item_removed(place),
        "board": lambda: board_inserted(_circuit(place)),
    }
    if what not in edits:
        raise HTTPException(400, "nothing that can be done to a survey")
    return await _changed(request, form, edits[what])


def _circuit(place: str) -> int:
    path = path_of(place)
    if len(path) != 2 or path[0] != "circuit" or not isinstance(path[1], int):
        raise NoSuchPlace(place)
    return path[1]


async def _changed(request: Request, form: FormData, edit: Any) -> Response:
    """Apply an edit and lead on to where the form says, or show who changed what meanwhile."""
    name = request.path_params["name"]
    desk = desk_of(request)
    try:
        await run_in_threadpool(edited, desk.folder, name, text_of(form, "revision"), edit)
    except Conflict as conflict:
        found = await opened(request)
        words = words_for(found, conflict.places)
        places = [words.get(place, place) for place in conflict.places]
        return page("conflict", 409, **frame(found, "", places=places))
    return RedirectResponse(await run_in_threadpool(_next, desk, name, text_of(form, "next")), 303)


def _next(desk: Desk, name: str, key: str) -> str:
    """Return the address of a screen that there is, else that of the first page."""
    data = desk.open(name).draft.data or {}
    if key in [one.key for one in screens_of(data)]:
        return address_of(name, "at", key)
    return address_of(name, FIRST_ANSWERS)


async def started(request: Request) -> Response:
    """Start a survey: empty, from an example, from an uploaded survey or an earlier report."""
    form = await form_of(request)
    desk = desk_of(request)
    kind = text_of(form, "kind")
    if kind == "empty":
        name = await run_in_threadpool(_start, desk, "survey", to_toml(new_survey()).encode(), {})
    elif kind == "example" and text_of(form, "example") in example_names():
        chosen = text_of(form, "example")
        content = example_text(chosen).encode()
        files = {
            file: one
            for file, one in example_companions(chosen).items()
            if Path(file).suffix in LOG_SUFFIXES
        }
        name = await run_in_threadpool(_start, desk, chosen, content, files)
    elif kind == "upload":
        name = await _from_upload(desk, form)
    else:
        raise HTTPException(400, "no way to start a survey")
    return RedirectResponse(address_of(name, FIRST_ANSWERS), 303)


async def _from_upload(desk: Desk, form: FormData) -> str:
    upload = form.get("file")
    if not isinstance(upload, UploadFile) or not upload.filename:
        raise HTTPException(400, "no file was chosen")
    content, files = await upload.read(), dict[str, bytes]()
    if content.startswith(b"%PDF"):
        try:
            report = await run_in_threadpool(_opened_report, content)
        except NotAReport as error:
            raise HTTPException(400, "this PDF carries no survey inside") from error
        content, files = report
    elif not _names_what_a_survey_has(content):
        raise HTTPException(400, "this file is no survey: nothing stands in it that a survey has")
    if len(content) > LARGEST_FILE_BYTES:
        raise HTTPException(413, f"a survey has at most {LARGEST_FILE_BYTES / 1e6:g} MB")
    stem = Path(upload.filename.replace("\\", "/")).stem
    return await run_in_threadpool(_start, desk, stem, content, files)


def _names_what_a_survey_has(content: bytes) -> bool:
    """Whether a line begins as one of a survey does; whatever else is wrong can be put right."""
    try:
        lines = content.decode("utf-8-sig").splitlines()
    except UnicodeDecodeError:
        return False
    known = fields_of(field_type(()).record)  # type: ignore[union-attr]
    starts = (re.match(r"[\s\[]*(\w+)", line) for line in lines)
    return any(start[1] in known for start in starts if start)


def _opened_report(content: bytes) -> tuple[bytes, dict[str, bytes]]:
    found = read_report(content, "the file")
    return found.survey, dict(found.logs)


def _start(desk: Desk, wanted: str, content: bytes, files: Mapping[str, bytes]) -> str:
    """Write a new survey and the logs that it names; return the name that it got."""
    places = {
        name: desk.folder.place_beside(Path(name).name, one, LOG_SUFFIXES)
        for name, one in files.items()
    }
    if any(name != place for name, place in places.items()):
        # What is no TOML stays as it is; the page says what is wrong with it.
        with suppress(ValueError):
            content = to_toml(_with_logs_at(parsed(content), places)).encode()
    return desk.folder.create(wanted, content).name


def _with_logs_at(data: Data, places: Mapping[str, str]) -> Data:
    for path, log in list(described_files(data)):
        name = log.get("file")
        if isinstance(name, str) and name in places:
            data = with_value(data, (*path, "file"), places[name])
    return data


async def log_uploaded(request: Request) -> Response:
    """Put a log beside the surveys and name it in the demand or the source at the place."""
    form = await form_of(request)
    upload = form.get("file")
    place = text_of(form, "place")
    if not isinstance(upload, UploadFile) or not upload.filename:
        raise HTTPException(400, "no file was chosen")
    content = await upload.read()
    wanted = Path(upload.filename.replace("\\", "/")).name
    try:
        path = path_of(f"{place}.file")
        file = await run_in_threadpool(
            desk_of(request).folder.place_beside, wanted, content, LOG_SUFFIXES
        )
    except NoSuchPlace as unknown:
        raise HTTPException(400, f"no such place in this survey: {place}") from unknown
    except ValueError as error:
        raise HTTPException(400, f"a log is {error}") from error
    return await _changed(request, form, lambda: _log_named(path, file))


def _log_named(path: Any, file: str) -> Edit:
    def edit(data: Data) -> Data:
        return with_value(data, path, file)

    return edit


async def restored(request: Request) -> Response:
    """Bring back an earlier version; what stands now is kept as a version too."""
    form = await form_of(request)
    name, number = request.path_params["name"], text_of(form, "number")
    try:
        await run_in_threadpool(_restore, desk_of(request), name, number, text_of(form, "revision"))
    except StaleRevision:
        found = await opened(request)
        return page("conflict", 409, **frame(found, "", places=()))
    return RedirectResponse(address_of(name, FIRST_ANSWERS), 303)


def _restore(desk: Desk, name: str, number: str, revision: str) -> None:
    kept = {str(one.number): one for one in desk.folder.versions(name)}
    chosen = next(iter(kept.values()), None) if number == "last" else kept.get(number)
    if chosen is None:
        raise NoSuchSurvey(name)
    desk.folder.save(name, chosen.path.read_bytes(), revision)
