"""Surveys and records in which every free text tries to be more than a text."""

from __future__ import annotations

from html.parser import HTMLParser
from typing import Any

from pydantic import BaseModel

from feasibility.survey_io.wording import FieldType, fields_of

Data = dict[str, Any]

HOSTILE = (
    '<b>x</b>{{ 7*7 }}{% raw %}<img src="file:///etc/hostname"><svg onload="x">'
    "http://example.org/x &amp; ]]> \u202e\u200b"
)
"""Markup, a template, a local file, a picture, an address, and marks that turn or hide a text."""

NODES = {"origin", "outlet", "station"}
"""Words that a name of a node may be."""

KEPT = {
    ("Survey", "code_basis"),  # names a file of the program
    ("MeasuredLog", "file"),  # names a file beside the survey
    ("MeasuredLog", "time_zone"),
}
NOT_ADDED = {
    ("Device", "backed_up_by"),  # ask for a figure beside them
    ("Device", "selective_with"),
    ("MeasuredLog", "sheet"),  # a text file has none
    ("MeasuredLog", "total_column"),  # stand in place of those of the phases
    ("MeasuredLog", "generation_column"),
    ("Demand", "declared_by"),  # stands in place of a log
}


class Renaming:
    """Replaces every free text of a file's data by a hostile one; equal texts stay equal."""

    def __init__(self) -> None:
        self.given: dict[str, str] = {}
        self.replaced: set[tuple[str, str]] = set()

    def text(self, value: str) -> str:
        """Return the hostile text that stands for this one."""
        if value in NODES:
            return value
        return self.given.setdefault(value, f"{HOSTILE}{len(self.given)}")

    def of(self, record: type[BaseModel], data: Data) -> Data:
        """Return the data of a record with hostile texts, those that may be left out as well."""
        found: Data = {}
        for name, field in fields_of(record).items():
            place, value = (record.__name__, name), data.get(name)
            if value is None and is_free(field) and place not in NOT_ADDED:
                value = ".".join(place)
            if value is not None and place not in KEPT:
                value = self._value(field, value)
                if is_free(field):
                    self.replaced.add(place)
            if value is not None:
                found[name] = value
        return found

    def _value(self, field: FieldType, value: Any) -> Any:
        item, table = field.item, field.record
        if item is not None and item.record is not None:
            return [self.of(item.record, one) for one in value]
        if field.stated:
            return self._stated(field, value)
        if table is not None:
            return self.of(table, value)
        return self.text(value) if is_free(field) else value

    def _stated(self, field: FieldType, value: Any) -> Data:
        if value == "unknown":
            stated: Data = {"unknown": True}
        else:
            stated = dict(value) if isinstance(value, dict) else {"value": value}
        if is_free(field) and "value" in stated:
            stated["value"] = self.text(stated["value"])
        return stated | {key: self.text(key) for key in ("instrument", "method", "note")}


def is_free(field: FieldType) -> bool:
    """Whether anybody may write any text there."""
    if field.stated:
        field = fields_of(field.record)["value"]
    return field.kind is str and not any(
        getattr(bound, "pattern", None) or hasattr(bound, "text") for bound in field.bounds
    )


def free_texts(record: type[BaseModel]) -> set[tuple[str, str]]:
    """Return every field of a record, and of those inside it, that takes any text."""
    found: set[tuple[str, str]] = set()
    for name, field in fields_of(record).items():
        inner = (field.item or field).record
        if is_free(field):
            found.add((record.__name__, name))
        elif inner is not None and not field.stated:
            found |= free_texts(inner)
    return found


class _Tags(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: set[str] = set()

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        self.found |= {tag, *(f"{tag} {name}" for name, _ in attributes)}


def tags_of(document: str) -> set[str]:
    """Return the names of all tags of a document and of their attributes."""
    parser = _Tags()
    parser.feed(document)
    return parser.found
