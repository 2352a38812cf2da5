"""Read the tables of ``cable_tables`` once, and refuse a file that breaks the rules of the folder.

A table file starts with ``# key: value`` lines (title, source, clause, edition, value, unit, key,
optional, across, reference, remarks), then a plain CSV. The unit of a number column is the end of
its name.
"""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import NamedTuple

from feasibility.resources import data_dir
from feasibility.tables.columns import COUNT_COLUMNS, TEXT_COLUMNS, unit_of
from feasibility.tables.errors import NotTabulated, TableError
from feasibility.tables.record import Cell, Confirmation, Header, Row, Source, Table

SOURCES_FILE = "sources.csv"
SOURCE_COLUMNS = ("id", "title", "publisher", "edition", "opened", "note")

HEADER_KEYS = ("title", "source", "clause", "edition", "value", "unit", "key", "reference")
OPTIONAL_HEADER_KEYS = ("optional", "remarks", "across")
MAY_BE_BLANK = ("clause",)

ALWAYS_OPTIONAL = ("note", "other_readings")
PER_ROW = "per row"
_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?")
_COUNT = re.compile(r"[1-9]\d*")


class _Place(NamedTuple):
    """Where in a file something stands, so that a refusal can say so."""

    file: Path
    line: int

    def error(self, reason: str) -> TableError:
        return TableError(self.file, self.line, reason)


def read_sources(path: Path) -> dict[str, Source]:
    """Read ``sources.csv``. Raises TableError for a wrong column, a blank or repeated id."""
    with path.open(encoding="utf-8", newline="") as stream:
        reader = csv.reader(stream)
        columns = tuple(next(reader, []))
        if columns != SOURCE_COLUMNS:
            raise TableError(
                file=path, line=1, reason=f"columns must be {', '.join(SOURCE_COLUMNS)}"
            )
        found: dict[str, Source] = {}
        for cells in reader:
            place = _Place(path, reader.line_num)
            if len(cells) != len(columns):
                raise place.error(reason=f"{len(cells)} cells instead of {len(columns)}")
            source = Source(**dict(zip(columns, cells, strict=True)))
            if not source.id or not source.title:
                raise place.error(reason="id or title is blank")
            if source.id in found:
                raise place.error(reason=f"source {source.id} is listed twice")
            found[source.id] = source
    return found


def read_table(path: Path, source_ids: Iterable[str]) -> Table:
    """Read and check one table file; ``source_ids`` are the ids that may be cited.

    Raises TableError (file, line, reason) for a missing header key, a column without a known unit,
    a unit that contradicts its column, a blank, non-finite or non-positive number, an unknown
    source and a repeated key.
    """
    known = frozenset(source_ids)
    lines = path.read_text(encoding="utf-8").splitlines()
    header_lines = [line for line in lines if line.startswith("#")]
    first = len(header_lines)
    fields = _header_fields(path, lines[:first])
    place = _Place(path, first + 1)
    try:
        body = list(csv.reader(lines[first:], strict=True))
    except csv.Error as error:
        raise place.error(reason=f"no plain CSV: {error}") from error
    if len(body) < 2:
        raise place.error(reason="the table holds no row")
    columns = tuple(body[0])
    header = _header(place, fields, columns, known)
    rows: list[Row] = []
    seen: dict[tuple[Cell, ...], int] = {}
    for offset, cells in enumerate(body[1:], start=2):
        row = _row(_Place(path, first + offset), header, columns, cells, known)
        key = tuple(row.cells[column] for column in header.key)
        if key in seen:
            raise TableError(
                file=path, line=row.line, reason=f"repeats the key of line {seen[key]}: {key}"
            )
        seen[key] = row.line
        rows.append(row)
    return Table(name=path.stem, header=header, columns=columns, rows=tuple(rows))


@cache
def sources() -> Mapping[str, Source]:
    """Return every source by its id."""
    return MappingProxyType(read_sources(data_dir("cable_tables") / SOURCES_FILE))


@cache
def table_names() -> tuple[str, ...]:
    """Return the names of all tables, sorted."""
    files = data_dir("cable_tables").glob("*.csv")
    return tuple(sorted(file.stem for file in files if file.name != SOURCES_FILE))


@cache
def table(name: str) -> Table:
    """Return a table by name, read at the first call. Raises NotTabulated for an unknown name."""
    if name not in table_names():
        raise NotTabulated(parameter="table", value=name, permitted=table_names())
    return read_table(data_dir("cable_tables") / f"{name}.csv", sources())


