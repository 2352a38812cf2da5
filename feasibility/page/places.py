"""Places in the plain data of a survey: ``circuit[2].cable[1].length_m`` and what stands there."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from copy import deepcopy
from itertools import pairwise
from typing import Any

from feasibility.survey.model import Survey
from feasibility.survey.plain_data import KeyPath
from feasibility.survey_io.wording import Root, field_type

_PART = re.compile(r"^([a-z][a-z0-9_]*)(?:\[([1-9][0-9]{0,3})\])?$")
_LONGEST = 200
_KEPT_WHEN_EMPTY = frozenset({"site", "surveyor", "supply", "outlet", "station"})

Data = dict[str, Any]


class NoSuchPlace(LookupError):
    """A text that names no field of a survey, or an item that is not there."""


def path_of(text: str, root: Root = Survey) -> KeyPath:
    """Return the key path of a place, positions counted from 0; NoSuchPlace for any other text.

    ``root`` is what the whole file describes.
    """
    path: list[str | int] = []
    for part in text.split(".") if len(text) <= _LONGEST else [""]:
        match = _PART.match(part)
        if match is None:
            raise NoSuchPlace(text)
        path.append(match[1])
        if match[2]:
            path.append(int(match[2]) - 1)
    if field_type(tuple(path), root) is None:
        raise NoSuchPlace(text)
    return tuple(path)


def place_text(path: KeyPath) -> str:
    """Return the text of a key path, positions counted from 1."""
    text = ""
    for part in path:
        text += f"[{part + 1}]" if isinstance(part, int) else f".{part}"
    return text.removeprefix(".")


def value_at(data: object, path: KeyPath) -> Any:
    """Return what stands at the path, or None."""
    for part in path:
        if isinstance(part, int):
            listed = isinstance(data, Sequence) and not isinstance(data, str)
            data = data[part] if listed and part < len(data) else None  # type: ignore[arg-type,index]
        else:
            data = data.get(part) if isinstance(data, Mapping) else None
    return data


def with_value(data: Data, path: KeyPath, value: object | None) -> Data:
    """Return a copy of the data with the value at the path; None takes it away.

    Tables on the way are made, or taken away once they are empty. NoSuchPlace where a list on the
    way has no such item, unless it is the first of an empty list.
    """
    changed = deepcopy(data)
    around: list[tuple[Any, str | int]] = []
    inner: Any = changed
    for part, following in pairwise(path):
        around.append((inner, part))
        inner = _entered(inner, part, [] if isinstance(following, int) else {}, path)
    if isinstance(path[-1], int):
        raise NoSuchPlace(place_text(path))
    if not isinstance(inner, dict):
        raise NoSuchPlace(place_text(path))
    if value is not None:
        inner[path[-1]] = value
        return changed
    inner.pop(path[-1], None)
    for outer, part in reversed(around):
        if outer[part] or part in _KEPT_WHEN_EMPTY or isinstance(part, int):
            break
        del outer[part]
    return changed


def _entered(inner: Any, part: str | int, empty: Any, path: KeyPath) -> Any:
    if isinstance(part, str) and isinstance(inner, dict):
        found = inner.setdefault(part, empty)
    elif isinstance(part, int) and isinstance(inner, list) and part <= len(inner):
        if part == len(inner):
            if part > 0:
                raise NoSuchPlace(place_text(path))
            inner.append(empty)
        found = inner[part]
    else:
        raise NoSuchPlace(place_text(path))
    if not isinstance(found, type(empty)):
        raise NoSuchPlace(place_text(path))
    return found


def with_item(data: Data, path: KeyPath, item: Data) -> Data:
    """Return a copy of the data with one more item at the end of the list at the path."""
    listed = value_at(data, path)
    items = [*listed, item] if isinstance(listed, list) else [item]
    return with_value(data, path, items)


def without_item(data: Data, path: KeyPath) -> Data:
    """Return a copy of the data without the list item at the path."""
    listed, position = _listed(data, path)
    rest = [one for number, one in enumerate(listed) if number != position]
    return with_value(data, path[:-1], rest or None)


def with_item_moved(data: Data, path: KeyPath, by: int) -> Data:
    """Return a copy of the data with the list item moved by so many positions, if it can be."""
    listed, position = _listed(data, path)
    target = position + by
    if not 0 <= target < len(listed):
        return data
    items = list(listed)
    items.insert(target, items.pop(position))
    return with_value(data, path[:-1], items)


def _listed(data: Data, path: KeyPath) -> tuple[list[Any], int]:
    listed, position = value_at(data, path[:-1]), path[-1] if path else None
    if not isinstance(listed, list) or not isinstance(position, int) or position >= len(listed):
        raise NoSuchPlace(place_text(path))
    return listed, position


def differences(before: object, after: object, path: KeyPath = ()) -> Iterator[KeyPath]:
    """Yield every place at which the two differ.

    A list counts as one place if it is no list of tables, has another length, or if one of its
    tables stands at another position: what was typed for one would be taken for another.
    """
    if isinstance(before, Mapping) and isinstance(after, Mapping) and not _is_stated(path):
        for key in dict.fromkeys((*before, *after)):
            yield from differences(before.get(key), after.get(key), (*path, key))
    elif isinstance(before, list) and isinstance(after, list) and _same_tables(before, after):
        for number, (one, other) in enumerate(zip(before, after, strict=True)):
            yield from differences(one, other, (*path, number))
    elif before != after:
        yield path


def _same_tables(before: Sequence[Any], after: Sequence[Any]) -> bool:
    if len(before) != len(after) or not all(isinstance(one, Mapping) for one in (*before, *after)):
        return False
    changed = [number for number, one in enumerate(before) if one != after[number]]
    return all(before[one] != after[other] for one in changed for other in changed)


def _is_stated(path: KeyPath) -> bool:
    field = field_type(path)
    return field is not None and field.stated
