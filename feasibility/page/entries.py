"""What a person types into a field, and what of it stands in the survey file."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal, get_args, get_origin

from feasibility.survey.stated import UNKNOWN
from feasibility.survey_io.wording import FieldType, fields_of

YES, NO = "yes", "no"
_NUMBER = r"[+\-−]?\d+(?:[.,]\d+)?"
_ONE = re.compile(rf"^{_NUMBER}$")
_TWO = re.compile(rf"^({_NUMBER})\s*(?:to|\.\.+|–|-)\s*({_NUMBER})$")
_BETWEEN_ITEMS = re.compile(r"\s*;\s*|\s*,\s+|\s+")
_SURROGATES = re.compile("[\ud800-\udfff]")
_MOST_DIGITS = 40


@dataclass(frozen=True, slots=True)
class Shown:
    """A value as its field shows it: the text, and whether it is stated as not known yet."""

    text: str = ""
    unknown: bool = False


def simple_type(field: FieldType) -> FieldType:
    """Return the type of the value itself, of a surveyed field or of any other."""
    return fields_of(field.record)["value"] if field.stated else field


def choices_of(field: FieldType) -> tuple[str, ...]:
    """Return the words that a field takes, if it takes one of a set; a flag takes yes or no."""
    kind = simple_type(field).kind
    if kind is bool:
        return (YES, NO)
    return tuple(str(one) for one in get_args(kind)) if get_origin(kind) is Literal else ()


def entry_value(field: FieldType, typed: str) -> object | None:
    """Return what the survey file holds for a typed text; None where nothing was typed.

    A decimal comma is a decimal point, ``20 to 30`` is a range. What cannot be understood stays
    the text that it is, so that it is kept and the survey's own rules say what is wrong with it.
    """
    text = _SURROGATES.sub("\ufffd", typed).replace("\r\n", "\n").strip()
    if not text:
        return None
    if field.stated and text == UNKNOWN:
        return UNKNOWN
    return _understood(simple_type(field), text, ranges=field.stated)


def _understood(simple: FieldType, text: str, *, ranges: bool) -> object:
    if simple.item is not None and simple.item.kind in (float, int):
        return _number_list(text)
    number = _number_or_range if ranges else _number
    readers = {float: number, int: number, bool: _flag, dt.date: _date}
    if simple.kind in readers:
        return readers[simple.kind](text)
    choices = get_args(simple.kind) if get_origin(simple.kind) is Literal else ()
    return next((one for one in choices if text == str(one)), text)


def _flag(text: str) -> object:
    return {YES: True, NO: False}.get(text, text)


def _number(text: str) -> object:
    """Return the number that a text is, else the text."""
    if not _ONE.match(text) or len(text) > _MOST_DIGITS:
        return text
    plain = text.replace(",", ".").replace("−", "-")
    return float(plain) if "." in plain else int(plain)


def _number_or_range(text: str) -> object:
    if two := _TWO.match(text):
        low, high = (_number(part) for part in two.groups())
        if not isinstance(low, str) and not isinstance(high, str):
            return {"low": low, "high": high}
    return _number(text)


def _number_list(text: str) -> object:
    numbers = [_number(part) for part in _BETWEEN_ITEMS.split(text) if part]
    if not numbers or any(isinstance(one, str) for one in numbers):
        return text
    return numbers


def _date(text: str) -> object:
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        return text


def shown(value: object) -> Shown:
    """Return a value of the survey file as its field shows it."""
    if isinstance(value, Mapping):
        if value.get("unknown") is True:
            return Shown(unknown=True)
        if "low" in value or "high" in value:
            return Shown(f"{_plain(value.get('low'))} to {_plain(value.get('high'))}")
        return shown(value.get("value"))
    if value == UNKNOWN:
        return Shown(unknown=True)
    return Shown(_plain(value))


def _plain(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return YES if value else NO
    if isinstance(value, float):
        return f"{value:.12g}"
    if isinstance(value, (dt.date, dt.time)):
        return value.isoformat()
    if isinstance(value, Sequence) and not isinstance(value, str):
        return ", ".join(_plain(item) for item in value)
    return str(value)


def with_origin(before: object, after: object | None) -> object | None:
    """Return a new value that keeps how the old one was known: by whom, with what, when."""
    if not isinstance(before, Mapping) or after is None or after == UNKNOWN:
        return after
    origin: dict[str, Any] = {
        key: item
        for key, item in before.items()
        if key not in ("value", "low", "high", "unknown") and item is not None
    }
    if not origin:
        return after
    return {**(after if isinstance(after, Mapping) else {"value": after}), **origin}
