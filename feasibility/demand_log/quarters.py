"""The largest figure of every quarter-hour of a log, for whoever asks when and not only how much.

A sample counts from its time stamp on, to the next one or, before a gap, for the log's interval: in
each quarter-hour of which it covers the middle, and in at least one. So a longer interval repeats
and of a shorter one the largest figure of the quarter-hour remains.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

QUARTER_MS = 900_000
QUARTERS_OF_A_DAY = 96
LONGEST_DAYS = 366
FOLDED_DAYS = 364
"""Fifty-two weeks: years laid over each other keep weekday and season."""

Milliseconds = NDArray[np.int64]
Values = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class QuarterHours:
    """Largest figures in the log's unit, by the names of its columns; NaN where nothing was logged.

    ``first_ms`` is when the first quarter-hour begins, in milliseconds since 1970, UTC. A log of
    more than ``LONGEST_DAYS`` is folded: ``years_laid_over`` stretches of ``FOLDED_DAYS`` lie over
    each other and the largest figure counts, so that memory does not grow with the log.
    """

    first_ms: int
    largest: Mapping[str, Values]
    years_laid_over: int

    @property
    def count(self) -> int:
        """How many quarter-hours there are."""
        return len(next(iter(self.largest.values())))

    @property
    def missing(self) -> int:
        """In how many of them nothing was logged."""
        return int(np.isnan(next(iter(self.largest.values()))).sum())


def quarter_hours(
    time_ms: Milliseconds, columns: Mapping[str, Values], *, interval_s: float, gap_from_s: float
) -> QuarterHours:
    """Return the largest figure of each quarter-hour of samples in rising order of time, UTC.

    Every column has a figure in every sample. Further apart than ``gap_from_s`` is a gap.
    """
    interval_ms = round(interval_s * 1000)
    steps_ms = np.diff(time_ms)
    lasting = np.append(np.where(steps_ms > gap_from_s * 1000, interval_ms, steps_ms), interval_ms)
    first = _quarter_from(time_ms)
    covered = _quarter_from(time_ms + lasting) - first
    first = np.where(covered > 0, first, (time_ms + lasting // 2) // QUARTER_MS)
    covered = np.maximum(covered, 1)
    start = int(first[0])
    span = int(first[-1] + covered[-1]) - start
    folded = span > LONGEST_DAYS * QUARTERS_OF_A_DAY
    length = FOLDED_DAYS * QUARTERS_OF_A_DAY if folded else span
    before = np.cumsum(covered) - covered
    place = np.repeat(first - start - before, covered) + np.arange(int(covered.sum()))
    place %= length
    found = {}
    for name, column in columns.items():
        largest = np.full(length, np.nan)
        np.fmax.at(largest, place, np.repeat(column, covered))
        found[name] = largest
    return QuarterHours(
        first_ms=start * QUARTER_MS,
        largest=found,
        years_laid_over=-(-span // length),
    )


def _quarter_from(time_ms: Milliseconds) -> NDArray[np.int64]:
    """Return the number of the first quarter-hour whose middle is not before a time."""
    return np.asarray(-((QUARTER_MS // 2 - time_ms) // QUARTER_MS))
