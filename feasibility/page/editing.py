"""Changes to a survey: single values, links added, moved and taken away; nobody overwritten."""

from __future__ import annotations

import datetime as dt
import tomllib
from collections.abc import Callable, Iterable, Sequence
from copy import deepcopy
from dataclasses import dataclass
from typing import Any

from feasibility.page.entries import entry_value, shown, with_origin
from feasibility.page.folder import StaleRevision, StoredSurvey, SurveyFolder
from feasibility.page.places import (
    Data,
    NoSuchPlace,
    differences,
    path_of,
    place_text,
    value_at,
    with_item,
    with_item_moved,
    with_value,
    without_item,
)
from feasibility.survey.model import ORIGIN, OUTLET, Survey
from feasibility.survey.plain_data import KeyPath, tables, text
from feasibility.survey.stated import UNKNOWN
from feasibility.survey_io.toml_writer import to_toml
from feasibility.survey_io.wording import Root, field_type

_ATTEMPTS = 8
Edit = Callable[[Data], Data]


class Conflict(Exception):
    """Somebody else changed the same places meanwhile; nothing was saved."""

    def __init__(self, current: StoredSurvey, places: Sequence[str]) -> None:
        super().__init__(", ".join(places))
        self.current = current
        self.places = tuple(places)


@dataclass(frozen=True, slots=True)
class Saved:
    """What stands in the folder now, and what others had changed since the page was shown."""

    stored: StoredSurvey
    also_changed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Typed:
    """What was typed into the field at a place; ``unknown`` is the tick of "not known yet"."""

    place: str
    text: str
    unknown: bool = False


def parsed(content: bytes) -> Data:
    """Return the plain data of a survey file; ValueError where it is no TOML."""
    try:
        return tomllib.loads(content.decode("utf-8-sig"))
    except RecursionError as error:
        message = "tables or lists are nested too deeply"
        raise ValueError(message) from error


def edit_survey(folder: SurveyFolder, name: str, revision: str, edit: Edit) -> Saved:
    """Apply an edit that was made while the survey had this revision.

    What others have changed meanwhile is kept where it concerns other places; Conflict where it
    concerns the same ones, or where the earlier state is not known any more.
    """
    for _ in range(_ATTEMPTS):
        current = folder.read(name)
        data = parsed(current.content)
        others: tuple[str, ...] = ()
        if current.revision == revision:
            changed = edit(data)
        else:
            changed, others = _beside_others(folder, current, revision, data, edit)
        if next(differences(data, changed), None) is None:
            return Saved(current, others)
        try:
            stored = folder.save(name, to_toml(changed).encode(), current.revision)
        except StaleRevision:
            continue
        return Saved(stored, others)
    raise Conflict(folder.read(name), ())


def _beside_others(
    folder: SurveyFolder, current: StoredSurvey, revision: str, data: Data, edit: Edit
) -> tuple[Data, tuple[str, ...]]:
    """Return the data with the edit where it changes something, and the places others changed."""
    before = folder.earlier(current.name, revision)
    if before is None:
        raise Conflict(current, ())
    base = parsed(before)
    theirs = list(differences(base, data))
    wanted = edit(base)
    own = list(differences(base, wanted))
    shared = [
        one
        for one in theirs
        if any(_overlap(one, other) for other in own)
        and value_at(data, one) != value_at(wanted, one)
    ]
    if shared:
        raise Conflict(current, [place_text(one) for one in shared])
    places = tuple(place_text(one) for one in theirs)
    # Sent twice, or done by another already: a link is taken away once and not the next one too.
    if all(value_at(data, one) == value_at(wanted, one) for one in own):
        return data, places
    try:
        changed = edit(data)
    except NoSuchPlace as gone:
        raise Conflict(current, places) from gone
    # A form without script brings all its fields, as they stood before the others' changes too.
    for one in theirs:
        if not any(_overlap(one, other) for other in own):
            changed = with_value(changed, one, value_at(data, one))
    return changed, places


def _overlap(one: KeyPath, other: KeyPath) -> bool:
    length = min(len(one), len(other))
    return one[:length] == other[:length]


def typed_in(entries: Iterable[Typed], root: Root = Survey) -> Edit:
    """Return the edit that puts what was typed in its places; NoSuchPlace for an unknown place."""
    found = [(path_of(one.place, root), one) for one in entries]

    def edit(data: Data) -> Data:
        for path, one in found:
            data = _with_entry(data, path, one, root)
        return data

    return edit


def _with_entry(data: Data, path: KeyPath, typed: Typed, root: Root) -> Data:
    field = field_type(path, root)
    if field is None or (not field.stated and (field.item or field).record is not None):
        raise NoSuchPlace(typed.place)
    before = value_at(data, path)
    now = shown(before)
    if typed.unknown and field.stated and typed.text.strip() in ("", now.text):
        after: object | None = UNKNOWN
    else:
        after = entry_value(field, typed.text)
    if shown(after) == now:
        return data
    if root is Survey and len(path) == 3 and path[0] == "board" and path[2] == "name":
        data = _board_renamed(data, before, after)
    return with_value(data, path, with_origin(before, after))


def _board_renamed(data: Data, before: object, after: object | None) -> Data:
    """Return the data with the ends of circuits and the places of logs following the name."""
    if not isinstance(before, str) or not isinstance(after, str):
        return data
    changed = deepcopy(data)
    for _, circuit in tables(changed, "circuit"):
        for key in ("starts_at", "ends_at"):
            if circuit.get(key) == before:
                circuit[key] = after  # type: ignore[index]
    for _, board in tables(changed, "board"):
        log = value_at(board, ("demand", "log"))
        if isinstance(log, dict) and log.get("measured_at") == before:
            log["measured_at"] = after
    return changed


