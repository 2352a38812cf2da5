"""The load flow against closed forms and against figures of independent solvers."""

from __future__ import annotations

import math
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from feasibility.network.circuit import circuit_of
from feasibility.network.load_flow import Solver, solve
from feasibility.network.pandapower_model import solve_pandapower
from feasibility.network.records import Branch, Load, LoadKind, Network, NetworkError
from feasibility.network.solution import NotSupplied, compare

FIVE_NODES: dict[str, Any] = tomllib.loads(
    (Path(__file__).parent / "five_node_radial.toml").read_text(encoding="utf-8")
)


def branch(name: str, from_node: str, to_node: str, **values: Any) -> Branch:
    given: dict[str, Any] = {
        "resistance_ohm": 0.1,
        "reactance_ohm": 0.03,
        "neutral_resistance_ohm": 0.12,
        "neutral_reactance_ohm": 0.03,
        "has_neutral": True,
    }
    return Branch(name=name, from_node=from_node, to_node=to_node, **(given | values))


def load(node: str, *active_w: float, reactive_var: float = 0.0, kind: LoadKind = "power") -> Load:
    first, second, third = active_w if len(active_w) == 3 else 3 * active_w
    return Load(
        name=f"load at {node}",
        node=node,
        active_w=(first, second, third),
        reactive_var=(reactive_var, reactive_var, reactive_var),
        kind=kind,
    )


def network(*items: Branch | Load, source_voltage_v: float = 400.0) -> Network:
    return Network(
        nominal_voltage_v=400.0,
        source_node="source",
        source_voltage_v=source_voltage_v,
        branches=tuple(item for item in items if isinstance(item, Branch)),
        loads=tuple(item for item in items if isinstance(item, Load)),
        frequency_hz=50.0,
    )


def five_nodes(*, last_load_only: bool = False) -> Network:
    loads = [row for row in FIVE_NODES["loads"]["rows"] if not last_load_only or row[0] == 4]
    return Network(
        nominal_voltage_v=400.0,
        source_node="0",
        source_voltage_v=FIVE_NODES["source"]["voltage_v"],
        branches=tuple(
            branch(
                f"to {to}",
                str(start),
                str(to),
                resistance_ohm=length_m * resistance / 1000,
                reactance_ohm=length_m * reactance / 1000,
            )
            for start, to, length_m, resistance, reactance in FIVE_NODES["segments"]["rows"]
        ),
        loads=tuple(
            load(str(node), kw * 1000 / 3, reactive_var=kvar * 1000 / 3) for node, kw, kvar in loads
        ),
        frequency_hz=50.0,
    )


@pytest.mark.parametrize("solver", [solve, solve_pandapower])
def test_five_node_radial_as_four_solvers_have_it(solver: Any) -> None:
    # Source of the figures: five_node_radial.toml (computed by independent solvers).
    expected = FIVE_NODES["all_loads"]
    solution = solver(five_nodes())
    first_phase = [solution.voltage_phasor_v(str(node))[0] for node in range(5)]
    phase_v = 400 / math.sqrt(3)
    assert np.abs(first_phase) / phase_v == pytest.approx(expected["voltage_pu"], abs=1e-8)
    assert np.angle(first_phase, deg=True) == pytest.approx(expected["angle_degree"], abs=1e-6)
    currents = [solution.current_a(f"to {node}") for node in range(1, 5)]
    for current, expected_a in zip(currents, expected["current_a"], strict=True):
        assert current == pytest.approx([expected_a] * 3, abs=1e-5)
    assert solution.total_loss_w / 1000 == pytest.approx(expected["loss_kw"], abs=1e-8)


@pytest.mark.parametrize("solver", [solve, solve_pandapower])
def test_five_node_radial_with_its_last_load_only(solver: Any) -> None:
    expected = FIVE_NODES["last_load_only"]
    solution = solver(five_nodes(last_load_only=True))
    line_pu = [solution.lowest_line_voltage_v(str(node)) / 400 for node in range(5)]
    assert line_pu == pytest.approx(expected["voltage_pu"], abs=1e-8)
    assert solution.current_a("to 4") == pytest.approx([expected["current_a"]] * 3, abs=1e-6)


