"""Assemblies and neighbours of devices: assumed loading, grouping, temperature (indicative)."""

from __future__ import annotations

from feasibility.result import Quantity
from feasibility.tables.errors import NotTabulated
from feasibility.tables.loader import table
from feasibility.tables.lookup import only, quantity, select, unfavourable
from feasibility.tables.record import Row


def assembly_loading_factor(*, assembly: str, circuits: int) -> Quantity:
    """Return the assumed loading of simultaneously loaded outgoing circuits of a board.

    Source: IEC 61439-2 or 61439-3, Table 101; holds where the board declares no factor. Assembly
    ``switchboard`` or ``distribution board for ordinary persons``. Raises NotTabulated, also for
    one circuit.
    """
    rows = select(table("assembly_loading_factors").rows, {"assembly": assembly})
    row = _by_count(rows, "circuits_from", "circuits_to", circuits, "circuits")
    meaning = f"assumed loading, {circuits} circuits, {assembly}"
    return quantity(table(row.table), row, "factor", symbol="RDF", meaning=meaning)


def breaker_grouping_factor(*, units: int) -> Quantity:
    """Return a typical factor for loaded circuit-breakers side by side (maker data, never a limit).

    ``units`` counts the device itself. Raises NotTabulated below 1.
    """
    rows = table("breaker_grouping").rows
    row = _by_count(rows, "units_from", "units_to", units, "units")
    meaning = f"typical factor for {units} devices side by side"
    return quantity(table(row.table), row, "factor", symbol="kg", meaning=meaning)


def breaker_ambient_factors(*, device: str, temperature_c: float) -> tuple[Quantity, Quantity]:
    """Return the lowest and highest typical factor for the temperature inside an enclosure.

    Typical maker data, never a limit. Below the coldest entry the coldest counts, between entries
    the next hotter, above the hottest NotTabulated is raised.
    """
    source = table("breaker_ambient")
    rows = select(source.rows, {"device": device})
    row, note = unfavourable(rows, "temperature_c", temperature_c, reach_below=True)
    meaning = f"typical factor at {temperature_c:g} °C, {device}"
    return (
        quantity(source, row, "lowest_factor", symbol="kt", meaning=meaning, note=note),
        quantity(source, row, "highest_factor", symbol="kt", meaning=meaning, note=note),
    )


def residual_current_rule(*, rule: str, condition: str) -> Quantity:
    """Return one value for residual-current devices by rule and condition. Raises NotTabulated."""
    source = table("residual_current_rules")
    row = only(source.rows, {"rule": rule, "condition": condition})
    return quantity(source, row, "value", meaning=f"{rule}, {condition}")


def _by_count(rows: tuple[Row, ...], first: str, last: str, count: int, name: str) -> Row:
    for row in rows:
        end = row.optional_number(last)
        if row.number(first) <= count and (end is None or count <= end):
            return row
    start = min(row.number(first) for row in rows)
    raise NotTabulated(parameter=name, value=count, permitted=(f"{start:g} and above",))
