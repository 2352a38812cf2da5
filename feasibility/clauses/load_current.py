"""Apparent power and current of a load, and how currents add up."""

from __future__ import annotations

import numpy as np

from feasibility.units import (
    SQRT3,
    Number,
    require_not_negative,
    require_positive,
    require_within,
)


def apparent_power_va(*, active_w: Number, power_factor: Number | float) -> Number:
    """Return the apparent power of a load in VA.

    Definition: S = P / PF, with the true power factor (harmonics included).
    Valid for P >= 0 and 0 < PF <= 1. Raises OutOfRange.
    """
    require_not_negative("active_w", active_w)
    require_positive("power_factor", power_factor, upper=1.0)
    return active_w / power_factor


def three_phase_current_a(*, apparent_va: Number, line_voltage_v: Number | float) -> Number:
    """Return the line current of a balanced three-phase load in A.

    I = S / (sqrt(3) U), U line to line. Valid for a balanced load; unbalance and the rise of
    current with falling voltage are the caller's part (give the lowest voltage). Raises OutOfRange.
    """
    require_not_negative("apparent_va", apparent_va)
    require_positive("line_voltage_v", line_voltage_v)
    return apparent_va / (SQRT3 * line_voltage_v)


def single_phase_current_a(*, apparent_va: Number, voltage_v: Number | float) -> Number:
    """Return the current of a single-phase load in A.

    I = S / U, with U the voltage across the load (line to neutral or line to line).
    Raises OutOfRange.
    """
    require_not_negative("apparent_va", apparent_va)
    require_positive("voltage_v", voltage_v)
    return apparent_va / voltage_v


def input_active_power_w(
    *, dc_power_w: Number, efficiency: Number | float, auxiliaries_w: Number | float = 0.0
) -> Number:
    """Return the active power a rectifier takes from the supply, in W.

    P = Pdc / efficiency + Paux. Efficiency (0 to 1] at that output and supply voltage;
    auxiliaries (cooling, control) are taken on the supply side. Raises OutOfRange.
    """
    require_not_negative("dc_power_w", dc_power_w)
    require_positive("efficiency", efficiency, upper=1.0)
    require_not_negative("auxiliaries_w", auxiliaries_w)
    return dc_power_w / efficiency + auxiliaries_w


def power_at_current_w(
    *,
    current_a: Number,
    line_voltage_v: Number | float,
    power_factor: Number | float,
    efficiency: Number | float,
    auxiliaries_w: Number | float = 0.0,
) -> Number:
    """Return the DC power in W that a balanced three-phase line current leaves for the battery.

    Pdc = (sqrt(3) U I PF - Paux) * efficiency; the reverse of input power and line current.
    Raises OutOfRange, also when the current does not even feed the auxiliaries.
    """
    require_not_negative("current_a", current_a)
    require_positive("line_voltage_v", line_voltage_v)
    require_positive("power_factor", power_factor, upper=1.0)
    require_positive("efficiency", efficiency, upper=1.0)
    require_not_negative("auxiliaries_w", auxiliaries_w)
    remaining_w = SQRT3 * line_voltage_v * current_a * power_factor - auxiliaries_w
    require_not_negative("power left after auxiliaries_w", remaining_w)
    return remaining_w * efficiency


def phasor_sum_a(
    *,
    current_1_a: Number,
    power_factor_1: Number | float,
    current_2_a: Number | float,
    power_factor_2: Number | float,
) -> Number:
    """Return the magnitude in A of two currents of one phase added as phasors.

    I = sqrt((I1 cos1 + I2 cos2)^2 + (I1 sin1 + I2 sin2)^2). Both power factors lagging, sinusoidal
    currents of the same phase. With a power factor unknown, add the currents arithmetically
    instead, which is never less. Raises OutOfRange.
    """
    require_not_negative("current_1_a", current_1_a)
    require_not_negative("current_2_a", current_2_a)
    require_positive("power_factor_1", power_factor_1, upper=1.0)
    require_positive("power_factor_2", power_factor_2, upper=1.0)
    active_a = current_1_a * power_factor_1 + current_2_a * power_factor_2
    reactive_a = current_1_a * np.sqrt(1 - power_factor_1**2) + current_2_a * np.sqrt(
        1 - power_factor_2**2
    )
    total_a: Number = np.hypot(active_a, reactive_a)
    return total_a


def neutral_third_harmonic_a(
    *, line_current_a: Number, third_harmonic_ratio: Number | float
) -> Number:
    """Return the neutral current in A that third harmonics of a balanced load cause.

    IEC 60364-5-52:2009, Annex E: In = 3 h3 I. The ratio belongs to the current that is given: to
    the design line current as in Annex E, or to the fundamental current. Ratio 0 to 1. Left out:
    other triplen harmonics, unbalance, supply distortion. Raises OutOfRange.
    """
    require_not_negative("line_current_a", line_current_a)
    require_within("third_harmonic_ratio", third_harmonic_ratio, lower=0.0, upper=1.0)
    return 3 * third_harmonic_ratio * line_current_a


def rms_line_current_a(*, fundamental_a: Number, distortion_ratio: Number | float) -> Number:
    """Return the r.m.s. current in A of a distorted current.

    I = I1 sqrt(1 + THD^2), the distortion ratio referred to the fundamental (definition of the
    total harmonic distortion, IEC 61000-3-12). Raises OutOfRange.
    """
    require_not_negative("fundamental_a", fundamental_a)
    require_not_negative("distortion_ratio", distortion_ratio)
    total_a: Number = fundamental_a * np.sqrt(1 + distortion_ratio**2)
    return total_a
