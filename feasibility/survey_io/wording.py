"""What each field of a survey or record takes, in an electrician's words, from the model itself."""

from __future__ import annotations

import datetime as dt
import difflib
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from feasibility.survey.model import Survey
from feasibility.survey.quantities import Example
from feasibility.survey.stated import Stated
from feasibility.survey_io.problems import KeyPath

_UNITS = (
    ("_k_m_per_w", "K·m/W"),
    ("_ohm_per_km", "Ω/km"),
    ("_mm2", "mm²"),
    ("_a2s", "A²s"),
    ("_percent", "%"),
    ("_deg", "°"),
    ("_ohm", "Ω"),
    ("_kva", "kVA"),
    ("_kwh", "kWh"),
    ("_mva", "MVA"),
    ("_kw", "kW"),
    ("_ka", "kA"),
    ("_ma", "mA"),
    ("_hz", "Hz"),
    ("_ms", "ms"),
    ("_s", "s"),
    ("_c", "°C"),
    ("_a", "A"),
    ("_v", "V"),
    ("_w", "W"),
    ("_m", "m"),
)
_FIXED_TEXTS = {
    bool: "true or false",
    dt.date: "a date such as 2026-03-02, without quotation marks",
}
Root = type[BaseModel]
_STATED_PARTS = ("value", "low", "high")
_LONGEST_COMPARED_NAME = 60
_NUMBER = re.compile(r"^\s*[+-]?[0-9]+([.,][0-9]+)?\s*$")


@dataclass(frozen=True, slots=True)
class FieldType:
    """The type of one field, with the bounds and lengths that go with it."""

    kind: Any
    bounds: tuple[Any, ...] = ()

    def bound(self, name: str) -> float | None:
        """Return the bound ``gt``, ``ge``, ``lt``, ``le``, ``min_length`` or ``max_length``."""
        for bound in self.bounds:
            if (found := getattr(bound, name, None)) is not None:
                return float(found)
        return None

    @property
    def record(self) -> type[BaseModel] | None:
        """The survey table this is, if it is one."""
        return (
            self.kind if isinstance(self.kind, type) and issubclass(self.kind, BaseModel) else None
        )

    @property
    def stated(self) -> bool:
        """Whether the field is a surveyed value that can also be unknown or a range."""
        return self.record is not None and issubclass(self.record, Stated)

    @property
    def item(self) -> FieldType | None:
        """The type of each item, if this is a list."""
        return _plain(get_args(self.kind)[0]) if get_origin(self.kind) is tuple else None


def field_type(path: KeyPath, root: Root = Survey) -> FieldType | None:
    """Return the type of the field at the path, or None where the file has no such field.

    ``root`` is what the whole file describes.
    """
    current = FieldType(root)
    for part in path:
        following = current.item if isinstance(part, int) else fields_of(current.record).get(part)
        if following is None:
            return None
        current = following
    return current


@cache
def fields_of(record: type[BaseModel] | None) -> dict[str, FieldType]:
    """Return the fields of a survey table with their types."""
    if record is None:
        return {}
    return {name: _plain(info.annotation, info) for name, info in record.model_fields.items()}


def expected_text(path: KeyPath, value: object = None, root: Root = Survey) -> str:
    """Say what the field takes: ``a number greater than 0 and at most 5000 (m)``.

    ``value`` is what stands there now; it decides which hint is added.
    """
    field = field_type(path, root)
    if field is None:
        return "no such field"
    simple = fields_of(field.record)["value"] if field.stated else field
    text = _simple_text(simple, path, root)
    unit = unit_of(path)
    if unit and (simple.kind in (float, int) or simple.item is not None):
        text += f" ({unit})"
    return text + _hint(field, simple, value)


def unit_of(path: KeyPath) -> str:
    """Return the unit that the field's name ends with, or an empty text."""
    names = [part for part in path if isinstance(part, str) and part not in _STATED_PARTS]
    name = names[-1] if names else ""
    return next((unit for suffix, unit in _UNITS if name.endswith(suffix)), "")


def name_in_words(field: str) -> str:
    """Return a field's name in words, without its unit."""
    ending = next((suffix for suffix, _ in _UNITS if field.endswith(suffix)), "")
    return field.removesuffix(ending).replace("_", " ")


def misplaced_text(path: KeyPath, *, search: bool, root: Root = Survey) -> tuple[str, str | None]:
    """Say what a field that the survey does not know was probably meant to be.

    Returns the text, and the nearest known field of the same table (None where there is none).
    ``search = False`` leaves out the search for similar names.
    """
    table, name = path[:-1], str(path[-1])
    parent = field_type(table, root)
    known = fields_of(parent.record if parent else None)
    if where := _neighbour_with(table, name, root):
        return f"this field in {where}", None
    if search and len(name) <= _LONGEST_COMPARED_NAME:
        close = difflib.get_close_matches(name.lower(), known, n=1, cutoff=0.6)
        if close:
            return f"a known field; the nearest is {close[0]}", close[0]
    if table and len(known) <= 10:
        return f"one of the fields {', '.join(known)}", None
    return f"a known field; {_table_name(table) or f'a {_what(root)}'} has none of this name", None


