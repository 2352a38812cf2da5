"""What a load does to the network it is connected to: harmonics, voltage changes, unbalance."""

from __future__ import annotations

import numpy as np

from feasibility.units import (
    SQRT3,
    Number,
    percent_from_ratio,
    require_not_negative,
    require_positive,
)

HIGHEST_ORDER = 40
"""IEC 61000-3-12 counts harmonics up to the 40th order."""


def short_circuit_power_va(*, line_voltage_v: Number | float, impedance_ohm: Number) -> Number:
    """Return the three-phase short-circuit power in VA behind a supply impedance per phase.

    IEC 61000-3-12:2011, clause 3: Ssc = Un^2 / Z, with the nominal voltage between lines and no
    voltage factor. Raises OutOfRange.
    """
    require_positive("line_voltage_v", line_voltage_v)
    require_positive("impedance_ohm", impedance_ohm)
    return line_voltage_v**2 / impedance_ohm


def impedance_of_power_ohm(
    *, line_voltage_v: Number | float, short_circuit_power_va: Number
) -> Number:
    """Return the supply impedance per phase in ohm that a short-circuit power stands for.

    IEC 61000-3-12:2011, clause 3, solved for the impedance: Z = Un^2 / Ssc. Raises OutOfRange.
    """
    require_positive("line_voltage_v", line_voltage_v)
    require_positive("short_circuit_power_va", short_circuit_power_va)
    return line_voltage_v**2 / short_circuit_power_va


def short_circuit_ratio(
    *, short_circuit_power_va: Number, current_a: Number | float, line_voltage_v: Number | float
) -> Number:
    """Return the short-circuit ratio of a load at its supply.

    IEC 61000-3-12:2011, clause 3: Rsce = Ssc / Sequ with Sequ = sqrt(3) Un I for three-phase loads,
    Rsce = Ssc / (3 Sequ) with Sequ = Un / sqrt(3) I for a load between line and neutral; both are
    Ssc / (sqrt(3) Un I), with the rated current of the worst phase. Left out: loads between two
    lines. Raises OutOfRange.
    """
    require_positive("short_circuit_power_va", short_circuit_power_va)
    require_positive("current_a", current_a)
    require_positive("line_voltage_v", line_voltage_v)
    return short_circuit_power_va / (SQRT3 * line_voltage_v * current_a)


def limit_between_ratios_percent(
    *,
    ratio: Number,
    lower_ratio: Number | float,
    upper_ratio: Number | float,
    lower_percent: Number | float,
    upper_percent: Number | float,
) -> Number:
    """Return the harmonic limit in percent between two short-circuit ratios of a table.

    IEC 61000-3-12:2011, clause 5, linear interpolation: L = Ll + (Lu - Ll) (R - Rl) / (Ru - Rl).
    Valid from the lower to the upper ratio. Raises OutOfRange.
    """
    require_positive("lower_ratio", lower_ratio)
    require_positive("upper_ratio", upper_ratio)
    require_not_negative("lower_percent", lower_percent)
    require_not_negative("upper_percent", upper_percent)
    span = upper_ratio - lower_ratio
    require_positive("upper_ratio - lower_ratio", span)
    require_not_negative("ratio - lower_ratio", ratio - lower_ratio)
    require_not_negative("upper_ratio - ratio", upper_ratio - ratio)
    return lower_percent + (upper_percent - lower_percent) * (ratio - lower_ratio) / span


def greatest_weighted_distortion_percent(*, distortion_percent: Number) -> Number:
    """Return the most that the weighted distortion can be for a given whole distortion, in percent.

    IEC 61000-3-12:2011, clause 3: PWHC = sqrt(sum of h Ih^2), orders 14 to 40; if all of the
    distortion were of the highest order, PWHC = sqrt(40) THC. Raises OutOfRange.
    """
    require_not_negative("distortion_percent", distortion_percent)
    greatest: Number = np.sqrt(HIGHEST_ORDER) * distortion_percent
    return greatest


def greatest_voltage_change_percent(
    *, current_step_a: Number, impedance_ohm: Number | float, voltage_to_neutral_v: Number | float
) -> Number:
    """Return the relative voltage change in percent that a step of current causes at most.

    IEC 61000-3-3, clause 4: d = 100 dI (R cos + X sin) / U, greatest where the angle of the current
    is that of the impedance: d = 100 dI Z / U. Z is that of the line for a balanced three-phase
    load, of line and neutral in series for a single-phase one. Raises OutOfRange.
    """
    require_not_negative("current_step_a", current_step_a)
    require_positive("impedance_ohm", impedance_ohm)
    require_positive("voltage_to_neutral_v", voltage_to_neutral_v)
    return percent_from_ratio(current_step_a * impedance_ohm / voltage_to_neutral_v)


def inrush_over_half_period_a(
    *, peak_a: Number, duration_s: Number | float, frequency_hz: Number | float
) -> Number:
    """Return the r.m.s. current in A over the first half period that an inrush pulse makes.

    Half a sine of this peak: I = Ip / sqrt(2) sqrt(min(1, 2 f t)), since IEC 61000-3-3 looks at
    r.m.s. values over half periods and a pulse that is shorter heats the half period less.
    Raises OutOfRange.
    """
    require_not_negative("peak_a", peak_a)
    require_not_negative("duration_s", duration_s)
    require_positive("frequency_hz", frequency_hz)
    share = np.minimum(1.0, 2 * frequency_hz * duration_s)
    current: Number = peak_a / np.sqrt(2) * np.sqrt(share)
    return current


def voltage_unbalance_percent(
    *, unbalanced_va: Number, short_circuit_power_va: Number | float
) -> Number:
    """Return the voltage unbalance in percent that a single-phase load causes at its supply.

    u = 100 S / Ssc: negative-sequence over positive-sequence voltage for equal impedances of both,
    whether the load lies between line and neutral or between two lines (handbook form; common
    practice, no source). Raises OutOfRange.
    """
    require_not_negative("unbalanced_va", unbalanced_va)
    require_positive("short_circuit_power_va", short_circuit_power_va)
    return percent_from_ratio(unbalanced_va / short_circuit_power_va)


def sequence_unbalance_percent(*, negative_v: Number, positive_v: Number | float) -> Number:
    """Return the voltage unbalance in percent by symmetrical components.

    EN 50160, 3: u = 100 U2 / U1, negative-sequence over positive-sequence voltage, magnitudes.
    Raises OutOfRange.
    """
    require_not_negative("negative_v", negative_v)
    require_positive("positive_v", positive_v)
    return percent_from_ratio(negative_v / positive_v)