def closed_form_voltage_v(
    source_v: float, resistance_ohm: float, reactance_ohm: float, active_w: float, reactive: float
) -> float:
    """Upper root of U^4 + U^2 (2 (P R + Q X) - E^2) + (P^2 + Q^2) Z^2 = 0 (one phase)."""
    half = source_v**2 / 2 - (active_w * resistance_ohm + reactive * reactance_ohm)
    z2 = resistance_ohm**2 + reactance_ohm**2
    return math.sqrt(half + math.sqrt(half**2 - (active_w**2 + reactive**2) * z2))


@given(
    active_w=st.floats(0, 40_000),
    reactive_var=st.floats(0, 20_000),
    resistance_ohm=st.floats(1e-5, 0.2),
    reactance_ohm=st.floats(0, 0.1, allow_subnormal=False),
    source_voltage_v=st.floats(380, 420),
)
def test_two_nodes_in_closed_form(
    active_w: float,
    reactive_var: float,
    resistance_ohm: float,
    reactance_ohm: float,
    source_voltage_v: float,
) -> None:
    # Outside check: the quadratic of the two-node circuit with constant power, any textbook.
    # It also shows that the source impedance which the solver insists on is negligible.
    phase_v = source_voltage_v / math.sqrt(3)
    impedance_ohm = math.hypot(resistance_ohm, reactance_ohm)
    largest_va = phase_v**2 / (4 * impedance_ohm)
    share = min(1.0, 0.9 * largest_va / max(math.hypot(active_w, reactive_var), 1e-9))
    cable = branch("cable", "source", "end", resistance_ohm=resistance_ohm)
    cable = replace(cable, reactance_ohm=reactance_ohm)
    rectifier = load("end", share * active_w, reactive_var=share * reactive_var)
    solution = solve(network(cable, rectifier, source_voltage_v=source_voltage_v))
    expected_v = closed_form_voltage_v(
        phase_v, resistance_ohm, reactance_ohm, share * active_w, share * reactive_var
    )
    assert solution.voltage_v("end") == pytest.approx([expected_v] * 3, rel=1e-9)
    expected_a = share * math.hypot(active_w, reactive_var) / expected_v
    assert solution.current_a("cable") == pytest.approx([expected_a] * 3, rel=1e-9, abs=1e-9)
    assert solution.voltage_v("source") == pytest.approx([phase_v] * 3, rel=1e-12)
    loss_w = 3 * resistance_ohm * expected_a**2
    assert solution.loss_w("cable") == pytest.approx(loss_w, rel=1e-8, abs=1e-9)


def test_constant_current_keeps_its_magnitude() -> None:
    # 10 A at nominal voltage stay 10 A, whatever the source gives.
    power_w = 10 * 400 / math.sqrt(3)
    for source_voltage_v in (360.0, 400.0, 440.0):
        solution = solve(
            network(
                branch("cable", "source", "end"),
                load("end", power_w, kind="current"),
                source_voltage_v=source_voltage_v,
            )
        )
        assert solution.current_a("cable") == pytest.approx([10.0] * 3, rel=1e-10)


def test_one_phase_alone_uses_its_neutral() -> None:
    # Kirchhoff by hand: 20 A through R + Rn (0.1 + 0.12 ohm, no reactance) drop 4.4 V; the neutral
    # shifts by 2.4 V, which the idle phases see at an angle of 120 degrees.
    cable = branch("cable", "source", "end", reactance_ohm=0.0, neutral_reactance_ohm=0.0)
    nominal_v = 400 / math.sqrt(3)
    solution = solve(network(cable, load("end", 20 * nominal_v, 0, 0, kind="current")))
    idle_v = abs(nominal_v * np.exp(2j * math.pi / 3) - 2.4)
    assert solution.voltage_v("end") == pytest.approx([nominal_v - 4.4, idle_v, idle_v], rel=1e-9)
    assert solution.current_a("cable") == pytest.approx([20, 0, 0], abs=1e-9)
    assert solution.neutral_current_a("cable") == pytest.approx(20, rel=1e-10)
    assert solution.loss_w("cable") == pytest.approx(20**2 * (0.1 + 0.12), rel=1e-9)


def test_neutral_current_of_unequal_phases() -> None:
    # Outside check: In^2 = I1^2 + I2^2 + I3^2 - I1 I2 - I2 I3 - I3 I1 for currents at the same
    # power factor 120 degrees apart, as electricians' handbooks print it (from memory).
    currents_a = (10.0, 6.0, 2.0)
    nominal_v = 400 / math.sqrt(3)
    short = Branch(
        name="cable",
        from_node="source",
        to_node="end",
        resistance_ohm=1e-6,
        reactance_ohm=0.0,
        neutral_resistance_ohm=1e-6,
        neutral_reactance_ohm=0.0,
        has_neutral=True,
    )
    powers = [current * nominal_v for current in currents_a]
    solution = solve(network(short, load("end", *powers, kind="current")))
    first, second, third = currents_a
    squares = first**2 + second**2 + third**2 - first * second - second * third - third * first
    assert solution.neutral_current_a("cable") == pytest.approx(math.sqrt(squares), rel=1e-6)


