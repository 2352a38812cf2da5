"""Co-ordination of an overload device with the conductor it protects."""

from __future__ import annotations

from feasibility.units import Number, require_positive, require_within

OVERLOAD_RATIO = 1.45
"""IEC 60364-4-43, 433.1, second condition: I2 <= 1.45 Iz."""


def conventional_current_a(*, rating_a: Number, multiple: Number | float) -> Number:
    """Return the current I2 in A that makes the device operate in the conventional time.

    I2 = multiple * In (or Ir). The multiple belongs to the device's own standard. 1 to 3.
    Raises OutOfRange.
    """
    require_positive("rating_a", rating_a)
    require_within("multiple", multiple, lower=1.0, upper=3.0)
    return rating_a * multiple


def greatest_rating_for_cable_a(
    *, ampacity_a: Number, conventional_multiple: Number | float
) -> Number:
    """Return the greatest In (or Ir) in A that 433.1, second condition, allows on a cable.

    IEC 60364-4-43, 433.1: I2 = multiple * In <= 1.45 Iz, so In <= 1.45 / multiple * Iz (0.906 Iz
    for gG at 1.6). The first condition In <= Iz is separate and can be the smaller one: this
    function does not apply it. Raises OutOfRange.
    """
    require_positive("ampacity_a", ampacity_a)
    require_within("conventional_multiple", conventional_multiple, lower=1.0, upper=3.0)
    return OVERLOAD_RATIO / conventional_multiple * ampacity_a
