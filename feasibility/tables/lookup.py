"""Exact lookup in a loaded table: one row or a refusal that names what is tabulated."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from feasibility.citation import Citation
from feasibility.result import Quantity
from feasibility.tables.errors import NotTabulated
from feasibility.tables.loader import table
from feasibility.tables.record import Cell, Confirmation, Row, Table

WEAK_NOTE = {
    Confirmation.ONE_SOURCE: "one source only",
    Confirmation.MEMORY: "from memory",
}


def select(rows: Iterable[Row], criteria: Mapping[str, Cell]) -> tuple[Row, ...]:
    """Narrow rows column by column, in the order of ``criteria``.

    Raises NotTabulated for the first column in which no remaining row holds the wanted value.
    """
    remaining = tuple(rows)
    for column, wanted in criteria.items():
        found = tuple(row for row in remaining if row.cells[column] == wanted)
        if not found:
            raise NotTabulated(
                parameter=column, value=wanted, permitted=distinct(remaining, column)
            )
        remaining = found
    return remaining


def only(rows: Iterable[Row], criteria: Mapping[str, Cell]) -> Row:
    """Return the single row that meets all criteria; the criteria must cover the table's key."""
    (row,) = select(rows, criteria)
    return row


def distinct(rows: Iterable[Row], column: str) -> tuple[Cell, ...]:
    """Return the values of a column, each once, numbers in rising order."""
    values = tuple(dict.fromkeys(row.cells[column] for row in rows))
    numbers = tuple(value for value in values if isinstance(value, int | float))
    return tuple(sorted(numbers)) if len(numbers) == len(values) else values


def unfavourable(
    rows: Iterable[Row], column: str, value: float, *, reach_below: bool = False
) -> tuple[Row, str]:
    """Return the row at ``value`` or at the next higher tabulated one, with a note if it moved.

    Fits columns whose factor falls as the value rises. Below the smallest entry only with
    ``reach_below``, beyond the largest never: then NotTabulated is raised.
    """
    ordered = sorted(rows, key=lambda row: row.number(column))
    lowest = ordered[0].number(column)
    if not math.isfinite(value) or (value < lowest and not reach_below):
        raise NotTabulated(parameter=column, value=value, permitted=distinct(ordered, column))
    for row in ordered:
        entry = row.number(column)
        if entry == value:
            return row, ""
        if entry > value:
            return row, f"{column} {value:g} taken as {entry:g}, the next tabulated entry"
    raise NotTabulated(parameter=column, value=value, permitted=distinct(ordered, column))


def band(rows: Iterable[Row], over: str, up_to: str, value: float, name: str) -> Row:
    """Return the row whose band ``over`` < value <= ``up_to`` holds the value; blank is open."""
    candidates = tuple(rows)
    if math.isfinite(value) and value > 0:
        for row in candidates:
            low, high = row.optional_number(over), row.optional_number(up_to)
            if (low is None or value > low) and (high is None or value <= high):
                return row
    raise NotTabulated(
        parameter=name, value=value, permitted=(_band_text(row, over, up_to) for row in candidates)
    )


def quantity(
    source: Table, row: Row, column: str, *, symbol: str = "", meaning: str = "", note: str = ""
) -> Quantity:
    """Return a cell as a quantity with its unit, its citation and every warning that goes with it.

    The citation names the standard and its clause; the note says when only one source or memory
    confirms the value.
    """
    weak = WEAK_NOTE.get(row.confirmed_by, "")
    notes = (note, weak, row.text("note") if row.text("note") != weak else "")
    return Quantity(
        value=row.number(column),
        unit=row.text("unit") if column == "value" else source.header.units[column],
        symbol=symbol,
        meaning=meaning,
        sources=(citation(source, row),),
        note="; ".join(part for part in notes if part),
    )


def citation(source: Table, row: Row) -> Citation:
    """Return standard, clause and trust of one row."""
    return Citation(
        source=row.text("standard_id") or source.header.source,
        clause=row.text("clause") or source.header.clause,
        note=WEAK_NOTE.get(row.confirmed_by, "") or source.header.edition,
    )


def exact(
    name: str, column: str, criteria: Mapping[str, Cell], *, symbol: str = "", meaning: str = ""
) -> Quantity:
    """Look a value up by the whole key of a table. Raises NotTabulated."""
    found = table(name)
    row = only(found.rows, criteria)
    return quantity(found, row, column, symbol=symbol, meaning=meaning)


def _band_text(row: Row, over: str, up_to: str) -> str:
    low, high = row.optional_number(over), row.optional_number(up_to)
    parts = (
        "" if low is None else f"over {low:g}",
        "" if high is None else f"up to {high:g}",
    )
    return " ".join(part for part in parts if part) or "any"
