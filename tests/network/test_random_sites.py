"""Three solvers on random radial sites: ours, pandapower, and a sweep with its own neutral wire.

The sweep below shares nothing with the package but the records: it carries four potentials a node
(three lines and the neutral, against the source's star point) and walks the tree. So it checks the
symmetrical components (Z0 = Z1 + 3 Zn) that both library solvers are given.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from feasibility.network.load_flow import solve
from feasibility.network.pandapower_model import solve_pandapower
from feasibility.network.records import Branch, Load, Network
from feasibility.network.solution import Solution, compare

AGREEMENT = 1e-6
LARGEST_POWER_W = 1500.0


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
    for _ in range(1000):
        before = {node: list(wires) for node, wires in potentials.items()}
        currents = {branch.name: [0j] * 4 for branch in network.branches}
        drawn = {node: [0j] * 4 for node in network.nodes}
        for load in network.loads:
            _draw(network, load, potentials[load.node], drawn[load.node])
        for branch in reversed(_outwards(network)):
            for wire in range(4):
                currents[branch.name][wire] = drawn[branch.to_node][wire]
                drawn[branch.from_node][wire] += drawn[branch.to_node][wire]
        for branch in _outwards(network):
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
    fed = {network.source_node}
    waiting, ordered = list(network.branches), []
    while waiting:
        branch = next(branch for branch in waiting if branch.from_node in fed)
        waiting.remove(branch)
        ordered.append(branch)
        fed.add(branch.to_node)
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


@st.composite
def sites(draw: st.DrawFn) -> Network:
    """Radial sites of 2 to 9 nodes, balanced or not, loads of both kinds, branches shuffled."""
    size = draw(st.integers(1, 8))
    balanced = draw(st.booleans())
    watts = st.floats(0, LARGEST_POWER_W, allow_subnormal=False)
    hundredths = st.integers(0, 100)
    branches, loads = [], []
    for number in range(1, size + 1):
        resistance = draw(st.floats(1e-3, 0.1))
        branches.append(
            Branch(
                name=f"branch {number}",
                from_node=f"node {draw(st.integers(0, number - 1))}",
                to_node=f"node {number}",
                resistance_ohm=resistance,
                reactance_ohm=resistance * draw(hundredths) / 100,
                neutral_resistance_ohm=resistance * draw(hundredths) / 50,
                neutral_reactance_ohm=resistance * draw(hundredths) / 100,
                has_neutral=True,
            )
        )
        first = draw(watts)
        active = (first, first, first) if balanced else (first, draw(watts), draw(watts))
        tangent = draw(st.floats(-0.2, 0.8))
        loads.append(
            Load(
                name=f"load {number}",
                node=f"node {number}",
                active_w=active,
                reactive_var=(active[0] * tangent, active[1] * tangent, active[2] * tangent),
                kind=draw(st.sampled_from(["power", "current"])),
            )
        )
    return Network(
        nominal_voltage_v=400.0,
        source_node="node 0",
        source_voltage_v=draw(st.floats(370, 430)),
        branches=tuple(draw(st.permutations(branches))),
        loads=tuple(draw(st.permutations(loads))),
        frequency_hz=50.0,
    )


@settings(max_examples=100, deadline=None)
@given(sites())
def test_load_flow_agrees_with_a_four_wire_sweep(site: Network) -> None:
    assert deviation(solve(site), sweep(site)) < 1e-9


@settings(max_examples=40, deadline=None)
@given(sites())
def test_pandapower_agrees_with_both(site: Network) -> None:
    by_pandapower = solve_pandapower(site)
    assert deviation(by_pandapower, sweep(site)) < AGREEMENT
    assert compare(solve(site), by_pandapower) < AGREEMENT


def test_the_sweep_notices_a_forgotten_neutral() -> None:
    """The comparison can fail: without Zn the two differ by percents."""
    values = {"from_node": "a", "to_node": "b", "resistance_ohm": 0.1, "reactance_ohm": 0.03}
    load = Load(name="load", node="b", active_w=(5000, 0, 0), reactive_var=(0, 0, 0), kind="power")

    def site(neutral_ohm: float) -> Network:
        cable = Branch(
            name="cable",
            neutral_resistance_ohm=neutral_ohm,
            neutral_reactance_ohm=0.0,
            has_neutral=True,
            **values,  # type: ignore[arg-type]
        )
        return Network(
            nominal_voltage_v=400.0,
            source_node="a",
            source_voltage_v=400.0,
            branches=(cable,),
            loads=(load,),
            frequency_hz=50.0,
        )

    assert deviation(solve(site(0.1)), sweep(site(0.1))) < 1e-9
    assert deviation(solve(site(0.0)), sweep(site(0.1))) > 0.005
