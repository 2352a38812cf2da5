"""What the year of second sources says, in sentences: for the terminal and for a report."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from typing import TYPE_CHECKING

from feasibility.render.numbers import (
    amount_text,
    carried_number,
    distinct_numbers,
    number_text,
    with_unit,
)
from feasibility.render.plain_lines import wrapped
from feasibility.render.year_text import kwh_text

if TYPE_CHECKING:
    from feasibility.year.generation_record import (
        GenerationStudy,
        OverTheYear,
        RaisedVoltage,
        SourceOverTime,
    )

NO_RELIEF = (
    "This is no relief: nothing that is fed in is subtracted from any current, and no verdict gets "
    "better by it. Every quarter-hour is counted as if nothing drew."
)
WHAT_HELPS = (
    "A voltage that is too high comes down with a thicker or shorter cable to the source, or with "
    "its inverter set to limit the voltage by itself, within what the network operator permits. "
    "Where the supply itself stands high, read its voltage on a bright day and ask the operator."
)
_RISE, _AT_STATION = "infeed-voltage-rise", "infeed-voltage-at-station"


def generation_section(study: GenerationStudy | None) -> Iterator[str]:
    """Yield the lines of the study for a terminal; none where there is no study."""
    if study is None:
        return
    yield from wrapped(f"SECOND SOURCES OVER THE YEAR: {generation_heading(study)}")
    for sentence in generation_sentences(study):
        yield from wrapped(sentence, first="  - ")


def generation_heading(study: GenerationStudy) -> str:
    """Return which time was studied."""
    over = study.over_year
    if over is None:
        return "not studied"
    return f"{over.first:%Y-%m-%d} to {over.last:%Y-%m-%d}, {over.time_zone}"


def generation_sentences(study: GenerationStudy) -> tuple[str, ...]:
    """Return the result of the study, one point a sentence or two."""
    return tuple(_sentences(study))


def _sentences(study: GenerationStudy) -> Iterator[str]:
    over = study.over_year
    if over is not None:
        yield from (_source(one, over) for one in over.sources)
        most = amount_text(over.largest_a, "A")
        yield f"Most that is fed in: {most} on {over.largest_on}, {_when(over.largest_at)}."
        yield from (_voltage(one, over) for one in over.voltages)
        if any(one.hours_exceeded for one in over.voltages):
            yield WHAT_HELPS
        yield from _evidence(over)
    if study.missing:
        yield f"Not known: {'; '.join(study.missing)}."
    yield NO_RELIEF


def _voltage(one: RaisedVoltage, over: OverTheYear) -> str:
    origin_v = None if one.origin_up_to_v is None else over.origin_v
    compared = (one.highest, one.limit, origin_v if one.unit == "V" else None)
    highest, limit, _ = (with_unit(text, one.unit) for text in distinct_numbers(compared))
    if one.check == _RISE:
        text = f"At {one.link} the voltage rises by up to {highest}"
        bound = f"the advised {limit}"
    elif one.check == _AT_STATION:
        text = f"At the idle station there are up to {highest}"
        bound = f"the {limit} that it accepts"
    else:
        text = f"At {one.link} there are up to {highest} of the nominal voltage"
        bound = f"the {limit} that equipment is made for"
    if origin_v is not None:
        text += f" with the supply at its highest, {amount_text(origin_v, 'V')}"
    if not one.hours_exceeded:
        return f"{text}; {bound} is never exceeded."
    hours = _hours(one.hours_exceeded, over)
    if one.origin_up_to_v is None:
        return f"{text}; {bound} is exceeded in {hours}, most of all {_when(one.highest_at)}."
    up_to = with_unit(carried_number(one.origin_up_to_v), "V")
    return (
        f"{text}; {bound} would be exceeded in {hours} if it stayed there, and in none as long as "
        f"it stays at or below {up_to}."
    )


def _hours(hours: float, over: OverTheYear) -> str:
    of = "of the year" if over.whole_year else "studied"
    shown, every = number_text(hours, digits=4), number_text(over.hours, digits=4)
    at_most = "at most " if over.latitude_deg is not None else ""
    return f"{at_most}{shown} of the {every} hours {of}"


def _source(one: SourceOverTime, over: OverTheYear) -> str:
    if one.log is not None:
        energy = kwh_text(one.energy_kwh or 0.0)
        return (
            f"{one.name}: by its log {one.log.file}, the largest figure of each quarter-hour; "
            f"{energy} in that time, and up to {amount_text(one.highest_a, 'A')} in each of its "
            "phases."
        )
    if one.energy_kwh is None:
        return (
            f"{one.name}: nothing says how its output runs, so it counts at its rating, "
            f"{amount_text(one.highest_a, 'A')}, at every moment."
        )
    return (
        f"{one.name}: every day of the year without a cloud and its panels always square to the "
        f"sun, at a latitude of {_latitude(over.latitude_deg or 0.0)}. That is an upper figure for "
        f"panels that stand still, however they stand, and no forecast: {kwh_text(one.energy_kwh)} "
        "at most. Panels of more power than the inverter hold its rating for longer."
    )


def _latitude(degrees: float) -> str:
    return f"{number_text(abs(degrees), digits=4)}° {'south' if degrees < 0 else 'north'}"


def _evidence(over: OverTheYear) -> Iterator[str]:
    if over.latitude_deg is not None and any(one.log for one in over.sources):
        yield (
            "Beside a log the time of the sun is known to an hour and a half only; the most within "
            "that time counts."
        )
    if over.hours_left_out:
        hours = amount_text(over.hours_left_out, "h", digits=6)
        yield f"For {hours} a log has no figure; they are left out."
    if over.years_laid_over > 1:
        yield (
            "A log is longer than a year: its years are laid over each other week by week, and the "
            "largest figure of each quarter-hour counts."
        )
    if not over.whole_year:
        yield "Less than a year was logged: these hours are no figure of a year."


def _when(at: dt.datetime) -> str:
    return f"on {at:%Y-%m-%d} at {at:%H:%M}"
