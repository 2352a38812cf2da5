"""The year of second sources for the JSON document."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

from feasibility.render.demand_log_rows import read_object
from feasibility.render.json_figures import rounded

if TYPE_CHECKING:
    from feasibility.year.generation_record import (
        GenerationStudy,
        OverTheYear,
        RaisedVoltage,
        SourceOverTime,
    )

Object = dict[str, Any]


def generation_object(study: GenerationStudy | None) -> Object | None:
    """Return the study with rounded figures; None where there is none."""
    if study is None:
        return None
    over = study.over_year
    return {
        "missing": list(study.missing),
        "over_year": None if over is None else _over_year(over),
    }


def _over_year(over: OverTheYear) -> Object:
    return {
        "first": _moment(over.first),
        "last": _moment(over.last),
        "time_zone": over.time_zone,
        "hours": rounded(over.hours),
        "hours_left_out": rounded(over.hours_left_out),
        "whole_year": over.whole_year,
        "years_laid_over": over.years_laid_over,
        "latitude_deg": rounded(over.latitude_deg),
        "sources": [_source(one) for one in over.sources],
        "largest_a": rounded(over.largest_a),
        "largest_on": over.largest_on,
        "largest_at": _moment(over.largest_at),
        "origin_v": rounded(over.origin_v),
        "voltages": [_voltage(one) for one in over.voltages],
    }


def _source(source: SourceOverTime) -> Object:
    return {
        "fact": source.path,
        "name": source.name,
        "by": source.by.value,
        "highest_a": rounded(source.highest_a),
        "highest_at": _moment(source.highest_at),
        "energy_kwh": rounded(source.energy_kwh),
        "months": [
            {"year": one.year, "month": one.month, "energy_kwh": rounded(one.energy_kwh)}
            for one in source.months
        ],
        "log": None if source.log is None else read_object(source.log, {}),
    }


def _voltage(raised: RaisedVoltage) -> Object:
    return {
        "check": raised.check,
        "link": raised.link,
        "highest": rounded(raised.highest),
        "highest_at": _moment(raised.highest_at),
        "limit": rounded(raised.limit),
        "unit": raised.unit,
        "hours_exceeded": rounded(raised.hours_exceeded),
        "origin_up_to_v": rounded(raised.origin_up_to_v),
    }


def _moment(moment: dt.datetime) -> str:
    return moment.isoformat(timespec="minutes")
