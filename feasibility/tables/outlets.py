"""Industrial outlets of IEC 60309: ratings, contacts, clock positions, terminals."""

from __future__ import annotations

from dataclasses import dataclass

from feasibility.citation import Citation
from feasibility.result import Quantity
from feasibility.tables.loader import table
from feasibility.tables.lookup import citation, only, quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class OutletConfiguration:
    """Which clock position and colour belong to contacts, voltage and frequency.

    The voltage is the one between lines (2P+E: between the two poles); ``frequency`` is the set
    that is served (``50/60``). Seen from the front, keyway at six o'clock.
    """

    poles: str
    voltage_min_v: float
    voltage_max_v: float
    frequency: str
    clock_position: int
    colour: str
    source: Citation
    note: str


def outlet_ratings() -> tuple[float, ...]:
    """Return the rated currents of series I in A, rising (IEC 60309-2)."""
    return tuple(sorted(row.number("rating_a") for row in table("industrial_outlet_ratings").rows))


def outlet_configurations() -> tuple[OutletConfiguration, ...]:
    """Return every tabulated configuration (IEC 60309-2)."""
    source = table("industrial_outlet_configurations")
    return tuple(
        OutletConfiguration(
            poles=row.text("poles"),
            voltage_min_v=row.number("voltage_min_v"),
            voltage_max_v=row.number("voltage_max_v"),
            frequency=row.text("frequency"),
            clock_position=int(row.number("clock_position")),
            colour=row.text("colour"),
            source=citation(source, row),
            note=row.text("note"),
        )
        for row in source.rows
    )


def industrial_outlet(
    *, poles: str, voltage_v: float, frequency_hz: int
) -> tuple[OutletConfiguration, ...]:
    """Return the configurations that fit contacts, voltage between lines and frequency.

    An empty tuple says that none is tabulated; several can fit (a special use beside the usual).
    """
    return tuple(
        found
        for found in outlet_configurations()
        if found.poles == poles
        and found.voltage_min_v <= voltage_v <= found.voltage_max_v
        and str(frequency_hz) in found.frequency.split("/")
    )


def terminal_sections(*, rating_a: float, flexible: bool) -> tuple[Quantity, Quantity]:
    """Return the smallest and largest section in mm2 that the terminals accept.

    Source: IEC 60309-1, Table 3, from memory; the marking of the accessory decides. Flexible:
    plugs and connectors; otherwise socket-outlets and inlets. Raises NotTabulated.
    """
    source = table("industrial_outlet_terminals")
    kind = "flexible" if flexible else "solid or stranded"
    row = only(source.rows, {"conductor_kind": kind, "rating_a": rating_a})
    meaning = f"terminal of a {rating_a:g} A outlet, {kind} conductor"
    return (
        quantity(source, row, "section_min_mm2", meaning=f"smallest section, {meaning}"),
        quantity(source, row, "section_max_mm2", meaning=f"largest section, {meaning}"),
    )


def outlet_rule(*, rule: str, condition: str) -> Quantity:
    """Return a value of the type test, or the numeral that a place asks for. Raises NotTabulated.

    From memory: IEC 60309-1, clause 22, and IEC 60364-5-51, Table 51A.
    """
    source = table("industrial_outlet_rules")
    row = only(source.rows, {"rule": rule, "condition": condition})
    return quantity(source, row, "value", meaning=f"{rule}, {condition}")
