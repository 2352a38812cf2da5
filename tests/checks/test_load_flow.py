"""The two load-flow solvers: what agreement is, what is said, what the second one is given."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from feasibility.checks.load_flow import network_state
from feasibility.checks.operation import Operation
from feasibility.checks.question import Run
from feasibility.checks.second_opinion import at_voltages
from feasibility.installation.build import build_installation
from feasibility.network.load_flow import solve
from feasibility.network.records import Load
from feasibility.network.solution import NotSupplied
from feasibility.render.numbers import message_text
from feasibility.result import Finding, Outcome

from .sites import SINGLE, Changes, found, site

KIOSK = "camp-site-kiosk"
COLLAPSES: Changes = {"circuit[0].cable[0].length_m": 3000}


def judged(monkeypatch: pytest.MonkeyPatch, deviation: float, name: str = SINGLE) -> Finding:
    """Return the finding if the two solvers differ by so much."""
    monkeypatch.setattr(Operation, "confirm", lambda *_: deviation)
    return found("load-flow", "", name)


@pytest.mark.parametrize(
    ("deviation", "agree"), [(0.0, True), (0.99e-6, True), (1e-6, True), (1.01e-6, False)]
)
def test_solvers_agree_up_to_a_millionth(
    monkeypatch: pytest.MonkeyPatch, deviation: float, *, agree: bool
) -> None:
    finding = judged(monkeypatch, deviation)
    assert finding.outcome is (Outcome.PASS if agree else Outcome.OPEN)
    assert ("do not agree" in message_text(finding.reason)) is not agree


@pytest.mark.parametrize("length_m", [300, 500])
def test_the_solvers_agree_where_a_long_cable_drops_much(length_m: float) -> None:
    """Up to half of the voltage there is one stable point (greatest power at |Z I| = |U|).

    300 m of 6 mm2 take 42 V of 360 V by hand: 3.08 ohm/km at 45 degC, 24.48 A, 0.99.
    """
    finding = found("load-flow", "", "bakery-yard", {"circuit[1].cable[0].length_m": length_m})
    assert finding.outcome is Outcome.PASS


def test_a_deviation_that_is_no_number_is_no_agreement(monkeypatch: pytest.MonkeyPatch) -> None:
    assert judged(monkeypatch, math.nan).outcome is Outcome.OPEN


def test_a_supply_that_only_one_solver_solves_is_no_agreement(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def refuse(*_: object) -> float:
        message = "the voltage collapses"
        raise NotSupplied(message)

    monkeypatch.setattr(Operation, "confirm", refuse)
    assert found("load-flow", "", SINGLE).outcome is Outcome.OPEN


@pytest.mark.parametrize(("name", "said"), [(SINGLE, False), (KIOSK, True)])
def test_only_for_a_single_phase_station_are_other_phases_said_to_bring_no_relief(
    monkeypatch: pytest.MonkeyPatch, name: str, *, said: bool
) -> None:
    reason = message_text(judged(monkeypatch, 0.0, name).reason)
    assert ("Loads on the other phases" in reason) is said


def test_a_collapse_is_a_matter_of_the_current_and_has_no_network_to_show() -> None:
    assert found("load-flow", "", SINGLE, COLLAPSES).depends_on_current
    assert not found("load-flow", "", SINGLE).depends_on_current
    run = Run.over(build_installation(site(SINGLE, COLLAPSES)), favourable=False)
    assert network_state(run) is None


def test_a_collapse_says_beyond_which_current() -> None:
    """By hand: a constant current through Z leaves |E - Z I|, which is half of E at the end.

    Our rule: below half of E lies no stable state of a constant power. With the far voltage as the
    reference, E / 2 and the drop of a current that lags it add up to E.
    """
    collapsed = found("load-flow", "", SINGLE, COLLAPSES)
    most = collapsed.carries_a
    assert most is not None
    run = Run.over(build_installation(site(SINGLE, COLLAPSES)), favourable=False)
    assert run.operation.state(most) is not None
    assert run.operation.state(most + 0.01) is None
    assert "beyond" in message_text(collapsed.reason)
    run.operation.temperatures_c(most)  # the network below belongs to this state
    network = run.operation.network(most)
    ohm = sum(complex(one.resistance_ohm, one.reactance_ohm) for one in network.branches)
    source_v = network.source_voltage_v / math.sqrt(3)
    factor = run.operation.station_power_factor()
    lagging = complex(factor, -math.sqrt(1 - factor**2))
    drop = ohm * lagging * most
    assert abs(source_v / 2 + drop) == pytest.approx(source_v, rel=0.02)


def test_the_network_shown_is_the_one_of_the_requested_current() -> None:
    run = Run.over(build_installation(site(SINGLE)), favourable=False)
    state = network_state(run)
    assert state is not None
    assert state.station_current_a == run.requested().current_a
    assert [one.current_a for one in state.branches] == pytest.approx(
        [state.station_current_a] * len(state.branches), rel=1e-6
    )


def test_a_constant_current_is_written_as_its_power_in_each_phase() -> None:
    """By hand: at 0.9, 0.95 and 1.02 of the nominal voltage that share of the nominal power."""
    run = Run.over(build_installation(site(SINGLE)), favourable=False)
    current = Load(
        name="current",
        node="station",
        active_w=(1000, 2000, 3000),
        reactive_var=(100, 200, 300),
        kind="current",
    )
    power = replace(current, name="power", kind="power")
    network = replace(run.operation.network(10.0), loads=(current, power))
    solution = solve(network)
    shares = np.array([0.9, 0.95, 1.02])
    voltages = solution.node_voltages_v.copy()
    voltages[solution.node_rows["station"]] = shares * network.nominal_voltage_v / math.sqrt(3)
    first, second = at_voltages(network, replace(solution, node_voltages_v=voltages)).loads
    assert first.kind == "power"
    assert first.active_w == pytest.approx((900, 1900, 3060))
    assert first.reactive_var == pytest.approx((90, 190, 306))
    assert second == power


@pytest.mark.parametrize("reactance_ohm_per_km", [0.02, 0.08, 1.0])
@pytest.mark.parametrize("power_factor", [0.5, 0.7, 0.92, 1.0])
@pytest.mark.parametrize("phase", [1, 2])
def test_a_load_on_another_phase_counts_where_it_lowers_the_station_s_voltage(
    phase: int, power_factor: float, reactance_ohm_per_km: float
) -> None:
    # Outside check: the same network solved with that load and without it; the lower one counts.
    demand = {f"board[0].demand.maximum_l{one + 1}_a": 30 * (one == phase) for one in range(3)}
    changes: Changes = {
        **demand,
        "board[0].demand.power_factor": power_factor,
        "circuit[0].cable[0].reactance_ohm_per_km": reactance_ohm_per_km,
    }
    run = Run.over(build_installation(site(KIOSK, changes)), favourable=False)
    network = run.operation.network(10.0)
    station, board = network.loads
    second, third = (30 * 400 / math.sqrt(3) * (one == phase) for one in (1, 2))
    sine = math.sqrt(1 - power_factor**2)
    whole = replace(
        board,
        active_w=(0.0, power_factor * second, power_factor * third),
        reactive_var=(0.0, sine * second, sine * third),
    )
    none = replace(board, active_w=(0.0, 0.0, 0.0), reactive_var=(0.0, 0.0, 0.0))
    found_v, with_v, without_v = (
        solve(replace(network, loads=(station, one))).voltage_v("station")[0]
        for one in (board, whole, none)
    )
    assert abs(with_v - without_v) > 0.01
    assert found_v == pytest.approx(min(with_v, without_v), abs=1e-9)


def test_the_written_drops_hold_with_a_load_on_another_phase_that_counts() -> None:
    changes: Changes = {
        "board[0].demand.power_factor": 0.6,
        "circuit[0].cable[0].length_m": 60,
    }
    drops = [
        (line.result, one.value)
        for line in found("voltage-drop", "", KIOSK, changes).working
        for one in line.inputs
        if one.symbol == "dUf"
    ]
    assert len(drops) == 3
    for written_v, by_load_flow_v in drops:
        assert written_v == pytest.approx(by_load_flow_v, rel=0.01)
