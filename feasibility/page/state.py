"""What a file holds, place by place, for a page that was loaded before it was changed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from feasibility.page.entries import shown
from feasibility.page.places import Data, place_text
from feasibility.survey.model import Survey
from feasibility.survey.plain_data import KeyPath
from feasibility.survey_io.wording import Root, field_type


def values_of(data: Data, root: Root = Survey) -> Mapping[str, Mapping[str, Any]]:
    """Return what every field shows whose place holds something."""
    found = {}
    for path, value in _held(data, (), root):
        if not _is_list_of_tables(path, value, root):
            now = shown(value)
            found[place_text(path)] = {"text": now.text, "unknown": now.unknown}
    return found


def counts_of(data: Data, root: Root = Survey) -> str:
    """Return how many items stand in every list of tables: other counts are another form."""
    lists = [
        f"{place_text(path)}={len(value)}"
        for path, value in _held(data, (), root)
        if _is_list_of_tables(path, value, root)
    ]
    return " ".join(sorted(lists))


def _held(value: object, path: KeyPath, root: Root) -> Iterator[tuple[KeyPath, Any]]:
    """Yield every field that the model knows, and every list of tables before what is in it."""
    field = field_type(path, root)
    if field is None:
        return
    if isinstance(value, Mapping) and not field.stated:
        for key, item in value.items():
            yield from _held(item, (*path, key), root)
        return
    yield path, value
    if _is_list_of_tables(path, value, root):
        for number, item in enumerate(value):  # type: ignore[arg-type]
            yield from _held(item, (*path, number), root)


def _is_list_of_tables(path: KeyPath, value: object, root: Root) -> bool:
    field = field_type(path, root)
    is_listed = field is not None and field.item is not None and field.item.record is not None
    return is_listed and isinstance(value, list)
