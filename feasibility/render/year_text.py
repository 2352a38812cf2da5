"""What the study of a year says, in sentences: for the terminal and for a report."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from feasibility.render.numbers import amount_text, carried_text, number_text

if TYPE_CHECKING:
    from feasibility.year.record import Delivered, YearStudy


def year_sentences(study: YearStudy) -> tuple[str, ...]:
    """Return the result of the study, one point a sentence or two."""
    return tuple(
        text
        for points in (
            _requested(study),
            _fixed(study),
            _controlled(study),
            _evidence(study),
        )
        for text in points
    )


def year_heading(study: YearStudy) -> str:
    """Return which time was studied."""
    days = amount_text(study.days, "days", digits=4)
    span = f"{study.first:%Y-%m-%d} to {study.last:%Y-%m-%d}, {study.time_zone}"
    return f"every quarter-hour of {days} ({span})"


def only_sometimes(study: YearStudy | None) -> str:
    """Return that the requested current exceeds a limit in some hours only; empty otherwise."""
    if study is None or not study.exceeded_only_sometimes:
        return ""
    return f"it exceeds a limit in {_hours(study, study.hours_exceeded)}"


def _hours(study: YearStudy, hours: float) -> str:
    """Return hours of the year, or of what was logged where that is less.

    Hours that come from a standard load profile are never said without a word on whose they are.
    """
    of = "of the year" if study.whole_year else "logged"
    shown, every = number_text(hours, digits=4), number_text(study.hours, digits=4)
    estimated = any(one.estimated_hours for one in study.demands)
    whose = " (with a standard load profile, an estimate)" if estimated else ""
    return f"{shown} of the {every} hours {of}{whose}"


def _requested(study: YearStudy) -> Iterator[str]:
    asked = amount_text(study.requested_a, "A", digits=4)
    path = study.whole_path
    if study.hours_exceeded == 0:
        yield f"The requested {asked} per phase exceeds no limit at any moment."
    else:
        yield (
            f"The requested {asked} per phase exceeds a limit in "
            f"{_hours(study, study.hours_exceeded)}. Least is free on {path.lowest_at:%Y-%m-%d} at "
            f"{path.lowest_at:%H:%M}: {carried_text(path.lowest_a)}, held by {path.held_by}."
        )
    if study.hours_not_supplied:
        hours = _hours(study, study.hours_not_supplied)
        yield f"In {hours} the load cannot be supplied at all: the voltage collapses."


def _fixed(study: YearStudy) -> Iterator[str]:
    fixed = study.fixed
    if fixed.setting_a is None:
        return
    if fixed.setting_a == 0:
        yield "No setting of the station exceeds nothing at every moment."
        return
    yield (
        "Largest fixed setting that exceeds nothing at any moment: "
        f"{carried_text(fixed.setting_a)}, {kwh_text(fixed.delivered.mean_kwh)} a day."
    )


def _controlled(study: YearStudy) -> Iterator[str]:
    """Say what load management gains; nothing where the requested current always fits."""
    if study.hours_exceeded == 0:
        return
    controlled, fixed_kwh = study.controlled, study.fixed.delivered.mean_kwh
    follows = _follows(controlled.delivered)
    if controlled.fail_safe_a is None:
        yield (
            f"A setting that follows the free current would deliver {follows}, against "
            f"{kwh_text(fixed_kwh)} fixed. It counts only with the value that load management "
            "falls back to, which is not stated."
        )
        return
    fail_safe = amount_text(controlled.fail_safe_a, "A", digits=4)
    if controlled.hours_fail_safe_exceeds:
        hours = _hours(study, controlled.hours_fail_safe_exceeds)
        yield (
            f"Load management does not help: the {fail_safe} that it falls back to exceeds a limit "
            f"in {hours}."
        )
    elif controlled.helps:
        yield (
            f"Load management that falls back to {fail_safe} delivers {follows}, against "
            f"{kwh_text(fixed_kwh)} fixed."
        )
    else:
        yield (
            f"Load management that falls back to {fail_safe} delivers {follows}, no more than the "
            "fixed setting that fits, as far as it could be judged."
        )


def _follows(delivered: Delivered) -> str:
    words = f"{kwh_text(delivered.mean_kwh)} a day on average"
    if delivered.worst_day_kwh is None or delivered.worst_day is None:
        return words
    return f"{words} and {kwh_text(delivered.worst_day_kwh)} on {delivered.worst_day:%Y-%m-%d}"


def kwh_text(kwh: float) -> str:
    """Return an energy with its unit."""
    return amount_text(kwh, "kWh")


def _evidence(study: YearStudy) -> Iterator[str]:
    """Say what stands in for figures that nobody logged."""
    for one in study.demands:
        if one.kind == "load profile":
            yield (
                f"The demand of {one.where} is spread over the year by a standard load profile, "
                "the mean of many customers: its hours are an estimate."
            )
        elif one.estimated_hours:
            hours = amount_text(one.estimated_hours, "h", digits=6)
            yield (
                f"For {hours} of the year nothing was logged of {one.where}. A standard load "
                "profile, the mean of many customers, stands in there, with the factors on the "
                "log's largest figure and never below what was logged at the same hour of the "
                "week: these hours are an estimate."
            )
        if one.unlogged_hours:
            hours = amount_text(one.unlogged_hours, "h", digits=6)
            yield f"For {hours} the log of {one.where} has no figure: its largest one counts."
        if one.years_laid_over > 1:
            yield (
                f"The log of {one.where} is longer than a year: its years are laid over each other "
                "week by week, and the largest figure of each quarter-hour counts."
            )
    if not study.whole_year:
        yield "Less than a year was logged: these hours are no figure of a year."
    if not study.complete:
        yield f"Limits that could not be judged are not counted: {'; '.join(study.missing)}."
    yield (
        "A current above a limit counts however short it lasts. Powers are at nominal voltage; "
        "limits that only advise are not counted."
    )
