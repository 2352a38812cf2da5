"""The tables laid out for a reviewer: each value with its evidence, and what confirms it."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import count
from string import ascii_lowercase

from feasibility.clauses.ampacity import annex_d_ampacity_a
from feasibility.tables import Confirmation, Row, Source, Table, sources, table, table_names
from feasibility.tables.ampacity import AMPACITY_TABLES
from feasibility.tables.record import Cell

__all__ = [
    "Cell",
    "Confirmed",
    "Evidence",
    "PageRow",
    "Place",
    "Source",
    "TableLine",
    "TablePage",
    "confirmed_ampacities",
    "table_lines",
    "table_page",
]

_EVIDENCE = ("source_ids", "confirmed_by", "note", "other_readings", "standard_id")


@dataclass(frozen=True, slots=True, kw_only=True)
class TableLine:
    """One table in the list of tables, with how many of its rows are confirmed in which way."""

    name: str
    title: str
    standard: str
    clause: str
    confirmed: Mapping[Confirmation, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """Where values come from: a mark that stands beside each of them, and what it stands for."""

    mark: str
    confirmed_by: Confirmation
    sources: tuple[Source, ...]
    note: str
    other_readings: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """One value of a printed table and the mark of its evidence."""

    value: Cell
    mark: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PageRow:
    """One line of a printed table: what it is for, and one value a column, None where blank."""

    labels: tuple[Cell, ...]
    places: tuple[Place | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TablePage:
    """A table as it is laid beside the standard.

    ``common`` holds key columns with the same value in every row. Each of ``across`` heads one
    column of values with as many words as the table has keys across the page.
    """

    name: str
    title: str
    standard: Source
    clause: str
    edition: str
    units: tuple[str, ...]
    reference: str
    remarks: str
    common: Mapping[str, Cell]
    label_names: tuple[str, ...]
    across: tuple[tuple[Cell, ...], ...]
    rows: tuple[PageRow, ...]
    evidence: tuple[Evidence, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Confirmed:
    """One ampacity against the formula of Annex D; no deviation where the formula has no value."""

    row: Row
    formula_a: float | None

    @property
    def deviation_percent(self) -> float | None:
        """Tabulated value over formula minus one, in percent; the print is rounded."""
        if self.formula_a is None:
            return None
        return 100 * (self.row.number("current_a") / self.formula_a - 1)


def table_lines() -> tuple[TableLine, ...]:
    """Return every table with what confirms its rows, in the order of their names."""
    return tuple(_line(table(name)) for name in table_names())


def table_page(name: str) -> TablePage:
    """Return a table laid out for print. Raises NotTabulated for a name that is no table."""
    found = table(name)
    evidence = _evidence(found)
    common = _common(found)
    across = found.header.across
    hidden = {*_EVIDENCE, *common, *across}
    if across:
        labels = tuple(name for name in found.header.key if name not in hidden)
        heads = tuple(dict.fromkeys(_cells(row, across) for row in found.rows))
        rows = _grid(found, labels, heads, evidence)
    else:
        labels = tuple(
            name for name in found.columns if name not in hidden and name not in found.header.units
        )
        heads = tuple((name,) for name in found.header.units)
        rows = _list(found, labels, evidence)
    return TablePage(
        name=name,
        title=found.header.title,
        standard=sources()[found.header.source],
        clause=found.header.clause,
        edition=found.header.edition,
        units=tuple(found.header.units.values()),
        reference=found.header.reference,
        remarks=found.header.remarks,
        common=common,
        label_names=labels,
        across=heads,
        rows=rows,
        evidence=tuple(evidence.values()),
    )


def confirmed_ampacities() -> Mapping[str, tuple[Confirmed, ...]]:
    """Return every ampacity with its value by the formula of Annex D, table by table."""
    coefficients = table("d52_1_coefficients").rows
    return {
        name: tuple(
            Confirmed(row=row, formula_a=_by_formula(row, coefficients)) for row in table(name).rows
        )
        for name in AMPACITY_TABLES
    }


def _by_formula(row: Row, coefficients: Iterable[Row]) -> float | None:
    """Return the value of Annex D, None where the standard gives no coefficients for the cell."""
    same = ("insulation", "conductor", "loaded", "method", "arrangement")
    section = row.number("section_mm2")
    for one in coefficients:
        over = one.optional_number("over_mm2") or 0.0
        up_to = one.optional_number("up_to_mm2") or math.inf
        if _cells(one, same) == _cells(row, same) and over < section <= up_to:
            return float(
                annex_d_ampacity_a(
                    section_mm2=section,
                    a_coefficient=one.number("a_coefficient"),
                    m_exponent=one.number("m_exponent"),
                    b_coefficient=one.optional_number("b_coefficient") or 0.0,
                    n_exponent=one.optional_number("n_exponent") or 0.0,
                )
            )
    return None


def _line(found: Table) -> TableLine:
    counted = Counter(row.confirmed_by for row in found.rows)
    return TableLine(
        name=found.name,
        title=found.header.title,
        standard=sources()[found.header.source].id,
        clause=found.header.clause,
        confirmed={how: counted[how] for how in Confirmation},
    )


def _cells(row: Row, columns: Iterable[str]) -> tuple[Cell, ...]:
    return tuple(row.cells[column] for column in columns)


def _common(found: Table) -> dict[str, Cell]:
    """Return the key columns whose value is the same in every row, if there is a choice to make."""
    if len(found.rows) == 1:
        return {}
    first = found.rows[0]
    return {
        column: first.cells[column]
        for column in found.header.key
        if column not in (*found.header.across, *found.header.units)
        and all(row.cells[column] == first.cells[column] for row in found.rows)
    }


def _proof(row: Row) -> tuple[Cell, ...]:
    return tuple(row.cells.get(column) for column in _EVIDENCE)


def _evidence(found: Table) -> dict[tuple[Cell, ...], Evidence]:
    """Return each kind of evidence of a table under a mark, in the order of its first row."""
    known = sources()
    marks = (_mark(number) for number in count())
    evidence: dict[tuple[Cell, ...], Evidence] = {}
    for row in found.rows:
        if _proof(row) not in evidence:
            standard = (known[row.text("standard_id")],) if row.text("standard_id") else ()
            evidence[_proof(row)] = Evidence(
                mark=next(marks),
                confirmed_by=row.confirmed_by,
                sources=(*standard, *(known[one] for one in row.source_ids)),
                note=row.text("note"),
                other_readings=row.text("other_readings"),
            )
    return evidence


def _mark(number: int) -> str:
    """Return a, b, ... z, aa, ab, ..."""
    high, low = divmod(number, len(ascii_lowercase))
    return (_mark(high - 1) if high else "") + ascii_lowercase[low]


def _grid(
    found: Table,
    labels: tuple[str, ...],
    heads: tuple[tuple[Cell, ...], ...],
    evidence: Mapping[tuple[Cell, ...], Evidence],
) -> tuple[PageRow, ...]:
    (value,) = found.header.units
    lines: dict[tuple[Cell, ...], dict[tuple[Cell, ...], Place]] = {}
    for row in found.rows:
        place = Place(value=row.cells[value], mark=evidence[_proof(row)].mark)
        lines.setdefault(_cells(row, labels), {})[_cells(row, found.header.across)] = place
    return tuple(
        PageRow(labels=key, places=tuple(places.get(head) for head in heads))
        for key, places in lines.items()
    )


def _list(
    found: Table, labels: tuple[str, ...], evidence: Mapping[tuple[Cell, ...], Evidence]
) -> tuple[PageRow, ...]:
    return tuple(
        PageRow(
            labels=_cells(row, labels),
            places=tuple(
                None if row.cells[name] is None else Place(value=row.cells[name], mark=mark)
                for name in found.header.units
            ),
        )
        for row in found.rows
        for mark in (evidence[_proof(row)].mark,)
    )
