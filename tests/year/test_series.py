"""Which share of its largest figure a demand draws when, against pandas' calendar and by hand."""

from __future__ import annotations

import datetime as dt
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from feasibility.checks.feed_network import Drawn
from feasibility.demand_log.quarters import FOLDED_DAYS, QuarterHours
from feasibility.demand_log.record import DemandLog, LoggedValues
from feasibility.installation.facts import Fact
from feasibility.installation.model import DemandAt, Link, LinkKind, LoggedDemand
from feasibility.load_profile.profiles import profile_shape
from feasibility.load_profile.record import LoadProfile
from feasibility.units import FloatArray
from feasibility.year.series import Calendar, Series, series_of

VIENNA = ZoneInfo("Europe/Vienna")
WEEK = 7 * 96
OPEN: Fact[float] = Fact(path="", label="", unit="", options=())


def log(figures: FloatArray, start: dt.datetime, *, names: tuple[str, ...], years: int = 1) -> Any:
    columns = {name: figures[:, number] for number, name in enumerate(names)}
    values = tuple(
        LoggedValues(
            name=name,
            maximum=float(np.nanmax(column)),
            maximum_at=start,
            mean=1.0,
            lowest=float(np.nanmin(column)),
        )
        for name, column in columns.items()
    )
    return DemandLog(
        file="log.csv",
        sha256="0" * 64,
        unit="A",
        interval_s=900,
        start=start,
        end=start,
        samples=len(figures),
        gap_count=0,
        longest_gap_s=0,
        gaps_total_s=0,
        season_days=(1, 1, 1, 1),
        values=values,
        quarter_hours=QuarterHours(
            first_ms=round(start.timestamp() * 1000), largest=columns, years_laid_over=years
        ),
    )


def drawn(
    logged: Any = None,
    shape: LoadProfile | None = None,
    where: str = "board",
    beside: LoadProfile | None = None,
) -> Drawn:
    link = Link(name=where, kind=LinkKind.DEMAND, position=0, data=None)  # type: ignore[arg-type]
    used = None
    if logged is not None:
        used = LoggedDemand(
            path="",
            where=where,
            link=link,
            log=logged,
            energy_kwh=OPEN,
            profile=beside,
            factors=(),
            lacking=None,
        )
    demand = DemandAt(
        node=0,
        where=where,
        phase_a=(OPEN, OPEN, OPEN),
        power_kw=None,
        power_factor=OPEN,
        logged=used,
        shape=shape,
    )
    return Drawn(
        demand=demand, apparent_va=(1.0, 1.0, 1.0), power_factor=None, constant_power=False
    )


def series(*loads: Drawn) -> Series:
    found = series_of(loads, year=2026, full_year_days=350)
    assert found is not None
    return found


def phases(count: int, seed: int = 1) -> FloatArray:
    return np.random.default_rng(seed).random((count, 3)) * [10.0, 20.0, 30.0] + 0.5


def test_nothing_changes_without_a_log_or_a_profile() -> None:
    assert series_of([drawn()], year=2026, full_year_days=350) is None


def test_shares_are_figures_over_the_largest_and_a_gap_counts_as_it() -> None:
    figures = phases(WEEK)
    figures[10:14] = np.nan
    found = series(
        drawn(log(figures, dt.datetime(2026, 3, 2, tzinfo=VIENNA), names=("L1", "L2", "L3")))
    )
    (share,) = found.shares
    assert share is not None
    expected = figures / np.nanmax(figures, axis=0)
    expected[10:14] = 1.0
    assert share == pytest.approx(expected)
    assert found.demands[0].unlogged_hours == 1.0
    assert found.demands[0].kind == "log"
    assert not found.whole_year


def test_a_total_counts_on_all_phases() -> None:
    figures = phases(WEEK)[:, :1]
    found = series(drawn(log(figures, dt.datetime(2026, 3, 2, tzinfo=VIENNA), names=("total",))))
    (share,) = found.shares
    assert share is not None
    assert share == pytest.approx(np.repeat(figures / figures.max(), 3, axis=1))


def test_the_calendar_is_that_of_pandas_over_both_changes_of_the_clock() -> None:
    start = dt.datetime(2026, 1, 1, tzinfo=VIENNA)
    first = round(start.timestamp()) // 900
    calendar = Calendar(first=first, count=365 * 96, zone=VIENNA, zone_name="Europe/Vienna")
    utc = pd.date_range("2025-12-31 23:00", periods=365 * 96, freq="15min", tz="UTC")
    local = utc.tz_convert("Europe/Vienna")
    assert calendar.hours_of_week.tolist() == (local.dayofweek * 24 + local.hour).tolist()
    assert calendar.hours_of_day.tolist() == local.hour.tolist()
    days = (local.tz_localize(None).normalize() - pd.Timestamp("1970-01-01")).days
    assert calendar.days.tolist() == days.tolist()
    assert calendar.moment(20_000).isoformat() == local[20_000].isoformat()
    assert calendar.midnight_to_midnight == (True, True)


