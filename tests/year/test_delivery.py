"""What settings deliver, counted by hand, and maps and curves against pandas."""

from __future__ import annotations

import datetime as dt
from functools import cache
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from feasibility.assessment import Assessment
from feasibility.render.numbers import number_text
from feasibility.render.text import to_text, verdict_in_words
from feasibility.render.year_text import year_sentences
from feasibility.units import FloatArray
from feasibility.year.record import PlaceKind, YearStudy

from ..checks.sites import GONE, SETTING_HOLDS, Changes, merged
from .sites import FACTOR, assessed, log_of, study_of

VIENNA = ZoneInfo("Europe/Vienna")
START = dt.datetime(2025, 1, 5, 9, 30, tzinfo=VIENNA)
COUNT = 20 * 96
CONTRACT_A = 63.0
UNSURE: Changes = {"board[0].demand.power_factor": GONE}

SETTINGS: Changes = merged(
    {
        "station.settings_a": [10, 16, 20, 24, 28, 32],
        "station.setting_a": 32,
        "station.setting_tolerance_percent": 0,
        "station.nameplate_current_a": 40,
        "station.dc_power_kw": 30,
        "station.power_factor": 0.99,
    },
    SETTING_HOLDS,
)


def figures() -> FloatArray:
    random = np.random.default_rng(11)
    return np.asarray(4 + 28 * random.random((COUNT, 3)) ** 2)


def expected_free() -> FloatArray:
    """By hand: the contract less 1.25 times the figure of the worst phase, at most the outlet."""
    return np.asarray(np.minimum(CONTRACT_A - FACTOR * figures().max(axis=1), 32.0))


@cache
def managed(fail_safe_a: float | None) -> tuple[Assessment, YearStudy]:
    fail_safe: Changes = {"station.managed_fail_safe_a": fail_safe_a or GONE}
    return assessed(log_of("days.csv", figures(), start=START), UNSURE, SETTINGS, fail_safe)


def local_time() -> pd.DatetimeIndex:
    return pd.date_range(START, periods=COUNT, freq="15min")


def test_a_steady_setting_delivers_what_a_calculator_says() -> None:
    _, study = managed(10)
    # 32 A * sqrt(3) * 400 V * 0.99 * 24 h
    assert study.requested.mean_kwh == pytest.approx(32 * 3**0.5 * 400 * 0.99 * 24 / 1000)
    fits = [one for one in (10, 16, 20, 24, 28, 32) if one <= expected_free().min()]
    assert study.fixed.setting_a == fits[-1]
    assert study.fixed.delivered.mean_kwh == pytest.approx(study.requested.mean_kwh * fits[-1] / 32)
    assert study.fixed.delivered.worst_day is None


def test_a_controlled_setting_follows_in_the_steps_of_the_station() -> None:
    _, study = managed(10)
    steps = np.array([0.0, 10, 16, 20, 24, 28, 32])
    follows = steps[np.searchsorted(steps, expected_free() + 1e-6, side="right") - 1]
    per_a = study.requested.mean_kwh / 32
    controlled = study.controlled
    assert controlled.delivered.mean_kwh == pytest.approx(follows.mean() * per_a)
    assert controlled.hours_reduced == (follows < 32).sum() / 4
    assert controlled.hours_paused == 0
    by_day = pd.Series(follows, index=local_time()).groupby(local_time().date).mean()
    whole = by_day.iloc[1:-1]  # neither the first day from 9:30 nor the last one until then
    assert controlled.delivered.worst_day == whole.idxmin()
    assert controlled.delivered.worst_day_kwh == pytest.approx(whole.min() * per_a)
    assert controlled.helps
    assert controlled.hours_fail_safe_exceeds == 0


def test_a_fail_safe_value_counts_as_drawn_at_any_moment() -> None:
    _, study = managed(28)
    over = (expected_free() < 28 - 1e-6).sum() / 4
    assert over > 0
    assert study.controlled.hours_fail_safe_exceeds == over
    assert not study.controlled.helps
    assert any("does not help" in one for one in year_sentences(study))


def test_without_a_stated_fail_safe_value_nothing_is_counted_on() -> None:
    _, study = managed(None)
    assert study.controlled.fail_safe_a is None
    assert not study.controlled.helps
    assert any("which is not stated" in one for one in year_sentences(study))


