"""Current-carrying capacity after the factors of the place, and of conductors in parallel."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from feasibility.units import (
    FloatArray,
    Number,
    require_not_negative,
    require_positive,
    require_within,
)

GREATEST_FACTOR = 2.0
"""No factor of IEC 60364-5-52:2009, Annex B, reaches 2; a larger one is a percentage by mistake."""

SHARE_TOLERANCE = 1e-9
"""What rounding may take from the sum of the shares."""


def corrected_ampacity_a(
    *,
    tabulated_a: Number,
    ambient_factor: Number | float,
    grouping_factor: Number | float,
    soil_factor: Number | float = 1.0,
    harmonic_factor: Number | float = 1.0,
    other_factor: Number | float = 1.0,
) -> Number:
    """Return the current-carrying capacity Iz in A at the place of installation.

    IEC 60364-5-52:2009, 523 and Annexes B and E: Iz = It * product of the factors. Grouping and
    harmonic factor 0 to 1, the others 0 to 2 (zero excluded). Left out: which stretch is the worst.
    Raises OutOfRange.
    """
    require_positive("tabulated_a", tabulated_a)
    require_positive("ambient_factor", ambient_factor, upper=GREATEST_FACTOR)
    require_positive("grouping_factor", grouping_factor, upper=1.0)
    require_positive("soil_factor", soil_factor, upper=GREATEST_FACTOR)
    require_positive("harmonic_factor", harmonic_factor, upper=1.0)
    require_positive("other_factor", other_factor, upper=GREATEST_FACTOR)
    return (
        tabulated_a * ambient_factor * grouping_factor * soil_factor * harmonic_factor
    ) * other_factor


def annex_d_ampacity_a(
    *,
    section_mm2: Number,
    a_coefficient: Number | float,
    m_exponent: Number | float,
    b_coefficient: Number | float = 0.0,
    n_exponent: Number | float = 0.0,
) -> Number:
    """Return the tabulated ampacity in A by the standard's own formula, not rounded.

    IEC 60364-5-52:2009, Annex D: It = A S^m - B S^n, with 47.5 mm2 for the nominal 50 mm2. To
    confirm a tabulated value; no value is taken from it. Raises OutOfRange.
    """
    require_positive("section_mm2", section_mm2)
    require_positive("a_coefficient", a_coefficient)
    require_positive("m_exponent", m_exponent)
    require_not_negative("b_coefficient", b_coefficient)
    require_not_negative("n_exponent", n_exponent)
    area = section_mm2 - 2.5 * (np.asarray(section_mm2) == 50.0)
    current: Number = a_coefficient * area**m_exponent - b_coefficient * area**n_exponent
    return current


def parallel_share(*, impedances_ohm: ArrayLike) -> FloatArray:
    """Return for each conductor in parallel its share of the total current.

    IEC 60364-4-43, 433.4 and Annex A (from memory): the current divides by the admittances of the
    complex impedances, s_k = |Y_k| / |sum of Y|. Shares are magnitudes, so their sum is 1 or, with
    unequal angles, more. Left out: mutual coupling between the conductors, which can make it worse.
    Raises OutOfRange.
    """
    impedances = np.asarray(impedances_ohm, dtype=np.complex128)
    require_not_negative("resistance of impedances_ohm", impedances.real)
    require_not_negative("reactance of impedances_ohm", impedances.imag)
    require_positive("impedances_ohm", np.abs(impedances))
    admittances = 1 / impedances
    shares: FloatArray = np.abs(admittances) / np.abs(admittances.sum())
    return shares


def parallel_ampacity_a(*, ampacities_a: ArrayLike, shares: ArrayLike) -> float:
    """Return the total current in A at which the first of the parallel conductors is full.

    IEC 60364-5-52:2009, 523.7 and IEC 60364-4-43, 433.4.2 (from memory): Iz = min(Iz_k / share_k).
    Equal shares give the sum of equal ampacities. The shares must add up to at least 1, else part
    of the current would be forgotten. Raises OutOfRange.
    """
    ampacities, parts = np.broadcast_arrays(
        np.asarray(ampacities_a, dtype=np.float64), np.asarray(shares, dtype=np.float64)
    )
    require_positive("ampacities_a", ampacities)
    require_positive("shares", parts, upper=1.0)
    require_within("sum of shares", float(parts.sum()), lower=1 - SHARE_TOLERANCE, upper=parts.size)
    return float(np.min(ampacities / parts))
