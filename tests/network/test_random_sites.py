"""Three solvers on random radial sites: ours, pandapower, and a sweep with its own neutral wire.

The sweep (four_wires.py) carries the neutral as a conductor of its own. So it checks the
symmetrical components (Z0 = Z1 + 3 Zn) that both library solvers are given.
"""

from __future__ import annotations

import math

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from feasibility.clauses.power_quality import short_circuit_power_va, voltage_unbalance_percent
from feasibility.network.load_flow import solve
from feasibility.network.pandapower_model import solve_pandapower
from feasibility.network.records import Branch, Load, Network, PhaseValues
from feasibility.network.solution import Solution, compare
from feasibility.units import FloatArray
from tests.network.four_wires import Wires, deviation, sweep

AGREEMENT = 1e-6
POWER_AT_ALL_NODES_W = 54_000.0
"""A line conductor's load times the number of pieces it passes in the longest chain: of the largest
impedances below, this takes about a third of the voltage."""

TURN = np.exp(2j * np.pi / 3 * np.arange(3))


@st.composite
def sites(draw: st.DrawFn) -> Network:
    """Trees of 1 to 12 pieces behind a supply of its own, single-phase loads among the others."""
    size = draw(st.integers(1, 12))
    balanced = draw(st.booleans())
    largest_w = POWER_AT_ALL_NODES_W / (size * (size + 1) / 2)
    branches = [draw(pieces(1, "source"))]
    branches += [
        draw(pieces(number, f"node {draw(st.integers(1, number - 1))}"))
        for number in range(2, size + 1)
    ]
    loads = [draw(loads_at(number, largest_w, balanced=balanced)) for number in range(1, size + 1)]
    return Network(
        nominal_voltage_v=400.0,
        source_node="source",
        source_voltage_v=draw(st.floats(370, 430)),
        branches=tuple(draw(st.permutations(branches))),
        loads=tuple(draw(st.permutations(loads))),
        frequency_hz=50.0,
    )


@st.composite
def pieces(draw: st.DrawFn, number: int, from_node: str) -> Branch:
    hundredths = st.integers(0, 100)
    resistance = draw(st.floats(1e-3, 0.1))
    return Branch(
        name=f"piece {number}",
        from_node=from_node,
        to_node=f"node {number}",
        resistance_ohm=resistance,
        reactance_ohm=resistance * draw(hundredths) / 100,
        neutral_resistance_ohm=resistance * draw(hundredths) / 50,
        neutral_reactance_ohm=resistance * draw(hundredths) / 100,
        has_neutral=True,
    )


@st.composite
def loads_at(draw: st.DrawFn, number: int, largest_w: float, *, balanced: bool) -> Load:
    watts = st.floats(0, largest_w, allow_subnormal=False)
    first = draw(watts)
    active: PhaseValues = (first, first, first)
    if not balanced:
        three = [first, draw(watts), draw(watts)]
        alone = draw(st.sampled_from([None, 0, 1, 2]))
        if alone is not None:
            three = [power if phase == alone else 0.0 for phase, power in enumerate(three)]
        active = (three[0], three[1], three[2])
    tangent = draw(st.floats(-0.2, 0.8))
    return Load(
        name=f"load {number}",
        node=f"node {number}",
        active_w=active,
        reactive_var=(active[0] * tangent, active[1] * tangent, active[2] * tangent),
        kind=draw(st.sampled_from(["power", "current"])),
    )


def unbalance_of_phasors(potentials_v: list[complex]) -> float:
    """Negative over positive sequence of the four-wire potentials: the definition."""
    lines = np.array(potentials_v[:3]) - potentials_v[3]
    return float(abs((lines * np.conj(TURN)).sum()) / abs((lines * TURN).sum()))


def unbalance_of_line_voltages(line_v: FloatArray) -> float:
    """The same ratio from three line-to-line voltages alone.

    IEC 61000-4-30:2015, 5.7.1: with b = sum of U^4 / (sum of U^2)^2,
    u2 = sqrt((1 - sqrt(3 - 6 b)) / (1 + sqrt(3 - 6 b))), from memory.
    """
    squares = line_v**2
    root = math.sqrt(max(0.0, 3 - 6 * float((squares**2).sum() / squares.sum() ** 2)))
    return math.sqrt(max(0.0, (1 - root) / (1 + root)))


def largest_unbalance_gap(solution: Solution, wires: Wires) -> float:
    # The square of a small unbalance is what the formula can tell apart.
    return max(
        abs(
            unbalance_of_line_voltages(solution.line_voltage_v(node)) ** 2
            - unbalance_of_phasors(potentials) ** 2
        )
        for node, potentials in wires.potentials_v.items()
    )


@settings(max_examples=30, deadline=None)
@given(sites())
def test_load_flow_agrees_with_a_four_wire_sweep(site: Network) -> None:
    solution, wires = solve(site), sweep(site)
    assert deviation(solution, wires) < 1e-9
    assert largest_unbalance_gap(solution, wires) < 1e-9


@settings(max_examples=12, deadline=None)
@given(sites())
def test_pandapower_agrees_with_both(site: Network) -> None:
    by_pandapower = solve_pandapower(site)
    assert deviation(by_pandapower, sweep(site)) < AGREEMENT
    assert compare(solve(site), by_pandapower) < AGREEMENT


@given(
    load_w=st.floats(500, 10_000),
    supply_ohm=st.floats(0.01, 0.2),
    neutral_share=st.floats(0, 2),
    angle_degree=st.floats(0, 80),
)
def test_unbalance_of_a_single_phase_load_is_its_share_of_the_short_circuit_power(
    load_w: float, supply_ohm: float, neutral_share: float, angle_degree: float
) -> None:
    # Outside check of a handbook formula: the four-wire solution of the load behind the supply, of
    # which the neutral plays no part. Left over: the load's own drop (second order).
    share = load_w / short_circuit_power_va(line_voltage_v=400.0, impedance_ohm=supply_ohm)
    angle = math.radians(angle_degree)
    resistance, reactance = supply_ohm * math.cos(angle), supply_ohm * math.sin(angle)
    supply = Branch(
        name="supply",
        from_node="source",
        to_node="end",
        resistance_ohm=resistance,
        reactance_ohm=reactance,
        neutral_resistance_ohm=resistance * neutral_share,
        neutral_reactance_ohm=reactance * neutral_share,
        has_neutral=True,
    )
    load = Load(
        name="load", node="end", active_w=(load_w, 0, 0), reactive_var=(0, 0, 0), kind="current"
    )
    site = Network(
        nominal_voltage_v=400.0,
        source_node="source",
        source_voltage_v=400.0,
        branches=(supply,),
        loads=(load,),
        frequency_hz=50.0,
    )
    found = voltage_unbalance_percent(
        unbalanced_va=load_w,
        short_circuit_power_va=short_circuit_power_va(
            line_voltage_v=400.0, impedance_ohm=supply_ohm
        ),
    )
    expected = 100 * unbalance_of_phasors(sweep(site).potentials_v["end"])
    assert abs(found - expected) < 1.5 * share * found


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
