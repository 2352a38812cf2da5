"""Change a survey on trial: a list of places and values, under the same rules as a file.

A place is written as the findings name facts: ``circuit[1].cable[2].section_mm2``, tables that
occur several times counted from 1. What comes of it is hypothetical: nobody saw it on site.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from feasibility.survey.consistency import inconsistencies
from feasibility.survey.model import Survey
from feasibility.survey.plain_data import KeyPath

_PART = re.compile(r"([a-z_][a-z0-9_]*)(?:\[([1-9][0-9]{0,3})\])?")


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One place of the survey and what shall stand there: a figure, a word, a table."""

    place: str
    value: object

    def __hash__(self) -> int:
        # A table is no key, but what it is written as tells tables apart.
        return hash((self.place, repr(self.value)))


class NoSuchPlace(ValueError):
    """A place that the survey does not have, and what was expected."""

    def __init__(self, place: str, expected: str) -> None:
        self.place = place
        self.expected = expected
        super().__init__(f"{place}: expected {expected}")


class ChangeRefused(ValueError):
    """The changed survey breaks a rule of the survey."""


def keys_of(place: str) -> KeyPath:
    """Return the key path of a place, positions counted from 0; NoSuchPlace if it is none."""
    keys: list[str | int] = []
    for part in place.split("."):
        found = _PART.fullmatch(part)
        if found is None:
            expected = (
                "a place such as station.setting_a or circuit[1].cable[2].section_mm2, numbers "
                "from 1 between brackets"
            )
            raise NoSuchPlace(place, expected)
        keys.append(found[1])
        if found[2] is not None:
            keys.append(int(found[2]) - 1)
    return tuple(keys)


def plain_data_of(survey: Survey) -> dict[str, Any]:
    """Return what a file with this survey would hold."""
    return survey.model_dump(exclude_none=True)


def changed_data(data: Mapping[str, Any], changes: Iterable[Change]) -> dict[str, Any]:
    """Return plain data with the changes made, later ones over earlier ones.

    ``data`` stays as it is. A table number one above the last adds a table. Raises NoSuchPlace.
    """
    result: Any = dict(data)
    for change in changes:
        result = _put(result, keys_of(change.place), change, ())
    return result  # type: ignore[no-any-return]


def changed_survey(survey: Survey, changes: Iterable[Change]) -> Survey:
    """Return the survey with the changes made; ChangeRefused where a rule does not allow it."""
    data = changed_data(plain_data_of(survey), changes)
    try:
        changed = Survey.model_validate(data)
    except ValidationError as error:
        raise ChangeRefused(str(error)) from error
    if found := inconsistencies(data):
        raise ChangeRefused("; ".join(f"{one.path}: expected {one.expected}" for one in found))
    return changed


def _put(container: Any, keys: KeyPath, change: Change, before: KeyPath) -> Any:
    """Return the container with the value at the keys; only what lies on the way is copied."""
    if not keys:
        return change.value
    key, rest = keys[0], keys[1:]
    if isinstance(key, int):
        return _put_in_list(container, key, rest, change, before)
    if isinstance(container, Sequence) and not isinstance(container, str):
        here = written(before)
        expected = _numbers(here, len(container)) or f"{here}[1]"
        raise NoSuchPlace(change.place, f"a number between brackets: {expected}")
    if container is not None and not isinstance(container, Mapping):
        raise NoSuchPlace(change.place, f"nothing behind {written(before)}, which is one value")
    table = dict(container or {})
    table[key] = _put(table.get(key), rest, change, (*before, key))
    return table


def _put_in_list(
    container: Any, position: int, rest: KeyPath, change: Change, before: KeyPath
) -> list[Any]:
    here = written(before)
    if container is not None and (
        isinstance(container, str) or not isinstance(container, Sequence)
    ):
        raise NoSuchPlace(change.place, f"{here} without a number: there is only one")
    items = list(container or ())
    if position > len(items):
        existing = f"{_numbers(here, len(items))}, or " if items else ""
        raise NoSuchPlace(change.place, f"{existing}{here}[{len(items) + 1}] for a new one")
    present = items[position] if position < len(items) else None
    items[position : position + 1] = [_put(present, rest, change, (*before, position))]
    return items


def _numbers(here: str, count: int) -> str:
    return f"{here}[1] to {here}[{count}]" if count > 1 else f"{here}[1]" if count else ""


def written(keys: KeyPath) -> str:
    """Return the place that a key path leads to, as findings name it."""
    text = ""
    for key in keys:
        text += f"[{key + 1}]" if isinstance(key, int) else f".{key}"
    return text.removeprefix(".")
