"""A load flow on four wires, to hold the others against: it shares only the records with them.

It carries four potentials a node (three lines and the neutral, against the star point of the
source) and walks the tree, so that it knows nothing of symmetrical components.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from feasibility.network.records import Branch, Load, Network
from feasibility.network.solution import Solution


class Wires(NamedTuple):
    """Potentials of L1, L2, L3 and N at each node, currents of L1, L2, L3 and N in each branch."""

    potentials_v: dict[str, list[complex]]
    currents_a: dict[str, list[complex]]


def sweep(network: Network) -> Wires:
    """Backward-forward sweep on four wires; the textbook algorithm, phase by phase."""
    star_v = network.source_voltage_v / math.sqrt(3)
    angles = (0.0, -2 * math.pi / 3, 2 * math.pi / 3)
    source = [star_v * complex(math.cos(a), math.sin(a)) for a in angles] + [0j]
    potentials = {node: list(source) for node in network.nodes}
    currents: dict[str, list[complex]] = {}
    outwards = _outwards(network)
    for _ in range(1000):
        before = {node: list(wires) for node, wires in potentials.items()}
        currents = {}
        drawn = {node: [0j] * 4 for node in network.nodes}
        for load in network.loads:
            _draw(network, load, potentials[load.node], drawn[load.node])
        for branch in reversed(outwards):
            currents[branch.name] = list(drawn[branch.to_node])
            for wire in range(4):
                drawn[branch.from_node][wire] += drawn[branch.to_node][wire]
        for branch in outwards:
            line = complex(branch.resistance_ohm, branch.reactance_ohm)
            neutral = complex(branch.neutral_resistance_ohm, branch.neutral_reactance_ohm)
            for wire, impedance in enumerate((line, line, line, neutral)):
                drop_v = impedance * currents[branch.name][wire]
                potentials[branch.to_node][wire] = potentials[branch.from_node][wire] - drop_v
        if all(
            abs(now - then) < 1e-11
            for node in network.nodes
            for now, then in zip(potentials[node], before[node], strict=True)
        ):
            return Wires(potentials, currents)
    message = "the sweep does not settle"
    raise AssertionError(message)


def _draw(network: Network, load: Load, wires: list[complex], drawn: list[complex]) -> None:
    nominal_v = network.nominal_voltage_v / math.sqrt(3)
    for phase in range(3):
        voltage = wires[phase] - wires[3]
        power = complex(load.active_w[phase], load.reactive_var[phase])
        if load.kind == "current":
            power *= abs(voltage) / nominal_v
        current = (power / voltage).conjugate()
        drawn[phase] += current
        drawn[3] -= current


def _outwards(network: Network) -> list[Branch]:
    """Branches in an order in which each is fed by one before it."""
    leaving: dict[str, list[Branch]] = {}
    for branch in network.branches:
        leaving.setdefault(branch.from_node, []).append(branch)
    ordered: list[Branch] = []
    reached = [network.source_node]
    while reached:
        branches = leaving.get(reached.pop(), [])
        ordered += branches
        reached += [branch.to_node for branch in branches]
    return ordered


def deviation(solution: Solution, wires: Wires) -> float:
    """Largest gap between a solution and the sweep, per unit of the largest of its kind."""
    voltage_gap, current_gap, largest_v, largest_a = 0.0, 0.0, 0.0, 1.0
    for node, potentials in wires.potentials_v.items():
        expected = np.array(potentials[:3]) - potentials[3]
        voltage_gap = max(voltage_gap, np.abs(solution.voltage_phasor_v(node) - expected).max())
        largest_v = max(largest_v, np.abs(expected).max())
    for name, currents in wires.currents_a.items():
        lines_gap = np.abs(solution.current_phasor_a(name) - np.array(currents[:3])).max()
        neutral_gap = abs(solution.neutral_current_a(name) - abs(currents[3]))
        current_gap = max(current_gap, lines_gap, neutral_gap)
        largest_a = max(largest_a, np.abs(currents).max())
    return max(voltage_gap / largest_v, current_gap / largest_a)
