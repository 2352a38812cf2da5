"""The own transformer against two solvers' own transformer models, and IEC 60909 of one of them."""

from __future__ import annotations

import cmath
import math
from typing import Any

import numpy as np
import pandapower as pp
import pandapower.shortcircuit as pp_sc
import power_grid_model as pgm
import pytest
from pandapower.pf.runpp_3ph import runpp_3ph

from feasibility.checks.fault_conductors import FaultKind
from feasibility.checks.fault_path import largest_at, smallest_at
from feasibility.checks.feed_network import NO_LOAD, TRANSFORMER
from feasibility.checks.question import Run
from feasibility.installation.build import build_installation
from feasibility.network.load_flow import solve
from feasibility.network.records import Branch, Load, Network

from .cases_of_transformer import own
from .sites import SINGLE, Changes, site

MEDIUM_V = 10e3
RATED_V = 410.0
POWER_VA, SHORT_CIRCUIT, LOSS_W = 160e3, 0.04, 2350.0
NO_SHUNT = 1e6
"""Magnetising over short-circuit impedance of the zero sequence, which a delta winding hides."""

PLATE = own(
    rated_power_kva=POWER_VA / 1000,
    short_circuit_voltage_percent=100 * SHORT_CIRCUIT,
    load_loss_kw=LOSS_W / 1000,
    rated_secondary_voltage_v=RATED_V,
    upstream_tolerance_low_percent=5,
    largest_upstream_fault_mva=350,
    smallest_upstream_fault_mva=120,
)
UNEQUAL: Changes = {
    "supply.demand": {
        "maximum_l1_a": 150,
        "maximum_l2_a": 60,
        "maximum_l3_a": 90,
        "power_factor": 0.9,
    }
}
EQUAL: Changes = {"supply.demand": {"maximum_a": 150, "power_factor": 0.9}}


def run_of(*changes: Changes) -> Run:
    return Run.over(build_installation(site(SINGLE, PLATE, *changes)), favourable=False)


def as_power(network: Network) -> Network:
    """The same loads at constant power: both solvers know those on every phase."""
    loads = tuple(
        Load(
            name=one.name,
            node=one.node,
            active_w=one.active_w,
            reactive_var=one.reactive_var,
            kind="power",
        )
        for one in network.loads
    )
    return Network(
        nominal_voltage_v=network.nominal_voltage_v,
        source_node=network.source_node,
        source_voltage_v=network.source_voltage_v,
        branches=network.branches,
        loads=loads,
        frequency_hz=network.frequency_hz,
    )


def test_the_branch_is_the_plate_on_the_low_voltage_side() -> None:
    branch = run_of(EQUAL).operation.transformer_branch()
    assert branch is not None
    # IEC 60909-0, 6.3.1 by hand.
    resistance = LOSS_W * (RATED_V / POWER_VA) ** 2
    assert branch.resistance_ohm == pytest.approx(resistance, rel=1e-12)
    whole = SHORT_CIRCUIT * RATED_V**2 / POWER_VA
    reactance = math.sqrt(whole**2 - resistance**2)
    assert branch.reactance_ohm == pytest.approx(reactance, rel=1e-12)
    assert (branch.from_node, branch.neutral_resistance_ohm, branch.neutral_reactance_ohm) == (
        NO_LOAD,
        0,
        0,
    )


def with_pandapower_transformer(network: Network) -> Any:
    """The network with pandapower's transformer element in place of our branch."""
    net = pp.create_empty_network(sn_mva=0.1)
    nodes = [one for one in network.nodes if one != NO_LOAD]
    high = pp.create_bus(net, vn_kv=MEDIUM_V / 1000)
    bus = {one: pp.create_bus(net, vn_kv=network.nominal_voltage_v / 1000) for one in nodes}
    pp.create_ext_grid(
        net, high, vm_pu=network.source_voltage_v / RATED_V, s_sc_max_mva=1e9, rx_max=0.1,
        x0x_max=1.0, r0x0_max=0.1,
    )  # fmt: skip
    percent = 100 * LOSS_W / POWER_VA
    pp.create_transformer_from_parameters(
        net, high, bus[nodes[0]], sn_mva=POWER_VA / 1e6, vn_hv_kv=MEDIUM_V / 1000,
        vn_lv_kv=RATED_V / 1000, vkr_percent=percent, vk_percent=100 * SHORT_CIRCUIT, pfe_kw=0,
        i0_percent=0, shift_degree=150, vector_group="Dyn", vk0_percent=100 * SHORT_CIRCUIT,
        vkr0_percent=percent, mag0_percent=NO_SHUNT, mag0_rx=0, si0_hv_partial=0.9,
    )  # fmt: skip
    for one in network.branches:
        if one.name != TRANSFORMER:
            _add_line(net, bus, one)
    for load in network.loads:
        active, reactive = load.active_w, load.reactive_var
        pp.create_asymmetric_load(
            net, bus[load.node], p_a_mw=active[0] / 1e6, p_b_mw=active[1] / 1e6,
            p_c_mw=active[2] / 1e6, q_a_mvar=reactive[0] / 1e6, q_b_mvar=reactive[1] / 1e6,
            q_c_mvar=reactive[2] / 1e6,
        )  # fmt: skip
    return net, bus


