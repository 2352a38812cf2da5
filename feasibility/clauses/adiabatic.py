"""Heating of a conductor by a fault so short that no heat escapes."""

from __future__ import annotations

import numpy as np

from feasibility.units import Number, require_positive, require_within

SHORTEST_S = 0.1
LONGEST_S = 5.0
"""IEC 60364-4-43, 434.5.2: the current counts by its r.m.s. value from 0.1 s to 5 s only."""

GREATEST_K = 300.0
"""k of bare copper to 500 degrees Celsius is 228: nothing in the tables comes near 300."""


def fault_energy_a2s(*, fault_current_a: Number, time_s: Number | float) -> Number:
    """Return the energy I^2 t in A2s of a fault current that flows from 0.1 s to 5 s.

    IEC 60364-4-43, 434.5.2: E = I^2 t. Shorter: ``asymmetrical_energy_a2s`` or the let-through
    energy of the device. Raises OutOfRange.
    """
    require_positive("fault_current_a", fault_current_a)
    require_within("time_s", time_s, lower=SHORTEST_S, upper=LONGEST_S)
    energy: Number = fault_current_a**2 * time_s
    return energy


def direct_current_share(
    *, time_s: Number, peak_factor: Number | float, frequency_hz: Number | float
) -> Number:
    """Return m, what the decaying direct current adds to the heat of a fault current, per unit.

    IEC 60909-0:2016, clause 12 (thermal equivalent short-circuit current, from memory):
    m = (exp(4 f T ln(kappa - 1)) - 1) / (2 f T ln(kappa - 1)), kappa the peak factor, above 1
    and below 2. Raises OutOfRange.
    """
    require_positive("time_s", time_s)
    require_within("peak_factor", peak_factor, lower=1.0 + 1e-6, upper=2.0 - 1e-6)
    require_positive("frequency_hz", frequency_hz)
    decay = 2 * frequency_hz * time_s * np.log(np.asarray(peak_factor) - 1)
    share: Number = np.expm1(2 * decay) / decay
    return share


def asymmetrical_energy_a2s(
    *, fault_current_a: Number, time_s: Number | float, direct_current_share: Number | float
) -> Number:
    """Return the energy in A2s of a fault current up to 0.1 s, its direct current included.

    IEC 60909-0:2016, clause 12: I^2 (m + n) T with n = 1, no decay of the alternating current. With
    the time in which a device has surely opened it is a bound for whatever opens sooner. Where a
    device limits the current its let-through energy is smaller. The share is m for the same time.
    Raises OutOfRange.
    """
    require_positive("fault_current_a", fault_current_a)
    require_within("time_s", time_s, lower=1e-4, upper=SHORTEST_S)
    require_within("direct_current_share", direct_current_share, lower=0.0, upper=2.0)
    energy: Number = fault_current_a**2 * time_s * (direct_current_share + 1)
    return energy


def least_section_for_let_through_mm2(*, let_through_a2s: Number, k: Number | float) -> Number:
    """Return the least section in mm2 for the let-through energy of a device.

    IEC 60364-4-43, 434.5.2 and IEC 60364-5-54, 543.1.2: S = sqrt(I2t) / k. The mechanical minimum
    sections are a separate rule. Raises OutOfRange.
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
