"""The fields of a screen as the templates set them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from feasibility.page.entries import choices_of, shown, simple_type
from feasibility.page.pictures import ClockPicture, clock_picture
from feasibility.page.places import Data, place_text, value_at
from feasibility.page.screens import Part, Screen, names_in
from feasibility.page.wording import ALWAYS_SHOWN, FIRST, HINTS, LOGS, METHODS, USUAL, label_of
from feasibility.survey.model import ORIGIN, OUTLET, Survey
from feasibility.survey.plain_data import KeyPath, tables, text
from feasibility.survey_io.wording import FieldType, Root, field_type, fields_of, unit_of

MOST_RADIOS = 12
_LONG_TEXT = 1000
_KNOWN = {
    "measured": "measured",
    "read": "read from label or drawing",
    "told": "told",
    "assumed": "assumed",
}

Problems = Mapping[str, Sequence[str]]
Offered = Mapping[str, Sequence[str]]
"""What can be chosen in fields whose words no model knows, by table and field."""
NOTHING_OFFERED: Offered = {}


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One of the words that a field takes."""

    value: str
    label: str
    method: str = ""
    clock: ClockPicture | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldView:
    """One field; ``kind`` is one of choice, select, number, date, text, long text."""

    place: str
    id: str
    label: str
    unit: str
    hint: str
    kind: str
    value: str
    unknown: bool
    can_be_unknown: bool
    choices: tuple[Choice, ...]
    usual: tuple[str, ...]
    how_known: str
    problems: tuple[str, ...]

    @property
    def answered(self) -> bool:
        """Whether something stands there, be it that nobody knows yet."""
        return bool(self.value) or self.unknown


@dataclass(frozen=True, slots=True, kw_only=True)
class PartView:
    """One table of the survey on its screen; ``shown`` where it is not folded away.

    ``log`` is the place of the log that it can name, empty if none, ``log_words`` what that shows.
    """

    place: str
    id: str
    heading: str
    shown: bool
    removable: bool
    movable: bool
    first: tuple[FieldView, ...]
    more: tuple[FieldView, ...]
    open_more: bool
    problems: tuple[str, ...]
    log: str = ""
    log_words: str = ""


def id_of(place: str) -> str:
    """Return a place as an identifier in the page."""
    return "f-" + place.replace("[", "-").replace("]", "").replace(".", "-")


def part_views(
    screen: Screen,
    data: Data,
    problems: Problems,
    root: Root = Survey,
    offered: Offered = NOTHING_OFFERED,
) -> tuple[PartView, ...]:
    """Return everything that a screen asks for; ``root`` is what the whole file describes."""
    return tuple(_part_view(part, data, problems, root, offered) for part in screen.parts)


def _part_view(
    part: Part, data: Data, problems: Problems, root: Root, offered: Offered
) -> PartView:
    record = field_type(part.path, root).record  # type: ignore[union-attr]
    table = record.__name__ if record else ""
    fields = {
        name: field_view((*part.path, name), data, problems, root=root, offered=offered)
        for name, field in fields_of(record).items()
        if field.stated or (field.item or field).record is None
    }
    first = [name for name in FIRST.get(table, ()) if name in fields] or list(fields)
    more = [fields[name] for name in fields if name not in first]
    place = place_text(part.path)
    log, log_words = LOGS.get(table, ("", ""))
    return PartView(
        place=place,
        id=id_of(place),
        heading=part.heading,
        shown=part.present or names_in(part.path) in ALWAYS_SHOWN,
        removable=part.removable,
        movable=part.movable,
        first=tuple(fields[name] for name in first),
        more=tuple(more),
        open_more=any(one.problems for one in more),
        problems=tuple(problems.get(place, ())),
        log=f"{place}.{log}" if log else "",
        log_words=log_words,
    )


def field_view(
    path: KeyPath,
    data: Data,
    problems: Problems,
    label: str = "",
    root: Root = Survey,
    offered: Offered = NOTHING_OFFERED,
) -> FieldView:
    """Return one field with what stands in it and what is wrong with that."""
    field = field_type(path, root)
    around = field_type(path[:-1], root)
    if field is None or around is None or around.record is None:
        raise LookupError(place_text(path))
    table, name = around.record.__name__, str(path[-1])
    place = place_text(path)
    value = value_at(data, path)
    text_shown = shown(value)
    key = f"{table}.{name}"
    words = offered.get(key)
    choices = (
        _choices(path, field, data, text_shown.text)
        if words is None
        else tuple(Choice(value=one, label=one) for one in words)
    )
    return FieldView(
        place=place,
        id=id_of(place),
        label=label or label_of(table, name),
        unit=unit_of(path),
        hint=HINTS.get(key, ""),
        kind=_kind(field, choices),
        value=text_shown.text,
        unknown=text_shown.unknown,
        can_be_unknown=field.stated,
        choices=choices,
        usual=USUAL.get(key, ()),
        how_known=_how_known(value),
        problems=tuple(_problems_of(place, problems)),
    )


def _problems_of(place: str, problems: Problems) -> Sequence[str]:
    """Return what is wrong with a field or with an item in it."""
    return [
        text
        for where, texts in problems.items()
        if where == place or where.startswith((f"{place}[", f"{place}."))
        for text in texts
    ]


def _kind(field: FieldType, choices: Sequence[Choice]) -> str:
    if choices:
        return "choice" if len(choices) <= MOST_RADIOS else "select"
    simple = simple_type(field)
    if simple.kind in (float, int):
        return "number"
    if simple.kind is dt.date:
        return "date"
    longest = simple.bound("max_length")
    return "long text" if longest is not None and longest > _LONG_TEXT else "text"


def _choices(path: KeyPath, field: FieldType, data: Data, now: str) -> tuple[Choice, ...]:
    name = path[-1]
    if name in ("starts_at", "ends_at"):
        return _ends(str(name), data, now)
    if name in ("clock_position", "plug_clock_position"):
        poles = shown(value_at(data, (*path[:-1], str(name).replace("clock_position", "poles"))))
        return tuple(
            Choice(
                value=str(hour),
                label=f"{hour}\N{NO-BREAK SPACE}h",
                clock=clock_picture(hour, poles.text),
            )
            for hour in range(1, 13)
        )
    words = choices_of(field)
    if name == "method":
        return tuple(
            Choice(value=word, label=f"{word}: {METHODS.get(word, word)}", method=word)
            for word in words
        )
    return tuple(Choice(value=word, label=word) for word in words)


def _ends(name: str, data: Data, now: str) -> tuple[Choice, ...]:
    """Return where a circuit can start or end: the boards, and the origin or the outlet."""
    boards = [text(board, "name") or "" for _, board in tables(data, "board")]
    usual = [ORIGIN, *boards] if name == "starts_at" else [*boards, OUTLET]
    listed = [one for one in dict.fromkeys([*usual, now]) if one]
    return tuple(Choice(value=one, label=one) for one in listed)


def _how_known(value: object) -> str:
    if not isinstance(value, Mapping):
        return ""
    words = [_KNOWN.get(str(value.get("known")), "")]
    if value.get("instrument"):
        words.append(f"with {value['instrument']}")
    if value.get("date"):
        words.append(f"on {value['date']}")
    words += [str(value[key]) for key in ("method", "note") if value.get(key)]
    return " ".join(word for word in words if word)
