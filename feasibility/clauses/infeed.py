"""Generation that feeds into a circuit behind its protective device."""

from __future__ import annotations

from feasibility.units import Number, require_positive


def greatest_infeed_a(*, ampacity_a: Number, rating_a: Number | float) -> Number:
    """Return the greatest current in A that a generator may feed in behind a device.

    IEC 60364-5-55, 551.7.2 (from memory): Iz >= In + Ig, because both can flow in the cable at
    once. Negative: not even without infeed is the cable protected. Raises OutOfRange.
    """
    require_positive("ampacity_a", ampacity_a)
    require_positive("rating_a", rating_a)
    return ampacity_a - rating_a
