"""Networks that pandapower carries, and a two-bus case whose figures come from another program.

What is published: the 33-node feeder (losses and lowest voltage). What is computed by others: the
two-bus figures (a commercial network calculation program, carried in pandapower's own tests). What
is computed here by pandapower on its own data, with its own transformer or slack: the rest.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from feasibility.network.load_flow import solve
from feasibility.network.pandapower_model import solve_pandapower, to_pandapower
from feasibility.network.records import Branch, Load, Network
from feasibility.network.solution import Solution

pp = pytest.importorskip("pandapower")
pn = pytest.importorskip("pandapower.networks")

SOLVERS = pytest.mark.parametrize("solver", [solve, solve_pandapower])
Solver = Callable[[Network], Solution]


def from_library(net: Any, source: int, *, source_pu: float, nominal_v: float = 400.0) -> Network:
    """Records of the balanced lines and loads behind one bus of a library network."""
    reached, branches = {source}, []
    lines = net.line[net.line.in_service]
    while True:
        leaving = [
            (index, row)
            for index, row in lines.iterrows()
            if (row.from_bus in reached) != (row.to_bus in reached)
        ]
        if not leaving:
            break
        index, row = leaving[0]
        near, far = row.from_bus, row.to_bus
        if far in reached:
            near, far = far, near
        reached.add(far)
        branches.append(_cable(str(index), near, far, row))
    loads = [
        _balanced_load(f"{table} {index}", row, sign)
        for table, sign in (("load", 1), ("sgen", -1))
        for index, row in net[table].iterrows()
        if row.bus in reached and row.bus != source
    ]
    return Network(
        nominal_voltage_v=nominal_v,
        source_node=str(source),
        source_voltage_v=source_pu * nominal_v,
        branches=tuple(branches),
        loads=tuple(loads),
        frequency_hz=50.0,
    )


def _cable(name: str, near: int, far: int, row: Any) -> Branch:
    """A neutral like the line conductors: it plays no part under balanced loads."""
    resistance, reactance = (row.length_km * row.r_ohm_per_km, row.length_km * row.x_ohm_per_km)
    return Branch(
        name=name,
        from_node=str(near),
        to_node=str(far),
        resistance_ohm=resistance,
        reactance_ohm=reactance,
        neutral_resistance_ohm=resistance,
        neutral_reactance_ohm=reactance,
        has_neutral=True,
    )


def _balanced_load(name: str, row: Any, sign: int) -> Load:
    active_w, reactive_var = sign * row.p_mw * 1e6 / 3, sign * row.q_mvar * 1e6 / 3
    return Load(
        name=name,
        node=str(row.bus),
        active_w=(active_w,) * 3,
        reactive_var=(reactive_var,) * 3,
        kind="power",
    )


@SOLVERS
def test_published_33_node_feeder(solver: Solver) -> None:
    # Published: M. E. Baran, F. F. Wu, Network reconfiguration in distribution systems for loss
    # reduction and load balancing, IEEE Trans. Power Delivery 4 (1989) 1401-1407: 12.66 kV, radial,
    # 202.7 kW losses and 0.9131 per unit at node 18 before reconfiguration. The figures were seen
    # as quoted in several later works, the paper itself was not opened. Data: pandapower.
    network = from_library(pn.case33bw(), 0, source_pu=1.0, nominal_v=12_660.0)
    assert len(network.branches) == 32
    assert sum(sum(load.active_w) for load in network.loads) == pytest.approx(3.715e6)
    solution = solver(network)
    assert round(solution.total_loss_w / 1000, 1) == 202.7
    voltages = {node: solution.lowest_line_voltage_v(node) / 12_660 for node in network.nodes}
    assert min(voltages, key=lambda node: voltages[node]) == "17"  # nodes count from 0 there
    assert round(voltages["17"], 4) == 0.9131


# Figures of a commercial network calculation program for 400 m of a 0.4 kV cable with an unbalanced
# load, carried in pandapower's tests (two-bus line of the three-phase load flow).
TWO_BUS_VOLTAGES_PU = {
    "terminals": [0.99939853552, 1.0013885141, 0.99921580141],
    "end": [0.97401782343, 0.98945593737, 0.96329605983],
}
TWO_BUS_CURRENTS_A = [119.46088987, 88.12337783, 140.74226065]


def two_buses(source_voltage_v: float) -> Network:
    """The two buses behind a source impedance that is the same in all three sequences."""
    reactance = 1.1 * 400**2 / 10e6 / math.hypot(1, 0.1)
    grid = Branch(
        name="grid",
        from_node="grid",
        to_node="terminals",
        resistance_ohm=0.1 * reactance,
        reactance_ohm=reactance,
        neutral_resistance_ohm=0.0,
        neutral_reactance_ohm=0.0,
        has_neutral=True,
    )
    cable = Branch(
        name="cable",
        from_node="terminals",
        to_node="end",
        resistance_ohm=0.4 * 0.1013,
        reactance_ohm=0.4 * 0.06911504,
        neutral_resistance_ohm=0.4 * (0.4053 - 0.1013) / 3,
        neutral_reactance_ohm=0.4 * (0.2764602 - 0.06911504) / 3,
        has_neutral=True,
    )
    share = 10_000 / 3
    load = Load(
        name="load",
        node="end",
        active_w=(20_000 + share, 15_000 + share, 25_000 + share),
        reactive_var=(10_000 + share, 5_000 + share, 10_000 + share),
        kind="power",
    )
    return Network(
        nominal_voltage_v=400.0,
        source_node="grid",
        source_voltage_v=source_voltage_v,
        branches=(grid, cable),
        loads=(load,),
        frequency_hz=50.0,
    )


def positive_sequence_pu(solution: Solution, node: str) -> float:
    turn = np.exp(2j * np.pi / 3 * np.arange(3))
    return float(abs((solution.voltage_phasor_v(node) * turn).mean())) * math.sqrt(3) / 400


@SOLVERS
def test_unbalanced_two_bus_case_of_another_program(solver: Solver) -> None:
    # There the source has an impedance in the negative and zero sequence only and holds 1.0 per
    # unit in the positive one; here it has it in all three, and the voltage behind it is raised
    # until 1.0 stands at its terminals. The cable's capacitance (0.28 microfarad) is left out:
    # 4e-6 per unit.
    source_v = 400.0
    for _ in range(8):
        solution = solver(two_buses(source_v))
        source_v /= positive_sequence_pu(solution, "terminals")
    assert positive_sequence_pu(solution, "terminals") == pytest.approx(1, abs=1e-9)
    for node, voltages_pu in TWO_BUS_VOLTAGES_PU.items():
        assert solution.voltage_v(node) * math.sqrt(3) / 400 == pytest.approx(voltages_pu, abs=1e-5)
    assert solution.current_a("cable") == pytest.approx(TWO_BUS_CURRENTS_A, abs=0.02)


@SOLVERS
@pytest.mark.parametrize(
    "name", ["panda_four_load_branch", "four_loads_with_branches_out", "simple_four_bus_system"]
)
def test_low_voltage_side_of_a_transformer(name: str, solver: Solver) -> None:
    # The library's net is solved by the library with its transformer; the records begin at the
    # low-voltage busbar. Left out: cable capacitance (105 nF in the longest cable, 4e-6).
    net = getattr(pn, name)()
    pp.runpp(net, numba=False, tolerance_mva=1e-10)
    network = from_library(net, 1, source_pu=net.res_bus.vm_pu[1])
    solution = solver(network)
    for node in network.nodes:
        expected_v = net.res_bus.vm_pu[int(node)] * 400
        assert solution.lowest_line_voltage_v(node) == pytest.approx(expected_v, rel=5e-6)
    assert len(network.branches) == len(net.line)
    for branch in network.branches:
        expected_a = net.res_line.i_from_ka[int(branch.name)] * 1000
        assert solution.current_a(branch.name) == pytest.approx([expected_a] * 3, rel=1e-3)


@pytest.mark.parametrize("kind", ["power", "current"])
def test_exported_network_stands_on_its_own(kind: Any) -> None:
    # Whoever receives the export solves it with pandapower's own commands, after a round trip.
    cable = Branch(
        name="cable",
        from_node="board",
        to_node="end",
        resistance_ohm=0.1,
        reactance_ohm=0.03,
        neutral_resistance_ohm=0.2,
        neutral_reactance_ohm=0.04,
        has_neutral=True,
    )
    load = Load(
        name="rectifier", node="end", active_w=(5e3,) * 3, reactive_var=(1e3,) * 3, kind=kind
    )
    network = Network(
        nominal_voltage_v=400.0,
        source_node="board",
        source_voltage_v=410.0,
        branches=(cable,),
        loads=(load,),
        frequency_hz=50.0,
    )
    net = pp.from_json_string(pp.to_json(to_pandapower(network)))
    assert net.bus.name.tolist() == ["board", "end"]
    assert net.line.r0_ohm_per_km.tolist() == pytest.approx([0.1 + 3 * 0.2])
    assert net.line.x0_ohm_per_km.tolist() == pytest.approx([0.03 + 3 * 0.04])
    assert net.load.kind.tolist() == [kind]
    pp.runpp(net, numba=False)
    expected_v = solve(network).lowest_line_voltage_v("end")
    assert net.res_bus.vm_pu.iloc[1] * 400 == pytest.approx(expected_v, rel=1e-7)
