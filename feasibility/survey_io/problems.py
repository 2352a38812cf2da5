"""What is wrong with a survey file, said so that a person can put it right.

A field is named from the outside in, parts separated by commas, tables that occur several times
followed by their number counted from 1: ``circuit 2, cable 1, length_m``.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

KeyPath = tuple[str | int, ...]

LONGEST_VALUE = 60
_LONGEST_NAME = 40
_MOST_ITEMS = 8
_DEEPEST = 3
_DECIMAL_BITS = 1000
_ESCAPES = {"\n": "\\n", "\r": "\\r", "\t": "\\t"}


@dataclass(frozen=True, slots=True)
class Problem:
    """One mistake: where it stands, what stands there, what was expected instead.

    ``line`` and ``column`` count from 1; ``column`` is given where the reading itself broke off.
    ``field`` and ``value`` can be empty. All texts are single-line, without control characters.
    """

    line: int | None
    column: int | None
    field: str
    value: str
    expected: str


class SurveyProblems(Exception):
    """Everything that is wrong with one survey file, in the order of its lines."""

    def __init__(self, path: Path, problems: Iterable[Problem]) -> None:
        self.path = path
        self.problems = tuple(problems)
        super().__init__(path, self.problems)

    def __str__(self) -> str:
        return "\n".join(describe(problem) for problem in self.problems)


def describe(problem: Problem) -> str:
    """Return the problem as one line of text.

    ``line 12: circuit 2, cable 1, length_m = "28m": expected a number ...``
    """
    place = "" if problem.line is None else f"line {problem.line}"
    if place and problem.column is not None:
        place += f", column {problem.column}"
    subject = " = ".join(text for text in (problem.field, problem.value) if text)
    return ": ".join(text for text in (place, subject, f"expected {problem.expected}") if text)


def field_text(path: KeyPath) -> str:
    """Return the notation for a key path: ``("circuit", 1, "name")`` is ``circuit 2, name``."""
    parts: list[str] = []
    for part in path:
        if isinstance(part, int) and parts:
            parts[-1] += f" {part + 1}"
        elif isinstance(part, int):
            parts.append(str(part + 1))
        else:
            parts.append(shortened(printable(part[: _LONGEST_NAME + 1]), _LONGEST_NAME))
    return ", ".join(parts)


def printable(text: str) -> str:
    """Return the text with control and invisible characters written as escapes."""
    if text.isprintable():
        return text
    return "".join(char if char.isprintable() else _escape(char) for char in text)


def shortened(text: str, longest: int = LONGEST_VALUE) -> str:
    """Return at most ``longest`` characters, with dots where something was cut off."""
    return text if len(text) <= longest else text[: longest - 3] + "..."


def value_text(value: object) -> str:
    """Return a value as the file would write it, short and printable."""
    if isinstance(value, str):
        inner = value[: LONGEST_VALUE + 1].replace("\\", "\\\\").replace('"', '\\"')
        return f'"{shortened(printable(inner), LONGEST_VALUE - 2)}"'
    return shortened(printable(_plain(value, _DEEPEST)))


def _escape(char: str) -> str:
    code = ord(char)
    if char in _ESCAPES:
        return _ESCAPES[char]
    return f"\\u{code:04x}" if code <= 0xFFFF else f"\\U{code:08x}"


def _plain(value: object, depth: int) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return value_text(value)
    if isinstance(value, int):
        return str(value) if value.bit_length() < _DECIMAL_BITS else hex(value)
    if isinstance(value, (Mapping, Sequence)):
        return _collected(value, depth) if depth > 0 else "..."
    return value.isoformat() if isinstance(value, (dt.date, dt.time)) else str(value)


def _collected(value: Mapping[str, object] | Sequence[object], depth: int) -> str:
    if isinstance(value, Mapping):
        first = islice(value.items(), _MOST_ITEMS)
        inner = ", ".join(f"{key} = {_plain(item, depth - 1)}" for key, item in first)
        return f"{{ {inner} }}" if inner else "{}"
    return f"[{', '.join(_plain(item, depth - 1) for item in islice(value, _MOST_ITEMS))}]"
