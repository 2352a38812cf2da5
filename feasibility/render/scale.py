"""Round steps for the scales of drawings."""

from __future__ import annotations

import math


def round_step(about: float) -> float:
    """Return the smallest of 1, 2, 5 times a power of ten that is not below ``about``."""
    power = 10.0 ** math.floor(math.log10(about))
    return next(factor * power for factor in (1, 2, 5, 10) if factor * power >= about)


def whole_steps(low: float, high: float, number: int) -> tuple[float, ...]:
    """Return round whole figures above ``low`` and up to ``high``, about ``number`` of them."""
    step = round_step(max(1.0, (high - low) / number))
    first, last = math.floor(low / step) + 1, math.floor(high / step)
    return tuple(step * count for count in range(first, last + 1))