def test_a_second_log_of_the_same_time_counts_as_it_was() -> None:
    start = dt.datetime(2026, 3, 2, tzinfo=VIENNA)
    long = log(phases(4 * WEEK), start, names=("L1", "L2", "L3"))
    short = phases(WEEK, seed=2)
    inside = log(short, start + dt.timedelta(days=7), names=("L1", "L2", "L3"))
    found = series(drawn(long), drawn(inside, where="other"), drawn())
    _, share, constant = found.shares
    assert constant is None
    assert share is not None
    assert found.calendar.count == 4 * WEEK
    assert share[WEEK : 2 * WEEK] == pytest.approx(short / short.max(axis=0))


def test_outside_its_time_a_log_counts_by_the_largest_of_that_weekday_and_hour() -> None:
    start = dt.datetime(2026, 3, 2, tzinfo=dt.UTC)
    long = log(phases(3 * WEEK), start, names=("L1", "L2", "L3"))
    short = phases(WEEK, seed=2)
    inside = log(short, start, names=("L1", "L2", "L3"))
    _, share = series(drawn(long), drawn(inside, where="other")).shares
    assert share is not None
    by_hour = (short / short.max(axis=0)).reshape(-1, 4, 3).max(axis=1)
    assert share[WEEK : 2 * WEEK] == pytest.approx(np.repeat(by_hour, 4, axis=0))


def test_an_hour_that_a_second_log_never_saw_counts_as_its_largest() -> None:
    start = dt.datetime(2026, 3, 2, tzinfo=dt.UTC)
    long = log(phases(WEEK), start, names=("L1", "L2", "L3"))
    short = log(phases(96, seed=3), start, names=("L1", "L2", "L3"))
    found = series(drawn(long), drawn(short, where="other"))
    share = found.shares[1]
    assert share is not None
    assert (share[96:] == 1.0).all()
    assert found.demands[1].unlogged_hours == 6 * 24


def test_years_laid_over_each_other_are_told() -> None:
    figures = phases(FOLDED_DAYS * 96)
    folded = log(figures, dt.datetime(2023, 1, 2, tzinfo=VIENNA), names=("L1", "L2", "L3"), years=3)
    found = series(drawn(folded))
    assert found.demands[0].years_laid_over == 3
    assert found.whole_year


def test_a_profile_alone_runs_through_the_year_of_the_survey() -> None:
    found = series(drawn(shape=LoadProfile(name="G0", annual_energy_kwh=None)))
    (share,) = found.shares
    assert share is not None
    assert found.calendar.count == 35_040
    assert found.whole_year
    assert found.demands[0].kind == "load profile"
    assert share[:, 1] == pytest.approx(profile_shape("G0", 2026))


def test_a_profile_beside_a_log_runs_on_standard_time_of_the_site() -> None:
    """On 1 July, 12:00 of Vienna's summer clock is 11:00 of its standard time (UTC+1)."""
    start = dt.datetime(2026, 7, 1, tzinfo=VIENNA)
    found = series(
        drawn(log(phases(WEEK), start, names=("L1", "L2", "L3"))),
        drawn(shape=LoadProfile(name="G1", annual_energy_kwh=None), where="other"),
    )
    share = found.shares[1]
    assert share is not None
    noon = 12 * 4
    days_before = (dt.date(2026, 7, 1) - dt.date(2026, 1, 1)).days
    in_profile = days_before * 96 + 11 * 4
    assert share[noon, 0] == pytest.approx(profile_shape("G1", 2026)[in_profile])


def test_a_profile_stands_in_where_a_log_beside_it_has_no_figure() -> None:
    """The profile of 2026 and 2027 by demandlib, on Vienna's standard time."""
    figures = phases(2 * WEEK)
    figures[3 * 96 : 4 * 96] = np.nan  # Thursday of the first week
    start = dt.datetime(2026, 2, 2, tzinfo=VIENNA)
    logged = log(figures, start, names=("L1", "L2", "L3"))
    found = series(drawn(logged, beside=LoadProfile(name="G0", annual_energy_kwh=None)))
    (share,), (demand,) = found.shares, found.demands
    assert share is not None
    assert found.whole_year
    assert found.calendar.count == 365 * 96
    assert (demand.kind, demand.unlogged_hours) == ("log", 0.0)
    assert demand.estimated_hours == (365 - 13) * 24
    own = figures / np.nanmax(figures, axis=0)
    logged_days = [n for n in range(14) if n != 3]
    for day in logged_days:
        assert share[day * 96 : day * 96 + 96] == pytest.approx(own[day * 96 : day * 96 + 96])
    shape = profile_shape("G0", 2026)[32 * 96 :]  # 2 February is the 33rd day
    of_thursdays = own[10 * 96 : 11 * 96].reshape(24, 4, 3).max(axis=1).repeat(4, axis=0)
    for thursday in (3, 17, 24):
        profile = shape[thursday * 96 : thursday * 96 + 96, np.newaxis]
        expected = np.maximum(of_thursdays, profile)
        assert share[thursday * 96 : thursday * 96 + 96] == pytest.approx(expected)
    later = profile_shape("G0", 2027)[: 32 * 96, np.newaxis]
    assert (share[-32 * 96 :] >= later - 1e-12).all()
    assert (share <= 1.0).all()
