"""Fault protection by automatic disconnection: the limits of loop and electrode."""

from __future__ import annotations

import numpy as np

from feasibility.units import Number, require_not_negative, require_positive, require_within

GREATEST_VOLTAGE_FACTOR = 1.0
"""A least-voltage factor never raises the nominal voltage (0.90 or 0.95 where one is applied)."""


def greatest_loop_impedance_ohm(
    *,
    voltage_to_earth_v: Number | float,
    operating_current_a: Number,
    voltage_factor: Number | float,
) -> Number:
    """Return the greatest earth-fault loop impedance Zs in ohm that disconnects in time (TN).

    IEC 60364-4-41, 411.4.4: Zs <= c U0 / Ia. Ia is the current that surely operates the device
    within the time of Table 41.1 or of 411.3.2.3; c is 1 in IEC, the least voltage factor where the
    national rule sets one. Zs counts with conductors at service temperature. Raises OutOfRange.
    """
    require_positive("voltage_to_earth_v", voltage_to_earth_v)
    require_positive("operating_current_a", operating_current_a)
    require_positive("voltage_factor", voltage_factor, upper=GREATEST_VOLTAGE_FACTOR)
    return voltage_factor * voltage_to_earth_v / operating_current_a


def greatest_measured_loop_ohm(
    *,
    voltage_to_earth_v: Number | float,
    operating_current_a: Number,
    voltage_factor: Number | float,
    reading_factor: Number | float,
) -> Number:
    """Return the greatest loop impedance in ohm that may be read on cold conductors.

    Zs(read) <= f c U0 / Ia. f = 2/3 with c = 1: IEC 60364-6, Annex D (from memory). f = 0.8 with
    the least voltage factor: United Kingdom practice (guides to BS 7671). The factor makes up for
    the warming of the conductors: never apply it to a loop already computed hot. Raises OutOfRange.
    """
    require_positive("reading_factor", reading_factor, upper=1.0)
    return reading_factor * greatest_loop_impedance_ohm(
        voltage_to_earth_v=voltage_to_earth_v,
        operating_current_a=operating_current_a,
        voltage_factor=voltage_factor,
    )


def warmed_loop_ohm(
    *,
    reading_ohm: Number,
    outside_ohm: Number | float,
    temperature_coefficient_per_k: Number | float,
    temperature_c: Number | float,
) -> Number:
    """Return in ohm what a loop read on cold conductors is with those of the installation hot.

    IEC 60364-6, Annex D (from memory), the closer assessment: Z = Ze + (Zm - Ze) (1 + a (T - 20)).
    The part outside the installation counts as read; a reading below it counts as that part. It
    corrects a reading once: not to be combined with the share for a cold reading. Raises
    OutOfRange.
    """
    require_positive("reading_ohm", reading_ohm)
    require_not_negative("outside_ohm", outside_ohm)
    require_not_negative("temperature_coefficient_per_k", temperature_coefficient_per_k)
    require_within("temperature_c", temperature_c, lower=20.0, upper=250.0)
    inside_ohm = np.maximum(reading_ohm - outside_ohm, 0.0)
    warm = 1 + temperature_coefficient_per_k * (temperature_c - 20)
    warmed: Number = outside_ohm + inside_ohm * warm
    return warmed


def greatest_electrode_resistance_ohm(
    *, residual_current_a: Number, touch_voltage_v: Number | float = 50.0
) -> Number:
    """Return the greatest resistance RA in ohm of earth electrode and protective conductor (TT).

    IEC 60364-4-41, 411.5.3: RA IdN <= 50 V, with the rated residual current of the device. Left
    out: stability of the electrode over the seasons. Raises OutOfRange.
    """
    require_positive("residual_current_a", residual_current_a)
    require_positive("touch_voltage_v", touch_voltage_v)
    return touch_voltage_v / residual_current_a


def touch_voltage_v(
    *,
    voltage_to_earth_v: Number,
    line_resistance_ohm: Number | float,
    protective_resistance_ohm: Number | float,
    voltage_fraction: Number | float,
) -> Number:
    """Return the prospective touch voltage in V of a fault at the end of a circuit (TN).

    Simplified method of the handbooks: Uc = f U0 R2 / (R1 + R2), with f the share of the voltage
    left at the origin (0.8 by convention). Resistance only, earth taken at the origin.
    Raises OutOfRange.
    """
    require_positive("voltage_to_earth_v", voltage_to_earth_v)
    require_positive("line_resistance_ohm", line_resistance_ohm)
    require_positive("protective_resistance_ohm", protective_resistance_ohm)
    require_positive("voltage_fraction", voltage_fraction, upper=1.0)
    share = protective_resistance_ohm / (line_resistance_ohm + protective_resistance_ohm)
    return voltage_fraction * voltage_to_earth_v * share
