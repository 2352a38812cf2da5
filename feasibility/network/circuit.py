"""A network as arrays, and Kirchhoff's laws on them: what every solver's answer is held against."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from feasibility.network.records import Network
from feasibility.network.solution import ComplexArray, NotSupplied, Solution
from feasibility.units import SQRT3, FloatArray

PHASES = np.exp(-2j * np.pi / 3 * np.arange(3))
"""Unit phasors of the source voltages L1, L2, L3 (positive sequence)."""

LOWEST_SUPPLIED_RATIO = 0.5
"""Share of the source voltage below which no load is supplied (see ``require_supplied``)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Circuit:
    """The arrays of one network; rows follow ``Network.nodes``, ``branches`` and ``loads``.

    ``feeds`` has 1 where a branch (row) carries the load of a column. ``line_ohm`` and
    ``neutral_ohm`` are impedances; a neutral that does not reach from the source counts as zero,
    so that the star point of a balanced load behind it lies at the last neutral.
    """

    nominal_v: float
    source_v: float
    node_rows: Mapping[str, int]
    branch_rows: Mapping[str, int]
    from_row: NDArray[np.intp]
    line_ohm: ComplexArray
    neutral_ohm: ComplexArray
    with_neutral: NDArray[np.bool_]
    load_row: NDArray[np.intp]
    load_va: ComplexArray
    load_is_current: NDArray[np.bool_]
    feeds: FloatArray

    def branch_currents_a(self, voltages_v: ComplexArray, load_va: ComplexArray) -> ComplexArray:
        """Return the line currents of the branches that feed ``load_va`` at the given voltages.

        Either may have further dimensions in front, for many states of one network, and one phase
        alone where the three are alike.
        """
        at_load = voltages_v[..., self.load_row, :]
        ratio = np.where(self.load_is_current[:, np.newaxis], np.abs(at_load) / self.nominal_v, 1.0)
        load_a: ComplexArray = np.conj(load_va * ratio / at_load)
        currents: ComplexArray = self.feeds @ load_a
        return currents

    def kirchhoff_error(
        self,
        voltages_v: ComplexArray,
        currents_a: ComplexArray,
        line_ohm: ComplexArray,
        neutral_ohm: ComplexArray,
    ) -> FloatArray:
        """Return the largest gap in any loop of line and neutral, as a share of the source voltage.

        Each loop: voltage at the near end minus voltage at the far end minus Z1 I minus Zn In. Many
        states of one network (further dimensions in front) give as many gaps. Of three phases that
        are alike one is enough: nothing flows in the neutral then.
        """
        phases = voltages_v.shape[-1]
        drop_v = line_ohm[:, np.newaxis] * currents_a
        if phases > 1:
            drop_v = drop_v + (neutral_ohm * currents_a.sum(axis=-1))[..., np.newaxis]
        near_v, far_v = voltages_v[..., self.from_row, :], voltages_v[..., 1:, :]
        gap_v = np.abs(near_v - far_v - drop_v).max(axis=(-2, -1))
        source_gap_v = np.abs(voltages_v[..., 0, :] - self.source_v * PHASES[:phases]).max(axis=-1)
        share: FloatArray = np.maximum(gap_v, source_gap_v) / self.source_v
        return share

    def supplied(self, voltages_v: ComplexArray) -> NDArray[np.bool_]:
        """Return whether every voltage of each state is finite and high enough to be stable.

        See ``require_supplied``; a NaN is not supplied.
        """
        enough = np.abs(voltages_v) > LOWEST_SUPPLIED_RATIO * self.source_v
        return np.asarray(enough.all(axis=(-2, -1)))

    def require_supplied(self, voltages_v: ComplexArray) -> None:
        """Raise NotSupplied unless every voltage is finite and above half the source voltage.

        A line transmits its largest power when the load's impedance is as large as its own
        (maximum power transfer at a given power factor). Up to there |Z I| <= |U|, so
        E <= |Z I| + |U| <= 2 |U|: below E / 2 lies no stable state of a constant-power load. A NaN
        fails.
        """
        if not bool(self.supplied(voltages_v)):
            message = "the voltage falls below half the source voltage: the load is not supplied"
            raise NotSupplied(message)

    def solution(
        self,
        voltages_v: ComplexArray,
        currents_a: ComplexArray,
        line_ohm: ComplexArray,
        neutral_ohm: ComplexArray,
    ) -> Solution:
        """Return the Solution; losses are R (I1^2 + I2^2 + I3^2) + Rn In^2."""
        neutral_a = currents_a.sum(axis=1) * self.with_neutral
        line_losses_w = line_ohm.real * (np.abs(currents_a) ** 2).sum(axis=1)
        return Solution(
            node_rows=self.node_rows,
            branch_rows=self.branch_rows,
            node_voltages_v=voltages_v,
            branch_currents_a=currents_a,
            neutral_currents_a=neutral_a,
            branch_losses_w=line_losses_w + neutral_ohm.real * np.abs(neutral_a) ** 2,
        )


def circuit_of(network: Network) -> Circuit:
    """Return the arrays of a network."""
    branches, loads = network.branches, network.loads
    node_rows = {node: row for row, node in enumerate(network.nodes)}
    reached = network.branches_with_neutral()
    with_neutral = np.array([branch.name in reached for branch in branches])
    neutral = [complex(b.neutral_resistance_ohm, b.neutral_reactance_ohm) for b in branches]
    active_w = np.array([load.active_w for load in loads], dtype=float).reshape(-1, 3)
    reactive_var = np.array([load.reactive_var for load in loads], dtype=float).reshape(-1, 3)
    return Circuit(
        nominal_v=network.nominal_voltage_v / SQRT3,
        source_v=network.source_voltage_v / SQRT3,
        node_rows=node_rows,
        branch_rows={branch.name: row for row, branch in enumerate(branches)},
        from_row=np.array([node_rows[branch.from_node] for branch in branches], dtype=np.intp),
        line_ohm=np.array([complex(b.resistance_ohm, b.reactance_ohm) for b in branches]),
        neutral_ohm=np.array(neutral) * with_neutral,
        with_neutral=with_neutral,
        load_row=np.array([node_rows[load.node] for load in loads], dtype=np.intp),
        load_va=active_w + 1j * reactive_var,
        load_is_current=np.array([load.kind == "current" for load in loads], dtype=np.bool_),
        feeds=_feeds(network),
    )


def _feeds(network: Network) -> FloatArray:
    feeding = {branch.to_node: row for row, branch in enumerate(network.branches)}
    feeds = np.zeros((len(network.branches), len(network.loads)))
    for column, load in enumerate(network.loads):
        node = load.node
        while node in feeding:
            row = feeding[node]
            feeds[row, column] = 1
            node = network.branches[row].from_node
    return feeds
