"""Fault currents along the feed path by the sum of loop impedances, so that they can be re-derived.

The angle of the source impedance is not asked for. For the smallest fault current its magnitude
adds arithmetically to that of the cables (the sum is too large, never too small); for the largest
one the source is taken at the angle that gives the smallest sum. Nodes are numbered as in
``Installation``: 0 is the origin, ``n`` the end of circuit ``n - 1``; one more than the outlet are
the terminals of the station, behind the cord.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from feasibility.checks.conductor import loaded_conductors
from feasibility.checks.fault_conductors import Conductors, FaultKind, conductors
from feasibility.checks.fault_sources import (
    Source,
    greatest_earth_loop,
    greatest_line_impedance,
    greatest_neutral_loop,
    least_earth_loop,
    least_line_impedance,
    least_neutral_loop,
    voltage_factors,
    voltage_to_earth_v,
)
from feasibility.checks.question import Run
from feasibility.checks.working import amount, given, step
from feasibility.clauses.fault_current import (
    greatest_sum_ohm,
    least_sum_ohm,
    line_earth_fault_a,
    line_line_fault_a,
    three_phase_fault_a,
)
from feasibility.installation.model import Link, LinkKind, PathCircuit
from feasibility.result import Quantity, Step

_SYMBOLS = {
    FaultKind.THREE_PHASE: "Ik3",
    FaultKind.LINE_LINE: "Ik2",
    FaultKind.LINE_NEUTRAL: "Ikn",
    FaultKind.LINE_EARTH: "Ik1",
}
_LEAST: dict[FaultKind, Callable[[Run], Source]] = {
    FaultKind.THREE_PHASE: least_line_impedance,
    FaultKind.LINE_LINE: least_line_impedance,
    FaultKind.LINE_NEUTRAL: least_neutral_loop,
    FaultKind.LINE_EARTH: least_earth_loop,
}
_GREATEST: dict[FaultKind, Callable[[Run], Source]] = {
    FaultKind.THREE_PHASE: greatest_line_impedance,
    FaultKind.LINE_LINE: greatest_line_impedance,
    FaultKind.LINE_NEUTRAL: greatest_neutral_loop,
    FaultKind.LINE_EARTH: greatest_earth_loop,
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


def pieces_up_to(run: Run, node: int) -> list[Link]:
    """Return the cables from the origin to a node, and the cord to the station's terminals."""
    installation = run.installation
    links = [link for link in installation.links_of(LinkKind.CABLE) if link.position < node]
    if node > len(installation.circuits):
        links.extend(installation.links_of(LinkKind.CORD))
    return links


def kinds_at(run: Run, node: int) -> tuple[FaultKind, ...]:
    """Return the faults between live conductors that are possible at a node."""
    final = run.installation.final_circuit
    single = node > final.position and loaded_conductors(run.installation, final.cables[-1]) == 2
    if single:
        return (FaultKind.LINE_NEUTRAL,)
    live = (FaultKind.THREE_PHASE, FaultKind.LINE_LINE)
    return (*live, FaultKind.LINE_NEUTRAL) if _neutral_reaches(run, node) else live


def _neutral_reaches(run: Run, node: int) -> bool:
    """Whether a neutral runs to a node: yes unless stated otherwise or the outlet has none."""
    installation = run.installation
    cables = [link for link in pieces_up_to(run, node) if link.kind is LinkKind.CABLE]
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
    node = end_of(circuit)
    outlet = len(run.installation.circuits)
    if node <= outlet or not run.installation.outlet.has("measured_loop_impedance_ohm"):
        return smallest_at(run, node, FaultKind.LINE_EARTH)
    calculated = loop_at(run, outlet, FaultKind.LINE_EARTH)
    fact = run.installation.outlet.number("measured_loop_impedance_ohm")
    reading = run.ends.high_is_bad(fact)
    if reading <= calculated.ohm:
        return smallest_at(run, node, FaultKind.LINE_EARTH)
    meaning = "calculated loop up to the outlet; the reading is larger and counts instead"
    said = [*calculated.steps[:-1], replace(calculated.steps[-1], symbol="Zc", meaning=meaning)]
    cords = list(run.installation.links_of(LinkKind.CORD))
    start = Source(ohm=reading, steps=tuple(said), as_input=given(fact, reading, "Zm"))
    return _smallest_from(run, start, cords, FaultKind.LINE_EARTH)


def smallest_live_fault(run: Run, circuit: PathCircuit) -> FaultCurrent:
    """Return the smallest fault current between live conductors at the far end of a circuit.

    Line to neutral where a neutral runs in the circuit, else line to line. Conductors hot, smallest
    voltage factor. Where the smallest fault level is stated the smaller of the two counts: close to
    a star-zigzag transformer a fault between lines can be the smaller one.
    """
    node = end_of(circuit)
    possible = kinds_at(run, node)
    kinds = [kind for kind in (FaultKind.LINE_NEUTRAL, FaultKind.LINE_LINE) if kind in possible]
    if not run.installation.supply.has("smallest_fault_current_ka"):
        kinds = kinds[:1]
    faults = [smallest_at(run, node, kind) for kind in kinds]
    return min(faults, key=lambda fault: fault.value_a)


def largest_live_fault(run: Run, position: int) -> FaultCurrent:
    """Return the largest fault current between live conductors at the start of a circuit.

    ``position`` is that of the circuit, or the number of circuits for the outlet. Conductors at
    20 °C, short and thick, largest voltage factor.
    """
    faults = [largest_at(run, position, kind) for kind in kinds_at(run, position)]
    return max(faults, key=lambda fault: fault.value_a)


def largest_fault(run: Run, position: int) -> FaultCurrent:
    """Return the largest three-phase fault current at the start of the circuit at ``position``.

    Conductors count at 20 °C, short and thick.
    """
    return largest_at(run, position, FaultKind.THREE_PHASE)


