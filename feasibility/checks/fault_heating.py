"""The range of fault currents that heat a conductor, what passes, and what it withstands."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from feasibility import tables
from feasibility.checks.device_energy import passage_of, passages_before
from feasibility.checks.fault_path import FaultCurrent
from feasibility.checks.let_through import Greatest, Passage, greatest_energy, passed_at
from feasibility.checks.question import Run
from feasibility.checks.working import amount, given, step
from feasibility.clauses.adiabatic import permitted_let_through_a2s
from feasibility.installation.facts import Fact
from feasibility.installation.model import Link, LinkKind
from feasibility.result import Quantity, Step

LIVE = "live conductor"
CORE = "protective core of cable"

_SMALLEST_A = 1e-3
"""Stands for "however small" where the smallest fault current is not known."""

_CORD_INSULATION = {"60 C rubber": "rubber 60 C", "90 C thermosetting": "XLPE 90 C"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Withstand:
    """The energy k2S2 that a conductor withstands."""

    permitted_a2s: float
    k: Quantity
    steps: tuple[Step, ...]


def withstand_of(
    run: Run, link: Link, section_fact: Fact[float], section_mm2: float, use: str
) -> Withstand:
    """Return k2S2 of one conductor of a cable or cord (IEC 60364-4-43, 434.5.2)."""
    k = k_of(run, link, section_mm2, use)
    section = given(section_fact, section_mm2, "S")
    permitted = float(permitted_let_through_a2s(k=k.value, section_mm2=section_mm2))
    words = "energy that the conductor withstands"
    return Withstand(
        permitted_a2s=permitted,
        k=k,
        steps=(step("E", words, "k ** 2 * S ** 2", [k, section], permitted, "A²s"),),
    )


def k_of(run: Run, link: Link, section_mm2: float, use: str) -> Quantity:
    """Return the least k that metal and insulation can have, both being hot already."""
    if link.kind is LinkKind.CORD:
        grades = (link.data.word("grade"),)
        (grade,) = run.ends.worst_of(
            grades, lambda word: _k(_CORD_INSULATION[word], "copper", section_mm2, use).value
        )
        return _k(_CORD_INSULATION[grade], "copper", section_mm2, use)
    facts = (link.data.word("insulation"), link.data.word("conductor"))
    insulation, conductor = run.ends.worst_of(
        facts, lambda covering, metal: _k(covering, metal, section_mm2, use).value
    )
    return _k(insulation, conductor, section_mm2, use)


def _k(insulation: str, conductor: str, section_mm2: float, use: str) -> Quantity:
    return tables.k_factor(
        use=use, insulation=insulation, conductor=conductor, section_mm2=section_mm2
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Heating:
    """What the devices before a conductor let through, from the smallest to the largest fault.

    ``smallest`` is None where it is not known: then every current up to the largest counts.
    ``certain``: the device can really let so much through; otherwise it is a limit that the maker's
    own let-through energy may undercut.
    """

    smallest: FaultCurrent | None
    largest: FaultCurrent
    greatest: Greatest
    certain: bool

    @property
    def steps(self) -> tuple[Step, ...]:
        """The working: both ends of the range, and the energy."""
        energy = self.greatest.passed.steps() if self.greatest.passed else ()
        return (*(self.smallest.steps if self.smallest else ()), *self.largest.steps, *energy)

    def by_words(self) -> str:
        """Return the name of the device that limits the energy."""
        return self.greatest.passed.passage.name if self.greatest.passed else ""


def heating(
    run: Run,
    link: Link,
    smallest: FaultCurrent | None,
    largest: FaultCurrent,
    permitted_a2s: float,
    also: Sequence[Passage] = (),
) -> Heating:
    """Return what passes to a conductor; devices before the circuit's own one count if need be.

    ``also`` are other devices in series. NotKnown where the circuit's own device is not known.
    """
    circuit = run.installation.circuit_of(link)
    own = passage_of(run, circuit.device)
    low = smallest.value_a if smallest else _SMALLEST_A
    high = max(largest.value_a, low)
    passages = [own, *also]
    greatest = greatest_energy(passages, low_a=low, high_a=high)
    slow = greatest.slow_up_to_a
    if greatest.energy_a2s > permitted_a2s:
        passages.extend(passages_before(run, circuit))
        bounded = low if slow is None else min(math.nextafter(slow, math.inf), high)
        together = greatest_energy(passages, low_a=bounded, high_a=high)
        greatest = replace(together, slow_up_to_a=slow)
    return Heating(
        smallest=smallest, largest=largest, greatest=greatest, certain=_certain(own, greatest)
    )


def _certain(own: Passage, greatest: Greatest) -> bool:
    if greatest.passed is None:
        return False
    here = passed_at(own, greatest.passed.current_a)
    if here is None:
        return False
    return not here.quick or any(ceiling.by_maker for ceiling in own.ceilings)


def ranged_facts(run: Run) -> tuple[Fact[Any], ...]:
    """Return the facts that entered so far and are not known exactly."""
    return tuple(fact for fact in run.ends.used.values() if fact.is_ranged)


def range_values(found: Heating, permitted_a2s: float) -> dict[str, Quantity | str]:
    """Return what a reason text may name."""
    values: dict[str, Quantity | str] = {
        "energy": amount("I2t", "", found.greatest.energy_a2s, "A²s"),
        "bound": amount("E", "", permitted_a2s, "A²s"),
        "largest": amount("Ikmax", "", found.largest.value_a, "A"),
        "device": found.by_words(),
    }
    if found.smallest:
        values["smallest"] = amount("Ikmin", "", found.smallest.value_a, "A")
    if found.greatest.passed:
        values["current"] = amount("I", "", found.greatest.passed.current_a, "A")
        values["time"] = amount("t", "", found.greatest.passed.time_s or 0.0, "s")
    if found.greatest.slow_up_to_a is not None:
        values["slow"] = amount("I5", "", found.greatest.slow_up_to_a, "A")
    return values


def exceeded_words(found: Heating) -> str:
    """Return the reason where more certainly passes than the conductor withstands."""
    passed = found.greatest.passed
    if passed is not None and passed.time_s is not None:
        return (
            "A fault current of {current} may flow for {time} until {device} has operated: "
            "{energy}, more than the {bound} that the conductor withstands."
        )
    return "{device} lets {energy} through, more than the {bound} that the conductor withstands."
