"""Plain data into a survey, or into every mistake that the model and the consistency rules find."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from copy import deepcopy
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from feasibility.code_basis import code_basis_names
from feasibility.survey.consistency import inconsistencies
from feasibility.survey.model import Survey
from feasibility.survey.plain_data import Inconsistency, KeyPath, finite
from feasibility.survey_io.wording import (
    FieldType,
    Root,
    expected_text,
    field_type,
    header_text,
    misplaced_text,
)

# Looking for similar names takes time; beyond so many unknown fields it helps nobody.
_MOST_SUGGESTIONS = 100

Model = TypeVar("Model", bound=BaseModel)

_MISSING, _UNKNOWN, _TOO_SHORT = "missing", "extra_forbidden", "too_short"
_WAYS_OF_STATING = "either value, or both low and high, or unknown = true"


def validate(
    data: Mapping[str, object], lost: Collection[KeyPath] = ()
) -> tuple[Survey | None, list[Inconsistency]]:
    """Return the survey and an empty list, or None and every mistake in the data.

    ``data`` is what a TOML file holds: tables, lists, texts, numbers, dates. ``lost`` are fields
    that stand in the file but could not be read: they are not reported as missing. Consistency
    rules also run where the model refuses single fields.
    """
    survey, mistakes = modelled(data, lost, Survey)
    if all(len(path) > 1 for path in lost):
        refused = {mistake.path for mistake in mistakes}
        found = inconsistencies(_without_use(data, refused))
        mistakes += [mistake for mistake in found if mistake.path not in refused]
    mistakes += _code_basis(data)
    return (None if mistakes else survey), mistakes


def _code_basis(data: Mapping[str, object]) -> list[Inconsistency]:
    name = data.get("code_basis")
    if not isinstance(name, str) or name.strip() in code_basis_names():
        return []
    expected = f"the name of a code basis: {', '.join(code_basis_names())}"
    return [Inconsistency(("code_basis",), name, expected)]


def _without_use(data: Mapping[str, object], refused: Collection[KeyPath]) -> Mapping[str, object]:
    """Return the data with NaN in each refused place: something stands there, fit for no rule."""
    if not refused:
        return data
    changed = deepcopy(data)
    for path in refused:
        around, container = _in_file(changed, path[:-1])
        if path and around == path[:-1] and _has(container, path[-1]):
            container[path[-1]] = math.nan
    return changed


def modelled(
    data: Mapping[str, object], lost: Collection[KeyPath], root: type[Model]
) -> tuple[Model | None, list[Inconsistency]]:
    """Return the data as what the whole file describes, or None and every field it refuses."""
    try:
        return root.model_validate(data), []
    except ValidationError as error:
        details = error.errors(include_url=False, include_input=False)
    mistakes, meant = _unknown_fields(
        data, [d["loc"] for d in details if d["type"] == _UNKNOWN], root
    )
    for detail in details:
        if detail["type"] == _MISSING:
            if detail["loc"] not in lost and detail["loc"] not in meant:
                mistakes.append(_missing(detail["loc"], root))
        elif detail["type"] != _UNKNOWN and not _repeats_others(data, detail):
            mistakes.append(_refused(data, detail, root))
    return None, mistakes


def _repeats_others(data: Mapping[str, object], detail: ErrorDetails) -> bool:
    """Whether a list is only called too short because each of its items is refused."""
    return detail["type"] == _TOO_SHORT and bool(_in_file(data, detail["loc"])[1])


def _unknown_fields(
    data: Mapping[str, object], paths: Sequence[KeyPath], root: Root
) -> tuple[list[Inconsistency], set[KeyPath]]:
    """Return the mistakes, and the paths of the known fields that were probably meant."""
    mistakes: list[Inconsistency] = []
    meant: set[KeyPath] = set()
    for count, path in enumerate(paths):
        expected, nearest = misplaced_text(path, search=count < _MOST_SUGGESTIONS, root=root)
        if nearest is not None:
            meant.add((*path[:-1], nearest))
        value = _in_file(data, path)[1]
        shown = None if isinstance(value, (Mapping, list)) else value
        mistakes.append(Inconsistency(path, shown, expected))
    return mistakes, meant


def _missing(path: KeyPath, root: Root) -> Inconsistency:
    return Inconsistency(path, None, f"{expected_text(path, root=root)}; it is missing")


def _refused(data: Mapping[str, object], detail: ErrorDetails, root: Root) -> Inconsistency:
    path, value = _in_file(data, detail["loc"])
    field = field_type(path, root)
    if detail["type"] == "value_error" and isinstance(value, Mapping):
        return Inconsistency(path, value, _way_of_stating(value))
    if field is not None and (text := _shape_text(path, field, value, root)):
        return Inconsistency(path, None, text)
    expected = expected_text(path, value, root)
    if detail["type"] == "string_too_long" and isinstance(value, str):
        expected += f"; this one has {len(value.strip())}"
    return Inconsistency(path, value, expected)


def _way_of_stating(stated: Mapping[str, object]) -> str:
    low, high = finite(stated.get("low")), finite(stated.get("high"))
    if low is not None and high is not None and low >= high:
        return "low smaller than high"
    if "low" in stated and "high" in stated and low is None:
        return "value; low and high are for numbers only"
    return _WAYS_OF_STATING


def _shape_text(path: KeyPath, field: FieldType, value: object, root: Root) -> str | None:
    """Say which header was expected where a table is single in place of several, or the reverse."""
    header = header_text(path, root)
    if field.item is not None and field.item.record is not None:
        if isinstance(value, Mapping):
            return f"the header {header} in place of [{header[2:-2]}]"
        return None if value else f"at least one table {header}"
    if field.record is not None and not field.stated and isinstance(value, list):
        return f"one table {header}, not a list of them"
    return None


def _in_file(data: Any, location: KeyPath) -> tuple[KeyPath, Any]:
    """Cut a location of the model down to the part the file has; return it and what stands there.

    A bare ``length_m = 28`` is for the model the ``value`` of a stated quantity.
    """
    for depth, part in enumerate(location):
        if not _has(data, part):
            return location[:depth], data
        data = data[part]
    return location, data


def _has(data: Any, part: str | int) -> bool:
    if isinstance(data, list):
        return isinstance(part, int) and part < len(data)
    return isinstance(data, Mapping) and part in data