def largest_at(run: Run, node: int, kind: FaultKind) -> FaultCurrent:
    """Return the largest fault current of a kind at a node; NotKnown names what is lacking."""
    source = _LEAST[kind](run)
    cold = conductors(run, pieces_up_to(run, node), kind, hot=False)
    ohm = float(
        least_sum_ohm(
            source_ohm=source.ohm,
            resistance_ohm=cold.resistance_ohm,
            reactance_ohm=cold.reactance_ohm,
        )
    )
    steps = [*source.steps, *cold.steps, *_least_sum(source, cold, ohm)]
    factor = voltage_factors(run)[0]
    return _current(run, kind, factor, amount("Zmin", "least impedance", ohm, "Ω"), steps)


def smallest_at(run: Run, node: int, kind: FaultKind) -> FaultCurrent:
    """Return the smallest fault current of a kind at a node; NotKnown names what is lacking."""
    return _smallest_from(run, _GREATEST[kind](run), pieces_up_to(run, node), kind)


def loop_at(run: Run, node: int, kind: FaultKind) -> Source:
    """Return the largest loop up to a node, conductors hot."""
    return _hot_loop(run, _GREATEST[kind](run), pieces_up_to(run, node), kind)


def _smallest_from(
    run: Run, source: Source, links: Sequence[Link], kind: FaultKind
) -> FaultCurrent:
    loop = _hot_loop(run, source, links, kind)
    factor = voltage_factors(run)[1]
    return _current(run, kind, factor, loop.as_input, list(loop.steps))


def _hot_loop(run: Run, source: Source, links: Sequence[Link], kind: FaultKind) -> Source:
    hot = conductors(run, links, kind, hot=True)
    ohm = float(
        greatest_sum_ohm(
            source_ohm=source.ohm,
            resistance_ohm=hot.resistance_ohm,
            reactance_ohm=hot.reactance_ohm,
        )
    )
    formula = source.as_input.symbol
    if hot.terms:
        formula += f" + sqrt(({hot.sum_of('R')}) ** 2 + ({hot.sum_of('X')}) ** 2)"
    symbol = "Zs" if kind is FaultKind.LINE_EARTH else "Zk"
    meaning = _LOOP_WORDS[kind]
    last = step(symbol, meaning, formula, [source.as_input, *hot.terms], ohm, "Ω")
    return Source(
        ohm=ohm,
        steps=(*source.steps, *hot.steps, last),
        as_input=amount(symbol, meaning, ohm, "Ω"),
    )


_LOOP_WORDS = {
    FaultKind.THREE_PHASE: "impedance of one line up to the fault, hot",
    FaultKind.LINE_LINE: "impedance of one line up to the fault, hot",
    FaultKind.LINE_NEUTRAL: "loop of line and neutral, hot",
    FaultKind.LINE_EARTH: "earth-fault loop impedance, hot",
}


def _current(
    run: Run, kind: FaultKind, factor: Quantity, ohm: Quantity, steps: list[Step]
) -> FaultCurrent:
    voltage = run.operation.nominal_voltage_v
    nominal = given(run.installation.supply.number("nominal_voltage_v"), voltage, "Un")
    c, z = factor.symbol, ohm.symbol
    if kind in (FaultKind.THREE_PHASE, FaultKind.LINE_LINE):
        three = kind is FaultKind.THREE_PHASE
        clause = three_phase_fault_a if three else line_line_fault_a
        current = clause(
            voltage_factor=factor.value, line_voltage_v=voltage, impedance_ohm=ohm.value
        )
        formula = f"{c} * Un / ({'sqrt(3)' if three else '2'} * {z})"
        inputs = [factor, nominal, ohm]
    else:
        to_earth = voltage_to_earth_v(run)
        current = line_earth_fault_a(
            voltage_factor=factor.value, voltage_to_earth_v=to_earth, loop_impedance_ohm=ohm.value
        )
        formula = f"{c} * U0 / {z}"
        inputs = [factor, amount("U0", "nominal voltage to earth", to_earth, "V"), ohm]
    largest = c == "cmax"
    symbol = _SYMBOLS[kind] + ("max" if largest else "min")
    meaning = f"{'largest' if largest else 'smallest'} {kind} fault current"
    last = step(symbol, meaning, formula, inputs, float(current), "A")
    return FaultCurrent(
        kind=kind, value_a=float(current), impedance_ohm=ohm.value, steps=(*steps, last)
    )


def _least_sum(source: Source, cold: Conductors, total_ohm: float) -> list[Step]:
    z = source.as_input.symbol
    if not cold.terms:
        return [step("Zmin", "least impedance", z, [source.as_input], total_ohm, "Ω")]
    sums = [
        step(
            f"{letter}c",
            f"sum of the cables' {word}",
            cold.sum_of(letter),
            [one for one in cold.terms if one.symbol.startswith(letter)],
            value,
            "Ω",
        )
        for letter, word, value in (
            ("R", "resistances at 20 °C", cold.resistance_ohm),
            ("X", "reactances", cold.reactance_ohm),
        )
    ]
    inputs = [source.as_input, *(amount(s.symbol, s.meaning, s.result, "Ω") for s in sums)]
    # A supply impedance of unknown angle between pure resistance and pure reactance gives the
    # smallest sum at one of the two ends, since the sum of the magnitudes is concave between.
    formula = f"min(sqrt(({z} + Rc) ** 2 + Xc ** 2), sqrt(Rc ** 2 + ({z} + Xc) ** 2))"
    what = "smallest impedance for any angle of the supply"
    return [*sums, step("Zmin", what, formula, inputs, total_ohm, "Ω")]
