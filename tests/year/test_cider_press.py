"""The shipped site whose socket is large enough but for some winter evenings, from its own file."""

from __future__ import annotations

import io
import math
from functools import cache

import numpy as np
import pandas as pd
import pytest

from feasibility.assessment import Assessment
from feasibility.examples import example_companions, example_path
from feasibility.result import Verdict
from feasibility.units import FloatArray
from feasibility.year.record import YearStudy

from ..checks.sites import quick
from ..demand_log.cider_log import cider_log

SITE = "cider-press"
LOG = "cider-press-demand.csv"
CONTRACT_A = 63.0
STATION_A = 28 * 1.02
POWER_FACTOR, STATION_POWER_FACTOR = 0.92, 0.99


@cache
def frame() -> pd.DataFrame:
    content = example_companions(SITE)[LOG]
    return pd.read_csv(io.BytesIO(content), parse_dates=["time"], index_col="time")


@cache
def answer() -> tuple[Assessment, YearStudy]:
    assessment = quick(SITE)
    assert assessment.year is not None
    return assessment, assessment.year


def total_a(station_a: float) -> FloatArray:
    """By the law of cosines: two currents whose power factors differ, in the worst phase."""
    site_a = frame().max(axis=1).to_numpy()
    angle = math.acos(POWER_FACTOR) - math.acos(STATION_POWER_FACTOR)
    square = site_a**2 + station_a**2 + 2 * site_a * station_a * math.cos(angle)
    return np.asarray(np.sqrt(square))


def test_the_shipped_log_is_what_its_maker_writes() -> None:
    assert example_companions(SITE)[LOG] == cider_log()
    assert example_path(SITE).with_name(LOG).stat().st_size < 700_000
    assert len(frame()) == 365 * 48


def test_sixty_hours_of_the_year_are_too_much() -> None:
    assessment, study = answer()
    assert assessment.requested_current_a == pytest.approx(STATION_A)
    over = total_a(STATION_A) > CONTRACT_A
    assert over.sum() / 2 == 60
    assert set(pd.DatetimeIndex(frame().index[over]).month) == {1}
    assert study.hours_exceeded == 60
    assert study.hours == 8760
    assert study.whole_year
    assert study.exceeded_only_sometimes
    assert [one.hours_exceeded for one in study.months] == [60, *[0] * 11]


def test_the_fixed_setting_fits_and_load_management_gains() -> None:
    assessment, study = answer()
    assert assessment.verdict is Verdict.CARRIES_REDUCED
    assert assessment.carryable_current_a == study.fixed.setting_a == 24
    assert (total_a(24 * 1.02) <= CONTRACT_A).all()
    assert not (total_a(study.fixed.current_a + 0.2) <= CONTRACT_A).all()
    assert study.controlled.helps
    assert study.controlled.fail_safe_a == 16
    assert study.controlled.hours_reduced == 60


def test_the_dark_evenings_show_in_the_week_and_the_year() -> None:
    _, study = answer()
    lowest = np.array(study.whole_path.week_lowest_a)
    requested = study.requested_a
    days, hours = np.nonzero(lowest < requested)
    assert set(hours) == {17, 18, 19, 20, 21}
    assert set(days) == {*range(6)}  # both spells run from a Monday to a Saturday
    assert study.whole_path.duration_a[99] >= requested
    assert study.whole_path.duration_a[100] < requested
