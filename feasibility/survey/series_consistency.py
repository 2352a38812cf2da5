"""Contradictions in what a survey states on devices in series and on the station's own device."""

from __future__ import annotations

from collections.abc import Iterator

from feasibility.survey.plain_data import (
    Inconsistency,
    KeyPath,
    Table,
    is_stated,
    number,
    single,
    table,
    tables,
    text,
)

_ADJUSTABLE = "IEC 60947-2 circuit-breaker"
_MINIATURE = "IEC 60898-1 circuit-breaker"
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
    if kind is None:
        return
    settings = [f"{_OWN}setting_a", f"{_OWN}magnetic_setting_a"]
    if kind == _ADJUSTABLE:
        unfit = [f"{_OWN}characteristic"]
    else:
        unfit = settings if kind == _MINIATURE else [f"{_OWN}characteristic", *settings]
    for key in unfit:
        if is_stated(station, key):
            expected = f"nothing here, since the device is of kind {kind}, which has none"
            yield Inconsistency(("station", key), single(station, key), expected)
    setting, rating = number(station, settings[0]), number(station, f"{_OWN}rating_a")
    magnetic = number(station, settings[1])
    for key, value, bound, name in (
        (settings[0], setting, rating, f"{_OWN}rating_a"),
        (settings[0], setting, magnetic, settings[1]),
    ):
        if value is not None and bound is not None and value > bound:
            yield Inconsistency(("station", key), value, f"at most {name}, which is {bound:g}")
