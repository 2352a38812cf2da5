"""The largest figure of each quarter-hour, held against pandas' own resampling."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from feasibility.demand_log.quarters import (
    FOLDED_DAYS,
    LONGEST_DAYS,
    QUARTER_MS,
    QUARTERS_OF_A_DAY,
    QuarterHours,
    quarter_hours,
)

from .files import Form, read, text_of, times

START_MS = 1_767_222_000_000  # 2025-12-31 23:00 UTC
DAY_MS = 86_400_000


def found(
    time_ms: list[int] | np.ndarray, column: list[float] | np.ndarray, interval_s: float
) -> QuarterHours:
    return quarter_hours(
        np.array(time_ms, dtype=np.int64),
        {"L1": np.array(column, dtype=float)},
        interval_s=interval_s,
        gap_from_s=1.5 * interval_s,
    )


@settings(max_examples=60, deadline=None)
@given(
    interval_s=st.sampled_from([1, 20, 60, 180, 300, 900]),
    seed=st.integers(0, 2**31),
    count=st.integers(2, 400),
)
def test_short_intervals_are_pandas_resampled_maxima(
    interval_s: int, seed: int, count: int
) -> None:
    figures = np.random.default_rng(seed).random(count)
    time_ms = START_MS + np.arange(count) * interval_s * 1000
    quarters = found(time_ms, figures, interval_s)
    series = pd.Series(figures, index=pd.to_datetime(time_ms, unit="ms"))
    expected = series.resample("15min").max()
    # The last sample lies in a quarter-hour of its own only if it covers the middle of it.
    assert quarters.largest["L1"] == pytest.approx(expected.to_numpy())
    assert quarters.first_ms == START_MS
    assert quarters.years_laid_over == 1
    assert quarters.missing == 0


@pytest.mark.parametrize("interval_s", [1800, 3600])
def test_long_intervals_repeat(interval_s: int) -> None:
    times_of_half_days = START_MS + np.arange(24) * interval_s * 1000
    figures = np.arange(24.0)
    quarters = found(times_of_half_days, figures, interval_s)
    assert quarters.largest["L1"].tolist() == np.repeat(figures, interval_s // 900).tolist()


def test_a_gap_stays_a_gap() -> None:
    quarter = [0, 1, 2, 7, 8]
    quarters = found([START_MS + q * QUARTER_MS for q in quarter], [1, 2, 3, 4, 5], 900)
    assert np.array_equal(quarters.largest["L1"], [1, 2, 3, *[np.nan] * 4, 4, 5], equal_nan=True)
    assert quarters.missing == 4
    assert quarters.count == 9


def test_a_clock_that_drifts_leaves_no_hole_and_no_peak_is_lost() -> None:
    count = 4000
    figures = np.random.default_rng(7).random(count)
    quarters = found(START_MS + np.arange(count) * 902_300, figures, 900)
    assert quarters.missing == 0
    assert quarters.largest["L1"].max() == figures.max()


@settings(max_examples=40, deadline=None)
@given(
    steps_s=st.lists(st.integers(540, 5400), min_size=3, max_size=60),
    interval_s=st.integers(600, 3600),
)
def test_every_figure_counts_somewhere(steps_s: list[int], interval_s: int) -> None:
    time_ms = START_MS + np.cumsum([0, *steps_s]) * 1000
    for place in range(len(time_ms)):
        figures = np.zeros(len(time_ms))
        figures[place] = 1.0
        assert np.nanmax(found(time_ms, figures, interval_s).largest["L1"]) == 1.0


def test_years_lie_over_each_other_week_by_week() -> None:
    days = 3 * 365
    hour_ms = START_MS + np.arange(days * 24, dtype=np.int64) * 3_600_000
    figures = np.zeros(len(hour_ms))
    peak = 2 * FOLDED_DAYS * 24 + 50
    figures[peak] = 9.0
    quarters = found(hour_ms, figures, 3600)
    assert quarters.count == FOLDED_DAYS * QUARTERS_OF_A_DAY
    assert quarters.years_laid_over == 4
    assert np.flatnonzero(quarters.largest["L1"] == 9.0).tolist() == [200, 201, 202, 203]
    same_weekday = (hour_ms[peak] - hour_ms[50]) / DAY_MS % 7
    assert same_weekday == 0


def test_a_leap_year_is_not_folded() -> None:
    count = LONGEST_DAYS * 24
    hours = START_MS + np.arange(count, dtype=np.int64) * 3_600_000
    quarters = found(hours, np.ones(count), 3600)
    assert (quarters.count, quarters.years_laid_over) == (4 * count, 1)


def test_a_read_log_holds_its_quarter_hours(tmp_path: Path) -> None:
    rows: list[list[float | None]] = [[10.0 + n, 5.0, 1.0] for n in range(8)]
    rows[3] = [None, None, None]
    log = read(tmp_path, text_of(times(8), rows, Form()))
    quarters = log.quarter_hours
    assert quarters is not None
    assert dt.datetime.fromtimestamp(quarters.first_ms / 1000, tz=dt.UTC) == log.start
    assert np.array_equal(
        quarters.largest["L1"], [10, 11, 12, np.nan, 14, 15, 16, 17], equal_nan=True
    )
    assert set(quarters.largest) == {"L1", "L2", "L3"}