def stated_at(place: str, parts: dict[str, Any]) -> Edit:
    """Return the edit that states a value in full: bounds, how it is known, instrument, date."""
    path = path_of(place)
    field = field_type(path)
    if field is None or not field.stated:
        raise NoSuchPlace(place)

    def edit(data: Data) -> Data:
        return with_value(data, path, parts or None)

    return edit


def item_added(place: str, root: Root = Survey) -> Edit:
    """Return the edit that adds one more item to the list at a place."""
    path = path_of(place, root)
    field = field_type(path, root)
    if field is None or field.item is None or field.item.record is None:
        raise NoSuchPlace(place)

    def edit(data: Data) -> Data:
        return with_item(data, path, _new_item(data, path))

    return edit


def _new_item(data: Data, path: KeyPath) -> Data:
    listed = value_at(data, path)
    number = len(listed) + 1 if isinstance(listed, list) else 1
    if path == ("board",):
        return {"name": _free_name(data, "board", "Board")}
    if path == ("circuit",):
        return {"name": _free_name(data, "circuit", "Circuit"), "starts_at": ORIGIN}
    field = field_type((*path, 0, "name"))
    words = str(path[-1]).replace("_", " ").capitalize()
    return {"name": f"{words} {number}"} if field is not None and not field.stated else {}


def _free_name(data: Data, key: str, start: str) -> str:
    taken = {text(one, "name") for _, one in tables(data, key)}
    number = len(taken) + 1
    while f"{start} {number}" in taken:
        number += 1
    return f"{start} {number}"


def item_moved(place: str, by: int) -> Edit:
    """Return the edit that moves a list item; a board moves along the feed path instead."""
    path = path_of(place)

    def edit(data: Data) -> Data:
        if path[:-1] == ("board",):
            return _board_moved(data, path, by)
        return with_item_moved(data, path, by)

    return edit


def _board_moved(data: Data, path: KeyPath, by: int) -> Data:
    """Return the data with the board in the place of the one before it (or behind it)."""
    name = text(value_at(data, path) or {}, "name")
    circuits = [circuit for _, circuit in tables(data, "circuit")]
    key, other_key = ("ends_at", "starts_at") if by < 0 else ("starts_at", "ends_at")
    boards = {text(board, "name") for _, board in tables(data, "board")}
    beside = [text(c, other_key) for c in circuits if text(c, key) == name]
    other = next((one for one in beside if one in boards), None)
    if name is None or other is None:
        return data
    swapped: dict[str | None, str] = {name: other, other: name}
    changed = deepcopy(data)
    for _, circuit in tables(changed, "circuit"):
        for end in ("starts_at", "ends_at"):
            if (place := text(circuit, end)) in swapped:
                circuit[end] = swapped[place]  # type: ignore[index]
    return changed


def item_removed(place: str, root: Root = Survey) -> Edit:
    """Return the edit that takes away a table; what a removed board fed is fed from before it."""
    path = path_of(place, root)

    def edit(data: Data) -> Data:
        if not isinstance(path[-1], int):
            return with_value(data, path, None)
        if path[:-1] == ("board",):
            data = _joined_past(data, text(value_at(data, path) or {}, "name"))
        return without_item(data, path)

    return edit


def _joined_past(data: Data, board: str | None) -> Data:
    feeding = [n for n, one in tables(data, "circuit") if board and text(one, "ends_at") == board]
    if not feeding:
        return data
    start = text(value_at(data, ("circuit", feeding[0])), "starts_at")
    changed = without_item(data, ("circuit", feeding[0]))
    for number, circuit in tables(changed, "circuit"):
        if text(circuit, "starts_at") == board and start is not None:
            changed = with_value(changed, ("circuit", number, "starts_at"), start)
    return changed


def board_inserted(circuit: int) -> Edit:
    """Return the edit that puts a board at the end of a circuit, with a new circuit behind it."""

    def edit(data: Data) -> Data:
        end = text(value_at(data, ("circuit", circuit)) or {}, "ends_at")
        if end is None:
            raise NoSuchPlace(place_text(("circuit", circuit)))
        board = _free_name(data, "board", "Board")
        behind = {
            "name": _free_name(data, "circuit", "Circuit"),
            "starts_at": board,
            "ends_at": end,
        }
        data = with_value(data, ("circuit", circuit, "ends_at"), board)
        data = with_item(data, ("board",), {"name": board})
        return with_item(data, ("circuit",), behind)

    return edit


def new_survey() -> Data:
    """Return a survey of today in which nothing is answered yet: one board, cable and outlet."""
    now = dt.datetime.now().astimezone()
    return {
        "survey_version": 1,
        "code_basis": "iec-60364",
        "site": {"reference": f"{now:%Y%m%d-%H%M}"},
        "surveyor": {"date": now.date()},
        "supply": {},
        "board": [{"name": "Main board"}],
        "circuit": [
            {"name": "Main cable", "starts_at": ORIGIN, "ends_at": "Main board"},
            {"name": "Outlet circuit", "starts_at": "Main board", "ends_at": OUTLET},
        ],
        "outlet": {},
        "station": {"name": "Charging station"},
    }
