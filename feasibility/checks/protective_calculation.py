"""A protective conductor below the section of Table 54.2, by calculation. IEC 60364-5-54, 543.1.2.

S = sqrt(I2t) / k for every earth fault from the smallest at the far end to the largest at the
start, ended by the overcurrent devices in series or by a residual-current device, whichever lets
less through.
"""

from __future__ import annotations

from feasibility.checks.device_energy import deciding_facts, residual_passage
from feasibility.checks.fault_conductors import FaultKind
from feasibility.checks.fault_heating import (
    CORE,
    Heating,
    exceeded_words,
    heating,
    k_of,
    range_values,
    ranged_facts,
)
from feasibility.checks.fault_path import FaultCurrent, largest_at, smallest_earth_fault
from feasibility.checks.fault_sources import voltage_factors, voltage_to_earth_v
from feasibility.checks.question import Check, Run, finding, verdict_of
from feasibility.checks.residual_current import covering, present
from feasibility.checks.working import amount, given, step
from feasibility.clauses.adiabatic import (
    least_section_for_let_through_mm2,
    permitted_let_through_a2s,
)
from feasibility.clauses.fault_current import line_earth_fault_a
from feasibility.code_basis import Limit
from feasibility.installation.facts import Fact
from feasibility.installation.model import Link, LinkKind
from feasibility.result import Finding, Outcome, Quantity, Sense, Step

_IN_CABLE = "core of the cable"
_USES = {
    _IN_CABLE: CORE,
    "bunched with the line conductors": CORE,
    "separate, protected": "separate protective conductor",
    "separate, unprotected": "separate protective conductor",
    "concentric conductor": "armour, sheath or concentric conductor",
}


def laid(run: Run, link: Link, section_mm2: float) -> str:
    """Return how the protective conductor runs, at the end where it withstands least."""
    if link.kind is LinkKind.CORD:
        return _IN_CABLE
    fact = link.data.word("protective_conductor_laid")
    return run.ends.worst(fact, lambda word: _k(run, link, section_mm2, word).value)


def _k(run: Run, link: Link, section_mm2: float, word: str) -> Quantity:
    return k_of(run, link, section_mm2, _USES[word])


def by_calculation(
    check: Check, run: Run, link: Link, limit: Limit, fact: Fact[float], section: float
) -> Finding:
    """Judge a protective conductor by the energy that passes in an earth fault."""
    system = run.ends.known(run.installation.supply.word("earthing_system"))
    if system == "IT":
        return finding(check, link, limit, Outcome.OPEN, _BEYOND)
    k = _k(run, link, section, laid(run, link, section))
    permitted = float(permitted_let_through_a2s(k=k.value, section_mm2=section))
    residual = _residual_devices(run, link)
    passages = (residual_passage(run, device) for device in residual)
    also = [passage for passage in passages if passage is not None]
    smallest, largest = _earth_faults(run, link, system, residual)
    found = heating(run, link, smallest, largest, permitted, also)
    outcome, words, facts = _answer(run, link, limit, found, permitted)
    least, steps = _least_section(found, k)
    values = range_values(found, permitted) | {"value": given(fact, section, "Spe")}
    if least is not None:
        values["least"] = amount("Smin", "", least, "mm²")
    return finding(
        check,
        link,
        limit,
        outcome,
        words,
        values,
        working=steps,
        value=section,
        bound=least,
        unit="mm²",
        sense=Sense.AT_LEAST,
        facts=facts,
    )


_BEYOND = (
    "The protective conductor is below the section of the table; in an IT system its calculation "
    "is beyond this program."
)
_ENOUGH = (
    "The protective conductor of {value} is below the section of the table, but withstands every "
    "earth fault up to {largest}: at most {energy} passes ({device}), which asks for {least}."
)
_PERHAPS = (
    "The protective conductor of {value} is below the section of the table. By the limits of the "
    "standards up to {energy} may pass ({device}), which asks for {least}; the maker's let-through "
    "energy at this fault level decides."
)
_SLOW = (
    "The protective conductor of {value} is below the section of the table, and up to {slow} no "
    "device surely ends an earth fault within 5 s."
)
_TOO_SMALL = "The protective conductor of {value} is too small. "


