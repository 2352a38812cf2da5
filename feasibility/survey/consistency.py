"""Statements of a survey that contradict one another, found without any code basis or table.

The rules work on plain data (what a TOML file holds, or ``Survey.model_dump()``), so they also
run where single fields are wrong: what they cannot use, they pass over. A value that is unknown
or only a range is not compared.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from feasibility.survey.arrangement_consistency import arrangement_inconsistencies
from feasibility.survey.cable_consistency import cable_inconsistencies
from feasibility.survey.conductor_consistency import conductor_inconsistencies
from feasibility.survey.demand_consistency import demand_inconsistencies
from feasibility.survey.device_consistency import device_inconsistencies
from feasibility.survey.log_consistency import log_inconsistencies
from feasibility.survey.plain_data import (
    Inconsistency,
    KeyPath,
    Table,
    at_most,
    finite,
    is_stated,
    items,
    number,
    single,
    table,
    tables,
)
from feasibility.survey.quality_consistency import quality_inconsistencies
from feasibility.survey.reading_consistency import reading_inconsistencies
from feasibility.survey.series_consistency import series_inconsistencies
from feasibility.survey.source_consistency import source_inconsistencies
from feasibility.survey.transformer_consistency import transformer_inconsistencies
from feasibility.survey.tree_consistency import tree_inconsistencies

# A measured voltage outside half to one and a half times the nominal one is a slip of the pen or
# of the range switch, not a supply (common practice, no source).
PLAUSIBLE_VOLTAGE_LOW, PLAUSIBLE_VOLTAGE_HIGH = 0.5, 1.5

_MOST_SETTINGS_LISTED = 12
_RESIDUAL_FIELDS = (
    "type",
    "residual_current_ma",
    "rating_a",
    "delay",
    "delay_s",
    "combined",
    "direct_current_detection",
    "other_leakage_ma",
    "other_direct_current_ma",
    "conditional_fault_current_ka",
)


def inconsistencies(data: Table) -> list[Inconsistency]:
    """Return every contradiction in the plain data of a survey; an empty list if there is none."""
    found = [
        *tree_inconsistencies(data),
        *arrangement_inconsistencies(data),
        *log_inconsistencies(data),
        *quality_inconsistencies(data),
        *reading_inconsistencies(data),
        *source_inconsistencies(data),
        *transformer_inconsistencies(data),
    ]
    for rule in (_version, _supply, _circuits, _outlet, _station):
        found.extend(rule(data))
    found.extend(demand_inconsistencies(data))
    found.extend(cable_inconsistencies(data))
    found.extend(device_inconsistencies(data))
    found.extend(series_inconsistencies(data))
    found.extend(conductor_inconsistencies(data))
    found.extend(_control_characters(data))
    return found


def _version(data: Table) -> Iterator[Inconsistency]:
    # The model compares with ==, and true == 1.
    version = data.get("survey_version")
    if version is True:
        yield Inconsistency(("survey_version",), version, "1")


def _supply(data: Table) -> Iterator[Inconsistency]:
    supply = table(data, "supply")
    yield from at_most(supply, ("supply",), "lowest_voltage_v", "highest_voltage_v")
    smallest, largest = "smallest_fault_current_ka", "prospective_fault_current_ka"
    yield from at_most(supply, ("supply",), smallest, largest)
    nominal_v = number(supply, "nominal_voltage_v")
    if nominal_v is None:
        return
    low_v, high_v = PLAUSIBLE_VOLTAGE_LOW * nominal_v, PLAUSIBLE_VOLTAGE_HIGH * nominal_v
    for key in ("lowest_voltage_v", "highest_voltage_v"):
        measured_v = number(supply, key)
        if measured_v is not None and not low_v <= measured_v <= high_v:
            expected = (
                f"a voltage between lines from {low_v:g} to {high_v:g} V "
                f"at a nominal voltage of {nominal_v:g} V"
            )
            yield Inconsistency(("supply", key), single(supply, key), expected)


def _circuits(data: Table) -> Iterator[Inconsistency]:
    for position, circuit in tables(data, "circuit"):
        path: KeyPath = ("circuit", position)
        listed = len(items(circuit, "other_outlet"))
        none_found = single(circuit, "other_outlets_none")
        if none_found is True and listed:
            expected = f"false or no such line beside {listed} [[circuit.other_outlet]]"
            yield Inconsistency((*path, "other_outlets_none"), none_found, expected)
        residual = table(circuit, "residual_current_device")
        if single(residual, "present") is False:
            for key in _RESIDUAL_FIELDS:
                if is_stated(residual, key):
                    yield Inconsistency(
                        (*path, "residual_current_device", key),
                        single(residual, key),
                        "nothing here, since present = false says that there is no such device",
                    )
        for part_position, part in tables(circuit, "part"):
            yield from at_most(part, (*path, "part", part_position), "continuous_a", "rating_a")


def _outlet(data: Table) -> Iterator[Inconsistency]:
    outlet = table(data, "outlet")
    yield from at_most(outlet, ("outlet",), "continuous_a", "rating_a")


def _station(data: Table) -> Iterator[Inconsistency]:
    station = table(data, "station")
    if is_stated(station, "input_power_kw") and is_stated(station, "dc_power_kw"):
        expected = "the power in one way only; input_power_kw already gives it"
        yield Inconsistency(("station", "dc_power_kw"), single(station, "dc_power_kw"), expected)
    for low, high in (
        ("minimum_voltage_v", "full_power_voltage_v"),
        ("minimum_voltage_v", "maximum_voltage_v"),
        ("full_power_voltage_v", "maximum_voltage_v"),
    ):
        yield from at_most(station, ("station",), low, high)
    yield from _offered_settings(station)


def _offered_settings(station: Table) -> Iterator[Inconsistency]:
    listed = items(station, "settings_a")
    settings_a = [finite(setting) for setting in listed]
    for position, (before, after) in enumerate(pairwise(settings_a), start=1):
        if before is not None and after is not None and after <= before:
            expected = f"settings in rising order, each once; {before:g} stands before it"
            yield Inconsistency(("station", "settings_a", position), listed[position], expected)
    if not settings_a or None in settings_a or number(station, "setting_a") is None:
        return
    if number(station, "setting_a") not in settings_a:
        shown = ", ".join(f"{setting:g}" for setting in settings_a[:_MOST_SETTINGS_LISTED])
        more = ", ..." if len(settings_a) > _MOST_SETTINGS_LISTED else ""
        expected = f"one of settings_a: {shown}{more}"
        yield Inconsistency(("station", "setting_a"), single(station, "setting_a"), expected)


def _control_characters(data: Table) -> Iterator[Inconsistency]:
    """Find texts with characters that no document can show; line breaks and tabs may stand."""
    waiting: list[tuple[KeyPath, object]] = [((), data)]
    while waiting:
        path, value = waiting.pop()
        if isinstance(value, Mapping):
            waiting.extend(((*path, str(key)), item) for key, item in value.items())
        elif isinstance(value, str):
            if not value.isprintable() and any(_is_control(char) for char in value):
                yield Inconsistency(path, value, "text without control characters")
        elif isinstance(value, Sequence):
            waiting.extend(((*path, position), item) for position, item in enumerate(value))


def _is_control(char: str) -> bool:
    return unicodedata.category(char) == "Cc" and char not in "\n\r\t"
