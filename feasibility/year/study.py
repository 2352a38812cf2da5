"""The study of a year: when a requested current would exceed a limit, and what fits instead.

Each quarter-hour is judged by the limits of the findings (``limits``), with what the site draws in
it (``series``) and the voltages of the load flow then (``moments``). A current above a limit counts
as exceeded however short it lasts: what a device does in that time licenses nothing.
"""

from __future__ import annotations

import numpy as np

from feasibility.checks.operation import Operation
from feasibility.checks.run import Judgement
from feasibility.installation.facts import NotKnown
from feasibility.network.year_flow import Progress
from feasibility.settings import Settings
from feasibility.tables import NotTabulated
from feasibility.year.delivery import (
    Question,
    controlled_setting,
    fixed_setting,
    hours_by_setting,
    steady,
)
from feasibility.year.limits import Limits, binding_limits
from feasibility.year.moments import Moments, Places, Site
from feasibility.year.places import hours_of, months_of, places_of
from feasibility.year.record import BranchExtreme, NodeExtreme, YearStudy
from feasibility.year.search import Free, free_currents
from feasibility.year.series import Series, series_of


def year_study(
    judgement: Judgement, settings: Settings, on_step: Progress | None = None
) -> YearStudy | None:
    """Return the study; None where no demand changes in time, or facts that it needs are open.

    ``on_step`` is told how many load flows are done, and of how many.
    """
    run = judgement.unfavourable
    survey = run.installation.survey
    full_year_days = run.basis.number("log_full_year_days")
    try:
        requested_a = run.requested().current_a
        series = series_of(
            run.operation.drawn(), year=survey.surveyor.date.year, full_year_days=full_year_days
        )
        limits = binding_limits(judgement)
        if series is None or not limits.of_links:
            return None
        starts = series.starts
        shares = [None if share is None else share[starts] for share in series.shares]
        site = Site(operation=run.operation, shares=shares, count=len(starts))
        free = free_currents(site, limits.of_links, requested_a, on_step)
        question = Question(
            operation=run.operation,
            settings=settings,
            requested_a=requested_a,
            fail_safe_a=_fail_safe_a(run.operation),
            complete=not limits.missing,
            calendar=series.calendar,
        )
        return _study(question, series, limits, free, starts)
    except (NotKnown, NotTabulated):
        return None


def _fail_safe_a(operation: Operation) -> float | None:
    station = operation.installation.station
    fact = station.number("managed_fail_safe_a")
    if not station.has("managed_fail_safe_a") or fact.is_open:
        return None
    return operation.ends.high_is_bad(fact)


def _study(
    question: Question, series: Series, limits: Limits, solved: Free, starts: Places
) -> YearStudy:
    calendar = series.calendar
    free = solved.lasting(np.diff(starts, append=calendar.count))
    exceeded = np.any(free.exceeded, axis=0) | free.dark
    hours, hours_exceeded = hours_of(np.ones_like(exceeded)), hours_of(exceeded)
    fixed = fixed_setting(question, free.fixed_a, always_fits=not exceeded.any())
    return YearStudy(
        first=calendar.moment(0),
        last=calendar.moment(calendar.count),
        time_zone=calendar.zone_name,
        days=hours / 24,
        hours=hours,
        whole_year=series.whole_year,
        demands=series.demands,
        requested_a=question.requested_a,
        requested=steady(question, question.requested_a),
        hours_exceeded=hours_exceeded,
        hours_not_supplied=hours_of(free.dark),
        exceeded_only_sometimes=0 < hours_exceeded < hours,
        fixed=fixed,
        controlled=controlled_setting(question, free.path, exceeded, fixed),
        settings=hours_by_setting(question, free.path, hours_exceeded),
        months=months_of(free.path, exceeded, calendar),
        places=places_of(question.operation.installation, limits.of_links, free, calendar),
        nodes=_nodes(question, free.requested, starts),
        branches=_branches(question, free.requested, starts),
        complete=question.complete,
        missing=limits.missing,
    )


def _nodes(question: Question, moments: Moments, starts: Places) -> tuple[NodeExtreme, ...]:
    """Return the lowest voltage of every node at the requested current."""
    if not moments.flow.supplied.any():
        return ()
    on = question.operation.phases_of_station()
    found = []
    for name in moments.flow.node_rows:
        if all(on):
            volts = moments.flow.lowest_line_voltage_v(name)
        else:
            volts = np.abs(moments.flow.voltage_v(name)[:, on.index(True)])
        place = int(np.nanargmin(volts))
        found.append(
            NodeExtreme(
                name=question.operation.words_of(name),
                lowest_voltage_v=float(volts[place]),
                lowest_at=question.calendar.moment(int(starts[place])),
            )
        )
    return tuple(found)


def _branches(question: Question, moments: Moments, starts: Places) -> tuple[BranchExtreme, ...]:
    """Return the largest currents of every cable at the requested current."""
    if not moments.flow.supplied.any():
        return ()
    found = []
    for name in moments.flow.branch_rows:
        amperes = np.abs(moments.flow.current_a(name)).max(axis=1)
        place = int(np.nanargmax(amperes))
        found.append(
            BranchExtreme(
                name=question.operation.words_of(name),
                highest_current_a=float(amperes[place]),
                highest_at=question.calendar.moment(int(starts[place])),
                highest_neutral_current_a=float(np.nanmax(moments.flow.neutral_current_a(name))),
            )
        )
    return tuple(found)
