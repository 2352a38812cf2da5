"""The study of a year for the JSON document."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from feasibility.render.json_figures import current_down, rounded

if TYPE_CHECKING:
    from feasibility.year.record import (
        ControlledSetting,
        Delivered,
        FixedSetting,
        FreePlace,
        MonthHours,
        SettingHours,
        VaryingDemand,
        WeekMap,
        YearStudy,
    )

Object = dict[str, Any]

_CURVE_DECIMALS = 2
"""Curves and maps are drawn: 10 mA are enough, rounded down."""


def year_object(study: YearStudy | None) -> Object | None:
    """Return the study with rounded figures; None where there is none."""
    if study is None:
        return None
    return {
        "first": _moment(study.first),
        "last": _moment(study.last),
        "time_zone": study.time_zone,
        "days": rounded(study.days),
        "hours": rounded(study.hours),
        "whole_year": study.whole_year,
        "demands": [_demand(one) for one in study.demands],
        "requested_a": rounded(study.requested_a),
        "requested_delivers": _delivered(study.requested),
        "hours_exceeded": rounded(study.hours_exceeded),
        "hours_not_supplied": rounded(study.hours_not_supplied),
        "exceeded_only_sometimes": study.exceeded_only_sometimes,
        "fixed": _fixed(study.fixed),
        "controlled": _controlled(study.controlled),
        "settings": [_setting(one) for one in study.settings],
        "months": [_month(one) for one in study.months],
        "places": [_place(one) for one in study.places],
        "nodes": [
            {
                "name": one.name,
                "lowest_voltage_v": rounded(one.lowest_voltage_v),
                "lowest_at": _moment(one.lowest_at),
            }
            for one in study.nodes
        ],
        "branches": [
            {
                "name": one.name,
                "highest_current_a": rounded(one.highest_current_a),
                "highest_at": _moment(one.highest_at),
                "highest_neutral_current_a": rounded(one.highest_neutral_current_a),
            }
            for one in study.branches
        ],
        "complete": study.complete,
        "missing": list(study.missing),
    }


def _moment(moment: dt.datetime) -> str:
    return moment.isoformat(timespec="minutes")


def _demand(demand: VaryingDemand) -> Object:
    return {
        "where": demand.where,
        "kind": demand.kind,
        "unlogged_hours": rounded(demand.unlogged_hours),
        "estimated_hours": rounded(demand.estimated_hours),
        "years_laid_over": demand.years_laid_over,
    }


def _delivered(delivered: Delivered) -> Object:
    return {
        "mean_kwh_per_day": rounded(delivered.mean_kwh),
        "worst_day_kwh": rounded(delivered.worst_day_kwh),
        "worst_day": None if delivered.worst_day is None else delivered.worst_day.isoformat(),
    }


def _fixed(fixed: FixedSetting) -> Object:
    return {
        "current_a": current_down(fixed.current_a),
        "setting_a": current_down(fixed.setting_a),
        "delivers": _delivered(fixed.delivered),
    }


def _controlled(controlled: ControlledSetting) -> Object:
    return {
        "fail_safe_a": rounded(controlled.fail_safe_a),
        "hours_fail_safe_exceeds": rounded(controlled.hours_fail_safe_exceeds),
        "hours_paused": rounded(controlled.hours_paused),
        "hours_reduced": rounded(controlled.hours_reduced),
        "helps": controlled.helps,
        "delivers": _delivered(controlled.delivered),
    }


def _setting(setting: SettingHours) -> Object:
    return {
        "setting_a": rounded(setting.setting_a),
        "drawn_a": rounded(setting.drawn_a),
        "hours_exceeded": rounded(setting.hours_exceeded),
        "delivers": _delivered(setting.delivered),
    }


def _month(month: MonthHours) -> Object:
    return {
        "year": month.year,
        "month": month.month,
        "hours": rounded(month.hours),
        "hours_exceeded": rounded(month.hours_exceeded),
        "lowest_a": current_down(month.lowest_a),
        "by_hour_lowest_a": _currents(month.by_hour_lowest_a),
    }


def _place(place: FreePlace) -> Object:
    return {
        "name": place.name,
        "kind": place.kind.value,
        "check": place.check,
        "held_by": place.held_by,
        "varies": place.varies,
        "lowest_a": current_down(place.lowest_a),
        "lowest_at": _moment(place.lowest_at),
        "highest_a": current_down(place.highest_a),
        "hours_exceeded": rounded(place.hours_exceeded),
        "duration_a": _currents(place.duration_a),
        "week_lowest_a": _week(place.week_lowest_a),
        "week_median_a": _week(place.week_median_a),
    }


def _week(week: WeekMap) -> list[list[float | None]]:
    return [_currents(day) for day in week]


def _currents(currents_a: Iterable[float]) -> list[float | None]:
    return [current_down(one, _CURVE_DECIMALS) for one in currents_a]
