"""Conductor constants: resistance, reactance, sections, adiabatic k and protective conductors."""

from __future__ import annotations

from feasibility.result import Quantity
from feasibility.tables.errors import NotTabulated
from feasibility.tables.loader import table
from feasibility.tables.lookup import band, distinct, exact, only, quantity, select
from feasibility.tables.record import Cell

RESISTANCE = "iec60228_resistance"
TEMPERATURES = "conductor_temperatures"
CONSTANTS = "conductor_constants"
ANNEX_G = "annex_g_constants"
K_FACTORS = "k_factors"
K_INSULATION = {"PVC": "PVC 70 C", "XLPE": "XLPE 90 C"}


def resistance_20c(*, conductor: str, section_mm2: float, flexible: bool) -> Quantity:
    """Return the largest direct-current resistance at 20 C in ohm/km.

    Source: IEC 60228:2004, class 2 (stranded) or class 5 (flexible). Aluminium starts at 10 mm2
    and has no flexible class. Raises NotTabulated.
    """
    criteria: dict[str, Cell] = {
        "conductor": conductor,
        "construction": "flexible" if flexible else "stranded",
        "section_mm2": section_mm2,
    }
    meaning = f"resistance at 20 °C, {section_mm2:g} mm2 {conductor}"
    return exact(RESISTANCE, "resistance_ohm_per_km", criteria, symbol="R20", meaning=meaning)


def standard_sections(*, conductor: str = "copper", flexible: bool = False) -> tuple[float, ...]:
    """Return the nominal sections in mm2 that IEC 60228 gives a resistance for, rising."""
    wanted = {"conductor": conductor, "construction": "flexible" if flexible else "stranded"}
    rows = select(table(RESISTANCE).rows, wanted)
    return tuple(sorted(row.number("section_mm2") for row in rows))


def temperature_coefficient(conductor: str) -> Quantity:
    """Return the temperature coefficient of resistance at 20 C in 1/K (IEC 60287-1-1, Table 1)."""
    return _constant("temperature coefficient at 20 C", conductor, "alpha")


def maximum_conductor_temperature(*, insulation: str) -> Quantity:
    """Return the highest permitted conductor temperature in degrees Celsius.

    Source: IEC 60364-5-52:2009, Table 52.1; cords by the ampacity table of their grade. Raises
    NotTabulated.
    """
    meaning = f"highest permitted conductor temperature, {insulation}"
    criteria = {"insulation": insulation}
    return exact(TEMPERATURES, "temperature_c", criteria, symbol="Tmax", meaning=meaning)


def resistivity_20c(*, conductor: str) -> Quantity:
    """Return the resistivity at 20 C in ohm mm2/m (IEC 60287-1-1, Table 1)."""
    return _constant("resistivity at 20 C", conductor, "rho20")


def annex_g_resistivity(*, conductor: str) -> Quantity:
    """Return the resistivity in normal service in ohm mm2/m (IEC 60364-5-52, Annex G).

    The annex takes 1.25 times the value at 20 C, whatever the insulation.
    """
    return _annex_g(f"resistivity of {conductor}", "rho1")


def reactance() -> Quantity:
    """Return the reactance 0.08 ohm/km that IEC 60364-5-52, Annex G takes without better data."""
    return _annex_g("reactance", "x")


def typical_reactance(*, cable: str, section_mm2: float) -> Quantity:
    """Return an indicative reactance in ohm/km (typical maker data, never a limit).

    ``cable``: multicore, armoured multicore, single-core trefoil, single-core flat touching.
    Raises NotTabulated.
    """
    criteria: dict[str, Cell] = {"cable": cable, "section_mm2": section_mm2}
    meaning = f"typical reactance, {section_mm2:g} mm2, {cable}"
    return exact("reactance_typical", "reactance_ohm_per_km", criteria, symbol="x", meaning=meaning)


