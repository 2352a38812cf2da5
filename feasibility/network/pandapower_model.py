"""The same network in pandapower: a second solver for comparison, and a model to export."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from copy import deepcopy
from functools import cache
from typing import Any

import numpy as np

from feasibility.network.circuit import PHASES, Circuit, circuit_of
from feasibility.network.records import Load, Network
from feasibility.network.solution import ComplexArray, NotSupplied, Solution
from feasibility.units import SQRT3, FloatArray

MEGA = 1e6
_BASE_MVA = 1e-3
_FINE_BASE_SHARE = 3e-4
"""Per-unit base, and a finer one as a share of all load: the unbalanced solver's own tolerance is a
fixed share of it. The finer one is needed where a long cable drops much of the voltage, and ends
nowhere in a network with hardly any impedance. Both are our own, found by trial."""

_FAULT_LEVEL_MVA = 1e9
"""The unbalanced solver wants a source impedance: at 400 V this one is 1.8e-10 ohm."""

_TOLERANCE_MVA = 1e-9
_ITERATIONS = 100
_CURRENT_TOLERANCE = 1e-9
_CURRENT_PASSES = 50
_KIRCHHOFF_TOLERANCE = 1e-6
_PHASE_NAMES = ("a", "b", "c")

_Phasors = tuple[ComplexArray, ComplexArray]


def to_pandapower(network: Network) -> Any:
    """Return the network as a pandapowerNet (buses, lines of 1 km, loads, an ideal source).

    Lines carry R, X, R0 = R + 3 Rn, X0 = X + 3 Xn and no capacitance; their rating is not known
    here and left empty. Balanced networks get symmetrical loads (constant current as 100 % of that
    share); otherwise every load is asymmetrical, at its power at nominal voltage, because
    pandapower has no asymmetrical load of constant current. The column ``kind`` says which it is.
    """
    import pandapower as pp

    net = deepcopy(_empty_network(network.frequency_hz))
    nominal_kv = network.nominal_voltage_v / 1000
    buses = pp.create_buses(net, len(network.nodes), vn_kv=nominal_kv, name=network.nodes)
    bus = dict(zip(network.nodes, buses.tolist(), strict=True))
    pp.create_ext_grid(
        net,
        bus[network.source_node],
        vm_pu=network.source_voltage_v / network.nominal_voltage_v,
        s_sc_max_mva=_FAULT_LEVEL_MVA,
        rx_max=0.1,
        x0x_max=1.0,
        r0x0_max=0.1,
    )
    circuit = circuit_of(network)
    zero_sequence_ohm = circuit.line_ohm + 3 * circuit.neutral_ohm
    branches = network.branches
    pp.create_lines_from_parameters(
        net,
        [bus[one.from_node] for one in branches],
        [bus[one.to_node] for one in branches],
        length_km=1.0,
        r_ohm_per_km=[one.resistance_ohm for one in branches],
        x_ohm_per_km=[one.reactance_ohm for one in branches],
        c_nf_per_km=0.0,
        max_i_ka=math.nan,
        name=[one.name for one in branches],
        r0_ohm_per_km=zero_sequence_ohm.real,
        x0_ohm_per_km=zero_sequence_ohm.imag,
        c0_nf_per_km=0.0,
    )
    at = [bus[one.node] for one in network.loads]
    if network.balanced:
        _add_balanced_loads(net, at, network.loads)
    else:
        for load, index in zip(network.loads, at, strict=True):
            pp.create_asymmetric_load(net, index, name=load.name, kind=load.kind)
        _set_unbalanced_power(net, circuit.load_va)
    return net


@cache
def _empty_network(frequency_hz: float) -> Any:
    """Return an empty network to copy: building its hundred tables takes longer than a solve."""
    import pandapower as pp

    return pp.create_empty_network(f_hz=frequency_hz, sn_mva=_BASE_MVA)


def solve_pandapower(network: Network) -> Solution:
    """Return the solution by pandapower, for comparison with ``load_flow.solve``.

    Balanced: Newton's method. Unbalanced: its solver in symmetrical components, repeated with the
    powers of constant-current loads adapted to the voltage until that moves by less than 1e-9.
    Raises NotSupplied like ``load_flow.solve``, and close to the largest power that a circuit can
    carry perhaps earlier. The result is held against Kirchhoff's laws, because under too much load
    the unbalanced solver of pandapower 3.5 reports success on voltages that mean nothing.
    """
    net = to_pandapower(network)
    circuit = circuit_of(network)
    if network.balanced:
        return _checked(circuit, *_run(net, _run_balanced))
    fine_mva = _FINE_BASE_SHARE * float(np.abs(circuit.load_va).sum()) / MEGA
    if 0 < fine_mva < _BASE_MVA:
        net.sn_mva = fine_mva
        try:
            return _solve_unbalanced(net, circuit)
        except NotSupplied:
            net.sn_mva = _BASE_MVA
    return _solve_unbalanced(net, circuit)


def _solve_unbalanced(net: Any, circuit: Circuit) -> Solution:
    ratio = np.ones(circuit.load_va.shape)
    for _ in range(_CURRENT_PASSES):
        _set_unbalanced_power(net, circuit.load_va * ratio)
        voltages, currents = _run(net, _run_unbalanced)
        at_load = np.abs(voltages[circuit.load_row]) / circuit.nominal_v
        wanted = np.where(circuit.load_is_current[:, np.newaxis], at_load, 1.0)
        if np.abs(wanted - ratio).max() < _CURRENT_TOLERANCE:
            return _checked(circuit, voltages, currents)
        ratio = wanted
    message = "the constant-current loads do not settle: no operating point was found"
    raise NotSupplied(message)


def _add_balanced_loads(net: Any, buses: Sequence[int], loads: Sequence[Load]) -> None:
    import pandapower as pp

    constant_current = [100.0 if load.kind == "current" else 0.0 for load in loads]
    pp.create_loads(
        net,
        buses,
        p_mw=[sum(load.active_w) / MEGA for load in loads],
        q_mvar=[sum(load.reactive_var) / MEGA for load in loads],
        const_i_p_percent=constant_current,
        const_i_q_percent=constant_current,
        name=[load.name for load in loads],
        kind=[load.kind for load in loads],
    )


def _set_unbalanced_power(net: Any, power_va: ComplexArray) -> None:
    for column, phase in enumerate(_PHASE_NAMES):
        net.asymmetric_load[f"p_{phase}_mw"] = power_va[:, column].real / MEGA
        net.asymmetric_load[f"q_{phase}_mvar"] = power_va[:, column].imag / MEGA


def _run(net: Any, run: Callable[[Any], _Phasors]) -> _Phasors:
    from pandapower.auxiliary import LoadflowNotConverged

    try:
        return run(net)
    except LoadflowNotConverged as error:
        message = "pandapower finds no operating point: the load is not supplied"
        raise NotSupplied(message) from error


def _checked(circuit: Circuit, voltages: ComplexArray, currents: ComplexArray) -> Solution:
    circuit.require_supplied(voltages)
    line_ohm, neutral_ohm = circuit.line_ohm, circuit.neutral_ohm
    drawn_a = circuit.branch_currents_a(voltages, circuit.load_va)
    current_gap_a = np.abs(currents - drawn_a).max()
    supplied = current_gap_a < _KIRCHHOFF_TOLERANCE * (1 + np.abs(drawn_a).max())
    error = circuit.kirchhoff_error(voltages, currents, line_ohm, neutral_ohm)
    if not (supplied and error < _KIRCHHOFF_TOLERANCE):
        message = "pandapower ended without meeting Kirchhoff's laws: the load is not supplied"
        raise NotSupplied(message)
    return circuit.solution(voltages, currents, line_ohm, neutral_ohm)


def _run_balanced(net: Any) -> _Phasors:
    import pandapower as pp

    pp.runpp(
        net,
        numba=False,
        init="flat",
        calculate_voltage_angles=True,
        tolerance_mva=_TOLERANCE_MVA,
        max_iteration=_ITERATIONS,
    )
    nominal_v = net.bus.vn_kv.to_numpy() * 1000 / SQRT3
    first = _phasor(nominal_v * net.res_bus.vm_pu.to_numpy(), net.res_bus.va_degree.to_numpy())
    voltages: ComplexArray = first[:, np.newaxis] * PHASES
    line = net.res_line
    power_va = (line.p_from_mw.to_numpy() + 1j * line.q_from_mvar.to_numpy()) * MEGA / 3
    currents = np.conj(power_va[:, np.newaxis] / voltages[net.line.from_bus.to_numpy()])
    return voltages, currents


def _run_unbalanced(net: Any) -> _Phasors:
    from pandapower.pf.runpp_3ph import runpp_3ph

    runpp_3ph(
        net,
        numba=False,
        init="flat",
        tolerance_mva=_TOLERANCE_MVA,
        max_iteration=_ITERATIONS,
    )
    nominal_v = net.bus.vn_kv.to_numpy() * 1000 / SQRT3
    bus, line = net.res_bus_3ph, net.res_line_3ph
    voltages = np.column_stack(
        [
            _phasor(nominal_v * bus[f"vm_{p}_pu"].to_numpy(), bus[f"va_{p}_degree"].to_numpy())
            for p in _PHASE_NAMES
        ]
    )
    power_va = MEGA * np.column_stack(
        [line[f"p_{p}_from_mw"] + 1j * line[f"q_{p}_from_mvar"] for p in _PHASE_NAMES]
    )
    return voltages, np.conj(power_va / voltages[net.line.from_bus.to_numpy()])


def _phasor(magnitude: FloatArray, angle_degree: FloatArray) -> ComplexArray:
    turn: ComplexArray = np.exp(1j * np.deg2rad(angle_degree))
    return magnitude * turn
