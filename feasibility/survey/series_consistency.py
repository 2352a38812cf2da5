"""Contradictions in what a survey states on devices in series and on the station's own device."""

from __future__ import annotations

from collections.abc import Iterator

from feasibility.survey.device_kinds import ADJUSTABLE_BREAKER, CHARACTERISTICS_OF
from feasibility.survey.plain_data import (
    Inconsistency,
    KeyPath,
    Table,
    at_most,
    is_stated,
    single,
    table,
    tables,
    text,
)

_OWN = "input_device_"


def series_inconsistencies(data: Table) -> Iterator[Inconsistency]:
    """Find tables of selectivity that name no partner, and settings that a device cannot have."""
    service = table(table(data, "supply"), "service_device")
    if is_stated(service, "selective_up_to_ka"):
        path: KeyPath = ("supply", "service_device", "selective_up_to_ka")
        expected = "nothing here, since no device of the survey stands before the service device"
        yield Inconsistency(path, single(service, "selective_up_to_ka"), expected)
    for position, circuit in tables(data, "circuit"):
        yield from _partner(("circuit", position, "device"), table(circuit, "device"))
    yield from _own_device(table(data, "station"))


def _partner(path: KeyPath, device: Table) -> Iterator[Inconsistency]:
    limit, partner = is_stated(device, "selective_up_to_ka"), single(device, "selective_with")
    if limit and partner is None:
        expected = "selective_with beside it: the device before it, as the maker's table names it"
        yield Inconsistency(
            (*path, "selective_up_to_ka"), single(device, "selective_up_to_ka"), expected
        )
    if partner is not None and "selective_up_to_ka" not in device:
        expected = "selective_up_to_ka beside it: the limit that the maker's table gives"
        yield Inconsistency((*path, "selective_with"), partner, expected)


def _own_device(station: Table) -> Iterator[Inconsistency]:
    kind = text(station, f"{_OWN}kind")
    letter_key, setting_key, magnetic_key = (
        f"{_OWN}{name}" for name in ("characteristic", "setting_a", "magnetic_setting_a")
    )
    if kind is None:
        return
    if kind != ADJUSTABLE_BREAKER:
        for key in (setting_key, magnetic_key):
            if is_stated(station, key):
                expected = f"no setting, since the device is of kind {kind}, without any"
                yield Inconsistency(("station", key), single(station, key), expected)
    letters = CHARACTERISTICS_OF.get(kind, ())
    letter = text(station, letter_key)
    if letter is not None and letter not in letters:
        expected = f"one of {', '.join(letters)}" if letters else "no characteristic"
        expected += f" for a device of kind {kind}"
        yield Inconsistency(("station", letter_key), letter, expected)
    yield from at_most(station, ("station",), setting_key, f"{_OWN}rating_a")
    yield from at_most(station, ("station",), setting_key, magnetic_key)
