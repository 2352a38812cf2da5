"""Round figures for a machine that reads them: the same on every platform, never flattering.

Six significant digits are kept. A breach stays a breach: where rounding would make a value equal
to the limit that it breaks, more digits are kept. Currents that something carries go down.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from feasibility.result import Finding, Outcome, Sense

DIGITS = 6
DECIMALS = 12
"""Smaller parts of a figure are noise of the solvers."""
CURRENT_DECIMALS = 3
_ALL_DIGITS = 17


def rounded(value: float | None, digits: int = DIGITS) -> float | None:
    """Return the value with so many significant digits; None where it is not a finite number."""
    if value is None or not math.isfinite(value):
        return None
    kept = float(f"{value:.{digits}g}")
    return (round(kept, DECIMALS) if digits <= DIGITS else kept) + 0.0


def current_down(current_a: float | None, decimals: int = CURRENT_DECIMALS) -> float | None:
    """Return a current rounded down, but for a billionth of an ampere of arithmetic noise."""
    if current_a is None or not math.isfinite(current_a):
        return None
    scale = 10.0**decimals
    without_noise = round(current_a * scale, DECIMALS - CURRENT_DECIMALS - decimals)
    return math.floor(without_noise) / scale + 0.0


def told_apart(current_a: float | None, carried_a: Iterable[float | None]) -> float | None:
    """Return a current, rounded down, yet above every carried current that it exceeds."""
    if current_a is None or not math.isfinite(current_a):
        return None
    exceeded = [one for one in carried_a if one is not None and one < current_a]
    bound = max((down for one in exceeded if (down := current_down(one)) is not None), default=-1.0)
    for decimals in range(CURRENT_DECIMALS, DECIMALS - CURRENT_DECIMALS):
        shown = current_down(current_a, decimals)
        if shown is not None and shown > bound:
            return shown
    return current_a


def value_and_limit(finding: Finding) -> tuple[float | None, float | None]:
    """Return value and limit with so many digits that a breach remains visible."""
    value, limit = rounded(finding.value), rounded(finding.limit)
    digits = DIGITS
    while _hidden(finding, value, limit) and digits < _ALL_DIGITS:
        digits += 1
        value, limit = rounded(finding.value, digits), rounded(finding.limit, digits)
    return value, limit


def _hidden(finding: Finding, value: float | None, limit: float | None) -> bool:
    """Whether the finding breaks its limit and the two figures do not show it."""
    if value is None or limit is None or not _breached(finding):
        return False
    return value <= limit if finding.sense is Sense.AT_MOST else value >= limit


def _breached(finding: Finding) -> bool:
    if finding.outcome is Outcome.PASS or finding.margin is None:
        return False
    return finding.margin < 0


def margin_of(finding: Finding) -> float | None:
    """Return the margin to the digits that value and limit have; a breach stays negative."""
    margin = finding.margin
    if margin is None or not math.isfinite(margin):
        return None
    scale = max(abs(finding.value or 0.0), abs(finding.limit or 0.0))
    if scale == 0:
        return 0.0
    kept = rounded(round(margin, DIGITS - 1 - math.floor(math.log10(scale))))
    return rounded(margin, DIGITS + 1) if kept == 0 and _breached(finding) else kept


def utilisation_of(finding: Finding) -> float | None:
    """Return the share of the limit that is used; a breach stays above 1."""
    if rounded(finding.value) is None or rounded(finding.limit) is None:
        return None
    share = finding.utilisation
    for digits in range(DIGITS, _ALL_DIGITS + 1):
        shown = rounded(share, digits)
        if shown is None or not _breached(finding) or shown > 1:
            return shown
    return shown
