"""The solved state of a network: voltages at nodes, currents and losses in branches."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from feasibility.units import FloatArray

ComplexArray = NDArray[np.complex128]


_TURN = np.exp(2j * np.pi / 3)
_SEQUENCES = np.array([[1, 1, 1], [1, _TURN, _TURN**2], [1, _TURN**2, _TURN]]) / 3


class NotSupplied(Exception):
    """The network cannot carry the load: no stable operating point was found."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Solution:
    """Phasors of one converged load flow, in volts and amperes.

    ``node_voltages_v`` has a row for each node and a column for each phase (line to the neutral at
    that node), ``branch_currents_a`` likewise for branches, ``neutral_currents_a`` one value for
    each branch. The source voltage of the first phase is the angle reference. There is no
    unconverged solution: a solver raises NotSupplied instead.
    """

    node_rows: Mapping[str, int]
    branch_rows: Mapping[str, int]
    node_voltages_v: ComplexArray
    branch_currents_a: ComplexArray
    neutral_currents_a: ComplexArray
    branch_losses_w: FloatArray

    def voltage_phasor_v(self, node: str) -> ComplexArray:
        """Return the three line-to-neutral voltages at a node as phasors."""
        row: ComplexArray = self.node_voltages_v[self.node_rows[node]]
        return row

    def voltage_v(self, node: str) -> FloatArray:
        """Return the three line-to-neutral voltages at a node."""
        return _magnitude(self.voltage_phasor_v(node))

    def line_voltage_v(self, node: str) -> FloatArray:
        """Return the line-to-line voltages L1-L2, L2-L3, L3-L1 at a node."""
        voltage = self.voltage_phasor_v(node)
        return _magnitude(voltage - np.roll(voltage, -1))

    def lowest_line_voltage_v(self, node: str) -> float:
        """Return the lowest of the three line-to-line voltages at a node."""
        return float(self.line_voltage_v(node).min())

    def sequence_voltages_v(self, node: str) -> tuple[complex, complex, complex]:
        """Return zero-, positive- and negative-sequence voltage at a node, to neutral.

        With a = 1 at 120 degrees: U0 = (U1 + U2 + U3) / 3, positive (U1 + a U2 + a^2 U3) / 3,
        negative (U1 + a^2 U2 + a U3) / 3 (symmetrical components; L1, L2, L3 follow in this order).
        """
        zero, positive, negative = _SEQUENCES @ self.voltage_phasor_v(node)
        return complex(zero), complex(positive), complex(negative)

    def current_phasor_a(self, branch: str) -> ComplexArray:
        """Return the three line currents of a branch as phasors, positive away from the source."""
        row: ComplexArray = self.branch_currents_a[self.branch_rows[branch]]
        return row

    def current_a(self, branch: str) -> FloatArray:
        """Return the three line currents of a branch."""
        return _magnitude(self.current_phasor_a(branch))

    def neutral_phasor_a(self, branch: str) -> complex:
        """Return the sum of a branch's line currents, which its neutral carries back.

        Zero where no neutral reaches from the source.
        """
        return complex(self.neutral_currents_a[self.branch_rows[branch]])

    def neutral_current_a(self, branch: str) -> float:
        """Return the current in the neutral of a branch, as ``neutral_phasor_a``."""
        return abs(self.neutral_phasor_a(branch))

    def loss_w(self, branch: str) -> float:
        """Return the heat set free in the line conductors and the neutral of a branch."""
        return float(self.branch_losses_w[self.branch_rows[branch]])

    @property
    def total_loss_w(self) -> float:
        """The heat set free in all branches."""
        return float(self.branch_losses_w.sum())


def compare(first: Solution, second: Solution) -> float:
    """Return the largest deviation between two solutions of one network, as a ratio.

    Phasors are compared: each voltage against the largest voltage of the first solution, each
    current (line conductors and neutrals) against its largest line current, but against no less
    than one ampere. A NaN in either gives NaN, which no ``<`` accepts. Raises ValueError when the
    two do not name the same nodes and branches in the same order.
    """
    same_nodes = dict(first.node_rows) == dict(second.node_rows)
    if not (same_nodes and dict(first.branch_rows) == dict(second.branch_rows)):
        message = "the two solutions belong to different networks"
        raise ValueError(message)
    voltage_scale = np.abs(first.node_voltages_v).max()
    current_scale = np.maximum(np.abs(first.branch_currents_a).max(), 1.0)
    deviations = [
        np.abs(first.node_voltages_v - second.node_voltages_v).max() / voltage_scale,
        np.abs(first.branch_currents_a - second.branch_currents_a).max() / current_scale,
        np.abs(first.neutral_currents_a - second.neutral_currents_a).max() / current_scale,
    ]
    return float(np.max(deviations))


def _magnitude(phasor: Any) -> FloatArray:
    magnitude: FloatArray = np.abs(phasor)
    return magnitude