def _answer(
    run: Run, link: Link, limit: Limit, found: Heating, permitted_a2s: float
) -> tuple[Outcome, str, tuple[Fact[object], ...]]:
    if found.greatest.energy_a2s > permitted_a2s and found.certain:
        return verdict_of(limit, passes=False), _TOO_SMALL + exceeded_words(found), ()
    if found.greatest.slow_up_to_a is not None:
        return Outcome.OPEN, _SLOW, ranged_facts(run)
    if found.greatest.energy_a2s > permitted_a2s:
        facts = deciding_facts(run, run.installation.circuit_of(link).device)
        return Outcome.OPEN, _PERHAPS, (*facts, *ranged_facts(run))
    return Outcome.PASS, _ENOUGH, ()


def _least_section(found: Heating, k: Quantity) -> tuple[float | None, tuple[Step, ...]]:
    if found.greatest.passed is None:
        return None, found.steps
    energy = found.greatest.energy_a2s
    least = float(least_section_for_let_through_mm2(let_through_a2s=energy, k=k.value))
    inputs = [amount("I2t", "energy that passes", energy, "A²s"), k]
    line = step("Smin", "least section, 543.1.2", "sqrt(I2t) / k", inputs, least, "mm²")
    return least, (*found.steps, line)


def _residual_devices(run: Run, link: Link) -> tuple[Link, ...]:
    """Return the residual-current devices that end an earth fault here."""
    circuit = run.installation.circuit_of(link)
    return tuple(device for device in covering(run, circuit) if present(run, device))


def _earth_faults(
    run: Run, link: Link, system: str, residual: tuple[Link, ...]
) -> tuple[FaultCurrent | None, FaultCurrent]:
    if system == "TT":
        return _smallest_in_tt(run, residual), _largest_in_tt(run)
    circuit = run.installation.circuit_of(link)
    largest = largest_at(run, link.position, FaultKind.LINE_EARTH)
    return smallest_earth_fault(run, circuit), largest


def _largest_in_tt(run: Run) -> FaultCurrent:
    """Return what at most flows through the installation's own electrode, all else left out."""
    fact = run.installation.supply.number("electrode_resistance_ohm")
    resistance = run.ends.low_is_bad(fact)
    factor = voltage_factors(run)[0]
    to_earth = voltage_to_earth_v(run)
    current = float(
        line_earth_fault_a(
            voltage_factor=factor.value, voltage_to_earth_v=to_earth, loop_impedance_ohm=resistance
        )
    )
    inputs = [
        factor,
        amount("U0", "nominal voltage to earth", to_earth, "V"),
        given(fact, resistance, "RA"),
    ]
    meaning = "largest earth-fault current through the electrode"
    line = step("Ik1max", meaning, "cmax * U0 / RA", inputs, current, "A")
    return FaultCurrent(
        kind=FaultKind.LINE_EARTH, value_a=current, impedance_ohm=resistance, steps=(line,)
    )


def _smallest_in_tt(run: Run, residual: tuple[Link, ...]) -> FaultCurrent | None:
    """Return the smallest current that has to be ended: the least rated residual current."""
    rated = [device.data.number("residual_current_ma") for device in residual]
    if not rated:
        return None
    fact = min(rated, key=run.ends.high_is_bad)
    milliamperes = run.ends.high_is_bad(fact)
    line = step(
        "Ikmin",
        "smallest earth-fault current that has to be ended",
        "Idn / 1000",
        [given(fact, milliamperes, "Idn")],
        milliamperes / 1000,
        "A",
    )
    return FaultCurrent(
        kind=FaultKind.LINE_EARTH, value_a=line.result, impedance_ohm=0.0, steps=(line,)
    )
