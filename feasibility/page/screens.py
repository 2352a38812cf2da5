"""The survey as a walk: one screen for each link from the service to the outlet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from feasibility.page.places import Data, place_text, value_at
from feasibility.survey.model import ORIGIN, OUTLET, Survey
from feasibility.survey.plain_data import KeyPath, tables, text
from feasibility.survey_io.wording import Root, field_type, fields_of, name_in_words

_OWN_SCREENS = frozenset(
    {
        ("supply", "service_device"),
        ("circuit", "device"),
        ("circuit", "residual_current_device"),
        ("circuit", "cable"),
    }
)
_WALKED = frozenset({"supply", "board", "circuit", "outlet", "cord", "station"})
_AT_THE_END = ("site", "surveyor")
WHO_AND_WHERE = "site"


@dataclass(frozen=True, slots=True)
class Part:
    """One table of the survey on a screen.

    ``present`` tells that the file has it. ``removable`` is the kind of thing that can be taken
    away; ``movable`` that it stands in a list with others.
    """

    path: KeyPath
    heading: str
    present: bool
    removable: bool
    movable: bool


@dataclass(frozen=True, slots=True)
class Addable:
    """A list to which one more item can be added."""

    path: KeyPath
    words: str

    @property
    def place(self) -> str:
        """The list's place in the survey."""
        return place_text(self.path)


@dataclass(frozen=True, slots=True)
class Screen:
    """One step of the walk; ``key`` is its place in the survey."""

    key: str
    title: str
    parts: tuple[Part, ...]
    addable: tuple[Addable, ...]


def screens_of(data: Data) -> tuple[Screen, ...]:
    """Return all screens in the order of the walk; who and where comes last."""
    return tuple(_screen(path, title, data) for path, title in _stops(data))


def _stops(data: Data) -> Iterator[tuple[KeyPath, str]]:
    yield ("supply",), "Supply at the origin"
    yield ("supply", "service_device"), "Service device"
    boards = {text(board, "name"): number for number, board in tables(data, "board")}
    order = circuits_in_order(data)
    for number in order:
        circuit = value_at(data, ("circuit", number))
        name = text(circuit, "name") or f"Circuit {number + 1}"
        yield from _circuit_stops(data, number, name)
        board = boards.pop(text(circuit, "ends_at"), None)
        if board is not None:
            yield ("board", board), f"Board: {_named(data, board)}"
    for board in boards.values():
        yield ("board", board), f"Board: {_named(data, board)} (nothing feeds it yet)"
    yield ("outlet",), "Outlet"
    yield ("cord",), "Cord and plug"
    yield ("station",), "Station"
    yield (WHO_AND_WHERE,), "Site and surveyor"
    for name, field in fields_of(field_type(()).record).items():  # type: ignore[union-attr]
        if (field.item or field).record is not None and name not in (*_WALKED, *_AT_THE_END):
            for path in _places(data, (name,), many=field.item is not None):
                yield path, name_in_words(name).capitalize()


def _places(data: Data, path: KeyPath, *, many: bool) -> Iterator[KeyPath]:
    if not many:
        yield path
        return
    listed = value_at(data, path)
    count = len(listed) if isinstance(listed, list) else 0
    yield from ((*path, number) for number in range(max(count, 1)))


def _named(data: Data, board: int) -> str:
    return text(value_at(data, ("board", board)), "name") or f"board {board + 1}"


def _circuit_stops(data: Data, number: int, name: str) -> Iterator[tuple[KeyPath, str]]:
    circuit: KeyPath = ("circuit", number)
    yield circuit, f"Circuit: {name}"
    yield (*circuit, "device"), f"{name}: protective device"
    yield (*circuit, "residual_current_device"), f"{name}: residual-current device"
    for path in _places(data, (*circuit, "cable"), many=True):
        yield path, f"{name}: cable {int(path[-1]) + 1}"


