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
_PAIRINGS = (("selective_up_to_ka", "selective_with"), ("backed_up_to_ka", "backed_up_by"))


def series_inconsistencies(data: Table) -> Iterator[Inconsistency]:
    """Find tables of selectivity that name no partner, and settings that a device cannot have."""
    service = table(table(data, "supply"), "service_device")
    for limit_key, _ in _PAIRINGS:
        if is_stated(service, limit_key):
            path: KeyPath = ("supply", "service_device", limit_key)
            expected = (
                "nothing here, since no device of the survey stands before the service device"
            )
            yield Inconsistency(path, single(service, limit_key), expected)
    for position, circuit in tables(data, "circuit"):
        yield from _partner(("circuit", position, "device"), table(circuit, "device"))
    yield from _own_device(table(data, "station"))


def _partner(path: KeyPath, device: Table) -> Iterator[Inconsistency]:
    for limit_key, partner_key in _PAIRINGS:
        limit, partner = is_stated(device, limit_key), single(device, partner_key)
        if limit and partner is None:
            expected = (
                f"{partner_key} beside it: the device before it, as the maker's table names it"
            )
            yield Inconsistency((*path, limit_key), single(device, limit_key), expected)
        if partner is not None and limit_key not in device:
            expected = f"{limit_key} beside it: the limit that the maker's table gives"
            yield Inconsistency((*path, partner_key), partner, expected)


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
