"""What each demand draws in each quarter-hour, as a share of the largest that counts for it.

The shares of a log are its figures over its largest one, so that every factor of the code basis on
the largest figure is on all of them. Where the log has no figure its largest one counts: 1; or,
as an estimate, what a load profile beside it has. A demand that is declared only is constant at its
maximum.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from feasibility.checks.feed_network import Drawn
from feasibility.demand_log.quarters import (
    FOLDED_DAYS,
    QUARTER_MS,
    QUARTERS_OF_A_DAY,
    QuarterHours,
)
from feasibility.demand_log.record import PHASES, TOTAL, DemandLog
from feasibility.installation.model import LoggedDemand
from feasibility.load_profile.profiles import shares_of_largest
from feasibility.load_profile.record import LoadProfile
from feasibility.units import FloatArray
from feasibility.year.record import VaryingDemand

_HOURS_OF_A_WEEK = 168
_QUARTERS_OF_A_YEAR = 365 * QUARTERS_OF_A_DAY
_QUARTERS_OF_AN_HOUR = 4
_HOUR_MS = 3_600_000
_DAY_MS = 86_400_000
_THURSDAY = 3
"""1 January 1970 was one, with Monday as 0."""
_STANDARD_TIME = "standard time of the site"

Whole = NDArray[np.int64]


@dataclass(frozen=True, kw_only=True)
class Calendar:
    """The quarter-hours of a study: ``first`` is the number of the first since 1970, UTC."""

    first: int
    count: int
    zone: dt.tzinfo
    zone_name: str

    @cached_property
    def quarters(self) -> Whole:
        """Number of each quarter-hour since 1970, UTC."""
        return np.arange(self.first, self.first + self.count, dtype=np.int64)

    @cached_property
    def local_ms(self) -> Whole:
        """What the clock of the site shows when each begins, in ms since 1970 of that clock."""
        utc_ms = self.quarters * QUARTER_MS
        hours, place = np.unique(utc_ms // _HOUR_MS, return_inverse=True)
        offsets = np.array([self._offset_ms(int(hour) * _HOUR_MS) for hour in hours])
        return np.asarray(utc_ms + offsets[place], dtype=np.int64)

    def _offset_ms(self, utc_ms: int) -> int:
        offset = dt.datetime.fromtimestamp(utc_ms / 1000, tz=self.zone).utcoffset()
        return 0 if offset is None else round(offset.total_seconds() * 1000)

    @cached_property
    def days(self) -> Whole:
        """Number of the local day of each quarter-hour since 1970."""
        return self.local_ms // _DAY_MS

    @cached_property
    def months(self) -> Whole:
        """Number of the local month of each quarter-hour since January 1970."""
        return self.days.astype("datetime64[D]").astype("datetime64[M]").astype(np.int64)

    @cached_property
    def hours_of_day(self) -> Whole:
        """Local hour of each, 0 to 23."""
        return self.local_ms // _HOUR_MS % 24

    @cached_property
    def hours_of_week(self) -> Whole:
        """Local hour of the week of each, 0 to 167, Monday first."""
        return (self.days + _THURSDAY) % 7 * 24 + self.hours_of_day

    @property
    def midnight_to_midnight(self) -> tuple[bool, bool]:
        """Whether the first quarter-hour begins and the last one ends at a local midnight."""
        begins = bool(self.local_ms[0] % _DAY_MS == 0)
        return begins, bool((self.local_ms[-1] + QUARTER_MS) % _DAY_MS == 0)

    def moment(self, place: int) -> dt.datetime:
        """Return when a quarter-hour of the study begins, on the clock of the site."""
        seconds = (self.first + place) * QUARTER_MS / 1000
        return dt.datetime.fromtimestamp(seconds, tz=self.zone)


def year_and_month(number: int) -> tuple[int, int]:
    """Return year and month, from 1 on, of a month that is numbered since January 1970."""
    return 1970 + number // 12, number % 12 + 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """The study's calendar, and the share of each drawn load: quarter-hour, phase.

    A share is None where the load never changes. ``whole_year`` by the limit of the code basis.
    """

    calendar: Calendar
    shares: tuple[FloatArray | None, ...]
    demands: tuple[VaryingDemand, ...]
    whole_year: bool

    @property
    def starts(self) -> NDArray[np.intp]:
        """Return the places at which anything changes; what lies between is as before.

        A log of hours changes once in four quarter-hours.
        """
        changes = np.zeros(self.calendar.count, dtype=np.bool_)
        changes[0] = True
        for share in self.shares:
            if share is not None:
                changes[1:] |= (share[1:] != share[:-1]).any(axis=1)
        return np.flatnonzero(changes)


def series_of(drawn: Sequence[Drawn], *, year: int, full_year_days: float) -> Series | None:
    """Return how the site's loads run; None where none of them changes in time.

    The time is that of the longest log, or a year from its begin on where a load profile stands
    beside it. Other logs count as logged where they run at the same time, elsewhere by their
    largest figure of that weekday and hour. Without any log it is ``year``, on a clock that is
    never changed.
    """
    logs = [used for one in drawn if (used := _varying_log(one)) is not None]
    if not logs and not any(one.demand.shape for one in drawn):
        return None
    longest = max(logs, key=_length, default=None)
    calendar = _calendar_of(longest) if longest else calendar_year(year, _STANDARD_TIME)
    shares: list[FloatArray | None] = []
    demands: list[VaryingDemand] = []
    for one in drawn:
        used = _varying_log(one)
        if used is not None and used.log is not None:
            share, varying = _logged(used, used.log, calendar)
        elif one.demand.shape is not None:
            share = _by_profile(one.demand.shape, calendar)
            hours = calendar.count / _QUARTERS_OF_AN_HOUR
            varying = VaryingDemand(
                where=one.demand.where, kind="load profile", estimated_hours=hours
            )
        else:
            shares.append(None)
            continue
        shares.append(share)
        demands.append(varying)
    return Series(
        calendar=calendar,
        shares=tuple(shares),
        demands=tuple(demands),
        whole_year=longest is None
        or longest.profile is not None
        or _log(longest).covered_days >= full_year_days,
    )


def _varying_log(one: Drawn) -> LoggedDemand | None:
    used = one.demand.logged
    if used is None or used.log is None or used.log.quarter_hours is None:
        return None
    return used


def _log(used: LoggedDemand) -> DemandLog:
    assert used.log is not None  # noqa: S101 - _varying_log has looked
    return used.log


def _quarters(log: DemandLog) -> QuarterHours:
    assert log.quarter_hours is not None  # noqa: S101 - _varying_log has looked
    return log.quarter_hours


def _length(used: LoggedDemand) -> int:
    return _quarters(_log(used)).count


def _calendar_of(used: LoggedDemand) -> Calendar:
    log = _log(used)
    zone = log.start.tzinfo or dt.UTC
    quarters = _quarters(log)
    count = quarters.count
    if used.profile is not None and count < FOLDED_DAYS * QUARTERS_OF_A_DAY:
        count = _QUARTERS_OF_A_YEAR
    return Calendar(
        first=quarters.first_ms // QUARTER_MS,
        count=count,
        zone=zone,
        zone_name=str(zone),
    )


def calendar_year(year: int, zone_name: str) -> Calendar:
    """Return the quarter-hours of a year on a clock that is never changed."""
    start, end = (dt.datetime(y, 1, 1, tzinfo=dt.UTC) for y in (year, year + 1))
    first = int(start.timestamp() * 1000) // QUARTER_MS
    count = (end - start).days * QUARTERS_OF_A_DAY
    return Calendar(first=first, count=count, zone=dt.UTC, zone_name=zone_name)


def _logged(
    used: LoggedDemand, log: DemandLog, calendar: Calendar
) -> tuple[FloatArray, VaryingDemand]:
    """Return the shares of a log, and for how long they are not known.

    What was not logged counts at the log's largest figure; where a load profile stands beside it,
    as the profile has it, but not below the largest figure of that weekday and hour.
    """
    quarters = _quarters(log)
    place = calendar.quarters - quarters.first_ms // QUARTER_MS
    at_once = (place >= 0) & (place < quarters.count)
    columns = [TOTAL] * 3 if log.of(TOTAL) is not None else list(PHASES)
    shares = np.ones((calendar.count, 3))
    lacking = np.zeros(calendar.count, dtype=np.bool_)
    own = Calendar(
        first=quarters.first_ms // QUARTER_MS,
        count=quarters.count,
        zone=calendar.zone,
        zone_name=calendar.zone_name,
    )
    profile = None if used.profile is None else _by_profile(used.profile, calendar)[:, 0]
    for phase, column in enumerate(columns):
        values = log.of(column)
        if values is None or values.maximum <= 0:
            continue  # such a phase is open, so that no load is drawn from this log
        share = np.clip(quarters.largest[column] / values.maximum, 0.0, 1.0)
        found = np.where(at_once, share[np.where(at_once, place, 0)], np.nan)
        by_week = _largest_by_hour_of_week(share, own)[calendar.hours_of_week]
        if profile is not None:
            gap = np.isnan(found)
            lacking |= gap
            found = np.where(gap, np.maximum(by_week, profile), found)
        else:
            found = np.where(at_once, found, by_week)
            lacking |= np.isnan(found)
        shares[:, phase] = np.nan_to_num(found, nan=1.0)
    hours = float(lacking.sum()) / _QUARTERS_OF_AN_HOUR
    return shares, VaryingDemand(
        where=used.where,
        kind="log",
        unlogged_hours=hours if profile is None else 0.0,
        estimated_hours=0.0 if profile is None else hours,
        years_laid_over=quarters.years_laid_over,
    )


def _by_profile(profile: LoadProfile, calendar: Calendar) -> FloatArray:
    """Return the shares of a standard load profile, the same on all phases."""
    share = shares_of_largest(profile.name, calendar.moment(0), calendar.count)
    return np.repeat(share[:, np.newaxis], 3, axis=1)


def _largest_by_hour_of_week(share: FloatArray, own: Calendar) -> FloatArray:
    """Return the largest share of each hour of the week; NaN where it was never logged."""
    largest = np.full(_HOURS_OF_A_WEEK, np.nan)
    np.fmax.at(largest, own.hours_of_week, share)
    return largest
