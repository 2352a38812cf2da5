"""What a supply still has to give, and how demands add up."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from feasibility.units import Number, require_not_negative, require_positive


def remaining_current_a(*, rating_a: Number, existing_a: Number | float) -> Number:
    """Return the current per phase in A that a rating leaves beside the existing demand.

    I = In - I_existing, added arithmetically (IEC 60364-1, 311, asks for the demand; the
    arithmetic sum is the careful one). Negative: the existing demand is already too high.
    Raises OutOfRange.
    """
    require_not_negative("rating_a", rating_a)
    require_not_negative("existing_a", existing_a)
    return rating_a - existing_a


def diversified_sum(*, demands: ArrayLike, diversity_factors: ArrayLike) -> float:
    """Return the sum of demands, each with its diversity factor, in the unit of the demands.

    IEC 60364-1, 311.1 (from memory: diversity may be taken into account): sum of g_k D_k. One unit
    for all demands (A, VA or W); one factor each or one for all, 0 to 1 with zero excluded: a
    load that is never on is left out by the caller. Raises OutOfRange.
    """
    each = np.asarray(demands, dtype=np.float64)
    factors = np.asarray(diversity_factors, dtype=np.float64)
    require_not_negative("demands", each)
    require_positive("diversity_factors", factors, upper=1.0)
    return float(np.sum(each * factors))
