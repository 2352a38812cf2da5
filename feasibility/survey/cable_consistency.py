"""Resistances of a cable that no conductor of the stated section can have."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from feasibility.survey.plain_data import (
    Inconsistency,
    KeyPath,
    Table,
    finite,
    number,
    single,
    table,
    tables,
)

# Pure copper has 17.2 ohm mm2/km at 20 °C, aluminium for cables 28.3 (IEC 60287-1-1, Table 1); the
# bounds leave room for a section that is larger or smaller than its name.
LEAST_OHM_MM2_PER_KM, GREATEST_OHM_MM2_PER_KM = 15.0, 45.0

_SECTION_OF = {
    "resistance_ohm_per_km": "section_mm2",
    "neutral_resistance_ohm_per_km": "neutral_section_mm2",
    "protective_resistance_ohm_per_km": "protective_section_mm2",
}


def cable_inconsistencies(data: Table) -> Iterator[Inconsistency]:
    """Yield every resistance per km that does not go with its section."""
    for path, cable in _cables(data):
        for key, section_key in _SECTION_OF.items():
            section_mm2 = number(cable, section_key)
            if section_mm2 is None or section_mm2 <= 0:
                continue
            least = LEAST_OHM_MM2_PER_KM / section_mm2
            greatest = GREATEST_OHM_MM2_PER_KM / section_mm2
            for value in _stated(cable, key):
                if not least <= value <= greatest:
                    expected = (
                        f"{least:.3g} to {greatest:.3g} Ω/km, as copper or aluminium of "
                        f"{section_mm2:g} mm² ({section_key}) can have at 20 °C"
                    )
                    yield Inconsistency((*path, key), single(cable, key) or value, expected)
                    break


def _cables(data: Table) -> Iterator[tuple[KeyPath, Table]]:
    yield ("cord",), table(data, "cord")
    for position, circuit in tables(data, "circuit"):
        for number_, cable in tables(circuit, "cable"):
            path: KeyPath = ("circuit", position, "cable", number_)
            yield path, cable
            for other, parallel in tables(cable, "parallel_cable"):
                yield (*path, "parallel_cable", other), parallel


def _stated(cable: Table, key: str) -> list[float]:
    """Return the numbers that a field states: its value, or its bounds."""
    value = cable.get(key)
    if isinstance(value, Mapping):
        numbers = [finite(value.get(part)) for part in ("value", "low", "high")]
    else:
        numbers = [finite(value)]
    return [one for one in numbers if one is not None]
