"""Statements about harmonics, steps and the strength of the supply that contradict one another."""

from __future__ import annotations

import math
from collections.abc import Iterator

from feasibility.survey.plain_data import Inconsistency, Table, number, single, table

_SINGLE_ORDERS = (
    "third_harmonic_percent",
    "harmonic_5_percent",
    "harmonic_7_percent",
    "harmonic_9_percent",
    "harmonic_11_percent",
    "harmonic_13_percent",
)
_ROUNDING = 1.05
"""Figures of data sheets and of network operators are rounded (common practice, no source)."""
_HIGHEST_ORDER = 40
"""IEC 61000-3-12 counts harmonics up to the 40th order."""


def quality_inconsistencies(data: Table) -> Iterator[Inconsistency]:
    """Find contradictions in what a survey says of power quality."""
    yield from _harmonics(table(data, "station"))
    yield from _step(table(data, "station"))
    yield from _strength(table(data, "supply"))


def _harmonics(station: Table) -> Iterator[Inconsistency]:
    whole = number(station, "current_distortion_percent")
    if whole is None:
        return
    found = {key: number(station, key) for key in _SINGLE_ORDERS}
    stated = {key: value for key, value in found.items() if value is not None}
    together = math.hypot(*stated.values())
    if together > _ROUNDING * whole:
        expected = (
            f"at least {together:.3g} %, the root of the sum of squares of the harmonics that are "
            "stated one by one"
        )
        key = "current_distortion_percent"
        yield Inconsistency(("station", key), single(station, key), expected)
    weighted = number(station, "weighted_distortion_percent")
    most = math.sqrt(_HIGHEST_ORDER) * whole
    if weighted is not None and weighted > _ROUNDING * most:
        expected = (
            f"at most {most:.3g} %, what current_distortion_percent would make if it were all of "
            f"order {_HIGHEST_ORDER}"
        )
        key = "weighted_distortion_percent"
        yield Inconsistency(("station", key), single(station, key), expected)


def _step(station: Table) -> Iterator[Inconsistency]:
    step_a, rated_a = number(station, "largest_step_a"), number(station, "nameplate_current_a")
    if step_a is not None and rated_a is not None and step_a > rated_a:
        expected = f"at most nameplate_current_a, which is {rated_a:g}"
        value = single(station, "largest_step_a")
        yield Inconsistency(("station", "largest_step_a"), value, expected)


def _strength(supply: Table) -> Iterator[Inconsistency]:
    stated_kva = number(supply, "short_circuit_power_kva")
    nominal_v = number(supply, "nominal_voltage_v")
    fault_ka = number(supply, "prospective_fault_current_ka")
    if stated_kva is None or nominal_v is None or fault_ka is None:
        return
    largest_kva = math.sqrt(3) * nominal_v * fault_ka
    if stated_kva > _ROUNDING * largest_kva:
        expected = (
            f"at most {largest_kva:.4g} kVA, the short-circuit power of the largest fault current "
            "(prospective_fault_current_ka)"
        )
        value = single(supply, "short_circuit_power_kva")
        yield Inconsistency(("supply", "short_circuit_power_kva"), value, expected)
