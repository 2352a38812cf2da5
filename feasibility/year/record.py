"""What the study of a year found: what a drawing, a table or a sentence about it needs.

Nothing is stored twice and nothing has to be computed by whoever shows it. Every current is the
current of the station per phase in A. A current is *free* on a link at a moment if the station may
draw it there beside what the site draws at that moment, without exceeding any limit of the link
that binds (requirement or maker's limit). Free currents end at zero.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from enum import StrEnum

QUARTER_HOUR_S = 900

STEPS_OF_DURATION = 101
"""A duration curve has one value for each per cent of the time, 0 and 100 included."""

WeekMap = tuple[tuple[float, ...], ...]
"""Seven rows, Monday first, of 24 hours each, on the clock of the site; in A."""


class PlaceKind(StrEnum):
    """What a free current belongs to."""

    WHOLE_PATH = "whole path"
    BOARD = "board"
    LINK = "link"


@dataclass(frozen=True, slots=True, kw_only=True)
class FreePlace:
    """The current that is free for the station at one place of the feed path over the time.

    The first place of a study is always the whole path (the least of all links at each moment);
    then come boards (the least of every link from the service to the board, in feed order) and
    links (in feed order, named as in the chain of the assessment). ``check`` names the check whose
    limit is the tightest there: at a link the one with the lowest limit, at the whole path and at a
    board the one that holds the current at the worst moment, with its link in ``held_by``.

    ``varies`` is False where nothing but the station draws through the place, or what is drawn
    beside it never changes: ``duration_a`` and both maps are then empty, and ``lowest_a`` and
    ``highest_a`` are the same.

    ``duration_a[p]`` is the current that is free for at least p per cent of the time: it falls from
    the highest at 0 to the lowest at 100. ``week_lowest_a`` is the least and ``week_median_a`` the
    median of all quarter-hours of that hour of that weekday; an hour that the time studied does not
    hold is NaN in both. ``hours_exceeded`` is for how long the requested current would exceed a
    limit there.
    """

    name: str
    kind: PlaceKind
    check: str
    held_by: str
    varies: bool
    lowest_a: float
    lowest_at: dt.datetime
    highest_a: float
    hours_exceeded: float
    duration_a: tuple[float, ...] = ()
    week_lowest_a: WeekMap = ()
    week_median_a: WeekMap = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class VaryingDemand:
    """A demand that changes over the time studied, and how it is known.

    ``kind`` is ``"log"`` or ``"load profile"``. ``unlogged_hours`` is for how long the log has no
    figure within the time studied: its largest figure counts there. ``estimated_hours`` is for how
    long a standard load profile stands in for what nobody logged. ``years_laid_over`` is above 1
    where a log is longer than a year: its years are then laid over each other week by week and the
    largest figure of each quarter-hour counts.
    """

    where: str
    kind: str
    unlogged_hours: float = 0.0
    estimated_hours: float = 0.0
    years_laid_over: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivered:
    """Energy that the station takes from the network per day, in kWh, at nominal voltage.

    ``worst_day`` is the day on which it is least; only days that were studied from midnight to
    midnight count (both are None where there is none). A steady current gives the same every day:
    ``worst_day`` is then None.
    """

    mean_kwh: float
    worst_day_kwh: float | None
    worst_day: dt.date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FixedSetting:
    """The largest setting that exceeds no limit at any moment.

    ``current_a`` is the largest steady current before rounding.
    ``setting_a`` is what the station offers at or below it (the requested current itself if that
    passes); 0 if even its smallest setting would exceed, None where a limit of current could not be
    judged, or where no setting counts and the requested current exceeds.
    """

    current_a: float
    setting_a: float | None
    delivered: Delivered


@dataclass(frozen=True, slots=True, kw_only=True)
class ControlledSetting:
    """A setting that follows the free current in steps that the station offers.

    It never rises above the requested current, and never falls below ``fail_safe_a``, the value
    which load management falls back to and which therefore counts as drawn at any moment; None
    where the survey states none, and the station then pauses where its smallest setting would
    exceed. ``hours_fail_safe_exceeds`` above zero means that load management does not help:
    ``helps`` is then False. ``helps`` is True only if it delivers more than the fixed setting and
    its fail-safe value is stated and fits at every moment.
    """

    fail_safe_a: float | None
    hours_fail_safe_exceeds: float
    hours_paused: float
    hours_reduced: float
    helps: bool
    delivered: Delivered


@dataclass(frozen=True, slots=True, kw_only=True)
class SettingHours:
    """For how long one setting would exceed a limit of the whole path, and what it delivers fixed.

    ``drawn_a`` is what the station may draw at the setting, its tolerance included. The settings
    are those that the station offers up to the requested current, rising, and last the requested
    current itself; not more than about twenty of them, spread evenly where there are more.
    """

    setting_a: float
    drawn_a: float
    hours_exceeded: float
    delivered: Delivered


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthHours:
    """One month of the time studied: the clock of the site, the hours of it that were studied.

    ``lowest_a`` is the least current that is free on the whole path, ``by_hour_lowest_a`` the same
    for each of the 24 hours of the day (NaN for an hour that was not studied), ``hours_exceeded``
    for how long the requested current would exceed.
    """

    year: int
    month: int
    hours: float
    hours_exceeded: float
    lowest_a: float
    by_hour_lowest_a: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NodeExtreme:
    """The lowest voltage of a node over the time, at the requested current; in V.

    Quarter-hours in which the voltage would collapse are left out. Between lines for a three-phase
    station, line to neutral for a single-phase one. The voltage at the origin is the lowest that
    the supply may have all the time.
    """

    name: str
    lowest_voltage_v: float
    lowest_at: dt.datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class BranchExtreme:
    """The largest currents of a cable over the time, at the requested current; in A."""

    name: str
    highest_current_a: float
    highest_at: dt.datetime
    highest_neutral_current_a: float


@dataclass(frozen=True, slots=True, kw_only=True)
class YearStudy:
    """Every quarter-hour of a year, or of the shorter time that was logged.

    ``first`` and ``last`` are the start of the first and the end of the last quarter-hour, on the
    clock of the site (``time_zone`` names it). ``whole_year`` is False where the log is shorter
    than a year: hours are then those of the ``days`` studied and no figure of a year.

    ``requested_a`` exceeds a limit in ``hours_exceeded`` of the ``hours`` studied, of which in
    ``hours_not_supplied`` the voltage would collapse: no load flow has a solution there.
    ``exceeded_only_sometimes``: it exceeds in some hours and not in all. Limits that only
    advise (recommendations, practice) are not counted.

    ``complete`` is False where a limit on current that binds could not be judged and so is missing
    from every free current; ``missing`` names those as ``check (link)``.
    """

    first: dt.datetime
    last: dt.datetime
    time_zone: str
    days: float
    hours: float
    whole_year: bool
    demands: tuple[VaryingDemand, ...]
    requested_a: float
    requested: Delivered
    hours_exceeded: float
    hours_not_supplied: float
    exceeded_only_sometimes: bool
    fixed: FixedSetting
    controlled: ControlledSetting
    settings: tuple[SettingHours, ...]
    months: tuple[MonthHours, ...]
    places: tuple[FreePlace, ...]
    nodes: tuple[NodeExtreme, ...]
    branches: tuple[BranchExtreme, ...]
    complete: bool
    missing: tuple[str, ...] = ()

    @property
    def whole_path(self) -> FreePlace:
        """The current that is free on the whole feed path."""
        return self.places[0]
