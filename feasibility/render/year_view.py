"""The section on the hours of a year as text and pictures; nothing is computed here."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

from feasibility.render.duration_picture import DurationPicture, duration_picture
from feasibility.render.hour_map import HourMap, month_map, week_map
from feasibility.render.numbers import amount_text, carried_text
from feasibility.render.year_text import kwh_text, year_heading, year_sentences

if TYPE_CHECKING:
    from feasibility.year.record import Delivered, FreePlace, YearStudy

NONE = "–"


@dataclass(frozen=True, slots=True, kw_only=True)
class YearView:
    """The whole section. Tables hold rows of cells, in the order of the template's columns."""

    heading: str
    sentences: tuple[str, ...]
    month_map: HourMap | None
    week_map: HourMap | None
    shown_place: str
    duration: DurationPicture | None
    requested: str
    ways: tuple[tuple[str, str, str, str, str], ...]
    settings: tuple[tuple[str, str, str, str], ...]
    places: tuple[tuple[str, str, str, str, str, str], ...]
    nodes: tuple[tuple[str, str, str], ...]
    branches: tuple[tuple[str, str, str, str], ...]


def year_view(study: YearStudy) -> YearView:
    """Return a study as text and pictures."""
    whole = study.whole_path
    shown = whole if whole.varies else next((one for one in study.places if one.varies), None)
    return YearView(
        heading=year_heading(study),
        sentences=year_sentences(study),
        month_map=month_map(study.months, study.requested_a) if whole.varies else None,
        week_map=None if shown is None else week_map(shown.week_lowest_a, study.requested_a),
        shown_place="" if shown is None else shown.name,
        duration=None if shown is None else duration_picture(shown, study),
        requested=amount_text(study.requested_a, "A"),
        ways=_ways(study),
        settings=tuple(
            (
                amount_text(one.setting_a, "A"),
                hours_text(one.hours_exceeded),
                kwh_text(one.delivered.mean_kwh),
                _worst(one.delivered),
            )
            for one in study.settings
        ),
        places=tuple(_place(one) for one in study.places),
        nodes=tuple(
            (one.name, amount_text(one.lowest_voltage_v, "V", 4), moment(one.lowest_at))
            for one in study.nodes
        ),
        branches=tuple(
            (
                one.name,
                amount_text(one.highest_current_a, "A"),
                moment(one.highest_at),
                amount_text(one.highest_neutral_current_a, "A"),
            )
            for one in study.branches
        ),
    )


def hours_text(hours: float) -> str:
    """Return hours with their unit; a part of an hour is not lost."""
    return amount_text(hours, "h", 4) if hours else "0 h"


def moment(at: dt.datetime) -> str:
    """Return a moment on the clock of the site."""
    return f"{at:%Y-%m-%d %H:%M}"


def _ways(study: YearStudy) -> tuple[tuple[str, str, str, str, str], ...]:
    fixed, controlled = study.fixed, study.controlled
    rows = [
        (
            "as requested, fixed",
            amount_text(study.requested_a, "A"),
            hours_text(study.hours_exceeded),
            kwh_text(study.requested.mean_kwh),
            _worst(study.requested),
        )
    ]
    if fixed.setting_a is not None:
        setting = amount_text(fixed.setting_a, "A") if fixed.setting_a else "none fits"
        rows.append(
            (
                "largest fixed setting",
                setting,
                "0 h",
                kwh_text(fixed.delivered.mean_kwh),
                _worst(fixed.delivered),
            )
        )
    rows.append(
        (
            "following the free current",
            f"up to {amount_text(study.requested_a, 'A')}",
            hours_text(controlled.hours_fail_safe_exceeds),
            kwh_text(controlled.delivered.mean_kwh),
            _worst(controlled.delivered),
        )
    )
    return tuple(rows)


def _place(place: FreePlace) -> tuple[str, str, str, str, str, str]:
    return (
        place.name,
        carried_text(place.lowest_a),
        moment(place.lowest_at) if place.varies else "always",
        carried_text(place.highest_a),
        hours_text(place.hours_exceeded),
        place.held_by or NONE,
    )


def _worst(delivered: Delivered) -> str:
    if delivered.worst_day_kwh is None:
        return NONE
    if delivered.worst_day is None:
        return kwh_text(delivered.worst_day_kwh)
    return f"{kwh_text(delivered.worst_day_kwh)} on {delivered.worst_day:%Y-%m-%d}"
