"""Write the converged load flow down so that each drop can be checked with a pocket calculator."""

from __future__ import annotations

import numpy as np

from feasibility.checks.feed_network import TRANSFORMER
from feasibility.checks.operation import Operation
from feasibility.checks.working import amount, step
from feasibility.network.records import Branch
from feasibility.network.solution import Solution
from feasibility.result import Step
from feasibility.units import SQRT3

_OF_CABLES = "resistance at the converged conductor temperature"
_RESISTANCE = {TRANSFORMER: "resistance of the transformer by its load loss"}


def drop_checks(operation: Operation, station_a: float, *, from_origin: bool = False) -> list[Step]:
    """Return one line per circuit: R cos phi + X sin phi times the converged current.

    An own transformer has a line too, unless only what lies behind the origin is wanted. The drop
    that the load flow found stands among the inputs as ``dUf``; the two differ by the second-order
    part of the phasor difference. Between lines for a three-phase station, to neutral (line
    conductor, and neutral by the share of its own current) for a single-phase one.
    """
    state = operation.state(station_a)
    if state is None:
        return []
    operation.temperatures_c(station_a)  # the network below belongs to this state
    branches = operation.network(station_a).branches
    wanted = [one for one in branches if not (from_origin and one.name == TRANSFORMER)]
    return [_drop_check(operation, state, branch) for branch in wanted]


def _drop_check(operation: Operation, state: Solution, branch: Branch) -> Step:
    """Return the line of one branch."""
    phases = operation.phases_of_station()
    three = all(phases)
    phase = int(np.argmax(state.current_a(branch.name)))
    if not phases[phase]:
        phase = phases.index(True)
    current = complex(state.current_phasor_a(branch.name)[phase])
    behind = complex(state.voltage_phasor_v(branch.to_node)[phase])
    angle = float(np.angle(behind) - np.angle(current))
    resistance, reactance = branch.resistance_ohm, branch.reactance_ohm
    if three:
        found = state.lowest_line_voltage_v(branch.from_node)
        found -= state.lowest_line_voltage_v(branch.to_node)
    else:
        share = state.neutral_phasor_a(branch.name) / current
        neutral = share * complex(branch.neutral_resistance_ohm, branch.neutral_reactance_ohm)
        resistance += neutral.real
        reactance += neutral.imag
        found = float(state.voltage_v(branch.from_node)[phase])
        found -= float(state.voltage_v(branch.to_node)[phase])
    inputs = [
        amount("Ib", "converged current", abs(current), "A"),
        amount("R", _RESISTANCE.get(branch.name, _OF_CABLES), resistance, "Ω"),
        amount("X", "reactance", reactance, "Ω"),
        amount("cosphi", "power factor of this current", float(np.cos(angle)), ""),
        amount("sinphi", "its reactive part", float(np.sin(angle)), ""),
        amount("dUf", "for comparison: drop by the load flow", found, "V"),
    ]
    drop = abs(current) * (resistance * np.cos(angle) + reactance * np.sin(angle))
    formula = "Ib * (R * cosphi + X * sinphi)"
    if three:
        drop, formula = SQRT3 * drop, f"sqrt(3) * {formula}"
    meaning = f"check of the drop along '{operation.words_of(branch.name)}'"
    return step("dUc", meaning, formula, inputs, float(drop), "V")
