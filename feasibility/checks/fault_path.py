"""Fault currents along the feed path by the sum of loop impedances, so that they can be re-derived.

The angle of the source impedance is not asked for. For the smallest fault current magnitudes add
arithmetically (the sum is too large, never too small); for the largest one the source is taken at
the angle that gives the smallest sum.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from feasibility import tables
from feasibility.checks import impedance
from feasibility.checks.conductor import maximum_c
from feasibility.checks.question import Run
from feasibility.checks.working import amount, given, step
from feasibility.clauses.fault_current import (
    least_sum_ohm,
    line_earth_fault_a,
    source_impedance_ohm,
    three_phase_fault_a,
)
from feasibility.installation.model import Link, LinkKind, PathCircuit
from feasibility.result import Quantity, Step

SQRT3 = math.sqrt(3)


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultCurrent:
    """A fault current with its working."""

    value_a: float
    impedance_ohm: float
    steps: tuple[Step, ...]


def voltage_factors(run: Run) -> tuple[Quantity, Quantity]:
    """Return the largest and the smallest voltage factor of IEC 60909-0 for this supply."""
    edition = run.basis.limit("voltage_factor_edition").text
    percent = run.ends.high_is_bad(run.installation.supply.number("tolerance_low_percent"))
    tolerance = 6 if percent <= 6 else 10
    return tables.voltage_factors(tolerance_percent=tolerance, edition=edition)


def voltage_to_earth_v(run: Run) -> float:
    """Nominal voltage of a line conductor to earth."""
    return run.operation.nominal_voltage_v / SQRT3


def named_voltage_to_earth_v(run: Run) -> float:
    """Return the voltage to earth as IEC 60038 names it: 230 for a 400 V system, not 230.9."""
    return round(voltage_to_earth_v(run) / 10) * 10.0


def pieces_up_to(run: Run, circuit: PathCircuit) -> list[Link]:
    """Return the cables from the origin to the end of a circuit, the cord included at its end."""
    links = [
        link
        for link in run.installation.links_of(LinkKind.CABLE)
        if link.position <= circuit.position
    ]
    if circuit.is_final:
        links.extend(run.installation.links_of(LinkKind.CORD))
    return links


def smallest_earth_fault(run: Run, circuit: PathCircuit) -> FaultCurrent:
    """Return the smallest line-to-earth fault current at the far end of a circuit (TN).

    Conductors count at their highest permitted operating temperature.
    """
    external = run.installation.supply.number("external_loop_impedance_ohm")
    total = run.ends.high_is_bad(external)
    inputs = [given(external, total, "Ze")]
    steps: list[Step] = []
    pieces = pieces_up_to(run, circuit)
    for number, link in enumerate(pieces, start=1):
        if link.kind is LinkKind.CORD:
            total, inputs = _not_below_reading(run, total, inputs, steps)
        ohm, line = _loop_of(run, link)
        steps.extend(line)
        inputs.append(amount(f"Z{number}", f"loop of {link.name}", ohm, "Ω"))
        total += ohm
    if circuit.is_final and not any(link.kind is LinkKind.CORD for link in pieces):
        total, inputs = _not_below_reading(run, total, inputs, steps)
    formula = " + ".join(quantity.symbol for quantity in inputs)
    steps.append(step("Zs", "earth-fault loop impedance, hot", formula, inputs, total, "Ω"))
    factor = voltage_factors(run)[1].named("cmin")
    to_earth = voltage_to_earth_v(run)
    current = float(
        line_earth_fault_a(
            voltage_factor=factor.value, voltage_to_earth_v=to_earth, loop_impedance_ohm=total
        )
    )
    values = [
        factor,
        amount("U0", "nominal voltage to earth", to_earth, "V"),
        amount("Zs", "earth-fault loop impedance", total, "Ω"),
    ]
    meaning = f"smallest earth-fault current at the end of '{circuit.name}'"
    steps.append(step("Ik1min", meaning, "cmin * U0 / Zs", values, current, "A"))
    return FaultCurrent(value_a=current, impedance_ohm=total, steps=tuple(steps))


def _not_below_reading(
    run: Run, total_ohm: float, inputs: list[Quantity], steps: list[Step]
) -> tuple[float, list[Quantity]]:
    """Let a reading at the outlet stand for the calculated loop if it is larger."""
    outlet = run.installation.outlet
    if not outlet.has("measured_loop_impedance_ohm"):
        return total_ohm, inputs
    fact = outlet.number("measured_loop_impedance_ohm")
    reading = run.ends.high_is_bad(fact)
    if reading <= total_ohm:
        return total_ohm, inputs
    formula = " + ".join(quantity.symbol for quantity in inputs)
    meaning = "calculated loop up to the outlet; the reading is larger and counts instead"
    steps.append(step("Zc", meaning, formula, inputs, total_ohm, "Ω"))
    return reading, [given(fact, reading, "Zm")]


def cold_cord_loop_ohm(run: Run) -> tuple[float, list[Step]]:
    """Return the loop of the cord at 20 °C, to be added to a cold reading at the outlet."""
    total = 0.0
    steps: list[Step] = []
    for link in run.installation.links_of(LinkKind.CORD):
        line = impedance.line_impedance(link, run.ends)
        protective = impedance.protective_impedance(link, run.ends)
        total += math.hypot(
            line.resistance_20c_ohm + protective.resistance_20c_ohm,
            line.reactance_ohm + protective.reactance_ohm,
        )
        steps.extend((*line.steps, *protective.steps))
    return total, steps


def _loop_of(run: Run, link: Link) -> tuple[float, list[Step]]:
    """Return the loop of line and protective conductor of one piece, hot."""
    line = impedance.line_impedance(link, run.ends)
    protective = impedance.protective_impedance(link, run.ends)
    hottest = _hottest_c(run, link)
    line_ohm, protective_ohm = line.resistance_at(hottest), protective.resistance_at(hottest)
    inputs = [
        amount("R1", f"line conductor at {hottest:g} °C", line_ohm, "Ω"),
        amount("R2", f"protective conductor at {hottest:g} °C", protective_ohm, "Ω"),
        amount("X1", "reactance of the line conductor", line.reactance_ohm, "Ω"),
        amount("X2", "reactance of the protective conductor", protective.reactance_ohm, "Ω"),
    ]
    total = math.hypot(line_ohm + protective_ohm, line.reactance_ohm + protective.reactance_ohm)
    formula = "sqrt((R1 + R2) ** 2 + (X1 + X2) ** 2)"
    lines = [*line.steps, *protective.steps]
    return total, [*lines, step("Z", f"loop of {link.name}", formula, inputs, total, "Ω")]


def _hottest_c(run: Run, link: Link) -> float:
    field = "grade" if link.kind is LinkKind.CORD else "insulation"
    kind = run.ends.worst(link.data.word(field), lambda word: -maximum_c(word))
    return maximum_c(kind)


def largest_fault(run: Run, position: int) -> FaultCurrent:
    """Return the largest three-phase fault current at the start of the circuit at ``position``.

    Conductors count at 20 °C, short and thick.
    """
    supply = run.installation.supply
    fact = supply.number("prospective_fault_current_ka")
    origin_a = 1000 * run.ends.high_is_bad(fact)
    voltage = run.operation.nominal_voltage_v
    factor = voltage_factors(run)[0].named("cmax")
    source = float(
        source_impedance_ohm(
            voltage_factor=factor.value, line_voltage_v=voltage, fault_current_a=origin_a
        )
    )
    nominal = given(supply.number("nominal_voltage_v"), voltage, "Un")
    inputs = [factor, nominal, given(fact, origin_a / 1000, "Ikq")]
    formula = "cmax * Un / (sqrt(3) * 1000 * Ikq)"
    external = supply.number("external_loop_impedance_ohm")
    if not external.is_open and run.ends.low_is_bad(external) < source:
        # The loop contains the line: a smaller loop says that the fault level is larger.
        source = run.ends.low_is_bad(external)
        inputs, formula = [*inputs, given(external, source, "Ze")], f"min({formula}, Ze)"
    steps = [step("Zq", "impedance of the supply", formula, inputs, source, "Ω")]
    resistance = reactance = 0.0
    before = [x for x in run.installation.links_of(LinkKind.CABLE) if x.position < position]
    for link in before:
        piece = impedance.shortest_line_impedance(link, run.ends)
        resistance += piece.resistance_20c_ohm
        reactance += piece.reactance_ohm
        steps.extend(piece.steps)
    total = float(
        least_sum_ohm(source_ohm=source, resistance_ohm=resistance, reactance_ohm=reactance)
    )
    steps.append(_least_sum_step(source, resistance, reactance, total))
    current = float(
        three_phase_fault_a(
            voltage_factor=factor.value, line_voltage_v=voltage, impedance_ohm=total
        )
    )
    inputs = [factor, nominal, amount("Zmin", "least impedance", total, "Ω")]
    meaning = "largest three-phase fault current at the device"
    formula = "cmax * Un / (sqrt(3) * Zmin)"
    steps.append(step("Ik3max", meaning, formula, inputs, current, "A"))
    return FaultCurrent(value_a=current, impedance_ohm=total, steps=tuple(steps))


def _least_sum_step(source: float, resistance: float, reactance: float, total: float) -> Step:
    inputs = [
        amount("Zq", "impedance of the supply", source, "Ω"),
        amount("Rc", "sum of the cables' resistances at 20 °C", resistance, "Ω"),
        amount("Xc", "sum of the cables' reactances", reactance, "Ω"),
    ]
    # A supply impedance of unknown angle between pure resistance and pure reactance gives the
    # smallest sum at one of the two ends, since the sum of the magnitudes is concave between.
    formula = "min(sqrt((Zq + Rc) ** 2 + Xc ** 2), sqrt(Rc ** 2 + (Zq + Xc) ** 2))"
    return step(
        "Zmin", "smallest impedance for any angle of the supply", formula, inputs, total, "Ω"
    )
