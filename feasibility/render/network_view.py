"""The converged network as rows of text: a node or a branch each."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from feasibility.expected_readings import INSULATION
from feasibility.render.numbers import TEXT_DIGITS, amount_text, number_text

if TYPE_CHECKING:
    from feasibility.assessment import Assessment

NOTHING = "–"
"""In place of the voltage of a phase that does not lead to a node."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NetworkRows:
    """The converged network as text.

    A node has its lowest voltage between lines, the voltages of L1, L2 and L3, and the unbalance; a
    branch its currents in L1, L2, L3 and the neutral, its loading and its loss; a conductor its
    temperature and the one that its insulation permits.
    """

    station_current: str
    nodes: tuple[tuple[str, ...], ...]
    branches: tuple[tuple[str, ...], ...]
    temperatures: tuple[tuple[str, str, str], ...]
    deviation: str


def network_rows(assessment: Assessment) -> NetworkRows | None:
    """Return the converged network as text, None where there is none."""
    state = assessment.network
    if state is None:
        return None
    permitted = {
        one.link: amount_text(one.value, one.unit)
        for one in assessment.expected_readings.temperatures
        if one.part == INSULATION
    }
    return NetworkRows(
        station_current=amount_text(state.station_current_a, "A", 4),
        nodes=tuple(
            (
                one.name,
                amount_text(one.line_voltage_v, "V", 4),
                *(_volts(phase) for phase in one.phase_voltages_v),
                NOTHING if one.unbalance_percent is None else _small(one.unbalance_percent, "%"),
            )
            for one in state.nodes
        ),
        branches=tuple(
            (
                one.name,
                *(_small(amperes, "A", 4) for amperes in one.phase_currents_a),
                _small(one.neutral_current_a, "A", 4),
                amount_text(one.loading_percent, "%"),
                _small(one.loss_w, "W"),
            )
            for one in state.branches
        ),
        temperatures=tuple(
            (name, amount_text(value, "°C"), permitted.get(name, NOTHING))
            for name, value in state.conductor_temperatures_c.items()
        ),
        deviation=number_text(state.solver_deviation),
    )


def _volts(value: float | None) -> str:
    return NOTHING if value is None else amount_text(value, "V", 4)


def _small(value: float, unit: str, digits: int = TEXT_DIGITS) -> str:
    """Return a figure of which less than a hundredth means nothing."""
    return (
        amount_text(value, unit, digits)
        if abs(value) >= 0.01
        else f"under {amount_text(0.01, unit)}"
    )