def circuits_in_order(data: Data) -> tuple[int, ...]:
    """Return the positions of the circuits: the feed path from the origin, then all others."""
    circuits = dict(tables(data, "circuit"))
    by_end = {text(circuit, "ends_at"): number for number, circuit in reversed(circuits.items())}
    place: str | None = OUTLET
    path: list[int] = []
    while place != ORIGIN and place in by_end and by_end[place] not in path:
        path.append(by_end[place])
        place = text(circuits[path[-1]], "starts_at")
    others = [number for number in circuits if number not in path]
    return (*reversed(path), *others)


def _screen(path: KeyPath, title: str, data: Data) -> Screen:
    roots: list[KeyPath] = [path]
    if path == (WHO_AND_WHERE,):
        roots.append(("surveyor",))
    parts: list[Part] = []
    addable: list[Addable] = []
    for start in roots:
        heading = title if start == path else "Surveyor"
        _collect(start, heading, data, parts, addable)
    if path == (WHO_AND_WHERE,):
        rules = Part((), "Rules that it is judged by", present=True, removable=False, movable=False)
        parts.append(rules)
    if len(path) > 1 and isinstance(path[-1], int) and path[:-1] not in [a.path for a in addable]:
        addable.append(Addable(path[:-1], _item_words(path)))
    return Screen(place_text(path), title, tuple(parts), tuple(addable))


def whole_screen(title: str, data: Data, root: Root) -> Screen:
    """Return everything that a file describes on one screen; ``root`` is its model."""
    parts: list[Part] = []
    addable: list[Addable] = []
    _collect((), title, data, parts, addable, root)
    return Screen("", title, tuple(parts), tuple(addable))


def _collect(
    path: KeyPath,
    heading: str,
    data: Data,
    parts: list[Part],
    addable: list[Addable],
    root: Root = Survey,
) -> None:
    """Add the table at the path and the tables in it that have no screen of their own."""
    in_list = bool(path) and isinstance(path[-1], int)
    present = value_at(data, path) is not None
    optional = in_list or not _is_required(path, root)
    parts.append(
        Part(
            path,
            heading,
            present=present,
            removable=present and optional,
            movable=present and in_list,
        )
    )
    record = field_type(path, root).record  # type: ignore[union-attr]
    for name, field in fields_of(record).items():
        inner: KeyPath = (*path, name)
        kind = (field.item or field).record
        if kind is None or field.stated or names_in(inner) in _OWN_SCREENS:
            continue
        words = name_in_words(name)
        if field.item is None:
            is_first = parts[0].path == path
            inside = f"{heading}: {words}" if in_list and not is_first else words.capitalize()
            _collect(inner, inside, data, parts, addable, root)
            continue
        addable.append(Addable(inner, words))
        for number, item in enumerate(_items(value_at(data, inner))):
            named = text(item, "name") if isinstance(item, dict) else None
            words_of_item = named or f"{words.capitalize()} {number + 1}"
            _collect((*inner, number), words_of_item, data, parts, addable, root)


def _items(value: object) -> Sequence[object]:
    return value if isinstance(value, list) else ()


def names_in(path: KeyPath) -> tuple[str, ...]:
    """Return the names of a path without its positions."""
    return tuple(part for part in path if isinstance(part, str))


def _is_required(path: KeyPath, root: Root) -> bool:
    around = field_type(path[:-1], root) if path else None
    if around is None or around.record is None:
        return not path
    return around.record.model_fields[str(path[-1])].is_required()


def _item_words(path: KeyPath) -> str:
    return name_in_words(str(path[-2]))


def screen_for(screens: Sequence[Screen], place: str) -> Screen | None:
    """Return the screen on which a place of the survey is asked for."""
    inside = [one for one in screens if _holds(one, place)]
    return max(inside, key=lambda one: len(one.key), default=None)


def _holds(screen: Screen, place: str) -> bool:
    keys = [screen.key, *(place_text(part.path) for part in screen.parts)]
    if "" in keys and place.isidentifier() and place not in (*_WALKED, *_AT_THE_END):
        return True
    return any(place == key or place.startswith((f"{key}.", f"{key}[")) for key in keys if key)
