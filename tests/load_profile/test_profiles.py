"""Standard load profiles against published figures of them."""

from __future__ import annotations

import math
import warnings

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from feasibility.load_profile.profiles import profile_kw, profile_shape
from feasibility.load_profile.record import PROFILE_NAMES, ProfileName, UnknownProfile
from feasibility.units import OutOfRange

DAY = 96
SATURDAY_7_JANUARY_2023, FRIDAY_22_DECEMBER_2023, MONDAY_2_JANUARY_2023 = 6, 355, 1
JULY_2025 = slice(181 * DAY, 212 * DAY)
SUNDAYS_OF_JULY_2025 = (6, 13, 20, 27)

# Representative VDEW load profiles (M-32/99), in W for 1000 kWh a year, as the guide of an open
# library of these profiles prints them.
H0_WINTER_SATURDAY_W = [70.8, 68.2, 65.9, 63.3, 59.5, 55.0]
G5_WINTER_WORKDAY_W = [50.1, 47.4, 44.9, 43.3, 43.0, 43.8]

# BDEW profile H25, July 2025 (no public holiday): Wh in each hour of the day over the whole month
# for 1 MWh a year; an open evaluation of the profile by other people.
H25_JULY_WH = [
    2395.2, 2075.0, 1930.0, 1890.9, 1945.2, 2110.9, 2483.8, 2755.6, 2824.1, 2893.8, 2963.7, 3233.0,
    3337.1, 3214.0, 3112.4, 3119.8, 3300.9, 3704.0, 4112.5, 4228.8, 4107.0, 3926.7, 3675.4, 2985.4,
]  # fmt: skip


def of_day(series: np.ndarray, day: int) -> np.ndarray:
    return series[day * DAY : (day + 1) * DAY]


def season_factor(day: int) -> float:
    """The factor of H0 by day of the year as published (VDEW M-32/99; t = 1 on 1 January)."""
    return -3.92e-10 * day**4 + 3.20e-7 * day**3 - 7.02e-5 * day**2 + 2.10e-3 * day + 1.24


def test_household_as_published_with_its_factor_of_the_season() -> None:
    day = of_day(profile_kw("H0", 1000, 2023), SATURDAY_7_JANUARY_2023)
    expected = np.array(H0_WINTER_SATURDAY_W) * season_factor(7)
    # The library takes the fraction of the day for t and a first coefficient that sums to one.
    np.testing.assert_allclose(1000 * day[:6], expected, rtol=3e-3)


def test_bakery_as_published() -> None:
    day = of_day(profile_kw("G5", 1000, 2023), FRIDAY_22_DECEMBER_2023)
    expected = np.array(G5_WINTER_WORKDAY_W)
    # Published for a year with its holidays, here one without: the working day holds 2 % less.
    np.testing.assert_allclose(1000 * day[:6], expected, rtol=0.025)
    np.testing.assert_allclose(day[1:6] / day[0], expected[1:] / expected[0], rtol=4e-3)


def test_trade_in_general_on_a_winter_working_day() -> None:
    # A separate evaluation of the published table for 100 MWh a year, 2 January 2023.
    day = of_day(profile_kw("G0", 100_000, 2023), MONDAY_2_JANUARY_2023)
    assert day[0] == pytest.approx(6.4384, abs=1e-4)
    assert np.argmax(day) == 46
    assert np.max(day) == pytest.approx(23.6233, abs=1e-4)
    assert np.max(day.reshape(-1, 2).mean(axis=1)) == pytest.approx(23.5191, abs=1e-4)
    assert np.max(day.reshape(-1, 4).mean(axis=1)) == pytest.approx(23.5044, abs=1e-4)
    assert np.sum(day) / 4 == pytest.approx(315.1112, abs=0.01)


def test_household_of_2025_in_july() -> None:
    july = profile_kw("H25", 1000, 2025)[JULY_2025].reshape(31, DAY)
    # That evaluation counts Sundays like working days: here the Friday before stands for each.
    for sunday in SUNDAYS_OF_JULY_2025:
        july[sunday - 1] = july[sunday - 3]
    by_hour_wh = 1000 * july.reshape(31, 24, 4).sum(axis=(0, 2)) / 4
    # The library's year holds 0.995 MWh before it is scaled to one.
    np.testing.assert_allclose(0.99543 * by_hour_wh, H25_JULY_WH, rtol=1e-3)


@pytest.mark.parametrize("name", PROFILE_NAMES)
def test_the_year_holds_its_energy_and_its_quarter_hours(name: ProfileName) -> None:
    series = profile_kw(name, 12_345, 2025)
    assert series.shape == (35_040,)
    assert np.sum(series) / 4 == pytest.approx(12_345, rel=1e-12)
    assert np.min(series) > 0
    shape = profile_shape(name, 2025)
    assert np.max(shape) == 1
    np.testing.assert_allclose(shape * np.max(series), series, rtol=1e-12)


def test_a_leap_year_has_a_day_more() -> None:
    assert profile_kw("G1", 1, 2024).shape == (35_136,)
    assert profile_kw("L25", 1, 2024).shape == (35_136,)


@given(factor=st.floats(1e-3, 1e3))
def test_twice_the_energy_is_twice_the_power(factor: float) -> None:
    once = profile_kw("L1", 1000, 2025)
    np.testing.assert_allclose(profile_kw("L1", 1000 * factor, 2025), once * factor, rtol=1e-12)


def test_no_caller_changes_the_series_of_another() -> None:
    shape = profile_shape("G0", 2025)
    shape[:] = 0
    assert np.max(profile_shape("G0", 2025)) == 1


def test_the_filters_of_warnings_stay_as_they_were() -> None:
    before = list(warnings.filters)
    profile_kw("G6", 1, 2031)
    assert list(warnings.filters) == before


def test_what_is_no_profile_is_refused() -> None:
    with pytest.raises(UnknownProfile, match="'P25' is not known; there is: G0"):
        profile_kw("P25", 1000, 2025)  # type: ignore[arg-type]
    with pytest.raises(OutOfRange, match="annual_energy_kwh = 0"):
        profile_kw("G0", 0, 2025)
    with pytest.raises(OutOfRange, match="annual_energy_kwh = nan"):
        profile_kw("G0", math.nan, 2025)
    with pytest.raises(OutOfRange, match="year = 1900"):
        profile_shape("G0", 1900)
