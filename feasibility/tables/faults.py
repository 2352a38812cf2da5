"""Fault protection: voltage factors, disconnection times, electrodes."""

from __future__ import annotations

import math

from feasibility.result import Quantity
from feasibility.tables.loader import table
from feasibility.tables.lookup import band, exact, only, quantity, select
from feasibility.tables.record import Cell

LOW_VOLTAGE = "100 V to 1 kV"
ABOVE_1_KV = "above 1 kV"


def voltage_factors(*, tolerance_percent: float, edition: str) -> tuple[Quantity, Quantity]:
    """Return the largest and smallest voltage factor c of a low-voltage network.

    Source: IEC 60909-0, Table 1, edition ``2001`` or ``2016``, tolerance 6 or 10 %; or
    ``BS 7671`` (tolerance 10 %). Raises NotTabulated.
    """
    return _factors(LOW_VOLTAGE, tolerance_percent, edition)


def voltage_factors_above_1_kv(*, edition: str) -> tuple[Quantity, Quantity]:
    """Return the largest and smallest voltage factor c above 1 kV (IEC 60909-0, Table 1)."""
    return _factors(ABOVE_1_KV, None, edition)


def zero_sequence_factors(*, connection: str) -> tuple[tuple[Quantity, Quantity], ...]:
    """Return the bounds of R0/R1 and of X0/X1 of a transformer, smallest and largest of each.

    ``connection`` is its vector group without the hour, such as ``Dyn``. Source: IEC 60076-8 and
    engineering pages, no limits. Raises NotTabulated, also for star-star transformers.
    """
    source = table("transformer_zero_sequence")
    row = only(source.rows, {"connection": connection})
    return tuple(
        (
            quantity(source, row, f"{name}_from_factor", meaning=f"smallest {words}"),
            quantity(source, row, f"{name}_to_factor", meaning=f"largest {words}"),
        )
        for name, words in (
            ("resistance", f"zero-sequence over positive-sequence resistance, {connection}"),
            ("reactance", f"zero-sequence over positive-sequence reactance, {connection}"),
        )
    )


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


def named_voltage_to_earth_v(*, line_voltage_v: float) -> float:
    """Return the nominal voltage to earth of a system by the voltage between its lines.

    Source: IEC 60038, Table 1, as it names them (230 V for 400 V). A voltage that it does not name
    is divided by the square root of 3.
    """
    rows = table("nominal_voltages").rows
    named = {row.number("line_voltage_v"): row.number("voltage_to_earth_v") for row in rows}
    return named.get(line_voltage_v, line_voltage_v / math.sqrt(3))


def electrode_limit(*, residual_current_ma: float, touch_voltage_v: float = 50) -> Quantity:
    """Return the largest electrode resistance in ohm of a TT system (IEC 60364-4-41, 411.5.3).

    Raises NotTabulated; the rule behind the table is touch voltage / residual current.
    """
    criteria = {"residual_current_ma": residual_current_ma, "touch_voltage_v": touch_voltage_v}
    meaning = f"largest electrode resistance, {residual_current_ma:g} mA"
    return exact("tt_electrode_limits", "resistance_ohm", criteria, symbol="RA", meaning=meaning)


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
