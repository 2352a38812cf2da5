"""Generation that feeds into an installation: behind a device, and the voltage that it raises."""

from __future__ import annotations

from feasibility.units import Number, require_not_negative, require_positive


def greatest_infeed_a(*, ampacity_a: Number, rating_a: Number | float) -> Number:
    """Return the greatest current in A that a generator may feed in behind a device.

    IEC 60364-5-55, 551.7.2 (from memory): Iz >= In + Ig, because both can flow in the cable at
    once. Negative: not even without infeed is the cable protected. Raises OutOfRange.
    """
    require_positive("ampacity_a", ampacity_a)
    require_positive("rating_a", rating_a)
    return ampacity_a - rating_a


def voltage_rise_v(
    *,
    current_a: Number,
    line_resistance_ohm: Number | float,
    return_current_a: Number | float,
    neutral_resistance_ohm: Number | float,
) -> Number:
    """Return by how much in V infeed at unity power factor raises the voltage to neutral.

    AS/NZS 4777.1:2016, 3.3.3: the rise at rated current over the wiring up to the point of supply;
    dU = I RL + In RN by Ohm's law, ``current_a`` in the phase, ``return_current_a`` what of it
    comes back through the neutral. The reactance is left out: at unity power factor it only lowers
    the result. Raises OutOfRange.
    """
    require_not_negative("current_a", current_a)
    require_not_negative("line_resistance_ohm", line_resistance_ohm)
    require_not_negative("return_current_a", return_current_a)
    require_not_negative("neutral_resistance_ohm", neutral_resistance_ohm)
    return current_a * line_resistance_ohm + return_current_a * neutral_resistance_ohm
