"""Read single facts out of the plain data of a survey, whatever else in it may be wrong.

Plain data is what a TOML file holds, or ``Survey.model_dump()``: tables, lists, texts, numbers.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from feasibility.survey.stated import UNKNOWN

KeyPath = tuple[str | int, ...]
Table = Mapping[str, object]

_LONGEST_NAME = 40


class Inconsistency(NamedTuple):
    """A value that contradicts others: its key path, the value, and what was expected.

    List positions in the path count from 0. ``value`` is None where something is lacking.
    """

    path: KeyPath
    value: object
    expected: str


def table(data: object, key: str) -> Table:
    """Return the table under the key, or an empty one."""
    value = data.get(key) if isinstance(data, Mapping) else None
    return value if isinstance(value, Mapping) else {}


def items(data: Table, key: str) -> Sequence[object]:
    """Return the list under the key, or an empty one."""
    value = data.get(key)
    return value if isinstance(value, Sequence) and not isinstance(value, str) else ()


def tables(data: Table, key: str) -> Iterator[tuple[int, Table]]:
    """Return the tables in the list under the key, each with its position."""
    for number, item in enumerate(items(data, key)):
        if isinstance(item, Mapping):
            yield number, item


def all_are_tables(data: Table, key: str) -> bool:
    """Whether the key is left out or holds a list of tables and nothing else."""
    listed = items(data, key)
    return len(listed) == sum(1 for _ in tables(data, key)) and (bool(listed) or not data.get(key))


def single(data: Table, key: str) -> object:
    """Return the one value of a surveyed field; None if not given, unknown or a range."""
    value = data.get(key)
    if isinstance(value, Mapping):
        value = value.get("value")
    return None if value == UNKNOWN else value


def number(data: Table, key: str) -> float | None:
    """Return the one finite number of a surveyed field, or None."""
    return finite(single(data, key))


def highest(data: Table, key: str) -> float | None:
    """Return the largest number that a surveyed field may be; None if not given or unknown."""
    return _bound(data, key, "high")


def lowest(data: Table, key: str) -> float | None:
    """Return the smallest number that a surveyed field may be; None if not given or unknown."""
    return _bound(data, key, "low")


def _bound(data: Table, key: str, end: str) -> float | None:
    value = data.get(key)
    bound = value.get(end) if isinstance(value, Mapping) else None
    return number(data, key) if bound is None else finite(bound)


def finite(value: object) -> float | None:
    """Return the value as a number if it is a finite one, else None."""
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return None
    try:
        return float(value) if math.isfinite(value) else None
    except OverflowError:
        return None


def text(data: Table, key: str) -> str | None:
    """Return the one text of a surveyed field without blanks around it, or None if none."""
    value = single(data, key)
    return value.strip() or None if isinstance(value, str) else None


def is_stated(data: Table, key: str) -> bool:
    """Whether the survey gives a value or a range for the field."""
    value = data.get(key)
    if isinstance(value, Mapping):
        return any(value.get(part) is not None for part in ("value", "low", "high"))
    return value is not None and value != UNKNOWN


def at_most(data: Table, path: KeyPath, low: str, high: str) -> Iterator[Inconsistency]:
    """Find the one field above the other, where both are known."""
    below, above = number(data, low), number(data, high)
    if below is not None and above is not None and below > above:
        yield Inconsistency((*path, low), single(data, low), f"at most {high}, which is {above:g}")


def quoted(name: str) -> str:
    """Return a name between quotation marks, cut off where it is very long."""
    return f'"{name if len(name) <= _LONGEST_NAME else name[: _LONGEST_NAME - 3] + "..."}"'