def _header_fields(path: Path, lines: list[str]) -> dict[str, str]:
    fields: dict[str, str] = {}
    for number, line in enumerate(lines, start=1):
        key, colon, value = line.removeprefix("#").partition(":")
        key = key.strip()
        if not colon or key not in HEADER_KEYS + OPTIONAL_HEADER_KEYS or key in fields:
            raise TableError(
                file=path, line=number, reason=f"unknown or repeated header key {key!r}"
            )
        fields[key] = value.strip()
    for key in HEADER_KEYS:
        if not fields.get(key) and (key not in fields or key not in MAY_BE_BLANK):
            raise TableError(
                file=path, line=len(lines) or 1, reason=f"header key {key!r} is missing or blank"
            )
    return fields


def _header(
    place: _Place, fields: Mapping[str, str], columns: tuple[str, ...], known: frozenset[str]
) -> Header:
    if fields["source"] not in known:
        raise place.error(reason=f"unknown source {fields['source']!r} in the header")
    values, key, optional, across = (
        _names(fields.get(name, "")) for name in ("value", "key", "optional", "across")
    )
    if len(set(columns)) != len(columns):
        raise place.error(reason="a column is named twice")
    for column in ("source_ids", "confirmed_by", *values, *key, *optional):
        if column not in columns:
            raise place.error(reason=f"column {column!r} is missing")
    if across and (len(values) != 1 or not set(across) < set(key)):
        raise place.error(reason="'across' needs a single value and some columns of the key")
    for column in columns:
        ambiguous = column != "value" and column not in TEXT_COLUMNS | COUNT_COLUMNS
        if ambiguous and unit_of(column) is None:
            raise place.error(reason=f"column {column!r} names no known unit")
    return Header(
        title=fields["title"],
        source=fields["source"],
        clause=fields["clause"],
        edition=fields["edition"],
        units=MappingProxyType(_units(place, fields["unit"], values, columns)),
        key=key,
        optional=optional,
        across=across,
        reference=fields["reference"],
        remarks=fields.get("remarks", ""),
    )


def _units(
    place: _Place, text: str, values: tuple[str, ...], columns: tuple[str, ...]
) -> dict[str, str]:
    if text == PER_ROW:
        if values != ("value",) or "unit" not in columns:
            raise place.error(reason="a unit per row needs the columns 'value' and 'unit'")
        return {"value": PER_ROW}
    units = tuple("" if name == "1" else name for name in _names(text))
    if len(units) != len(values):
        raise place.error(reason=f"{len(values)} value columns but {len(units)} units")
    for column, unit in zip(values, units, strict=True):
        if unit_of(column) != unit:
            raise place.error(reason=f"unit {unit or '1'!r} contradicts the column {column!r}")
    return dict(zip(values, units, strict=True))


def _row(
    place: _Place,
    header: Header,
    columns: tuple[str, ...],
    texts: list[str],
    known: frozenset[str],
) -> Row:
    if len(texts) != len(columns):
        raise place.error(reason=f"{len(texts)} cells instead of {len(columns)}")
    cells: dict[str, Cell] = {}
    for column, text in zip(columns, texts, strict=True):
        if not text.strip():
            if column not in header.optional + ALWAYS_OPTIONAL:
                raise place.error(reason=f"{column} is blank")
            cells[column] = None
        else:
            cells[column] = _cell(place, column, text.strip())
    confirmed = str(cells["confirmed_by"])
    if confirmed not in tuple(Confirmation):
        raise place.error(reason=f"confirmed_by {confirmed!r} is none of {', '.join(Confirmation)}")
    source_ids = tuple(str(cells["source_ids"]).split(";"))
    standard = cells.get("standard_id")
    for cited in (*source_ids, *((str(standard),) if standard is not None else ())):
        if cited not in known:
            raise place.error(reason=f"unknown source {cited!r}")
    return Row(
        table=place.file.stem,
        line=place.line,
        cells=MappingProxyType(cells),
        source_ids=source_ids,
        confirmed_by=Confirmation(confirmed),
    )


def _cell(place: _Place, column: str, text: str) -> Cell:
    if column in TEXT_COLUMNS:
        return text
    if column in COUNT_COLUMNS:
        if not _COUNT.fullmatch(text):
            raise place.error(reason=f"{column} {text!r} is not a count")
        return int(text)
    number = float(text) if _NUMBER.fullmatch(text) else math.nan
    if not math.isfinite(number) or number <= 0:
        raise place.error(reason=f"{column} {text!r} is not a positive number")
    return number


def _names(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(",") if part.strip())
