"""Standard load profiles as quarter-hours of one year.

A profile is the mean of many customers: a single one draws far more at times. It shapes a demand
over the year and says nothing about its maximum.
"""

from __future__ import annotations

import datetime as dt
import warnings
from collections.abc import Callable
from functools import lru_cache

import numpy as np

from feasibility.load_profile.record import (
    FIRST_YEAR,
    LAST_YEAR,
    PROFILE_NAMES,
    ProfileName,
    UnknownProfile,
)
from feasibility.units import FloatArray, require_positive, require_within

_HOURS_PER_STEP = 0.25
_STEP = np.timedelta64(15 * 60_000, "ms")
_YEAR_OF_PEAK = 2025


def profile_kw(name: ProfileName, annual_energy_kwh: float, year: int) -> FloatArray:
    """Return the mean power in kW of every quarter-hour of ``year``, 35 040 (35 136) in all.

    The first begins at midnight of 1 January on a clock that is never changed. Public holidays
    count as the weekday they fall on. The energy of the year is ``annual_energy_kwh`` exactly.
    H0 and H25 follow the published day-by-day factor of the season. Source: representative load
    profiles of the VDEW (M-32/99) and profiles of the BDEW of 2025, by the library demandlib.
    Raises UnknownProfile, OutOfRange.
    """
    require_positive("annual_energy_kwh", annual_energy_kwh)
    return annual_energy_kwh * _per_kwh(name, year)


def profile_shape(name: ProfileName, year: int) -> FloatArray:
    """Return every quarter-hour of ``year`` as a share of the largest one, which is 1.

    Times and sources are those of ``profile_kw``. Raises UnknownProfile, OutOfRange.
    """
    series = _per_kwh(name, year)
    return series / np.max(series)


def profile_peak_kw(name: ProfileName, annual_energy_kwh: float) -> float:
    """Return the largest quarter-hour mean in kW of a customer as the profile has him.

    The year is one without a leap day that begins on a Wednesday (2025); another year's weekdays
    change it by less than 1 %. Raises UnknownProfile, OutOfRange.
    """
    return float(np.max(profile_kw(name, annual_energy_kwh, _YEAR_OF_PEAK)))


def shares_of_largest(name: ProfileName, first: dt.datetime, count: int) -> FloatArray:
    """Return ``count`` quarter-hours from ``first`` on, each as a share of its year's largest.

    Profiles run on a clock that is never changed: that of the zone of ``first`` in January.
    Raises UnknownProfile, OutOfRange.
    """
    return _along(name, first, count, profile_shape)


def energy_share(name: ProfileName, first: dt.datetime, last: dt.datetime) -> float:
    """Return which share of a year's energy falls between two moments; above 1 beyond a year.

    The clock is that of ``shares_of_largest``; a quarter-hour counts wholly if it begins in
    between. Raises UnknownProfile, OutOfRange.
    """
    count = round((last - first).total_seconds() / 3600 / _HOURS_PER_STEP)
    return float(np.sum(_along(name, first, count, _per_kwh))) * _HOURS_PER_STEP


def _along(
    name: ProfileName,
    first: dt.datetime,
    count: int,
    of_year: Callable[[ProfileName, int], FloatArray],
) -> FloatArray:
    """Return the quarter-hours from a moment on of a series that there is for every year."""
    january = dt.datetime(first.year, 1, 1, tzinfo=first.tzinfo).utcoffset() or dt.timedelta()
    start = (first.astimezone(dt.UTC) + january).replace(tzinfo=None)
    clock = np.datetime64(start, "ms") + np.arange(count) * _STEP
    years = clock.astype("datetime64[Y]")
    found = np.empty(count)
    for year in np.unique(years):
        inside = years == year
        number = (clock[inside] - year.astype("datetime64[ms]")) // _STEP
        found[inside] = of_year(name, int(str(year)))[number]
    return found


@lru_cache(maxsize=8)
def _per_kwh(name: ProfileName, year: int) -> FloatArray:
    """Return the power in kW of a customer who takes one kWh in this year."""
    if name not in PROFILE_NAMES:
        message = f"profile {name!r} is not known; there is: {', '.join(PROFILE_NAMES)}"
        raise UnknownProfile(message)
    require_within("year", year, lower=FIRST_YEAR, upper=LAST_YEAR)
    values = _of_2025(name, year) if name.endswith("25") else _of_1999(name, year)
    series = values / (np.sum(values) * _HOURS_PER_STEP)
    series.flags.writeable = False
    return series


def _of_1999(name: ProfileName, year: int) -> FloatArray:
    from demandlib.bdew import ElecSlp

    with warnings.catch_warnings():  # the library changes the filters of the whole process
        frame = ElecSlp(year).get_profiles()
    column = "h0_dyn" if name == "H0" else name.lower()
    return np.array(frame[column], dtype=np.float64)


def _of_2025(name: ProfileName, year: int) -> FloatArray:
    import pandas as pd
    from demandlib import bdew

    hours = pd.date_range(f"{year}-01-01", f"{year + 1}-01-01", freq="15min", inclusive="left")
    return np.array(getattr(bdew, name)(hours), dtype=np.float64)
