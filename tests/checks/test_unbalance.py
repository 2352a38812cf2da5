"""Unbalance at the station, and what the network state shows of every phase and branch."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from feasibility.checks.load_flow import network_state
from feasibility.checks.question import Run
from feasibility.installation.build import build_installation
from feasibility.network.solution import Solution
from feasibility.result import Outcome, Quantity

from .cases_of_unbalance import (
    FIRST_A,
    line_voltage_formula_percent,
    on_first_phase,
    unbalance_by_hand,
)
from .sites import SINGLE, Changes, found, site, step_result

KIOSK = "camp-site-kiosk"
QUARRY = "quarry-workshop"


def run_over(name: str, *changes: Changes) -> Run:
    return Run.over(build_installation(site(name, *changes)), favourable=False)


@pytest.mark.parametrize("share", [0.25, 0.5, 1.0, 2.0])
def test_the_unbalance_is_that_of_the_voltages_between_lines(share: float) -> None:
    finding = found("unbalance-at-station", "", SINGLE, on_first_phase(FIRST_A * share))
    assert finding.value == pytest.approx(unbalance_by_hand(FIRST_A * share), rel=2e-3)


def test_a_station_on_three_phases_adds_next_to_nothing() -> None:
    finding = found("unbalance-at-station", "", SINGLE, on_first_phase(FIRST_A))
    assert step_result(finding, "us") < 0.05 * step_result(finding, "u")
    assert found("unbalance-at-station", "", SINGLE).value == 0  # not what the solver leaves of it


def test_the_answer_tells_the_stations_part_and_what_is_not_in_it() -> None:
    finding = found("unbalance-at-station", "", SINGLE, on_first_phase(FIRST_A))
    part = finding.reason.values["part"]
    assert isinstance(part, Quantity)
    assert part.value == step_result(finding, "us")
    assert "network before the transformer" in finding.reason.template
    public = found("unbalance-at-station", "", SINGLE)
    assert "network before the origin" in public.reason.template


def test_a_voltage_that_collapses_under_the_station_is_no_mistake() -> None:
    """By hand: 5 km of 6 mm2 (3.08 ohm/km) let 208 V drive 13.5 A at a short circuit."""
    far: Changes = {"circuit[0].cable[0].length_m": 5000}
    finding = found("unbalance-at-station", "", SINGLE, far)
    assert finding.outcome is Outcome.CAUTION
    assert "collapses" in finding.reason.template


def test_a_station_on_one_phase_is_judged_where_three_phases_end() -> None:
    # With nothing else on the board all of the unbalance is the station's: a current on one phase
    # has a third of itself as negative sequence.
    run = run_over(KIOSK)
    node = run.operation.three_phase_node()
    assert node == f"node {len(run.installation.circuits) - 1}"
    finding = found("unbalance-at-station", "", KIOSK)
    requested = run.requested().current_a
    alone = {
        "board[0].demand": {"maximum_a": 0, "power_factor": 0.9},
        "supply.demand": {"maximum_a": 0, "power_factor": 0.9},
    }
    lonely = found("unbalance-at-station", "", KIOSK, alone)
    assert step_result(lonely, "us") == pytest.approx(step_result(lonely, "u"), rel=1e-9)
    network = run_over(KIOSK, alone).operation.network(requested)
    impedance = sum(
        complex(one.resistance_ohm, one.reactance_ohm)
        for one in network.branches
        if one.name.startswith("circuit") and one.to_node in ("node 0", node)
    )
    volts = 100 * abs(impedance) * requested / 3 / (network.source_voltage_v / math.sqrt(3))
    assert step_result(lonely, "u") == pytest.approx(volts, rel=0.03)
    assert finding.outcome is Outcome.PASS


phasors = st.tuples(*[st.tuples(st.floats(200, 260), st.floats(-0.1, 0.1))] * 3)


@given(phasors)
def test_symmetrical_components_agree_with_the_formula_of_line_voltages(
    values: tuple[tuple[float, float], ...],
) -> None:
    voltages = np.array(
        [size * np.exp(1j * (turn - 2 * np.pi / 3 * i)) for i, (size, turn) in enumerate(values)]
    )
    empty = np.zeros((0, 3), dtype=complex)
    solution = Solution(
        node_rows={"n": 0}, branch_rows={}, node_voltages_v=voltages[np.newaxis],
        branch_currents_a=empty, neutral_currents_a=np.zeros(0, dtype=complex),
        branch_losses_w=np.zeros(0),
    )  # fmt: skip
    zero, positive, negative = solution.sequence_voltages_v("n")
    assert zero + positive + negative == pytest.approx(voltages[0])
    expected = line_voltage_formula_percent([float(v) for v in solution.line_voltage_v("n")])
    assert 100 * abs(negative) / abs(positive) == pytest.approx(expected, abs=1e-5, rel=1e-6)


def test_the_network_shows_phases_neutral_and_loading() -> None:
    run = run_over(QUARRY)
    state = network_state(run)
    assert state is not None
    nodes = {one.name: one for one in state.nodes}
    branches = {one.name: one for one in state.branches}
    assert list(nodes) == [
        "transformer without load", "origin", "Workshop board", "outlet", "station"
    ]  # fmt: skip
    idle = nodes["transformer without load"]
    assert idle.phase_voltages_v == pytest.approx((400 / 0.975 * 0.94 / math.sqrt(3),) * 3)
    assert idle.unbalance_percent == pytest.approx(0, abs=1e-9)
    # 57, 52 and 54 A and 20, 18, 19 A: L1 carries most, the neutral the difference.
    feeder = branches["Workshop feeder"]
    assert feeder.current_a == max(feeder.phase_currents_a) == feeder.phase_currents_a[0]
    assert 0.5 < feeder.neutral_current_a < 3
    # 160 kVA at 400 V are 230.94 A.
    transformer = branches["transformer"]
    assert transformer.loading_percent == pytest.approx(
        100 * max(transformer.phase_currents_a) / 230.94, rel=1e-4
    )
    # 35 mm2 PVC copper, three loaded, method C, 30 degrees: 119 A (IEC 60364-5-52, Table B.52.4).
    assert feeder.loading_percent == pytest.approx(100 * feeder.current_a / 119, rel=1e-3)


def test_a_phase_that_does_not_lead_to_the_station_has_no_voltage_there() -> None:
    state = network_state(run_over(KIOSK))
    assert state is not None
    phases = [[one is not None for one in node.phase_voltages_v] for node in state.nodes]
    ends = [node.unbalance_percent is None for node in state.nodes]
    assert phases[0] == [True, True, True]
    assert sum(phases[-1]) == 1
    assert ends == [sum(one) == 1 for one in phases]