@given(
    kilowatt=st.floats(0.1, 20),
    more=st.floats(1.01, 1.5),
    power_factor=st.floats(0.7, 1.0),
    kind=st.sampled_from(["power", "current"]),
)
def test_more_load_never_raises_the_voltage(
    kilowatt: float, more: float, power_factor: float, kind: LoadKind
) -> None:
    kvar = kilowatt * math.tan(math.acos(power_factor))
    lower_v = []
    for factor in (1.0, more):
        end = load("end", factor * kilowatt * 1000, reactive_var=factor * kvar * 1000, kind=kind)
        branches = branch("feeder", "source", "board"), branch("cable", "board", "end")
        solution = solve(network(*branches, end, load("board", 3000, 1000, 500)))
        lower_v.append([solution.voltage_v("end"), solution.voltage_v("board")])
    assert np.all(np.array(lower_v[1]) < np.array(lower_v[0]))


def test_the_largest_power_that_a_line_transmits() -> None:
    # Outside check: E^2 / (2 (|Z| + R)) a phase at unity power factor (maximum power transfer).
    phase_v = 400 / math.sqrt(3)
    largest_w = phase_v**2 / (2 * (math.hypot(0.1, 0.03) + 0.1))
    cable = branch("cable", "source", "end")
    just_below = solve(network(cable, load("end", 0.999 * largest_w)))
    assert just_below.voltage_v("end")[0] > 0.5 * phase_v
    for solver in (solve, solve_pandapower):
        with pytest.raises(NotSupplied):
            solver(network(cable, load("end", 1.001 * largest_w)))


@pytest.mark.parametrize("power_w", [3e5, 1e6])
def test_hopeless_loads_are_not_supplied(power_w: float) -> None:
    # pandapower 3.5 reports success on several of these, at voltages above the source's.
    for phases in ((power_w, power_w / 2, 0.0), (power_w, power_w, power_w)):
        overloaded = network(branch("cable", "source", "end"), load("end", *phases))
        for solver in (solve, solve_pandapower):
            with pytest.raises(NotSupplied):
                solver(overloaded)


def test_constant_current_cannot_pull_the_voltage_below_half() -> None:
    cable = branch("cable", "source", "end", reactance_ohm=0.0)
    nominal_v = 400 / math.sqrt(3)
    supplied = load("end", 0.99 * nominal_v**2 / 0.2, kind="current")
    assert solve(network(cable, supplied)).voltage_v("end")[0] < 0.51 * nominal_v
    with pytest.raises(NotSupplied, match="half"):
        solve(network(cable, load("end", 1.01 * nominal_v**2 / 0.2, kind="current")))


def test_not_a_number_is_never_supplied() -> None:
    circuit = circuit_of(five_nodes())
    with pytest.raises(NotSupplied):
        circuit.require_supplied(np.full((5, 3), complex(math.nan, 0)))
    error = circuit.kirchhoff_error(
        np.full((5, 3), complex(math.nan, 0)),
        np.zeros((4, 3), dtype=complex),
        circuit.line_ohm,
        circuit.neutral_ohm,
    )
    assert not error < 1


def test_kirchhoff_notices_a_wrong_answer() -> None:
    right = solve(five_nodes())
    circuit = circuit_of(five_nodes())

    def error(voltages: Any, currents: Any) -> float:
        gap = circuit.kirchhoff_error(voltages, currents, circuit.line_ohm, circuit.neutral_ohm)
        return float(gap)

    assert error(right.node_voltages_v, right.branch_currents_a) < 1e-12
    assert error(right.node_voltages_v * 1.001, right.branch_currents_a) > 1e-4
    assert error(right.node_voltages_v, right.branch_currents_a * 1.01) > 1e-5


def test_an_impedance_beyond_arithmetic_is_no_verdict_on_the_supply() -> None:
    cable = branch("cable", "source", "end", reactance_ohm=5e-324)
    with pytest.raises(NetworkError, match="impedance"):
        solve(network(cable, load("end", 3000)))