def header_text(path: KeyPath, root: Root = Survey) -> str:
    """Return how the file writes the header of the table at the path, with its brackets."""
    field = field_type(path, root)
    name = _table_name(path)
    many = field is not None and (field.item is not None or isinstance(path[-1], int))
    return f"[[{name}]]" if many else f"[{name}]"


def _what(root: Root) -> str:
    return "survey" if root is Survey else "record"


def _table_name(path: KeyPath) -> str:
    return ".".join(part for part in path if isinstance(part, str))


def _neighbour_with(table: KeyPath, name: str, root: Root) -> str | None:
    """Return the table around, or a table inside, that has a field of this name."""
    if table:
        around = table[:-2] if isinstance(table[-1], int) else table[:-1]
        parent = field_type(around, root)
        if name in fields_of(parent.record if parent else None):
            return (
                _placed(around, root)
                if around
                else f"the {_what(root)} itself, above the first table"
            )
    here = field_type(table, root)
    for inner, field in fields_of(here.record if here else None).items():
        record = (field.item or field).record
        if record is not None and not issubclass(record, Stated) and name in fields_of(record):
            return header_text((*table, inner), root)
    return None


def _placed(table: KeyPath, root: Root) -> str:
    return f"{header_text(table, root)}, above the tables inside it"


def _simple_text(field: FieldType, path: KeyPath, root: Root) -> str:
    if field.item is not None:
        return _list_text(field.item, path, root)
    if field.record is not None:
        return f"a table {header_text(path, root)}"
    if get_origin(field.kind) is Literal:
        return _choice_text(get_args(field.kind))
    if field.kind in (float, int):
        noun = "a number" if field.kind is float else "a whole number"
        return f"{noun} {_range_text(field)}".rstrip()
    return _FIXED_TEXTS.get(field.kind) or _text_text(field)


def _list_text(item: FieldType, path: KeyPath, root: Root) -> str:
    if item.record is not None:
        return f"one or more tables {header_text(path, root)}"
    return f"a list such as [6, 10, 16], each {_simple_text(item, path, root)}"


def _choice_text(choices: tuple[Any, ...]) -> str:
    shown = [f'"{choice}"' if isinstance(choice, str) else str(choice) for choice in choices]
    return shown[0] if len(shown) == 1 else f"one of {', '.join(shown)}"


def _range_text(field: FieldType) -> str:
    lowest, above = field.bound("ge"), field.bound("gt")
    highest = field.bound("le")
    if lowest is not None and highest is not None:
        return f"from {_figure(lowest)} to {_figure(highest)}"
    parts = []
    if lowest is not None:
        parts.append(f"not below {_figure(lowest)}")
    if above is not None:
        parts.append(f"greater than {_figure(above)}")
    if highest is not None:
        parts.append(f"at most {_figure(highest)}")
    return " and ".join(parts)


def _text_text(field: FieldType) -> str:
    for bound in field.bounds:
        if isinstance(bound, Example):
            return f"a text such as {bound.text}"
    lowest, highest = field.bound("min_length"), field.bound("max_length")
    if highest is None:
        return "a text between quotation marks"
    length = f"{_figure(lowest)} to" if lowest else "at most"
    return f"a text of {length} {_figure(highest)} characters between quotation marks"


def _figure(value: float) -> str:
    return str(int(value)) if math.isfinite(value) and value == int(value) else str(value)


def _hint(field: FieldType, simple: FieldType, value: object) -> str:
    """Return what to add for a text in place of a figure or word."""
    if not isinstance(value, str):
        return ""
    if simple.kind in (float, int) and _NUMBER.match(value):
        point = ", with a decimal point and" if "," in value else ","
        return f"{point} without quotation marks"
    if field.stated and not any(char.isdigit() for char in value):
        return ', or "unknown"'
    return ""


def _plain(annotation: Any, info: FieldInfo | None = None) -> FieldType:
    """Take away ``| None`` and ``Annotated`` and keep the bounds."""
    bounds: list[Any] = list(info.metadata) if info else []
    while True:
        origin = get_origin(annotation)
        if origin is Annotated:
            annotation, *extra = get_args(annotation)
            bounds.extend(_bounds(extra))
        elif origin in (Union, UnionType):
            annotation = next(arg for arg in get_args(annotation) if arg is not NoneType)
        else:
            return FieldType(annotation, tuple(bounds))


def _bounds(extra: list[Any]) -> Iterator[Any]:
    for part in extra:
        if isinstance(part, FieldInfo):
            yield from part.metadata
        else:
            yield part
