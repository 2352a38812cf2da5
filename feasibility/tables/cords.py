"""Flexible cords: two national rule sets, each with its own currents and factors, never mixed."""

from __future__ import annotations

from feasibility.result import Quantity
from feasibility.tables.errors import NotTabulated
from feasibility.tables.loader import table
from feasibility.tables.lookup import distinct, exact, quantity, select, unfavourable
from feasibility.tables.record import Cell

FILE_ENDING = {"bs7671": "bs7671", "vde0298-4": "vde0298_4"}
DRUM = {"bs7671": "ventilated cylindrical drum", "vde0298-4": "cylindrical drum"}


def cord_ampacity(*, table_set: str, cord: str, loaded: int, section_mm2: float) -> Quantity:
    """Return the ampacity of a flexible cord in A, at 30 C air, uncoiled.

    Source: BS 7671 Tables 4F1A and 4F2A (``bs7671``) or DIN VDE 0298-4 Tables 11 and 15
    (``vde0298-4``). ``cord`` is named by its conductor temperature: ``60 C rubber`` (H07RN-F, both
    sets), ``90 C thermosetting`` (bs7671), ``80 C heavy rubber`` and ``90 C heavy rubber``
    (vde0298-4). Raises NotTabulated.
    """
    criteria: dict[str, Cell] = {"cord": cord, "loaded": loaded, "section_mm2": section_mm2}
    meaning = f"ampacity of the cord, {section_mm2:g} mm2, {cord}"
    name = _file("cord_ampacity", table_set)
    return exact(name, "current_a", criteria, symbol="It", meaning=meaning)


def cord_sections(*, table_set: str, cord: str, loaded: int) -> tuple[float, ...]:
    """Return the sections in mm2 for which a cord's ampacity is tabulated, rising."""
    rows = select(table(_file("cord_ampacity", table_set)).rows, {"cord": cord, "loaded": loaded})
    return tuple(sorted(row.number("section_mm2") for row in rows))


def cord_ambient_factor(*, table_set: str, cord: str, temperature_c: float) -> Quantity:
    """Return the ambient temperature factor of a cord (reference 30 C), from its own rule set.

    Between entries the next hotter one counts, below the coldest entry the coldest; above the
    hottest NotTabulated is raised.
    """
    source = table(_file("cord_ambient", table_set))
    rows = select(source.rows, {"cord": cord})
    row, note = unfavourable(rows, "temperature_c", temperature_c, reach_below=True)
    meaning = f"factor for air at {temperature_c:g} °C, {cord}"
    return quantity(source, row, "factor", symbol="ca", meaning=meaning, note=note)


def cord_drum_factor(*, table_set: str, layers: int) -> Quantity:
    """Return the factor for a cord wound in ``layers`` on a cylindrical drum.

    Source: DIN VDE 0298-4 Table 27, or the notes of BS 7671 Tables 4F1A and 4F2A (ventilated drum).
    Raises NotTabulated, also for 0 layers: an unwound cord needs no factor.
    """
    criteria: dict[str, Cell] = {"drum": DRUM.get(table_set, ""), "layers": layers}
    meaning = f"factor for {layers} layers on a drum"
    name = _file("cord_drum", table_set)
    return exact(name, "factor", criteria, symbol="cd", meaning=meaning)


def cord_grades(*, table_set: str) -> tuple[str, ...]:
    """Return the grades of cord that a rule set knows."""
    rows = table(_file("cord_ampacity", table_set)).rows
    return tuple(str(grade) for grade in distinct(rows, "cord"))


def _file(stem: str, table_set: str) -> str:
    if table_set not in FILE_ENDING:
        raise NotTabulated(parameter="table_set", value=table_set, permitted=FILE_ENDING)
    return f"{stem}_{FILE_ENDING[table_set]}"