def _add_line(net: Any, bus: dict[str, int], one: Branch) -> None:
    pp.create_line_from_parameters(
        net, bus[one.from_node], bus[one.to_node], length_km=1, r_ohm_per_km=one.resistance_ohm,
        x_ohm_per_km=one.reactance_ohm, c_nf_per_km=0, max_i_ka=1,
        r0_ohm_per_km=one.resistance_ohm + 3 * one.neutral_resistance_ohm,
        x0_ohm_per_km=one.reactance_ohm + 3 * one.neutral_reactance_ohm, c0_nf_per_km=0,
    )  # fmt: skip


def test_equal_loads_give_the_voltages_of_pandapowers_transformer() -> None:
    network = as_power(run_of(EQUAL).operation.network(32.0))
    net, bus = with_pandapower_transformer(network)
    pp.runpp(net, numba=False, trafo_model="pi", tolerance_mva=1e-9)
    solution = solve(network)
    for node, index in bus.items():
        expected = net.res_bus.vm_pu[index] * network.nominal_voltage_v
        assert solution.lowest_line_voltage_v(node) == pytest.approx(expected, rel=1e-7)


def test_unequal_loads_give_the_voltages_of_pandapowers_transformer() -> None:
    # Voltages only: pandapower 3.5 shows currents on the low-voltage side of a transformer in its
    # unbalanced load flow that do not fit its own voltages.
    network = as_power(run_of(UNEQUAL).operation.network(32.0))
    net, bus = with_pandapower_transformer(network)
    runpp_3ph(net, numba=False, tolerance_mva=1e-9, max_iteration=100)
    solution = solve(network)
    scale = network.nominal_voltage_v / math.sqrt(3)
    for node, index in bus.items():
        row = net.res_bus_3ph.loc[index]
        expected = [row.vm_a_pu * scale, row.vm_b_pu * scale, row.vm_c_pu * scale]
        np.testing.assert_allclose(solution.voltage_v(node), expected, rtol=1e-5)


@pytest.mark.parametrize("changes", [EQUAL, UNEQUAL], ids=["equal", "unequal"])
def test_the_voltages_are_those_of_power_grid_models_transformer(changes: Changes) -> None:
    network = as_power(run_of(changes).operation.network(32.0))
    solution = solve(network)
    nodes = [one for one in network.nodes if one != NO_LOAD]
    voltages, angles = _by_power_grid_model(network, nodes)
    shift = cmath.exp(1j * math.radians(30 * 5))
    for row, node in enumerate(nodes, start=1):
        turned = voltages[row] * np.exp(1j * angles[row]) * shift
        np.testing.assert_allclose(solution.voltage_phasor_v(node), turned, rtol=1e-7)


