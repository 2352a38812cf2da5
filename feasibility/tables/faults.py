"""Fault protection: voltage factors, disconnection times, electrodes; and harmonic limits."""

from __future__ import annotations

import math

from feasibility.result import Quantity
from feasibility.tables.errors import NotTabulated
from feasibility.tables.loader import table
from feasibility.tables.lookup import band, distinct, exact, quantity, select
from feasibility.tables.record import Cell

LOW_VOLTAGE = "100 V to 1 kV"
ABOVE_1_KV = "above 1 kV"
HARMONIC_COLUMNS = ("i3", "i5", "i7", "i9", "i11", "i13", "thc", "pwhc")


def voltage_factors(*, tolerance_percent: float, edition: str) -> tuple[Quantity, Quantity]:
    """Return the largest and smallest voltage factor c of a low-voltage network.

    Source: IEC 60909-0, Table 1, edition ``2001`` or ``2016``, tolerance 6 or 10 %; or
    ``BS 7671`` (tolerance 10 %). Raises NotTabulated.
    """
    return _factors(LOW_VOLTAGE, tolerance_percent, edition)


def voltage_factors_above_1_kv(*, edition: str) -> tuple[Quantity, Quantity]:
    """Return the largest and smallest voltage factor c above 1 kV (IEC 60909-0, Table 1)."""
    return _factors(ABOVE_1_KV, None, edition)


def disconnection_time(*, system: str, voltage_to_earth_v: float, scope: str) -> Quantity:
    """Return the longest disconnection time in s for alternating current.

    Source: IEC 60364-4-41, Table 41.1 (scope ``table 41.1``), 411.3.2.3 and 411.3.2.4 (scope
    ``other``). System ``TN`` or ``TT``. The voltage is the nominal one, line to earth. Raises
    NotTabulated, also at 50 V and below.
    """
    source = table("disconnection_times")
    rows = select(source.rows, {"system": system, "scope": scope})
    row = band(rows, "over_v", "up_to_v", voltage_to_earth_v, "voltage_to_earth_v")
    meaning = f"longest disconnection time, {system}, {voltage_to_earth_v:g} V to earth, {scope}"
    return quantity(source, row, "time_s", symbol="t", meaning=meaning)


def electrode_limit(*, residual_current_ma: float, touch_voltage_v: float = 50) -> Quantity:
    """Return the largest electrode resistance in ohm of a TT system (IEC 60364-4-41, 411.5.3).

    Raises NotTabulated; the rule behind the table is touch voltage / residual current.
    """
    criteria = {"residual_current_ma": residual_current_ma, "touch_voltage_v": touch_voltage_v}
    meaning = f"largest electrode resistance, {residual_current_ma:g} mA"
    return exact("tt_electrode_limits", "resistance_ohm", criteria, symbol="RA", meaning=meaning)


def harmonic_limits(*, equipment: str, short_circuit_ratio: float) -> dict[str, Quantity]:
    """Return the limits in percent of the reference current, by i3, i5, ... i13, thc, pwhc.

    Source: IEC 61000-3-12:2011, from memory; public low voltage, 16 A to 75 A. Between ratios the
    next lower one counts; below 33 NotTabulated is raised. An order without limit is left out.
    """
    source = table("harmonics_61000_3_12")
    rows = select(source.rows, {"equipment": equipment})
    reached = [row for row in rows if row.number("ratio_from") <= short_circuit_ratio]
    if not reached or math.isnan(short_circuit_ratio):
        raise NotTabulated(
            parameter="short_circuit_ratio",
            value=short_circuit_ratio,
            permitted=distinct(rows, "ratio_from"),
        )
    row = max(reached, key=lambda candidate: candidate.number("ratio_from"))
    return {
        name: quantity(source, row, f"{name}_percent", meaning=f"limit of {name}, {equipment}")
        for name in HARMONIC_COLUMNS
        if row.optional_number(f"{name}_percent") is not None
    }


def _factors(
    voltage_range: str, tolerance_percent: float | None, edition: str
) -> tuple[Quantity, Quantity]:
    def factor(which: str, symbol: str) -> Quantity:
        criteria: dict[str, Cell] = {
            "voltage_range": voltage_range,
            "tolerance_percent": tolerance_percent,
            "edition": edition,
            "fault_current": which,
        }
        meaning = f"voltage factor for the {which} fault current"
        return exact("voltage_factors", "c_factor", criteria, symbol=symbol, meaning=meaning)

    return factor("largest", "cmax"), factor("smallest", "cmin")
