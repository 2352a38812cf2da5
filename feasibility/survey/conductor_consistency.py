"""Statements about protective conductors that contradict others of the survey."""

from __future__ import annotations

from collections.abc import Iterator

from feasibility.survey.plain_data import (
    Inconsistency,
    KeyPath,
    Table,
    is_stated,
    number,
    single,
    tables,
    text,
)

_IN_ONE_CABLE = ("core of the cable", "concentric conductor")


def conductor_inconsistencies(data: Table) -> Iterator[Inconsistency]:
    """Find what cannot be in a cable, whatever else in the survey is wrong."""
    for position, circuit in tables(data, "circuit"):
        for number_of, cable in tables(circuit, "cable"):
            yield from _protective(("circuit", position, "cable", number_of), cable)


def _protective(path: KeyPath, cable: Table) -> Iterator[Inconsistency]:
    if number(cable, "protective_section_mm2") == 0:
        expected = "nothing here, since protective_section_mm2 = 0 says that there is none"
        if is_stated(cable, "protective_conductor_laid"):
            key = "protective_conductor_laid"
            yield Inconsistency((*path, key), single(cable, key), expected)
        if (number(cable, "second_protective_section_mm2") or 0) > 0:
            key = "second_protective_section_mm2"
            yield Inconsistency((*path, key), single(cable, key), expected)
    laid = text(cable, "protective_conductor_laid")
    if laid in _IN_ONE_CABLE and text(cable, "construction") == "single-core":
        expected = 'something else beside construction = "single-core", whose cable has one core'
        yield Inconsistency((*path, "protective_conductor_laid"), laid, expected)