def test_unloaded_network_keeps_its_source_voltage() -> None:
    cable = branch("cable", "source", "end")
    for solver in (solve, solve_pandapower):
        solution = solver(network(cable, source_voltage_v=390))
        assert solution.line_voltage_v("end") == pytest.approx([390] * 3, rel=1e-9)
        assert solution.current_a("cable") == pytest.approx([0] * 3, abs=1e-6)


def test_load_at_the_source_burdens_no_branch() -> None:
    solution = solve(network(branch("cable", "source", "end"), load("source", 5000)))
    assert solution.current_a("cable") == pytest.approx([0] * 3, abs=1e-12)


def test_generation_raises_the_voltage() -> None:
    solution = solve(network(branch("cable", "source", "end"), load("end", -5000)))
    assert np.all(solution.voltage_v("end") > 400 / math.sqrt(3))


def test_balanced_load_behind_a_missing_neutral() -> None:
    # The neutral ends at the board: its potential there is what the balanced load beyond sees, and
    # the neutral conductors beyond carry nothing.
    board = branch("feeder", "source", "board")
    without = {"neutral_resistance_ohm": 0.0, "neutral_reactance_ohm": 0.0, "has_neutral": False}
    three_wires = branch("cable", "board", "outlet", **without)
    cord = branch("cord", "outlet", "end", resistance_ohm=0.02)
    items = (board, three_wires, cord, load("board", 4000, 0, 0), load("end", 3000))
    for solver in (solve, solve_pandapower):
        solution = solver(network(*items))
        assert solution.neutral_current_a("cable") == 0
        assert solution.neutral_current_a("cord") == 0
        assert solution.neutral_current_a("feeder") > 15
        for name, near, far, line_ohm in (
            ("cable", "board", "outlet", complex(0.1, 0.03)),
            ("cord", "outlet", "end", complex(0.02, 0.03)),
        ):
            drop_v = solution.voltage_phasor_v(near) - solution.voltage_phasor_v(far)
            expected_v = line_ohm * solution.current_phasor_a(name)
            assert np.abs(drop_v - expected_v).max() < 1e-5
    with pytest.raises(NetworkError, match="no neutral reaches node 'end'"):
        network(board, three_wires, cord, load("end", 3000, 0, 0))


def test_solver_takes_other_values_like_another_network() -> None:
    def site(resistance: float, neutral: float, power_w: float) -> Network:
        cable = branch("cable", "board", "end", resistance_ohm=resistance)
        return network(
            branch("feeder", "source", "board"),
            replace(cable, neutral_resistance_ohm=neutral),
            load("board", 2000, 500, 100),
            load("end", power_w, kind="current"),
        )

    solver = Solver(site(0.1, 0.12, 3000))
    before = solver.solve()
    other = solver.solve(
        resistance_ohm=np.array([0.1, 0.13]),
        neutral_resistance_ohm=np.array([0.12, 0.2]),
        active_w=np.array([[2000.0, 500, 100], [5000, 5000, 5000]]),
        reactive_var=np.zeros((2, 3)),
    )
    assert compare(other, solve(site(0.13, 0.2, 5000))) < 1e-12
    assert other.total_loss_w == pytest.approx(solve(site(0.13, 0.2, 5000)).total_loss_w, rel=1e-9)
    assert compare(other, before) > 1e-3
    assert compare(solver.solve(), before) == 0


@pytest.mark.parametrize(
    ("values", "message"),
    [
        ({"resistance_ohm": np.array([0.1, -0.1])}, "below zero"),
        ({"neutral_resistance_ohm": np.array([-0.1, 0.1])}, "below zero"),
        ({"resistance_ohm": np.array([0.1, math.nan])}, "not a finite number"),
        ({"active_w": np.array([[1.0, math.inf, 1.0]])}, "not a finite number"),
        ({"resistance_ohm": np.array([0.1])}, "shape"),
        ({"active_w": np.array([1.0, 1.0, 1.0])}, "shape"),
        ({"resistance_ohm": np.array([0.1, 0.0])}, "no impedance"),
    ],
)
def test_solver_refuses_values_that_no_network_has(values: dict[str, Any], message: str) -> None:
    cable = branch("cable", "board", "end", reactance_ohm=0.0)
    solver = Solver(network(branch("feeder", "source", "board"), cable, load("end", 3000)))
    with pytest.raises(NetworkError, match=message):
        solver.solve(**values)
