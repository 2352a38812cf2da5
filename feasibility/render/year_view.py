"""The section on the hours of a year as text and pictures; nothing is computed here."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

from feasibility.render.duration_picture import DurationPicture, duration_picture
from feasibility.render.hour_map import HourMap, month_map, week_map
from feasibility.render.numbers import amount_text, number_text

if TYPE_CHECKING:
    from feasibility.year.record import Delivered, FreePlace, YearStudy

NONE = "–"


@dataclass(frozen=True, slots=True, kw_only=True)
class YearView:
    """The whole section. Tables hold rows of cells, in the order of the template's columns."""

    headline: str
    period: str
    demands: tuple[str, ...]
    warnings: tuple[str, ...]
    month_map: HourMap | None
    week_map: HourMap | None
    duration: DurationPicture | None
    requested: str
    management: str
    ways: tuple[tuple[str, str, str, str, str], ...]
    settings: tuple[tuple[str, str, str, str], ...]
    places: tuple[tuple[str, str, str, str, str, str], ...]
    nodes: tuple[tuple[str, str, str], ...]
    branches: tuple[tuple[str, str, str, str], ...]


def year_view(study: YearStudy) -> YearView:
    """Return a study as text and pictures."""
    whole = study.whole_path
    return YearView(
        headline=headline(study),
        period=_period(study),
        demands=tuple(_demands(study)),
        warnings=tuple(_warnings(study)),
        month_map=month_map(study.months, study.requested_a) if whole.varies else None,
        week_map=week_map(whole.week_lowest_a, study.requested_a) if whole.varies else None,
        duration=duration_picture(whole, study) if whole.varies else None,
        requested=amount_text(study.requested_a, "A"),
        management=management(study),
        ways=_ways(study),
        settings=tuple(
            (
                amount_text(one.setting_a, "A"),
                hours_text(one.hours_exceeded),
                _kwh(one.delivered.mean_kwh),
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


def headline(study: YearStudy) -> str:
    """Return in one sentence for how long the requested current is too much."""
    requested = amount_text(study.requested_a, "A")
    of = f"of the {number_text(study.hours)} hours studied"
    if study.hours_exceeded == 0:
        return f"The requested {requested} exceed no limit in any {of}."
    if not study.exceeded_only_sometimes:
        return f"The requested {requested} exceed a limit all the time."
    fixed = study.fixed.setting_a
    fits = ""
    if fixed:
        fits = f" The largest fixed setting that exceeds none is {amount_text(fixed, 'A')}."
    elif fixed == 0:
        fits = " No fixed setting of the station fits at every moment."
    exceeded = hours_text(study.hours_exceeded)
    return (
        f"The requested {requested} exceed a limit in {exceeded} {of}, and fit in all others.{fits}"
    )


def management(study: YearStudy) -> str:
    """Return what load management would gain, and what its fail-safe value does to that."""
    controlled = study.controlled
    gain = (
        f"A setting that follows the free current would deliver "
        f"{_kwh(controlled.delivered.mean_kwh)} a day in the mean, the largest fixed one "
        f"{_kwh(study.fixed.delivered.mean_kwh)}."
    )
    if controlled.fail_safe_a is None:
        return (
            f"{gain} It is no remedy as long as nobody states the current to which the load "
            "management falls back when its signal fails: that current counts as drawn at any time."
        )
    fallback = amount_text(controlled.fail_safe_a, "A")
    if controlled.hours_fail_safe_exceeds > 0:
        hours = hours_text(controlled.hours_fail_safe_exceeds)
        return (
            f"{gain} It does not help: the {fallback} to which the load management falls back "
            f"would themselves exceed a limit in {hours}."
        )
    return f"{gain} The {fallback} to which the load management falls back fit at every moment."


def hours_text(hours: float) -> str:
    """Return hours with their unit; a part of an hour is not lost."""
    return amount_text(hours, "h", 4) if hours else "0 h"


def moment(at: dt.datetime) -> str:
    """Return a moment on the clock of the site."""
    return f"{at:%Y-%m-%d %H:%M}"


def _period(study: YearStudy) -> str:
    length = "A whole year" if study.whole_year else f"{number_text(study.days)} days"
    text = (
        f"{length}, from {moment(study.first)} to {moment(study.last)} ({study.time_zone}), in "
        "quarter-hours."
    )
    if study.whole_year:
        return text
    return f"{text} Hours are those of this time; nothing is said of the rest of the year."


def _demands(study: YearStudy) -> list[str]:
    words = {"log": "by its measured log", "load profile": "shaped by a standard load profile"}
    lines = []
    for one in study.demands:
        line = f"{one.where}: {words.get(one.kind, one.kind)}"
        if one.unlogged_hours:
            line += (
                f"; {hours_text(one.unlogged_hours)} without a figure, in which its largest counts"
            )
        if one.years_laid_over > 1:
            line += f"; {one.years_laid_over} years laid over each other, the largest figure counts"
        lines.append(line)
    return lines


def _warnings(study: YearStudy) -> list[str]:
    lines = []
    if not study.complete:
        lines.append(
            "Not in these figures, because it could not be judged: " + ", ".join(study.missing)
        )
    if study.hours_not_supplied:
        lines.append(
            f"In {hours_text(study.hours_not_supplied)} the requested current cannot be supplied "
            "at all: the voltage collapses."
        )
    return lines


def _ways(study: YearStudy) -> tuple[tuple[str, str, str, str, str], ...]:
    fixed, controlled = study.fixed, study.controlled
    rows = [
        (
            "as requested, fixed",
            amount_text(study.requested_a, "A"),
            hours_text(study.hours_exceeded),
            _kwh(study.requested.mean_kwh),
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
                _kwh(fixed.delivered.mean_kwh),
                _worst(fixed.delivered),
            )
        )
    rows.append(
        (
            "following the free current",
            f"up to {amount_text(study.requested_a, 'A')}",
            hours_text(controlled.hours_fail_safe_exceeds),
            _kwh(controlled.delivered.mean_kwh),
            _worst(controlled.delivered),
        )
    )
    return tuple(rows)


def _place(place: FreePlace) -> tuple[str, str, str, str, str, str]:
    return (
        place.name,
        amount_text(place.lowest_a, "A"),
        moment(place.lowest_at) if place.varies else "always",
        amount_text(place.highest_a, "A"),
        hours_text(place.hours_exceeded),
        f"{place.held_by} ({place.check})" if place.held_by else place.check,
    )


def _kwh(energy_kwh: float) -> str:
    return amount_text(energy_kwh, "kWh")


def _worst(delivered: Delivered) -> str:
    if delivered.worst_day_kwh is None or delivered.worst_day is None:
        return NONE
    return f"{_kwh(delivered.worst_day_kwh)} on {delivered.worst_day:%Y-%m-%d}"
