"""Heating of a conductor by a fault so short that no heat escapes."""

from __future__ import annotations

import numpy as np

from feasibility.units import Number, require_positive, require_within

SHORTEST_S = 0.1
LONGEST_S = 5.0
"""IEC 60364-4-43, 434.5.2: the current counts by its r.m.s. value from 0.1 s to 5 s only."""

GREATEST_K = 300.0
"""k of bare copper to 500 degrees Celsius is 228: nothing in the tables comes near 300."""


def k_factor(
    *,
    heat_capacity_j_per_k_mm3: Number | float,
    reciprocal_coefficient_c: Number | float,
    resistivity_20c_ohm_mm: Number | float,
    initial_c: Number | float,
    final_c: Number,
) -> Number:
    """Return k in A s^0.5 / mm2 from the constants of the metal and the two temperatures.

    IEC 60364-5-54:2011, Annex A: k = sqrt(Qc (b + 20) / rho20 * ln((b + Tf) / (b + Ti))), with b
    the reciprocal of the temperature coefficient at 0 degrees Celsius. Raises OutOfRange.
    """
    require_positive("heat_capacity_j_per_k_mm3", heat_capacity_j_per_k_mm3)
    require_positive("reciprocal_coefficient_c", reciprocal_coefficient_c)
    require_positive("resistivity_20c_ohm_mm", resistivity_20c_ohm_mm)
    require_within("initial_c", initial_c, lower=-60.0, upper=500.0)
    require_within("final_c", final_c, lower=-60.0, upper=500.0)
    require_positive("temperature rise_k", final_c - initial_c)
    steepness = heat_capacity_j_per_k_mm3 * (reciprocal_coefficient_c + 20) / resistivity_20c_ohm_mm
    k: Number = np.sqrt(
        steepness
        * np.log((reciprocal_coefficient_c + final_c) / (reciprocal_coefficient_c + initial_c))
    )
    return k


def least_section_mm2(
    *, fault_current_a: Number, time_s: Number | float, k: Number | float
) -> Number:
    """Return the least section in mm2 that a fault current of given duration allows.

    IEC 60364-4-43, 434.5.2 and IEC 60364-5-54, 543.1.2: S = I sqrt(t) / k, for t from 0.1 s to 5 s.
    Shorter: use ``least_section_for_let_through_mm2``. The mechanical minimum sections are a
    separate rule. Raises OutOfRange.
    """
    require_positive("fault_current_a", fault_current_a)
    require_within("time_s", time_s, lower=SHORTEST_S, upper=LONGEST_S)
    require_positive("k", k, upper=GREATEST_K)
    section: Number = fault_current_a * np.sqrt(time_s) / k
    return section


def least_section_for_let_through_mm2(*, let_through_a2s: Number, k: Number | float) -> Number:
    """Return the least section in mm2 for the let-through energy of a device.

    IEC 60364-4-43, 434.5.2: S = sqrt(I2t) / k, with the I2t the maker or the device standard gives
    at the fault current; the form for faults cut off in less than 0.1 s. Raises OutOfRange.
    """
    require_positive("let_through_a2s", let_through_a2s)
    require_positive("k", k, upper=GREATEST_K)
    section: Number = np.sqrt(let_through_a2s) / k
    return section


def permitted_let_through_a2s(*, k: Number | float, section_mm2: Number) -> Number:
    """Return the energy k^2 S^2 in A2s that a conductor withstands without damage.

    IEC 60364-4-43, 434.5.2: I2t <= k^2 S^2. Raises OutOfRange.
    """
    require_positive("k", k, upper=GREATEST_K)
    require_positive("section_mm2", section_mm2)
    return (k * section_mm2) ** 2


def permitted_time_s(
    *, k: Number | float, section_mm2: Number | float, fault_current_a: Number
) -> Number:
    """Return the time in s in which a fault current brings a conductor to its final temperature.

    IEC 60364-4-43, 434.5.2: t = (k S / I)^2. A result above 5 s is on the careful side (heat
    escapes); one below 0.1 s says that the let-through energy decides. Raises OutOfRange.
    """
    require_positive("fault_current_a", fault_current_a)
    require_positive("k", k, upper=GREATEST_K)
    require_positive("section_mm2", section_mm2)
    return (k * section_mm2 / fault_current_a) ** 2
