"""The load flow of one network for many moments at once: a year of quarter-hours in one batch.

power-grid-model solves the batch, balanced where every load is the same on all phases at every
moment. Each state is held against Kirchhoff's laws in plain arithmetic, as a single one is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from feasibility.network.circuit import Circuit, circuit_of
from feasibility.network.load_flow import KIRCHHOFF_TOLERANCE, solver_tables
from feasibility.network.records import Network, NetworkError
from feasibility.network.solution import ComplexArray
from feasibility.units import SQRT3, FloatArray

_TOLERANCE = 1e-10
_ITERATIONS = 100
"""The voltage settles like a power of |Z I| / |U|: where that is above 0.8 it has not settled after
so many, and the state counts as not supplied although one might exist just above collapse."""

STEPS_AT_ONCE = 8192
"""So many states are solved in one piece: what a piece needs in memory does not grow with time."""

Progress = Callable[[int, int], None]
"""Told how many states are done, and of how many."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Flow:
    """Phasors of every state, in volts and amperes: state, node or branch, phase.

    As in ``Solution``, with L1 alone where all three phases are alike at every moment. ``supplied``
    is False for a state that has no stable operating point: its voltages and currents are NaN.
    """

    node_rows: Mapping[str, int]
    branch_rows: Mapping[str, int]
    voltages_v: ComplexArray
    currents_a: ComplexArray
    supplied: NDArray[np.bool_]
    with_neutral: NDArray[np.bool_]

    @property
    def phases(self) -> int:
        """How many phases are held: three, or one where they are alike."""
        return int(self.voltages_v.shape[-1])

    def voltage_v(self, node: str) -> ComplexArray:
        """Return the line-to-neutral voltages at a node: state, phase."""
        found: ComplexArray = self.voltages_v[:, self.node_rows[node]]
        return found

    def lowest_line_voltage_v(self, node: str) -> FloatArray:
        """Return the lowest of the line-to-line voltages at a node: state."""
        return lowest_line_voltage_v(self.voltage_v(node))

    def current_a(self, branch: str) -> ComplexArray:
        """Return the line currents of a branch: state, phase."""
        found: ComplexArray = self.currents_a[:, self.branch_rows[branch]]
        return found

    def neutral_current_a(self, branch: str) -> FloatArray:
        """Return the current in the neutral of a branch, zero where no neutral reaches it."""
        current = self.current_a(branch)
        if self.phases == 1:
            return np.zeros(len(current))
        row = self.branch_rows[branch]
        return np.asarray(np.abs(current.sum(axis=1)) * self.with_neutral[row])


def lowest_line_voltage_v(voltage_v: ComplexArray) -> FloatArray:
    """Return the lowest line-to-line voltage of line-to-neutral ones: state, phase (or one)."""
    if voltage_v.shape[1] == 1:
        return np.asarray(SQRT3 * np.abs(voltage_v[:, 0]))
    return np.asarray(np.abs(voltage_v - np.roll(voltage_v, -1, axis=1)).min(axis=1))


def solve_steps(
    network: Network,
    *,
    active_w: FloatArray,
    reactive_var: FloatArray,
    on_step: Progress | None = None,
) -> Flow:
    """Return the states of a network whose loads change: powers as state, load, phase.

    They stand in place of the powers of ``network.loads``, in that order, at the nominal voltage,
    with a single phase where the three are alike. A state that cannot be supplied is marked, never
    raised; NetworkError for powers that no load has. ``on_step`` is told of the progress after each
    piece of ``STEPS_AT_ONCE`` states.
    """
    circuit = circuit_of(network)
    active = _powers("active_w", active_w, circuit)
    reactive = _powers("reactive_var", reactive_var, circuit)
    if active.shape != reactive.shape:
        message = f"active_w has the shape {active.shape}, reactive_var {reactive.shape}"
        raise NetworkError(message)
    load_va = active + 1j * reactive
    _refuse_lost_neutral(network, circuit, load_va)
    if _alike(load_va):
        load_va = load_va[..., :1]
    states, phases = len(load_va), load_va.shape[-1]
    voltages = np.empty((states, len(circuit.node_rows), phases), dtype=np.complex128)
    currents = np.empty((states, len(circuit.branch_rows), phases), dtype=np.complex128)
    supplied = np.empty(states, dtype=np.bool_)
    solve = _batch_solver(circuit, network.frequency_hz, symmetric=phases == 1)
    for piece in _pieces(states):
        voltages[piece] = solve(load_va[piece])
        with np.errstate(invalid="ignore"):  # a state that was not solved is NaN throughout
            currents[piece] = circuit.branch_currents_a(voltages[piece], load_va[piece])
            gap = circuit.kirchhoff_error(
                voltages[piece], currents[piece], circuit.line_ohm, circuit.neutral_ohm
            )
        supplied[piece] = circuit.supplied(voltages[piece]) & (gap < KIRCHHOFF_TOLERANCE)
        if on_step is not None:
            on_step(piece.stop, states)
    if not supplied.all():
        voltages[~supplied] = currents[~supplied] = np.nan
    return Flow(
        node_rows=circuit.node_rows,
        branch_rows=circuit.branch_rows,
        voltages_v=voltages,
        currents_a=currents,
        supplied=supplied,
        with_neutral=circuit.with_neutral,
    )


