"""Balanced and unbalanced load flow with power-grid-model, made for many solves of one network.

Its iterative-current method starts at the source voltage and settles only at the upper, stable
operating point, where |Z I| < |U|; Newton's method could land on the lower one. Whatever it
returns is held against Kirchhoff's laws in plain arithmetic before anyone sees it.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from feasibility.network.circuit import PHASES, Circuit, circuit_of
from feasibility.network.records import Network, NetworkError
from feasibility.network.solution import ComplexArray, NotSupplied, Solution
from feasibility.units import SQRT3, FloatArray

_SOURCE_FAULT_LEVEL_VA = 1e20
"""The solver wants a source impedance: at 400 V this one is 1.6e-15 ohm."""

_TOLERANCE = 1e-12
_ITERATIONS = 500
KIRCHHOFF_TOLERANCE = 1e-9


def solve(network: Network) -> Solution:
    """Return voltages, currents and losses of a network; raises NotSupplied when it cannot run."""
    return Solver(network).solve()


class Solver:
    """A network whose topology is fixed, solved again with other resistances or loads.

    Keep one for a search (the resistance changes with the conductor temperature). It writes into
    its own tables, so two threads must not share one.
    """

    def __init__(self, network: Network) -> None:
        """Lay out the tables once."""
        self._circuit = circuit_of(network)
        self._frequency_hz = network.frequency_hz
        self._neutral_resistance_ohm = np.array(
            [branch.neutral_resistance_ohm for branch in network.branches]
        )
        self._tables = solver_tables(self._circuit)

    def solve(
        self,
        *,
        resistance_ohm: FloatArray | None = None,
        neutral_resistance_ohm: FloatArray | None = None,
        active_w: FloatArray | None = None,
        reactive_var: FloatArray | None = None,
    ) -> Solution:
        """Return the solution, with any of the given values in place of the network's own.

        Resistances come in the order of ``network.branches`` (the neutral's is ignored where no
        neutral reaches from the source), powers as one row of three phases for each of
        ``network.loads``. Raises NetworkError for values that no network can have, NotSupplied
        when the load cannot be carried.
        """
        circuit = self._circuit
        resistance = _replacement("resistance_ohm", resistance_ohm, circuit.line_ohm.real)
        neutral_resistance = _replacement(
            "neutral_resistance_ohm", neutral_resistance_ohm, self._neutral_resistance_ohm
        )
        _require_not_negative(resistance, neutral_resistance)
        line_ohm = resistance + 1j * circuit.line_ohm.imag
        if not np.all(line_ohm):
            message = "a branch has no impedance: join its two nodes instead"
            raise NetworkError(message)
        neutral_ohm = neutral_resistance * circuit.with_neutral + 1j * circuit.neutral_ohm.imag
        load_va = _replacement("active_w", active_w, circuit.load_va.real) + 1j * _replacement(
            "reactive_var", reactive_var, circuit.load_va.imag
        )
        voltages = self._run(line_ohm, neutral_ohm, load_va)
        circuit.require_supplied(voltages)
        currents = circuit.branch_currents_a(voltages, load_va)
        error = circuit.kirchhoff_error(voltages, currents, line_ohm, neutral_ohm)
        if not error < KIRCHHOFF_TOLERANCE:
            message = "the load flow ended without meeting Kirchhoff's laws"
            raise NotSupplied(message)
        return circuit.solution(voltages, currents, line_ohm, neutral_ohm)

    def _run(
        self, line_ohm: ComplexArray, neutral_ohm: ComplexArray, load_va: ComplexArray
    ) -> ComplexArray:
        import power_grid_model as pgm
        from power_grid_model.errors import (  # type: ignore[attr-defined]
            IterationDiverge,
            SparseMatrixError,
        )

        line, load = self._tables["line"], self._tables["asym_load"]
        line["r1"] = line_ohm.real
        line["r0"] = line_ohm.real + 3 * neutral_ohm.real
        load["p_specified"] = load_va.real
        load["q_specified"] = load_va.imag
        symmetric = bool((load_va == load_va[:, :1]).all())
        try:
            model = pgm.PowerGridModel(self._tables, system_frequency=self._frequency_hz)
            nodes = model.calculate_power_flow(
                symmetric=symmetric,
                error_tolerance=_TOLERANCE,
                max_iterations=_ITERATIONS,
                calculation_method=pgm.CalculationMethod.iterative_current,
                output_component_types=[pgm.ComponentType.node],
            )[pgm.ComponentType.node]
        except IterationDiverge as error:
            message = "the load flow finds no operating point: the load is not supplied"
            raise NotSupplied(message) from error
        except SparseMatrixError as error:
            message = "an impedance is too small or too large to be solved"
            raise NetworkError(message) from error
        phasors: ComplexArray = nodes["u"] * np.exp(1j * nodes["u_angle"])
        if symmetric:
            phasors = phasors[:, np.newaxis] / SQRT3 * PHASES
        return phasors


def solver_tables(circuit: Circuit) -> dict[Any, Any]:
    """Return the solver's input of a network; resistances and powers are still to be filled in."""
    import power_grid_model as pgm

    def table(component: str, rows: int, first_id: int) -> Any:
        array = pgm.initialize_array(pgm.DatasetType.input, pgm.ComponentType[component], rows)
        array["id"] = np.arange(first_id, first_id + rows)
        return array

    branches, loads = len(circuit.line_ohm), len(circuit.load_va)
    node = table("node", branches + 1, 0)
    node["u_rated"] = circuit.nominal_v * SQRT3
    line = table("line", branches, branches + 1)
    line["from_node"] = circuit.from_row
    line["to_node"] = np.arange(1, branches + 1)
    line["from_status"] = line["to_status"] = 1
    line["x1"] = circuit.line_ohm.imag
    line["x0"] = circuit.line_ohm.imag + 3 * circuit.neutral_ohm.imag
    line["c1"] = line["c0"] = line["tan1"] = line["tan0"] = 0
    load = table("asym_load", loads, 2 * branches + 1)
    load["node"] = circuit.load_row
    load["status"] = 1
    load["type"] = np.where(
        circuit.load_is_current, pgm.LoadGenType.const_current, pgm.LoadGenType.const_power
    )
    source = table("source", 1, 2 * branches + 1 + loads)
    source["node"] = 0
    source["status"] = 1
    source["u_ref"] = circuit.source_v / circuit.nominal_v
    source["sk"] = _SOURCE_FAULT_LEVEL_VA
    return {"node": node, "line": line, "asym_load": load, "source": source}


def _replacement(parameter: str, given: FloatArray | None, own: FloatArray) -> FloatArray:
    if given is None:
        return own
    values = np.asarray(given, dtype=float)
    if values.shape != own.shape:
        message = f"{parameter} has the shape {values.shape} in place of {own.shape}"
        raise NetworkError(message)
    if not np.isfinite(values).all():
        message = f"{parameter} holds a value that is not a finite number"
        raise NetworkError(message)
    return values


def _require_not_negative(*resistances_ohm: FloatArray) -> None:
    if any((resistance < 0).any() for resistance in resistances_ohm):
        message = "a resistance is below zero"
        raise NetworkError(message)
