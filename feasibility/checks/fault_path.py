"""Fault currents along the feed path by the sum of loop impedances, so that they can be re-derived.

Which impedance limits a fault, and how nodes are numbered, is said in ``fault_impedance``.
"""

from __future__ import annotations

from dataclasses import dataclass

from feasibility.checks.conductor import loaded_conductors
from feasibility.checks.fault_conductors import FaultKind
from feasibility.checks.fault_impedance import greatest_impedance, least_impedance, pieces_between
from feasibility.checks.fault_sources import voltage_factors, voltage_to_earth_v
from feasibility.checks.question import Run
from feasibility.checks.source import Source
from feasibility.checks.working import amount, given, step
from feasibility.clauses.fault_current import (
    line_earth_fault_a,
    line_line_fault_a,
    three_phase_fault_a,
)
from feasibility.installation.model import Installation, LinkKind, PathCircuit
from feasibility.result import Quantity, Step

_SYMBOLS = {
    FaultKind.THREE_PHASE: "Ik3",
    FaultKind.LINE_LINE: "Ik2",
    FaultKind.LINE_NEUTRAL: "Ikn",
    FaultKind.LINE_EARTH: "Ik1",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultCurrent:
    """A fault current in A, the impedance that limits it, and the working."""

    kind: FaultKind
    value_a: float
    impedance_ohm: float
    steps: tuple[Step, ...]


def end_of(circuit: PathCircuit) -> int:
    """Return the node at the far end of a circuit: the station's terminals for the final one."""
    return circuit.position + (2 if circuit.is_final else 1)


def live_kinds_at(installation: Installation, node: int) -> tuple[FaultKind, ...]:
    """Return the faults between live conductors that are possible at a node."""
    final = installation.final_circuit
    if node > final.position and loaded_conductors(installation, final.cables[-1]) == 2:
        return (FaultKind.LINE_NEUTRAL,)
    live = (FaultKind.THREE_PHASE, FaultKind.LINE_LINE)
    return (*live, FaultKind.LINE_NEUTRAL) if _neutral_reaches(installation, node) else live


def _neutral_reaches(installation: Installation, node: int) -> bool:
    """Whether a neutral runs to a node: yes unless stated otherwise or the outlet has none."""
    pieces = pieces_between(installation, 0, node)
    cables = [link for link in pieces if link.kind is LinkKind.CABLE]
    if any(link.data.number("neutral_section_mm2").options == (0,) for link in cables):
        return False
    if node <= installation.final_circuit.position:
        return True
    without = installation.outlet.word("poles").options == ("3P+E",)
    return not without or installation.final_circuit.cables[-1].data.has("neutral_section_mm2")


def smallest_earth_fault(run: Run, circuit: PathCircuit) -> FaultCurrent:
    """Return the smallest line-to-earth fault current at the far end of a circuit (TN).

    Conductors count at their highest permitted operating temperature.
    """
    return smallest_at(run, end_of(circuit), FaultKind.LINE_EARTH)


def smallest_live_fault(run: Run, circuit: PathCircuit) -> FaultCurrent:
    """Return the smallest fault current between live conductors at the far end of a circuit.

    Line to neutral where a neutral runs in the circuit, else line to line. Conductors hot, smallest
    voltage factor. Where the smallest fault level is stated the smaller of the two counts: close to
    a star-zigzag transformer a fault between lines can be the smaller one.
    """
    node = end_of(circuit)
    possible = live_kinds_at(run.installation, node)
    kinds = [kind for kind in (FaultKind.LINE_NEUTRAL, FaultKind.LINE_LINE) if kind in possible]
    if not run.installation.supply.has("smallest_fault_current_ka"):
        kinds = kinds[:1]
    faults = [smallest_at(run, node, kind) for kind in kinds]
    return min(faults, key=lambda fault: fault.value_a)


def largest_live_fault(run: Run, position: int) -> FaultCurrent:
    """Return the largest fault current between live conductors at the start of a circuit.

    ``position`` is that of the circuit, or the number of circuits for the outlet. Only between
    conductors that the circuit has: a single-phase one knows line to neutral alone. Conductors at
    20 °C, short and thick, largest voltage factor.
    """
    behind = min(position + 1, len(run.installation.circuits))
    kinds = live_kinds_at(run.installation, behind)
    faults = [largest_at(run, position, kind) for kind in kinds]
    return max(faults, key=lambda fault: fault.value_a)


def largest_fault(run: Run, position: int) -> FaultCurrent:
    """Return the largest three-phase fault current at the start of the circuit at ``position``.

    Conductors count at 20 °C, short and thick.
    """
    return largest_at(run, position, FaultKind.THREE_PHASE)


def largest_at(run: Run, node: int, kind: FaultKind) -> FaultCurrent:
    """Return the largest fault current of a kind at a node; NotKnown names what is lacking."""
    return _current(run, kind, voltage_factors(run)[0], least_impedance(run, node, kind))


def smallest_at(run: Run, node: int, kind: FaultKind) -> FaultCurrent:
    """Return the smallest fault current of a kind at a node; NotKnown names what is lacking."""
    return _current(run, kind, voltage_factors(run)[1], greatest_impedance(run, node, kind))


def _current(run: Run, kind: FaultKind, factor: Quantity, limiting: Source) -> FaultCurrent:
    voltage = run.operation.nominal_voltage_v
    ohm, c, z = limiting.as_input, factor.symbol, limiting.as_input.symbol
    if kind in (FaultKind.THREE_PHASE, FaultKind.LINE_LINE):
        three = kind is FaultKind.THREE_PHASE
        clause = three_phase_fault_a if three else line_line_fault_a
        current = clause(
            voltage_factor=factor.value, line_voltage_v=voltage, impedance_ohm=limiting.ohm
        )
        formula = f"{c} * Un / ({'sqrt(3)' if three else '2'} * {z})"
        nominal = given(run.installation.supply.number("nominal_voltage_v"), voltage, "Un")
        inputs = [factor, nominal, ohm]
    else:
        to_earth = voltage_to_earth_v(run)
        current = line_earth_fault_a(
            voltage_factor=factor.value,
            voltage_to_earth_v=to_earth,
            loop_impedance_ohm=limiting.ohm,
        )
        formula = f"{c} * U0 / {z}"
        inputs = [factor, amount("U0", "nominal voltage to earth", to_earth, "V"), ohm]
    end = c.removeprefix("c")
    words = {"max": "largest", "min": "smallest"}
    symbol, meaning = _SYMBOLS[kind] + end, f"{words[end]} {kind} fault current"
    last = step(symbol, meaning, formula, inputs, float(current), "A")
    return FaultCurrent(
        kind=kind,
        value_a=float(current),
        impedance_ohm=limiting.ohm,
        steps=(*limiting.steps, last),
    )
