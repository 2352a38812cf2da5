"""The survey sheet on paper: every question of the walk, or what a survey still leaves open."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

from feasibility.importance import Importance, importance_of
from feasibility.page.editing import new_survey
from feasibility.page.entries import choices_of
from feasibility.page.places import Data, NoSuchPlace, path_of
from feasibility.page.screens import screen_for, screens_of
from feasibility.page.wording import HINTS, label_of
from feasibility.render.html import environment
from feasibility.render.pdf import pdf_of
from feasibility.survey.plain_data import KeyPath
from feasibility.survey_io.wording import field_type, fields_of, unit_of

if TYPE_CHECKING:
    from feasibility.assessment import Assessment
    from feasibility.page.screens import Screen

MARKS = {Importance.DECIDES: "●", Importance.NARROWS: "○", Importance.WHERE_IT_APPLIES: ""}
EXPLAINED = (
    "● decides: without it the answer stays open. ○ narrows: without it a range stands for it, and "
    "the answer may come out lower. Without a mark: only where it applies."
)
HOW_TO = (
    "Write down only what somebody saw, read, measured or was told. “Not known” (nk) is an answer. "
    "How it is known: m measured (with which instrument, when), r read from label or drawing, "
    "t told, a assumed. Where only bounds are known, write both."
)
COPIES = (
    "The sheet walks from the service to the outlet and has each thing once: copy the part for "
    "every further board, circuit, cable, device or source."
)


_ALWAYS_THERE = frozenset({"", "site", "surveyor", "station", "circuit", "board"})
"""Tables without which there is no survey: what the model requires in them decides."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetLine:
    """One value to be written down: tick boxes for ``choices``, else a line with its unit."""

    field: str
    mark: str
    label: str
    hint: str
    unit: str
    choices: tuple[str, ...]
    can_be_unknown: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetPart:
    """The lines of one place on the walk."""

    title: str
    lines: tuple[SheetLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A whole sheet: heading, what to know of it, its parts in walking order."""

    title: str
    notes: tuple[str, ...]
    parts: tuple[SheetPart, ...]


def empty_sheet() -> Sheet:
    """Return the sheet with every value that a survey can hold, each thing once."""
    data = _with_one_of_each(new_survey())
    parts = [part for screen in screens_of(data) for part in _parts_of(screen)]
    notes = (HOW_TO, EXPLAINED, COPIES)
    return Sheet(title="Survey of an existing supply", notes=notes, parts=tuple(parts))


def open_sheet(data: Data, assessment: Assessment) -> Sheet:
    """Return the sheet of what is still to be found out at a surveyed site.

    What decides the verdict first of all, and what a range of the code basis stands for.
    """
    wanted = {
        one.fact: _Wanted(Importance.DECIDES, one.label, None) for one in assessment.open_facts
    }
    for one in assessment.assumptions:
        if not one.by_surveyor and one.fact not in wanted:
            wanted[one.fact] = _Wanted(Importance.NARROWS, one.label, one.unit)
    screens = screens_of(data)
    lines: dict[str, list[SheetLine]] = {screen.title: [] for screen in screens}
    for place, fact in wanted.items():
        screen = screen_for(screens, place)
        title = "Elsewhere" if screen is None else screen.title
        lines.setdefault(title, []).append(_open_line(place, fact))
    parts = [SheetPart(title=title, lines=tuple(found)) for title, found in lines.items() if found]
    return Sheet(
        title=f"Still to be found out: {assessment.survey.site.name}",
        notes=(HOW_TO, EXPLAINED) if parts else ("Nothing that matters is open.",),
        parts=tuple(parts),
    )


def sheet_html(sheet: Sheet | None = None) -> str:
    """Return a sheet (the empty one by default) as a document that needs no other file."""
    shown = empty_sheet() if sheet is None else sheet
    return environment().get_template("page/sheet.html.j2").render(sheet=shown)


@cache
def empty_sheet_pdf() -> bytes:
    """Return the empty sheet as a PDF; always the same, and it takes seconds to lay out."""
    return pdf_of(sheet_html())


def _with_one_of_each(data: Data) -> Data:
    """Return the data with every table that may be there, one item in each list.

    The circuits after the first have what every circuit has, not its rarer parts once more.
    """
    first, *others = data["circuit"]
    filled: Data = _filled((), data | {"circuit": [first]})
    usual: Data = {"device": {}, "residual_current_device": {}, "cable": [{}]}
    filled["circuit"] += [usual | one for one in others]
    return filled


def _filled(path: KeyPath, table: Data) -> Data:
    found = dict(table)
    for name, field in fields_of(field_type(path).record).items():  # type: ignore[union-attr]
        inner: KeyPath = (*path, name)
        kind = (field.item or field).record
        if kind is None or field.stated:
            continue
        if field.item is None:
            found[name] = _filled(inner, found.get(name) or {})
        else:
            items = found.get(name) or [{}]
            found[name] = [_filled((*inner, number), one) for number, one in enumerate(items)]
    return found


def _parts_of(screen: Screen) -> Iterator[SheetPart]:
    for part in screen.parts:
        lines = tuple(_lines(part.path))
        if lines:
            title = screen.title if part.heading == screen.title else f"{screen.title}: "
            title += "" if part.heading == screen.title else part.heading.lower()
            yield SheetPart(title=title, lines=lines)


def _lines(path: KeyPath) -> Iterator[SheetLine]:
    around = field_type(path)
    record = None if around is None else around.record
    if record is None:
        return
    for name, field in fields_of(record).items():
        if not field.stated and (field.item or field).record is not None:
            continue
        if (*path, name) == ("survey_version",):
            continue
        importance = importance_of(_dotted((*path, name)))
        if record.model_fields[name].is_required() and _dotted(path) in _ALWAYS_THERE:
            importance = Importance.DECIDES
        yield _line((*path, name), importance, label_of(record.__name__, name))


class _Wanted(NamedTuple):
    importance: Importance
    label: str
    unit: str | None


def _open_line(place: str, wanted: _Wanted) -> SheetLine:
    """Return the line for a fact; one that is no single field gets a plain line."""
    try:
        path = path_of(place)
    except NoSuchPlace:
        path = ()
    field = field_type(path) if path else None
    if field is None or (not field.stated and (field.item or field).record is not None):
        return SheetLine(
            field=place,
            mark=MARKS[wanted.importance],
            label=wanted.label,
            hint="",
            unit=wanted.unit or "",
            choices=(),
            can_be_unknown=True,
        )
    around = field_type(path[:-1])
    table = "" if around is None or around.record is None else around.record.__name__
    unnamed = wanted.label == place
    label = label_of(table, str(path[-1])) if unnamed else wanted.label
    line = _line(path, wanted.importance, label)
    return line if wanted.unit is None else replace(line, unit=wanted.unit)


def _line(path: KeyPath, importance: Importance, label: str) -> SheetLine:
    field, around = field_type(path), field_type(path[:-1])
    assert field is not None  # noqa: S101 - the path comes from the model
    table = "" if around is None or around.record is None else around.record.__name__
    return SheetLine(
        field=_dotted(path),
        mark=MARKS[importance],
        label=label,
        hint=HINTS.get(f"{table}.{path[-1]}", ""),
        unit=unit_of(path),
        choices=choices_of(field),
        can_be_unknown=field.stated,
    )


def _dotted(path: KeyPath) -> str:
    return ".".join(part for part in path if isinstance(part, str))
