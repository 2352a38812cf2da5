"""A joint whose resistance is too high: its resistance, its loss, the rise it makes."""

from __future__ import annotations

from feasibility.units import Number, require_not_negative, require_positive


def series_resistance_ohm(
    *, drop_v: Number, current_a: Number | float, power_factor: Number | float
) -> Number:
    """Return the resistance in ohm that drops this voltage beside the rest of a line.

    R = dU / (I cos): IEC 60364-5-52:2009, Annex G, with no reactance, solved for the resistance.
    Raises OutOfRange.
    """
    require_not_negative("drop_v", drop_v)
    require_positive("current_a", current_a)
    require_positive("power_factor", power_factor, upper=1)
    return drop_v / (current_a * power_factor)


def joint_loss_w(*, resistance_ohm: Number, current_a: Number | float) -> Number:
    """Return the heat in W that a resistance sets free: P = R I^2. Raises OutOfRange."""
    require_not_negative("resistance_ohm", resistance_ohm)
    require_not_negative("current_a", current_a)
    return resistance_ohm * current_a**2


def rise_at_current_k(
    *, rise_k: Number, measured_a: Number | float, current_a: Number | float
) -> Number:
    """Return the steady temperature rise in K at another current: it grows with I squared.

    dT2 = dT1 (I2 / I1)^2, as behind IEC 60364-5-52:2009, Table B.52.14: the rise follows the loss.
    Left out: cooling that improves with the rise, so that upwards the result errs to the high side.
    Raises OutOfRange.
    """
    require_not_negative("rise_k", rise_k)
    require_positive("measured_a", measured_a)
    require_not_negative("current_a", current_a)
    return rise_k * (current_a / measured_a) ** 2