def _by_power_grid_model(network: Network, nodes: list[str]) -> tuple[Any, Any]:
    lines = [one for one in network.branches if one.name != TRANSFORMER]
    rows = {name: row for row, name in enumerate(nodes, start=1)}

    def table(component: str, count: int, first: int) -> Any:
        found = pgm.initialize_array("input", component, count)
        found["id"] = np.arange(first, first + count)
        return found

    node = table("node", len(nodes) + 1, 0)
    node["u_rated"] = [MEDIUM_V, *[network.nominal_voltage_v] * len(nodes)]
    line = table("line", len(lines), 100)
    line["from_node"] = [rows[one.from_node] for one in lines]
    line["to_node"] = [rows[one.to_node] for one in lines]
    line["from_status"] = line["to_status"] = 1
    line["r1"] = [one.resistance_ohm for one in lines]
    line["x1"] = [one.reactance_ohm for one in lines]
    line["r0"] = [one.resistance_ohm + 3 * one.neutral_resistance_ohm for one in lines]
    line["x0"] = [one.reactance_ohm + 3 * one.neutral_reactance_ohm for one in lines]
    line["c1"] = line["c0"] = line["tan1"] = line["tan0"] = 0
    transformer = table("transformer", 1, 200)
    for field, value in {
        "from_node": 0, "to_node": 1, "from_status": 1, "to_status": 1, "u1": MEDIUM_V,
        "u2": RATED_V, "sn": POWER_VA, "uk": SHORT_CIRCUIT, "pk": LOSS_W, "i0": 0, "p0": 0,
        "winding_from": pgm.WindingType.delta, "winding_to": pgm.WindingType.wye_n, "clock": 5,
        "tap_side": pgm.BranchSide.from_side, "tap_pos": 0, "tap_min": 0, "tap_max": 0,
        "tap_size": 0,
    }.items():  # fmt: skip
        transformer[field] = value
    load = table("asym_load", len(network.loads), 300)
    load["node"] = [rows[one.node] for one in network.loads]
    load["status"] = 1
    load["type"] = pgm.LoadGenType.const_power
    load["p_specified"] = [one.active_w for one in network.loads]
    load["q_specified"] = [one.reactive_var for one in network.loads]
    source = table("source", 1, 400)
    source["node"], source["status"], source["sk"] = 0, 1, 1e18
    source["u_ref"] = network.source_voltage_v / RATED_V
    data = {
        "node": node, "line": line, "transformer": transformer, "asym_load": load,
        "source": source,
    }  # fmt: skip
    found = pgm.PowerGridModel(data).calculate_power_flow(symmetric=False, error_tolerance=1e-12)
    return found["node"]["u"], found["node"]["u_angle"]


# Only of branch results, which are not used here.
@pytest.mark.filterwarnings("ignore:Calculation does not support calculation of voltages")
@pytest.mark.parametrize("r_to_x", [0.1, 1.0, 10.0])
@pytest.mark.parametrize(
    ("kind", "word"), [(FaultKind.THREE_PHASE, "3ph"), (FaultKind.LINE_NEUTRAL, "1ph")]
)
def test_fault_currents_enclose_those_of_pandapowers_transformer(
    kind: FaultKind, word: str, r_to_x: float
) -> None:
    run = run_of(EQUAL)
    for case, of in (("max", largest_at), ("min", smallest_at)):
        expected = by_iec_60909(case, word, r_to_x)
        found = of(run, 0, kind).value_a
        assert found == pytest.approx(expected, rel=0.02)
        assert found >= expected * (1 - 1e-3) if case == "max" else found <= expected * (1 + 1e-3)


def by_iec_60909(case: str, fault: str, r_to_x: float) -> float:
    """The current at the low-voltage side; X0 = 0.8 X1 for the largest, X1 for the smallest."""
    net = pp.create_empty_network(sn_mva=0.1)
    high, low = pp.create_bus(net, vn_kv=MEDIUM_V / 1000), pp.create_bus(net, vn_kv=0.4)
    pp.create_ext_grid(
        net, high, s_sc_max_mva=350, rx_max=r_to_x, x0x_max=1, r0x0_max=0.1, s_sc_min_mva=120,
        rx_min=r_to_x, x0x_min=1, r0x0_min=0.1,
    )  # fmt: skip
    percent = 100 * LOSS_W / POWER_VA
    zero = math.hypot(percent, 0.8 * math.sqrt((100 * SHORT_CIRCUIT) ** 2 - percent**2))
    pp.create_transformer_from_parameters(
        net, high, low, sn_mva=POWER_VA / 1e6, vn_hv_kv=MEDIUM_V / 1000, vn_lv_kv=RATED_V / 1000,
        vkr_percent=percent, vk_percent=100 * SHORT_CIRCUIT, pfe_kw=0, i0_percent=0,
        shift_degree=150, vector_group="Dyn", vkr0_percent=percent,
        vk0_percent=zero if case == "max" else 100 * SHORT_CIRCUIT, mag0_percent=NO_SHUNT,
        mag0_rx=0, si0_hv_partial=0.9,
    )  # fmt: skip
    net.trafo["power_station_unit"] = False
    pp_sc.calc_sc(net, fault=fault, case=case, lv_tol_percent=10, bus=low)
    return 1000 * float(net.res_bus_sc.ikss_ka[low])
