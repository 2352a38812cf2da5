"""A site's feed path for an independent IEC 60909 solver, built from the survey by hand.

Nothing here asks the program: conductor resistances are those of ``hand``, the path is walked by
the names in the survey, and the conductors are as hot as their insulation permits.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from feasibility.network.fault_check import Fault, FaultSource, iec60909_currents
from feasibility.network.records import Branch, Network

from .hand import ALPHA_PER_K, CLASS_2_OHM_PER_KM, CLASS_5_OHM_PER_KM, REACTANCE_OHM_PER_KM

Data = Mapping[str, Any]
HOTTEST_C = {"PVC": 70.0, "XLPE": 90.0, "60 C rubber": 60.0, "90 C thermosetting": 90.0}
COLD_C = 20.0
FAULTS: Mapping[str, tuple[Fault, str]] = {
    "three-phase": ("three-phase", ""),
    "line-line": ("line-line", ""),
    "line-neutral": ("line to return conductor", "neutral_section_mm2"),
    "line-earth": ("line to return conductor", "protective_section_mm2"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """All cables of one circuit, or the cord, between two nodes."""

    node: str
    cables: tuple[Data, ...]
    flexible: bool = False

    def impedance_ohm(self, field: str, celsius: float | None) -> complex:
        """One conductor of each cable in series; ``celsius`` None: as hot as permitted."""
        table = CLASS_5_OHM_PER_KM if self.flexible else CLASS_2_OHM_PER_KM
        total = 0j
        for cable in self.cables:
            section = cable.get(field) or cable["section_mm2"]
            grade = cable["grade"] if self.flexible else cable["insulation"]
            hot_c = HOTTEST_C[grade] if celsius is None else celsius
            warm = 1 + ALPHA_PER_K * (hot_c - 20)
            kilometres = cable["length_m"] / 1000
            total += complex(table[section] * warm, REACTANCE_OHM_PER_KM) * kilometres
        return total


def stretches(survey: Data) -> list[Stretch]:
    """Return the feed path from the origin to the station's terminals."""
    by_end = {circuit["ends_at"]: circuit for circuit in survey["circuit"]}
    place, found = "outlet", []
    while place != "origin":
        circuit = by_end[place]
        found.append(Stretch(node=place, cables=tuple(circuit["cable"])))
        place = circuit["starts_at"]
    found.reverse()
    if "cord" in survey:
        found.append(Stretch(node="station", cables=(survey["cord"],), flexible=True))
    return found


def network_of(survey: Data, field: str, celsius: float | None) -> Network:
    """Return the path with line and return conductor at one temperature (None: hot)."""
    branches, before = [], "origin"
    for stretch in stretches(survey):
        line = stretch.impedance_ohm("section_mm2", celsius)
        back = stretch.impedance_ohm(field, celsius) if field else line
        branches.append(
            Branch(
                name=stretch.node,
                from_node=before,
                to_node=stretch.node,
                resistance_ohm=line.real,
                reactance_ohm=line.imag,
                neutral_resistance_ohm=back.real,
                neutral_reactance_ohm=back.imag,
                has_neutral=True,
            )
        )
        before = stretch.node
    return Network(
        nominal_voltage_v=400.0,
        source_node="origin",
        source_voltage_v=400.0,
        branches=tuple(branches),
        loads=(),
        frequency_hz=50.0,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """What stands before the origin, in ohm: one line, or the whole loop of line and return.

    For a loop each sequence impedance is taken as the loop itself, so that (2 Z1 + Z0) / 3 is it.
    """

    ohm: float

    def source(self, voltage_factor: float, r_to_x: float) -> FaultSource:
        """Return it as the fault level that stands for it."""
        level_mva = voltage_factor * 400**2 / self.ohm / 1e6
        return FaultSource(level_mva=level_mva, r_to_x=r_to_x, zero_to_positive=1.0)


def largest_a(
    survey: Data, kind: str, supply: Supply, angles: Sequence[float], factor: float = 1.10
) -> dict[str, list[float]]:
    """Return the largest currents at each node, one for each R/X of the supply."""
    fault, field = FAULTS[kind]
    network = network_of(survey, field, COLD_C)
    found: dict[str, list[float]] = {}
    for angle in angles:
        source = supply.source(factor, angle)
        currents = iec60909_currents(
            network, strongest=source, weakest=source, end_temperature_c=20.0, fault=fault
        )
        for node, both in currents.items():
            found.setdefault(node, []).append(both.maximum_a)
    return found


def smallest_a(
    survey: Data, kind: str, supply: Supply, angles: Sequence[float], factor: float = 0.90
) -> dict[str, list[float]]:
    """Return the smallest currents at each node, one for each R/X of the supply."""
    fault, field = FAULTS[kind]
    network = network_of(survey, field, None)
    found: dict[str, list[float]] = {}
    for angle in angles:
        source = supply.source(factor, angle)
        # The conductors are hot already: the library must not warm them again.
        currents = iec60909_currents(
            network, strongest=source, weakest=source, end_temperature_c=20.0, fault=fault
        )
        for node, both in currents.items():
            found.setdefault(node, []).append(both.minimum_a)
    return found


def angle_of_cables(survey: Data, kind: str, node: str) -> float:
    """Return R/X of the hot conductors up to a node: at this angle of the supply all add up."""
    field, total = FAULTS[kind][1], 0j
    for stretch in stretches(survey):
        total += stretch.impedance_ohm("section_mm2", None)
        total += stretch.impedance_ohm(field, None) if field else 0j
        if stretch.node == node:
            break
    return total.real / total.imag


def behind_level_ohm(level_ka: float, factor: float) -> float:
    """Return the line impedance behind a three-phase fault level."""
    return factor * 400 / (math.sqrt(3) * 1000 * level_ka)
