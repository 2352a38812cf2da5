"""Free currents of links, boards and the whole path, put into curves and maps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from feasibility.installation.model import Installation
from feasibility.units import FloatArray
from feasibility.year.limits import LinkLimits
from feasibility.year.record import (
    STEPS_OF_DURATION,
    FreePlace,
    MonthHours,
    PlaceKind,
    WeekMap,
)
from feasibility.year.search import Free
from feasibility.year.series import Calendar, year_and_month

QUARTERS_OF_AN_HOUR = 4
_DAYS_OF_A_WEEK = 7
_HOURS_OF_A_DAY = 24
_SAME_A = 1e-9

Mask = NDArray[np.bool_]


def hours_of(mask: Mask) -> float:
    """Return for how many hours a mask of quarter-hours is true."""
    return float(np.count_nonzero(mask)) / QUARTERS_OF_AN_HOUR


@dataclass(frozen=True, slots=True, kw_only=True)
class _Group:
    """A place, and the numbers of the links that can hold the current there."""

    name: str
    kind: PlaceKind
    links: tuple[int, ...]


def places_of(
    installation: Installation, limits: Sequence[LinkLimits], free: Free, calendar: Calendar
) -> tuple[FreePlace, ...]:
    """Return the whole path, then the boards, then the links."""
    every = tuple(range(len(limits)))
    groups = [_Group(name="whole path", kind=PlaceKind.WHOLE_PATH, links=every)]
    for node in range(1, len(installation.circuits)):
        before = tuple(n for n in every if limits[n].link.position < node)
        if before:
            board = installation.nodes[node]
            groups.append(_Group(name=board, kind=PlaceKind.BOARD, links=before))
    groups += [_Group(name=limits[n].link.name, kind=PlaceKind.LINK, links=(n,)) for n in every]
    return tuple(_place(group, limits, free, calendar) for group in groups)


def _place(
    group: _Group, limits: Sequence[LinkLimits], free: Free, calendar: Calendar
) -> FreePlace:
    currents = np.min([free.of_links[n] for n in group.links], axis=0)
    exceeded = np.any([free.exceeded[n] for n in group.links], axis=0)
    exceeded |= free.dark
    worst = int(np.argmin(currents))
    holding = limits[min(group.links, key=lambda n: float(free.of_links[n][worst]))]
    lowest, highest = float(currents[worst]), float(currents.max())
    varies = highest - lowest > _SAME_A
    week_lowest, week_median = _week(currents, calendar) if varies else ((), ())
    return FreePlace(
        name=group.name,
        kind=group.kind,
        check=holding.lowest,
        held_by=holding.link.name,
        varies=varies,
        lowest_a=lowest,
        lowest_at=calendar.moment(worst),
        highest_a=highest,
        hours_exceeded=hours_of(exceeded),
        duration_a=_duration(currents) if varies else (),
        week_lowest_a=week_lowest,
        week_median_a=week_median,
    )


def _duration(currents: FloatArray) -> tuple[float, ...]:
    """Return what is free for at least 0, 1, ... 100 per cent of the time."""
    rising = np.sort(currents)
    share = np.arange(STEPS_OF_DURATION) / (STEPS_OF_DURATION - 1)
    place = np.floor(len(rising) * (1 - share) + _SAME_A).astype(np.intp)
    return tuple(rising[np.minimum(place, len(rising) - 1)].tolist())


def _week(currents: FloatArray, calendar: Calendar) -> tuple[WeekMap, WeekMap]:
    """Return the least and the median of each hour of the week."""
    cells = calendar.hours_of_week
    rising = currents[np.lexsort((currents, cells))]
    count = np.bincount(cells, minlength=_DAYS_OF_A_WEEK * _HOURS_OF_A_DAY)
    start = np.cumsum(count) - count
    lowest = np.full(len(count), np.nan)
    median = np.full(len(count), np.nan)
    held = count > 0
    first, number = start[held], count[held]
    lowest[held] = rising[first]
    median[held] = (rising[first + (number - 1) // 2] + rising[first + number // 2]) / 2
    return _rows(lowest), _rows(median)


def _rows(cells: FloatArray) -> WeekMap:
    rows = cells.reshape(_DAYS_OF_A_WEEK, _HOURS_OF_A_DAY).tolist()
    return tuple(tuple(row) for row in rows)


def months_of(path: FloatArray, exceeded: Mask, calendar: Calendar) -> tuple[MonthHours, ...]:
    """Return what is free on the whole path in each month, in the order of time."""
    found = []
    for number in np.unique(calendar.months):
        inside = calendar.months == number
        currents, hours = path[inside], calendar.hours_of_day[inside]
        by_hour = np.full(_HOURS_OF_A_DAY, np.nan)
        np.fmin.at(by_hour, hours, currents)
        year, month = year_and_month(int(number))
        found.append(
            MonthHours(
                year=year,
                month=month,
                hours=hours_of(inside),
                hours_exceeded=hours_of(inside & exceeded),
                lowest_a=float(currents.min()),
                by_hour_lowest_a=tuple(by_hour.tolist()),
            )
        )
    return tuple(found)
