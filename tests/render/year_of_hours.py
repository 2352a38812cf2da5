"""An invented study of a year for the tests of its pictures: winter evenings are short."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from zoneinfo import ZoneInfo

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

ZONE = ZoneInfo("Europe/Vienna")
START = dt.datetime(2025, 1, 1, tzinfo=ZONE)
WORST = dt.datetime(2025, 1, 14, 18, 15, tzinfo=ZONE)
REQUESTED_A = 32.0


def energy(mean_kwh: float) -> Delivered:
    return Delivered(mean_kwh=mean_kwh, worst_day_kwh=mean_kwh / 2, worst_day=WORST.date())


def free_a(month: int, hour: int) -> float:
    """Return 24 A on winter evenings and 40 A otherwise."""
    return 24.6 if month in (1, 2, 12) and 16 <= hour <= 20 else 40.2


def places() -> tuple[FreePlace, FreePlace]:
    """Return the whole path and a link on which nothing varies."""
    duration = (*(63.0 - 0.3 * percent for percent in range(99)), 30.0, 24.6)
    week = tuple(tuple(free_a(1 if day < 5 else 7, hour) for hour in range(24)) for day in range(7))
    whole = FreePlace(
        name="whole feed path",
        kind=PlaceKind.WHOLE_PATH,
        check="device-rating",
        held_by="service device",
        varies=True,
        lowest_a=24.6,
        lowest_at=WORST,
        highest_a=63.0,
        hours_exceeded=61.25,
        duration_a=duration,
        week_lowest_a=week,
        week_median_a=week,
    )
    steady = FreePlace(
        name="outlet",
        kind=PlaceKind.LINK,
        check="link-rating",
        held_by="outlet",
        varies=False,
        lowest_a=63.0,
        lowest_at=START,
        highest_a=63.0,
        hours_exceeded=0.0,
    )
    return whole, steady


def months() -> tuple[MonthHours, ...]:
    return tuple(
        MonthHours(
            year=2025,
            month=month,
            hours=730.0,
            hours_exceeded=20.0 if month in (1, 2, 12) else 0.0,
            lowest_a=free_a(month, 18),
            by_hour_lowest_a=tuple(free_a(month, hour) for hour in range(24)),
        )
        for month in range(1, 13)
    )


def study(**changes: object) -> YearStudy:
    made = YearStudy(
        first=START,
        last=START.replace(year=2026),
        time_zone="Europe/Vienna",
        days=365.0,
        hours=8760.0,
        whole_year=True,
        demands=(VaryingDemand(where="Main board", kind="log", unlogged_hours=3.5),),
        requested_a=REQUESTED_A,
        requested=energy(520.0),
        hours_exceeded=61.25,
        hours_not_supplied=0.0,
        exceeded_only_sometimes=True,
        fixed=FixedSetting(current_a=24.6, setting_a=24.0, delivered=energy(390.0)),
        controlled=ControlledSetting(
            fail_safe_a=None,
            hours_fail_safe_exceeds=0.0,
            hours_paused=0.0,
            hours_reduced=61.25,
            helps=False,
            delivered=energy(516.0),
        ),
        settings=tuple(
            SettingHours(
                setting_a=setting,
                drawn_a=setting,
                hours_exceeded=hours,
                delivered=energy(16.25 * setting),
            )
            for setting, hours in ((16.0, 0.0), (24.0, 0.0), (28.0, 20.5), (32.0, 61.25))
        ),
        months=months(),
        places=places(),
        nodes=(NodeExtreme(name="station", lowest_voltage_v=352.1, lowest_at=WORST),),
        branches=(
            BranchExtreme(
                name="Outlet circuit",
                highest_current_a=32.0,
                highest_at=WORST,
                highest_neutral_current_a=0.0,
            ),
        ),
        complete=True,
    )
    return replace(made, **changes)  # type: ignore[arg-type]
