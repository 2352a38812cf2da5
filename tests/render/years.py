"""Strategies for the studies of a year in an assessment of anything."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from feasibility.checks.infeed_voltage import CHECKS
from feasibility.year.generation_record import (
    GenerationStudy,
    MonthEnergy,
    OutputBy,
    OverTheYear,
    RaisedVoltage,
    SourceOverTime,
)
from feasibility.year.record import (
    BranchExtreme,
    ControlledSetting,
    Delivered,
    FixedSetting,
    FreePlace,
    MonthHours,
    NodeExtreme,
    PlaceKind,
    SettingHours,
    VaryingDemand,
    YearStudy,
)

Strategy = st.SearchStrategy[Any]


def few(strategy: Strategy) -> Strategy:
    return st.lists(strategy, max_size=2).map(tuple)


def any_year(names: Strategy, magnitudes: Strategy, figures: Strategy, times: Strategy) -> Strategy:
    """A study of anything: these names and figures, whatever they mean together."""
    hours = st.floats(0, 9000)
    delivered = st.builds(
        Delivered, mean_kwh=magnitudes, worst_day_kwh=st.one_of(st.none(), magnitudes),
        worst_day=st.one_of(st.none(), st.dates()),
    )  # fmt: skip
    maybe_current = st.one_of(st.none(), magnitudes)
    day = figures.map(lambda one: (abs(one),) * 24)
    week = st.one_of(st.just(()), day.map(lambda one: (one,) * 7))
    return st.builds(
        YearStudy, first=times, last=times, time_zone=names, days=hours, hours=hours,
        whole_year=st.booleans(), requested_a=magnitudes, requested=delivered, hours_exceeded=hours,
        hours_not_supplied=hours, exceeded_only_sometimes=st.booleans(), complete=st.booleans(),
        missing=few(names),
        demands=few(st.builds(
            VaryingDemand, where=names, kind=st.sampled_from(["log", "load profile"]),
            unlogged_hours=hours, years_laid_over=st.integers(1, 9),
        )),
        fixed=st.builds(
            FixedSetting, current_a=magnitudes, setting_a=maybe_current, delivered=delivered
        ),
        controlled=st.builds(
            ControlledSetting, fail_safe_a=maybe_current, hours_fail_safe_exceeds=hours,
            hours_paused=hours, hours_reduced=hours, helps=st.booleans(), delivered=delivered,
        ),
        settings=few(st.builds(
            SettingHours, setting_a=magnitudes, drawn_a=magnitudes, hours_exceeded=hours,
            delivered=delivered,
        )),
        months=few(st.builds(
            MonthHours, year=st.integers(1990, 2100), month=st.integers(1, 12), hours=hours,
            hours_exceeded=hours, lowest_a=magnitudes, by_hour_lowest_a=day,
        )),
        places=st.lists(
            st.builds(
                FreePlace, name=names, kind=st.sampled_from(PlaceKind), check=names, held_by=names,
                varies=st.booleans(), lowest_a=magnitudes, lowest_at=times, highest_a=magnitudes,
                hours_exceeded=hours, duration_a=day, week_lowest_a=week, week_median_a=week,
            ),
            min_size=1, max_size=2,
        ).map(tuple),
        nodes=few(st.builds(NodeExtreme, name=names, lowest_voltage_v=figures, lowest_at=times)),
        branches=few(st.builds(
            BranchExtreme, name=names, highest_current_a=figures, highest_at=times,
            highest_neutral_current_a=figures,
        )),
    )  # fmt: skip


def any_generation(
    names: Strategy, magnitudes: Strategy, figures: Strategy, times: Strategy, logs: Strategy
) -> Strategy:
    """The year of second sources of anything, likewise."""
    hours, maybe = st.floats(0, 9000), st.none() | magnitudes
    over = st.builds(
        OverTheYear, first=times, last=times, time_zone=names, hours=hours, hours_left_out=hours,
        whole_year=st.booleans(), years_laid_over=st.integers(1, 9),
        latitude_deg=st.none() | st.floats(-90, 90), largest_a=magnitudes,
        largest_on=st.sampled_from(["L1", "L2", "L3"]), largest_at=times, origin_v=maybe,
        sources=st.lists(
            st.builds(
                SourceOverTime, path=names, name=names, by=st.sampled_from(OutputBy),
                highest_a=magnitudes, highest_at=times, energy_kwh=maybe, log=st.none() | logs,
                months=few(st.builds(
                    MonthEnergy, year=st.integers(1990, 2100), month=st.integers(1, 12),
                    energy_kwh=figures,
                )),
            ),
            min_size=1, max_size=2,
        ).map(tuple),
        voltages=few(st.builds(
            RaisedVoltage, check=st.sampled_from([one.name for one in CHECKS]), link=names,
            highest=figures, highest_at=times, limit=magnitudes, unit=st.sampled_from(["%", "V"]),
            hours_exceeded=hours, origin_up_to_v=maybe,
        )),
    )  # fmt: skip
    return st.builds(GenerationStudy, missing=few(names), over_year=st.none() | over)
