"""Many states in one batch, held against single solves by two other ways and against collapse."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from feasibility.network.load_flow import solve
from feasibility.network.pandapower_model import solve_pandapower
from feasibility.network.records import Branch, Load, Network, NetworkError
from feasibility.network.solution import NotSupplied
from feasibility.network.year_flow import STEPS_AT_ONCE, solve_steps
from feasibility.units import FloatArray
from tests.network.four_wires import sweep
from tests.network.test_load_flow import branch, load, network
from tests.network.test_random_sites import sites

AGREEMENT = 1e-6


def powers(site: Network, shares: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the site's powers at each state: ``shares`` of them by state, load, phase."""
    active = np.array([one.active_w for one in site.loads])
    reactive = np.array([one.reactive_var for one in site.loads])
    return active * shares, reactive * shares


def at_state(site: Network, active_w: FloatArray, reactive_var: FloatArray) -> Network:
    """Return the site with the powers of one state, for a single solve."""
    loads = tuple(
        replace(one, active_w=tuple(active), reactive_var=tuple(reactive))
        for one, active, reactive in zip(site.loads, active_w, reactive_var, strict=True)
    )
    return replace(site, loads=loads)


@settings(max_examples=25, deadline=None)
@given(site=sites(), seed=st.integers(0, 2**31))
def test_every_state_is_that_of_a_single_solve_and_of_a_four_wire_sweep(
    site: Network, seed: int
) -> None:
    random = np.random.default_rng(seed)
    phases = 1 if site.balanced else 3
    shares = random.random((4, len(site.loads), phases)) * np.ones(3)
    active, reactive = powers(site, shares)
    flow = solve_steps(site, active_w=active, reactive_var=reactive)
    assert flow.supplied.all()
    for state in range(len(active)):
        one = at_state(site, active[state], reactive[state])
        single, wires = solve(one), sweep(one)
        scale_a = max(1.0, float(np.abs(single.branch_currents_a).max()))
        phases = flow.phases
        gap_v = np.abs(flow.voltages_v[state] - single.node_voltages_v[:, :phases]).max()
        gap_a = np.abs(flow.currents_a[state] - single.branch_currents_a[:, :phases]).max()
        assert gap_v < AGREEMENT * site.source_voltage_v
        assert gap_a < AGREEMENT * scale_a
        for item in site.branches:
            by_sweep = np.array(wires.currents_a[item.name])
            assert flow.current_a(item.name)[state] == pytest.approx(
                by_sweep[:phases], abs=AGREEMENT * scale_a
            )
            if item.name in site.branches_with_neutral():
                assert flow.neutral_current_a(item.name)[state] == pytest.approx(
                    abs(by_sweep[3]), abs=AGREEMENT * scale_a
                )


def a_day_of_two_boards() -> tuple[Network, FloatArray, FloatArray]:
    """Return two boards in a row, unbalanced, over 96 quarter-hours."""
    site = network(
        branch("main", "source", "board", resistance_ohm=0.02),
        branch("outlet", "board", "end", resistance_ohm=0.05),
        load("board", 4000.0, 2500.0, 800.0, reactive_var=600.0),
        load("end", 3000.0, 3000.0, 3000.0, kind="current"),
    )
    hours = np.arange(96) / 4
    shape = 0.5 + 0.5 * np.cos(2 * math.pi * (hours[:, np.newaxis, np.newaxis] - [7, 12, 19]) / 24)
    active, reactive = powers(site, np.concatenate([shape, np.ones((96, 1, 3))], axis=1))
    return site, active, reactive


def test_sampled_states_are_those_of_pandapower() -> None:
    site, active, reactive = a_day_of_two_boards()
    flow = solve_steps(site, active_w=active, reactive_var=reactive)
    for state in (0, 29, 48, 77):
        other = solve_pandapower(at_state(site, active[state], reactive[state]))
        assert flow.voltages_v[state] == pytest.approx(other.node_voltages_v, rel=AGREEMENT)
        assert flow.currents_a[state] == pytest.approx(other.branch_currents_a, rel=AGREEMENT)
        assert flow.neutral_current_a("main")[state] == pytest.approx(
            other.neutral_current_a("main"), abs=1e-6
        )
        assert flow.lowest_line_voltage_v("end")[state] == pytest.approx(
            other.lowest_line_voltage_v("end"), rel=AGREEMENT
        )


