"""Contradictions within residual-current devices, outlet, sources and dates of a survey."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from feasibility.load_profile.record import FIRST_YEAR, LAST_YEAR
from feasibility.survey.plain_data import (
    Inconsistency,
    KeyPath,
    Table,
    is_stated,
    items,
    number,
    single,
    table,
    tables,
    text,
)

# IEC 60309-2, standard sheets: a pilot contact is for rated currents from 63 A (from memory).
PILOT_CONTACT_FROM_A = 63

# A source switches off at the latest at this multiple of the nominal voltage (EN 50549-1, from
# memory: second threshold of the overvoltage protection, 1.15, and a margin for rounded figures).
HIGHEST_INFEED_VOLTAGE = 1.2


def arrangement_inconsistencies(data: Table) -> Iterator[Inconsistency]:
    """Yield every contradiction of this kind in the plain data of a survey."""
    for position, circuit in tables(data, "circuit"):
        path: KeyPath = ("circuit", position, "residual_current_device")
        yield from _delay(path, table(circuit, "residual_current_device"))
        yield from _pen(position, circuit, text(table(data, "supply"), "earthing_system"))
    places: list[tuple[KeyPath, Table]] = [(("supply",), table(data, "supply"))]
    places += [(("board", position), board) for position, board in tables(data, "board")]
    for place_path, place in places:
        if single(place, "other_sources_none") is True and items(place, "source"):
            expected = "false or no such line beside the sources that are listed"
            yield Inconsistency((*place_path, "other_sources_none"), True, expected)  # noqa: FBT003
    places += [(("circuit", position), circuit) for position, circuit in tables(data, "circuit")]
    nominal_v = number(table(data, "supply"), "nominal_voltage_v")
    for place_path, place in places:
        for position, source in tables(place, "source"):
            yield from _rated_power((*place_path, "source", position), source, nominal_v)
    outlet = table(data, "outlet")
    yield from _terminals(("outlet",), outlet, "terminals")
    yield from _terminals(("cord",), table(data, "cord"), "plug_terminals")
    yield from _interlock(data, outlet)
    yield from _dates(data, outlet)
    yield from _feeding_back(table(data, "station"))


def _rated_power(path: KeyPath, source: Table, nominal_v: float | None) -> Iterator[Inconsistency]:
    """Hold the rated power of a source against what its largest current makes possible."""
    power_kw, current_a = number(source, "rated_power_kw"), number(source, "rated_current_a")
    if power_kw is None or current_a is None or nominal_v is None:
        return
    phases = 1 if single(source, "phases") in ("L1", "L2", "L3") else 3
    most_kw = HIGHEST_INFEED_VOLTAGE * phases * current_a * nominal_v / 3**0.5 / 1000
    if power_kw > most_kw:
        expected = (
            f"at most the {most_kw:.3g} kW that rated_current_a = {current_a:g} gives "
            f"in {phases} phase{'s' if phases > 1 else ''}"
        )
        yield Inconsistency((*path, "rated_power_kw"), single(source, "rated_power_kw"), expected)


def _feeding_back(station: Table) -> Iterator[Inconsistency]:
    """Hold what blocks feeding back against whether the station can."""
    can, blocked = single(station, "can_feed_back"), text(station, "feed_back_blocked_by")
    path: KeyPath = ("station", "feed_back_blocked_by")
    if can is False and blocked == "nothing":
        expected = "what blocks it, for can_feed_back is false"
        yield Inconsistency(path, blocked, expected)
    if can is True and blocked not in (None, "nothing"):
        expected = '"nothing" beside can_feed_back = true; what is blocked cannot feed back'
        yield Inconsistency(path, blocked, expected)


def _delay(path: KeyPath, device: Table) -> Iterator[Inconsistency]:
    delay = text(device, "delay")
    if is_stated(device, "delay_s") and delay is not None and delay != "adjustable":
        expected = f'nothing here beside delay = "{delay}"; only an adjustable delay has a setting'
        yield Inconsistency((*path, "delay_s"), single(device, "delay_s"), expected)


def _terminals(path: KeyPath, data: Table, field: str) -> Iterator[Inconsistency]:
    low, high = number(data, f"{field}_from_mm2"), number(data, f"{field}_to_mm2")
    if low is not None and high is not None and low > high:
        expected = f"at most {field}_to_mm2, which is {high:g}"
        yield Inconsistency((*path, f"{field}_from_mm2"), low, expected)


def _interlock(data: Table, outlet: Table) -> Iterator[Inconsistency]:
    rating_a, pilot = number(outlet, "rating_a"), text(outlet, "pilot_contact")
    if rating_a is not None and rating_a < PILOT_CONTACT_FROM_A and pilot not in (None, "none"):
        expected = f'"none" for an outlet below {PILOT_CONTACT_FROM_A} A, which has none'
        yield Inconsistency(("outlet", "pilot_contact"), pilot, expected)
    switch = single(outlet, "interlocked_switch")
    if switch is not False:
        return
    for _, circuit in tables(data, "circuit"):
        kinds = {text(part, "kind") for _, part in tables(circuit, "part")}
        if text(circuit, "ends_at") == "outlet" and "interlocked switch" in kinds:
            expected = "true, since the circuit lists an interlocked switch"
            yield Inconsistency(("outlet", "interlocked_switch"), switch, expected)


def _dates(data: Table, outlet: Table) -> Iterator[Inconsistency]:
    surveyed = _date(single(table(data, "surveyor"), "date"))
    inspected = _date(single(outlet, "last_inspection"))
    year = number(outlet, "erected_year")
    if surveyed is not None and not FIRST_YEAR <= surveyed.year <= LAST_YEAR:
        expected = f"a date of a year from {FIRST_YEAR} to {LAST_YEAR}"
        yield Inconsistency(("surveyor", "date"), surveyed, expected)
    if surveyed is not None and inspected is not None and inspected > surveyed:
        expected = f"a date not after that of the survey, {surveyed.isoformat()}"
        yield Inconsistency(("outlet", "last_inspection"), inspected, expected)
    for other, words in ((surveyed, "survey"), (inspected, "last inspection")):
        if year is not None and other is not None and year > other.year:
            expected = f"a year not after that of the {words}, {other.year}"
            yield Inconsistency(("outlet", "erected_year"), int(year), expected)
            return


def _date(value: object) -> dt.date | None:
    """Return a plain date; one with a time of day is not comparable and refused elsewhere."""
    plain = isinstance(value, dt.date) and not isinstance(value, dt.datetime)
    return value if plain else None  # type: ignore[return-value]


def _pen(position: int, circuit: Table, system: str | None) -> Iterator[Inconsistency]:
    pen = single(circuit, "pen_conductor")
    if pen is True and system in ("TN-S", "TT", "IT"):
        expected = f"false, since a system {system} has no PEN conductor in the installation"
        yield Inconsistency(("circuit", position, "pen_conductor"), pen, expected)
    if single(circuit, "other_outlets_none") is True and items(circuit, "source"):
        expected = "false or no such line beside a source on the circuit"
        yield Inconsistency(("circuit", position, "other_outlets_none"), True, expected)  # noqa: FBT003