def _pieces(states: int) -> Iterator[slice]:
    for start in range(0, states, STEPS_AT_ONCE):
        yield slice(start, min(start + STEPS_AT_ONCE, states))


def _alike(load_va: ComplexArray) -> bool:
    return load_va.shape[-1] == 1 or bool((load_va == load_va[..., :1]).all())


def _powers(parameter: str, given: FloatArray, circuit: Circuit) -> FloatArray:
    values = np.asarray(given, dtype=float)
    loads = len(circuit.load_va)
    if values.ndim != 3 or values.shape[1:] not in ((loads, 3), (loads, 1)) or not len(values):
        message = f"{parameter} has the shape {values.shape} in place of states by loads by phases"
        raise NetworkError(message)
    if not np.isfinite(values).all():
        message = f"{parameter} holds a value that is not a finite number"
        raise NetworkError(message)
    return values


def _refuse_lost_neutral(network: Network, circuit: Circuit, load_va: ComplexArray) -> None:
    """Refuse an unbalanced load at any moment where no neutral reaches, as the records do."""
    reached = {0, *(row + 1 for row in np.flatnonzero(circuit.with_neutral))}
    for column, (load, row) in enumerate(zip(network.loads, circuit.load_row, strict=True)):
        if int(row) not in reached and not _alike(load_va[:, column]):
            message = f"load {load.name!r} is unbalanced, but no neutral reaches {load.node!r}"
            raise NetworkError(message)


def _batch_solver(
    circuit: Circuit, frequency_hz: float, *, symmetric: bool
) -> Callable[[ComplexArray], ComplexArray]:
    """Return what solves a piece; NaN where no operating point was found."""
    import power_grid_model as pgm
    from power_grid_model.errors import (  # type: ignore[attr-defined]
        PowerGridBatchError,
    )

    tables = solver_tables(circuit)
    tables["line"]["r1"] = circuit.line_ohm.real
    tables["line"]["r0"] = circuit.line_ohm.real + 3 * circuit.neutral_ohm.real
    node, load = pgm.ComponentType.node, pgm.ComponentType.asym_load
    template = tables.pop("asym_load")
    if symmetric:
        load = pgm.ComponentType.sym_load
    loads = pgm.initialize_array(pgm.DatasetType.input, load, len(template))
    for column in ("id", "node", "status", "type"):
        loads[column] = template[column]
    loads["p_specified"] = loads["q_specified"] = 0
    model = pgm.PowerGridModel(tables | {load: loads}, system_frequency=frequency_hz)

    def solve(load_va: ComplexArray) -> ComplexArray:
        update = pgm.initialize_array(pgm.DatasetType.update, load, load_va.shape[:2])
        update["id"] = loads["id"]
        # A balanced load is given by the power of its three phases together.
        power = 3 * load_va[..., 0] if symmetric else load_va
        update["p_specified"] = power.real
        update["q_specified"] = power.imag
        found: dict[Any, Any] = model.calculate_power_flow(
            symmetric=symmetric,
            error_tolerance=_TOLERANCE,
            max_iterations=_ITERATIONS,
            calculation_method=pgm.CalculationMethod.iterative_current,
            update_data={load: update},
            threading=0,
            output_component_types={node: ["u", "u_angle"]},
            continue_on_batch_error=True,
        )
        phasors: ComplexArray = found[node]["u"] * np.exp(1j * found[node]["u_angle"])
        failed = model.batch_error
        if isinstance(failed, PowerGridBatchError):
            phasors[failed.failed_scenarios] = np.nan
        return phasors[..., np.newaxis] / SQRT3 if symmetric else phasors

    return solve
