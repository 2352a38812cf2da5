"""Temperature of a conductor in service and its resistance at that temperature."""

from __future__ import annotations

from feasibility.units import (
    Number,
    require_not_negative,
    require_positive,
    require_within,
)

COLDEST_C = -60.0
HOTTEST_C = 300.0


def resistance_at_ohm(
    *,
    resistance_20c_ohm: Number,
    temperature_coefficient_per_k: Number | float,
    temperature_c: Number | float,
) -> Number:
    """Return the resistance in ohm at a conductor temperature.

    IEC 60228 / IEC 60287-1-1: R = R20 (1 + alpha20 (T - 20)). Valid from -60 to 300 degrees
    Celsius (linear range, covers the final temperatures of the fault clauses). Left out: skin and
    proximity effect. Raises OutOfRange.
    """
    require_not_negative("resistance_20c_ohm", resistance_20c_ohm)
    require_within("temperature_coefficient_per_k", temperature_coefficient_per_k, lower=0, upper=1)
    require_within("temperature_c", temperature_c, lower=COLDEST_C, upper=HOTTEST_C)
    return resistance_20c_ohm * (1 + temperature_coefficient_per_k * (temperature_c - 20))


def conductor_temperature_c(
    *,
    current_a: Number,
    ampacity_a: Number | float,
    ambient_c: Number | float,
    maximum_c: Number | float,
) -> Number:
    """Return the steady conductor temperature in degrees Celsius under a continuous current.

    T = Ta + (Tmax - Ta) (I / Iz)^2: in steady state the rise follows the loss, which grows with I
    squared. The relation stands behind the ambient factors of IEC 60364-5-52:2009, Table B.52.14.
    The ampacity must be the one at this very ambient temperature and grouping. A current above the
    ampacity gives a temperature above the permitted one: the caller compares. Left out: the rise of
    resistance with temperature, so that above the ampacity the true value is higher still.
    Raises OutOfRange.
    """
    require_not_negative("current_a", current_a)
    require_positive("ampacity_a", ampacity_a)
    require_within("maximum_c", maximum_c, lower=COLDEST_C, upper=HOTTEST_C)
    require_within("ambient_c", ambient_c, lower=COLDEST_C, upper=HOTTEST_C)
    require_positive("rise left for the current_k", maximum_c - ambient_c)
    return ambient_c + (maximum_c - ambient_c) * (current_a / ampacity_a) ** 2
