"""Units, conversions, and the refusal of numbers that lie outside a formula's range.

The number types and the guards below serve one number and a whole array alike.
"""

from __future__ import annotations

import math
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
Number = TypeVar("Number", float, FloatArray)

SQRT3 = math.sqrt(3)

UNIT_SUFFIXES = (
    "_a",
    "_ka",
    "_a2s",
    "_v",
    "_mv",
    "_w",
    "_kwh",
    "_kw",
    "_va",
    "_kva",
    "_mva",
    "_ohm",
    "_mohm",
    "_ohm_per_m",
    "_ohm_per_km",
    "_ohm_mm",
    "_ohm_mm2_per_m",
    "_m",
    "_mm",
    "_mm2",
    "_s",
    "_h",
    "_hz",
    "_deg",
    "_c",
    "_k",
    "_per_k",
    "_k_m_per_w",
    "_percent",
)
"""How a name says its unit (``_c`` is a temperature in degrees Celsius, ``_k`` a difference)."""


class OutOfRange(ValueError):
    """A number lies outside the range for which a formula or a curve holds.

    ``lower_excluded`` tells that the lower bound itself is already outside.
    """

    def __init__(
        self,
        parameter: str,
        value: float,
        lower: float,
        upper: float,
        *,
        lower_excluded: bool = False,
    ) -> None:
        above = "above" if lower_excluded else "at least"
        super().__init__(f"{parameter} = {value:g} is not {above} {lower:g} and at most {upper:g}")
        self.parameter = parameter
        self.value = value
        self.lower = lower
        self.upper = upper
        self.lower_excluded = lower_excluded


def require_within(parameter: str, value: Number | float, *, lower: float, upper: float) -> None:
    """Raise OutOfRange unless every number is finite and lies in [lower, upper]."""
    numbers = np.asarray(value, dtype=np.float64)
    bad = ~(np.isfinite(numbers) & (numbers >= lower) & (numbers <= upper))
    if bad.any():
        raise OutOfRange(parameter, _first(numbers, bad), lower, upper)


def require_positive(parameter: str, value: Number | float, *, upper: float = math.inf) -> None:
    """Raise OutOfRange unless every number is finite, above zero and at most ``upper``."""
    numbers = np.asarray(value, dtype=np.float64)
    bad = ~(np.isfinite(numbers) & (numbers > 0) & (numbers <= upper))
    if bad.any():
        raise OutOfRange(parameter, _first(numbers, bad), 0.0, upper, lower_excluded=True)


def require_not_negative(parameter: str, value: Number | float) -> None:
    """Raise OutOfRange unless every number is finite and zero or above."""
    require_within(parameter, value, lower=0.0, upper=math.inf)


def _first(numbers: FloatArray, bad: Any) -> float:
    return float(np.atleast_1d(numbers)[np.atleast_1d(bad)][0])


def ratio_from_percent(percent: Number) -> Number:
    """Return the ratio that a percentage stands for (5 % is 0.05)."""
    return percent / 100


def percent_from_ratio(ratio: Number) -> Number:
    """Return a ratio as a percentage (0.05 is 5 %)."""
    return ratio * 100


def a_from_ka(current_ka: Number) -> Number:
    """Return kiloamperes as amperes."""
    return current_ka * 1000


def ka_from_a(current_a: Number) -> Number:
    """Return amperes as kiloamperes."""
    return current_a / 1000