def test_a_day_cut_short_is_no_worst_day() -> None:
    study = study_of(log_of("cut.csv", figures()[:90], start=START), UNSURE, SETTINGS)
    assert study.controlled.delivered.worst_day is None
    assert study.controlled.delivered.worst_day_kwh is None


def test_the_week_is_that_of_pandas() -> None:
    _, study = managed(10)
    free = pd.Series(expected_free(), index=local_time())
    cells = free.groupby([local_time().dayofweek, local_time().hour])
    lowest, median = cells.min(), cells.median()
    path = study.whole_path
    assert path.kind is PlaceKind.WHOLE_PATH
    for day in range(7):
        for hour in range(24):
            assert path.week_lowest_a[day][hour] == pytest.approx(lowest[day, hour], abs=1e-5)
            assert path.week_median_a[day][hour] == pytest.approx(median[day, hour], abs=1e-5)
    assert path.lowest_at == free.idxmin()


def test_an_hour_that_was_not_studied_is_not_known() -> None:
    study = study_of(log_of("short.csv", figures()[:40], start=START), UNSURE, SETTINGS)
    (sunday,) = study.whole_path.week_lowest_a[6:]
    assert np.isnan(sunday[8])
    assert np.isfinite(sunday[9])


def test_curves_fall_from_the_most_to_the_least() -> None:
    _, study = managed(10)
    for place in study.places:
        if not place.varies:
            assert place.duration_a == ()
            assert place.lowest_a == pytest.approx(place.highest_a)
            continue
        assert len(place.duration_a) == 101
        assert list(place.duration_a) == sorted(place.duration_a, reverse=True)
        assert place.duration_a[0] == place.highest_a
        assert place.duration_a[100] == place.lowest_a
    path = study.whole_path.duration_a
    for percent in range(101):
        assert (expected_free() >= path[percent] - 1e-5).mean() >= percent / 100 - 1e-12


def test_a_board_has_the_least_of_what_feeds_it() -> None:
    _, study = managed(10)
    boards = [one for one in study.places if one.kind is PlaceKind.BOARD]
    assert [one.name for one in boards] == ["Main board"]
    feeding = ("contracted capacity", "service device", "metering place", "Main cable: cable 1")
    least = min(one.lowest_a for one in study.places if one.name in feeding)
    assert boards[0].lowest_a == least


def test_months_add_up() -> None:
    study = study_of(
        log_of("months.csv", np.tile(figures(), (3, 1)), start=START), UNSURE, SETTINGS
    )
    assert [(one.year, one.month) for one in study.months] == [(2025, 1), (2025, 2), (2025, 3)]
    assert sum(one.hours for one in study.months) == study.hours
    assert sum(one.hours_exceeded for one in study.months) == study.hours_exceeded
    assert min(one.lowest_a for one in study.months) == study.whole_path.lowest_a


def test_extremes_are_those_of_the_worst_quarter_hour() -> None:
    _, study = managed(10)
    (main,) = [one for one in study.branches if one.name == "Main cable"]
    assert main.highest_current_a == pytest.approx(32 + FACTOR * figures().max(), rel=0.01)
    volts = [one.lowest_voltage_v for one in study.nodes]
    assert volts == sorted(volts, reverse=True)
    assert volts[0] == pytest.approx(360.0)


def test_the_verdict_says_that_it_is_some_hours_only() -> None:
    assessment, study = managed(10)
    assert study.exceeded_only_sometimes
    shown = number_text(study.hours_exceeded, digits=4)
    hours = f"{shown} of the {study.hours:g} hours"
    assert f"it exceeds a limit in {hours}" in verdict_in_words(assessment)
    assert "HOURS: every quarter-hour" in to_text(assessment)


def test_a_log_that_is_no_year_claims_no_year() -> None:
    study = study_of(log_of("few.csv", figures(), start=START, days=20), UNSURE, SETTINGS)
    assert not study.whole_year
    words = " ".join(year_sentences(study))
    assert "hours logged" in words
    assert "hours of the year" not in words


def test_a_setting_that_does_not_hold_is_no_remedy() -> None:
    study = study_of(
        log_of("days.csv", figures(), start=START),
        UNSURE,
        SETTINGS,
        {"station.setting_locked": False},
    )
    assert study.requested_a > 32
    assert study.fixed.setting_a is None
