"""How the output of each second source runs, as a share of its rating in each quarter-hour."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from feasibility.checks.infeed_rise import Output, power_kw
from feasibility.checks.question import Run
from feasibility.clauses.sun import clear_sky_ratio, declination_deg, sun_height_deg
from feasibility.demand_log.quarters import QUARTER_MS, QUARTERS_OF_A_DAY, QuarterHours
from feasibility.demand_log.record import OUTPUT, DemandLog
from feasibility.survey.source import Source
from feasibility.units import FloatArray
from feasibility.year.generation_record import OutputBy
from feasibility.year.series import Calendar, calendar_year

SOLAR_TIME = "solar time (the sun is highest at 12:00)"
OFF_THE_SUN_H = 1.5
"""By how much a clock without daylight saving may be off the sun's time (our own choice): the sun
follows the longitude, the clock a whole zone, and the equation of time is up to a quarter-hour."""

_DAY_MS = QUARTER_MS * QUARTERS_OF_A_DAY
_DEG_OF_AN_HOUR = 15.0
_HALF_A_QUARTER_H = 0.125


class NotStudied(Exception):
    """What keeps the outputs from being studied together."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """The output of a source over a calendar: share of its rating; NaN where its log has none.

    ``power_kw`` is its power at a share of 1, ``log`` the one that was read for it.
    """

    output: Output
    by: OutputBy
    share: FloatArray
    power_kw: float
    log: DemandLog | None = None

    @property
    def years_laid_over(self) -> int:
        """How many years of its log lie over each other."""
        return 1 if self.log is None else _quarters(self.log).years_laid_over


def states_its_course(source: Source) -> bool:
    """Whether the survey says how the output of a source runs."""
    profile = source.output_profile
    return source.output is not None or (profile is not None and profile.value is not None)


def calendar_of(logs: Sequence[QuarterHours], zones: Sequence[dt.tzinfo], year: int) -> Calendar:
    """Return the quarter-hours that all logs span, on the clock of the first; else those of a year.

    Raises NotStudied where logs do not overlap in time.
    """
    if not logs:
        return calendar_year(year, SOLAR_TIME)
    first = max(one.first_ms // QUARTER_MS for one in logs)
    count = min(one.first_ms // QUARTER_MS + one.count for one in logs) - first
    if count <= 0:
        message = "logs of all second sources from the same time"
        raise NotStudied(message)
    return Calendar(first=first, count=count, zone=zones[0], zone_name=str(zones[0]))


def courses_of(
    run: Run, outputs: Sequence[Output]
) -> tuple[Calendar, tuple[Course, ...], tuple[str, ...]]:
    """Return the quarter-hours to study, the course of each output, and what is missing for some.

    A source of which nothing says how it runs counts at its rating at every moment. Raises
    NotStudied, NotKnown.
    """
    logs = [log for one in outputs if (log := _log_of(one)) is not None]
    calendar = calendar_of(
        [_quarters(one) for one in logs],
        [one.start.tzinfo or dt.UTC for one in logs],
        run.installation.survey.surveyor.date.year,
    )
    missing: list[str] = []
    courses = tuple(_course(run, one, calendar, missing) for one in outputs)
    return calendar, courses, tuple(missing)


def _course(run: Run, output: Output, calendar: Calendar, missing: list[str]) -> Course:
    """Return the course of an output; what would have to be known for it goes to ``missing``."""
    record, name = output.source.data.record, output.source.name
    latitude_deg = run.installation.survey.site.latitude_deg
    log, kw = _log_of(output), power_kw(run, output)
    by, share = OutputBy.RATING, np.ones(calendar.count)
    if log is not None:
        # Whatever the rating may be, a figure in kW has to come out as itself.
        kw = power_kw(run, output, at_least=log.unit == "kW")
        by, share = OutputBy.LOG, _logged(log, calendar)
        share = share / (kw if log.unit == "kW" else output.current_a)
    elif isinstance(record, Source) and record.output is not None:
        missing.append(f"the log of what '{name}' delivered")
    elif isinstance(record, Source) and states_its_course(record):
        if latitude_deg is None:
            missing.append(f"the latitude of the site, for '{name}'")
        else:
            by, share = OutputBy.CLEAR_SKY, clear_sky_shares(calendar, latitude_deg)
    return Course(output=output, by=by, share=share, power_kw=kw, log=log)


def _log_of(output: Output) -> DemandLog | None:
    log = output.source.output
    return None if log is None or log.quarter_hours is None else log


def _quarters(log: DemandLog) -> QuarterHours:
    assert log.quarter_hours is not None  # noqa: S101 - _log_of has looked
    return log.quarter_hours


def _logged(log: DemandLog, calendar: Calendar) -> FloatArray:
    """Return the largest figure of each quarter-hour of the calendar, which the log spans."""
    quarters = _quarters(log)
    start = calendar.first - quarters.first_ms // QUARTER_MS
    return quarters.largest[OUTPUT][start : start + calendar.count]


def clear_sky_shares(calendar: Calendar, latitude_deg: float) -> FloatArray:
    """Return the most that panels may give in each quarter-hour, over the most of the whole year.

    As if every day were cloudless and the panels always square to the sun: panels that stand still
    get less at every moment, however they stand. Each quarter-hour counts as where the sun is
    highest in it; on the clock of a log, as where it is highest within ``OFF_THE_SUN_H`` of it.
    """
    clock_ms, off_h = _sun_clock(calendar)
    days = (clock_ms // _DAY_MS).astype("datetime64[D]")
    day_of_year = (days - days.astype("datetime64[Y]")).astype(np.float64) + 1
    from_noon_h = np.abs((clock_ms % _DAY_MS + QUARTER_MS / 2) / _DAY_MS * 24 - 12)
    nearest_h = np.maximum(from_noon_h - _HALF_A_QUARTER_H - off_h, 0.0)
    ratio = _ratio(latitude_deg, day_of_year, nearest_h * _DEG_OF_AN_HOUR)
    noons = np.arange(1.0, 366.0)
    return ratio / np.max(_ratio(latitude_deg, noons, np.zeros_like(noons)))


def _ratio(latitude_deg: float, day_of_year: FloatArray, angle_deg: FloatArray) -> FloatArray:
    height = sun_height_deg(
        latitude_deg=np.full_like(day_of_year, latitude_deg),
        declination_deg=declination_deg(day_of_year=day_of_year),
        hour_angle_deg=angle_deg,
    )
    return clear_sky_ratio(height_deg=height)


def _sun_clock(calendar: Calendar) -> tuple[FloatArray, float]:
    """Return the calendar on a clock near the sun's, in ms, and by how many hours it may be off."""
    utc_ms = calendar.quarters.astype(np.float64) * QUARTER_MS
    if calendar.zone_name == SOLAR_TIME:
        return utc_ms, 0.0
    year = calendar.moment(0).year
    offsets = (dt.datetime(year, month, 1, tzinfo=calendar.zone).utcoffset() for month in (1, 7))
    standard = min(one.total_seconds() for one in offsets if one is not None)
    return utc_ms + 1000 * standard, OFF_THE_SUN_H