def voltage_drop_limit(*, supply: str, use: str) -> Quantity:
    """Return the voltage drop in percent that the informative Annex G recommends.

    Source: IEC 60364-5-52:2009, Table G.52.1. Supply ``public`` or ``private``; use ``lighting``
    or ``other``. Raises NotTabulated.
    """
    criteria = {"supply": supply, "use": use}
    meaning = f"largest voltage drop, {supply} supply, {use} use"
    return exact("g52_1_voltage_drop_limits", "drop_percent", criteria, meaning=meaning)


def voltage_drop_length_allowance() -> tuple[Quantity, Quantity, Quantity]:
    """Return length without allowance (m), allowance per metre beyond (%/m), largest allowance (%).

    Source: IEC 60364-5-52:2009, note to Table G.52.1.
    """
    return (
        _annex_g("length without extra drop", ""),
        _annex_g("extra drop per metre beyond it", ""),
        _annex_g("largest extra drop", ""),
    )


def k_factor(*, use: str, insulation: str, conductor: str, section_mm2: float) -> Quantity:
    """Return the adiabatic k in A s^0.5/mm2.

    Source: IEC 60364-4-43:2008, Table 43A; IEC 60364-5-54:2011, Tables A.54.2 to A.54.6. ``use``
    is a word of the table (``live conductor``, ``protective core of cable``, ``separate protective
    conductor``, ...); insulation ``PVC 70 C``, ``PVC 90 C``, ``XLPE 90 C``, ``rubber 60 C``,
    ``rubber 85 C``, or ``PVC`` and ``XLPE`` for 70 and 90 C. Raises NotTabulated.
    """
    source = table(K_FACTORS)
    criteria = {
        "use": use,
        "insulation": K_INSULATION.get(insulation, insulation),
        "conductor": conductor,
    }
    row = band(select(source.rows, criteria), "over_mm2", "up_to_mm2", section_mm2, "section_mm2")
    meaning = f"k of a {conductor} {use}, {criteria['insulation']}"
    return quantity(source, row, "k_a_s05_per_mm2", symbol="k", meaning=meaning)


def minimum_protective_section(*, line_section_mm2: float, conductor: str = "copper") -> Quantity:
    """Return the smallest protective conductor in mm2, of the material of the line conductor.

    Source: IEC 60364-5-54:2011, Table 54.2; half a section is rounded up to the next standard one.
    Raises NotTabulated for a line section that is not a standard one.
    """
    sections = standard_sections(conductor=conductor)
    if line_section_mm2 not in sections:
        raise NotTabulated(parameter="line_section_mm2", value=line_section_mm2, permitted=sections)
    source = table("protective_conductor_minimum")
    row = band(source.rows, "line_over_mm2", "line_up_to_mm2", line_section_mm2, "line_section_mm2")
    fixed = row.optional_number("fixed_section_mm2")
    wanted = fixed or row.number("line_share_factor") * line_section_mm2
    section = next(standard for standard in sections if standard >= wanted)
    column = "fixed_section_mm2" if fixed else "line_share_factor"
    found = quantity(source, row, column, symbol="Spe")
    note = "" if section == wanted else f"{wanted:g} mm2 rounded up to the next standard section"
    return Quantity(
        value=section,
        unit="mm2",
        symbol="Spe",
        meaning=f"smallest protective conductor beside {line_section_mm2:g} mm2",
        sources=found.sources,
        note="; ".join(part for part in (found.note, note) if part),
    )


def _constant(constant: str, conductor: str, symbol: str) -> Quantity:
    criteria = {"constant": constant, "conductor": conductor}
    return exact(CONSTANTS, "value", criteria, symbol=symbol, meaning=f"{constant}, {conductor}")


def _annex_g(constant: str, symbol: str) -> Quantity:
    source = table(ANNEX_G)
    permitted = distinct(source.rows, "constant")
    if constant not in permitted:
        raise NotTabulated(parameter="constant", value=constant, permitted=permitted)
    row = only(source.rows, {"constant": constant})
    return quantity(source, row, "value", symbol=symbol, meaning=constant)
