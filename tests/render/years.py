"""Strategies for the study of a year in an assessment of anything."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

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