def test_three_alike_phases_are_held_as_one() -> None:
    site = network(branch("line", "source", "end"), load("end", 3000.0, reactive_var=500.0))
    active, reactive = powers(site, np.array([0.3, 1.0])[:, np.newaxis, np.newaxis] * np.ones(3))
    whole = solve_steps(site, active_w=active, reactive_var=reactive)
    one = solve_steps(site, active_w=active[..., :1], reactive_var=reactive[..., :1])
    single = solve(site)
    for flow in (whole, one):
        assert flow.phases == 1
        assert flow.voltages_v[1, :, 0] == pytest.approx(single.node_voltages_v[:, 0], rel=1e-9)
        assert flow.currents_a[1, :, 0] == pytest.approx(single.branch_currents_a[:, 0], rel=1e-9)
        assert flow.lowest_line_voltage_v("end")[1] == pytest.approx(
            single.lowest_line_voltage_v("end"), rel=1e-9
        )
        assert flow.neutral_current_a("line").tolist() == [0.0, 0.0]


def test_voltage_by_hand() -> None:
    """U2 = (E + sqrt(E^2 - 4 R P)) / 2 for a resistive line and load (quadratic by hand)."""
    site = network(branch("line", "source", "end", reactance_ohm=0.0), load("end", 1.0))
    watts = np.array([0.0, 1000.0, 4000.0])
    active = np.ones((3, 1, 3)) * watts[:, np.newaxis, np.newaxis]
    flow = solve_steps(site, active_w=active, reactive_var=0 * active)
    source = 400 / math.sqrt(3)
    expected = (source + np.sqrt(source**2 - 4 * 0.1 * watts)) / 2
    assert np.abs(flow.voltage_v("end"))[:, 0] == pytest.approx(expected, rel=1e-9)


def test_a_state_without_an_operating_point_is_marked_and_the_others_stand() -> None:
    """E^2 / (4 R) = 133.3 kW per phase at 0.1 ohm is the most a line transmits (by hand)."""
    site = network(
        branch("line", "source", "end", reactance_ohm=0.0), load("end", 1.0, reactive_var=0.0)
    )
    largest = 400**2 / 3 / (4 * 0.1)
    watts = np.array([0.5, 1.01, 0.9, 5.0]) * largest
    active = np.ones((4, 1, 3)) * watts[:, np.newaxis, np.newaxis]
    flow = solve_steps(site, active_w=active, reactive_var=0 * active)
    assert flow.supplied.tolist() == [True, False, True, False]
    assert np.isnan(flow.voltages_v[1]).all()
    assert np.isnan(flow.currents_a[3]).all()
    for state, supplied in enumerate(flow.supplied):
        one = at_state(site, active[state], 0 * active[state])
        if supplied:
            solve(one)
        else:
            with pytest.raises(NotSupplied):
                solve(one)


def test_progress_is_told_after_each_piece() -> None:
    site = network(branch("line", "source", "end"), load("end", 1000.0))
    active = np.full((2 * STEPS_AT_ONCE + 5, 1, 3), 1000.0)
    told: list[tuple[int, int]] = []
    flow = solve_steps(
        site,
        active_w=active,
        reactive_var=0 * active,
        on_step=lambda done, states: told.append((done, states)),
    )
    count = 2 * STEPS_AT_ONCE + 5
    assert told == [(STEPS_AT_ONCE, count), (2 * STEPS_AT_ONCE, count), (count, count)]
    assert flow.voltages_v[-1] == pytest.approx(flow.voltages_v[0])


def test_powers_that_no_load_has_are_refused() -> None:
    site = network(branch("line", "source", "end"), load("end", 1000.0))
    fine = np.full((2, 1, 3), 1000.0)
    for wrong, words in (
        (fine[:, :, :2], "shape"),
        (fine[:, :, :1], "reactive_var"),
        (fine[0], "shape"),
        (fine[:0], "shape"),
        (np.where(fine > 0, np.nan, fine), "not a finite number"),
        (fine[:1], "reactive_var"),
    ):
        with pytest.raises(NetworkError, match=words):
            solve_steps(site, active_w=wrong, reactive_var=fine)


def test_an_unbalanced_moment_without_a_neutral_is_refused() -> None:
    bare = Branch(
        name="line",
        from_node="source",
        to_node="end",
        resistance_ohm=0.1,
        reactance_ohm=0.0,
        neutral_resistance_ohm=0.0,
        neutral_reactance_ohm=0.0,
        has_neutral=False,
    )
    drawn = Load(
        name="motor",
        node="end",
        active_w=(1000.0, 1000.0, 1000.0),
        reactive_var=(0.0, 0.0, 0.0),
        kind="power",
    )
    site = network(bare, drawn)
    active = np.full((2, 1, 3), 1000.0)
    assert solve_steps(site, active_w=active, reactive_var=0 * active).supplied.all()
    active[1, 0, 2] = 900.0
    with pytest.raises(NetworkError, match="unbalanced"):
        solve_steps(site, active_w=active, reactive_var=0 * active)
