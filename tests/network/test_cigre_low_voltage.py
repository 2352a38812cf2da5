"""The CIGRE low-voltage benchmark, rebuilt from its data, against pandapower on its own network.

There the three parts stand behind their transformers at 20 kV; here each transformer is a branch at
400 V. No published voltages were found (see cigre_low_voltage.toml).
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from feasibility.network.load_flow import solve
from feasibility.network.pandapower_model import solve_pandapower
from feasibility.network.records import Branch, Load, Network
from feasibility.network.solution import Solution, compare
from tests.network.four_wires import deviation, sweep

pp = pytest.importorskip("pandapower")
pn = pytest.importorskip("pandapower.networks")

DATA: dict[str, Any] = tomllib.loads(
    (Path(__file__).parent / "cigre_low_voltage.toml").read_text(encoding="utf-8")
)
PARTS = {"residential": "R", "industrial": "I", "commercial": "C"}


def part(name: str) -> Network:
    data = DATA["part"][name]
    transformer = data["transformer"]
    base_ohm = 400**2 / (transformer["kva"] * 1000)
    branches = [
        _branch(
            "source",
            "1",
            base_ohm * transformer["resistance_percent"] / 100,
            base_ohm * transformer["reactance_percent"] / 100,
        )
    ]
    for near, far, length_m, code in data["lines"]:
        resistance, reactance = DATA["code"][code]
        branches.append(
            _branch(str(near), str(far), length_m * resistance / 1000, length_m * reactance / 1000)
        )
    return Network(
        nominal_voltage_v=400.0,
        source_node="source",
        source_voltage_v=400.0,
        branches=tuple(branches),
        loads=tuple(_load(str(node), kva, data["power_factor"]) for node, kva in data["loads"]),
        frequency_hz=50.0,
    )


def _branch(near: str, far: str, resistance_ohm: float, reactance_ohm: float) -> Branch:
    """With a neutral like the line conductors, which balanced loads do not use."""
    return Branch(
        name=f"to {far}",
        from_node=near,
        to_node=far,
        resistance_ohm=resistance_ohm,
        reactance_ohm=reactance_ohm,
        neutral_resistance_ohm=resistance_ohm,
        neutral_reactance_ohm=reactance_ohm,
        has_neutral=True,
    )


def _load(node: str, kva: float, power_factor: float) -> Load:
    active_w = kva * 1000 / 3 * power_factor
    reactive_var = kva * 1000 / 3 * math.sqrt(1 - power_factor**2)
    return Load(
        name=f"load at {node}",
        node=node,
        active_w=(active_w,) * 3,
        reactive_var=(reactive_var,) * 3,
        kind="power",
    )


@pytest.fixture(scope="module")
def library() -> Any:
    net = pn.create_cigre_network_lv()
    pp.runpp(net, numba=False, tolerance_mva=1e-10)
    return net


@pytest.mark.parametrize("solver", [solve, solve_pandapower])
@pytest.mark.parametrize("name", PARTS)
def test_balanced_as_pandapower_has_it(
    name: str, solver: Callable[[Network], Solution], library: Any
) -> None:
    network = part(name)
    solution = solver(network)
    bus_of = {row["name"]: index for index, row in library.bus.iterrows()}
    for node in network.nodes[1:]:
        expected_v = library.res_bus.vm_pu[bus_of[f"Bus {PARTS[name]}{node}"]] * 400
        assert solution.lowest_line_voltage_v(node) == pytest.approx(expected_v, rel=1e-7)
    lines = {row["name"]: index for index, row in library.line.iterrows()}
    for branch in network.branches[1:]:
        line = f"Line {PARTS[name]}{branch.from_node}-{PARTS[name]}{branch.to_node}"
        expected_a = library.res_line.i_ka[lines[line]] * 1000
        assert solution.current_a(branch.name) == pytest.approx([expected_a] * 3, rel=1e-6)
    transformer = int(library.trafo.index[library.trafo.name.str.contains(f"{PARTS[name]}0-")][0])
    expected_w = (library.res_trafo.pl_mw[transformer]) * 1e6
    assert solution.loss_w("to 1") == pytest.approx(expected_w, rel=1e-5)


def test_every_line_and_load_of_the_benchmark_is_there(library: Any) -> None:
    networks = [part(name) for name in PARTS]
    assert sum(len(one.branches) - 1 for one in networks) == len(library.line) == 37
    assert sum(len(one.loads) for one in networks) == len(library.load) == 15
    total_w = sum(sum(load.active_w) for one in networks for load in one.loads)
    assert total_w == pytest.approx(library.load.p_mw.sum() * 1e6)


@pytest.mark.parametrize("name", PARTS)
def test_unbalanced_between_three_solvers(name: str) -> None:
    # 30, 60 and 10 % of each load on the phases, as assumed here.
    network = part(name)
    loads = tuple(
        replace(
            load, active_w=(0.9 * load.active_w[0], 1.8 * load.active_w[0], 0.3 * load.active_w[0])
        )
        for load in network.loads
    )
    skewed = replace(network, loads=loads)
    solution = solve(skewed)
    assert deviation(solution, sweep(skewed)) < 1e-9
    assert compare(solution, solve_pandapower(skewed)) < 1e-7
    assert max(solution.neutral_current_a(one.name) for one in skewed.branches) > 50
