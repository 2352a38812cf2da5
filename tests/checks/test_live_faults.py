"""Faults between live conductors at the two ends of what may be: by hand, and their bounds."""

from __future__ import annotations

import math

import pytest

from feasibility.checks.fault_conductors import FaultKind
from feasibility.checks.fault_path import (
    FaultCurrent,
    largest_at,
    largest_fault,
    largest_live_fault,
    smallest_at,
    smallest_live_fault,
)
from feasibility.checks.question import Run
from feasibility.installation.build import build_installation
from feasibility.installation.facts import NotKnown
from feasibility.result import Outcome

from .hand import KIOSK_CABLE, KIOSK_CORD, SQRT3, YARD_CABLE, YARD_CORD, Piece
from .sites import GONE, SINGLE, Changes, found, site

U0_V = 400 / SQRT3
C_MAX, C_MIN = 1.10, 0.90
"""IEC 60909-0:2016, Table 1, networks with 10 % tolerance (0.90: FD C15-500 of 2020)."""

NEUTRAL_LOOP = "supply.external_line_neutral_loop_ohm"
LEVEL_ONLY: Changes = {NEUTRAL_LOOP: GONE, "supply.smallest_fault_current_ka": GONE}
"""Only the largest three-phase level and the earth-fault loop are known."""


def run_over(name: str, *changes: Changes, favourable: bool = False) -> Run:
    return Run.over(build_installation(site(name, *changes)), favourable=favourable)


def smallest(name: str, *changes: Changes, circuit: int = -1) -> FaultCurrent:
    run = run_over(name, *changes)
    return smallest_live_fault(run, run.installation.circuits[circuit])


def hot(*pieces: Piece) -> complex:
    """Impedance of one conductor over pieces in series, each as hot as permitted."""
    return sum(
        (complex(one.resistance_ohm(one.maximum_c), one.reactance_ohm) for one in pieces), 0j
    )


def test_the_smallest_one_at_the_end_of_a_circuit_is_line_to_neutral_by_hand() -> None:
    # Ik = c U0 / (Zn + Zline + Zneutral); 0.3 ohm outside, 22 m of 6 mm2 and 8 m of cord.
    fault = smallest(SINGLE, {NEUTRAL_LOOP: 0.3})
    loop_ohm = 0.3 + 2 * abs(hot(YARD_CABLE, YARD_CORD))
    assert fault.kind is FaultKind.LINE_NEUTRAL
    assert fault.value_a == pytest.approx(C_MIN * U0_V / loop_ohm, rel=1e-9)


def test_without_a_neutral_it_is_line_to_line() -> None:
    # Ik2 = c Un / (2 Z): IEC 60909-0:2016, 7.3; 4 kA at least: Zq = 0.9 * 400 / (sqrt(3) 4000).
    changes = {
        "outlet.poles": "3P+E",
        "cord.plug_poles": "3P+E",
        "station.needs_neutral": False,
        "supply.smallest_fault_current_ka": 4.0,
    }
    fault = smallest(SINGLE, changes)
    line_ohm = C_MIN * 400 / SQRT3 / 4000 + abs(hot(YARD_CABLE, YARD_CORD))
    assert fault.kind is FaultKind.LINE_LINE
    assert fault.value_a == pytest.approx(C_MIN * 400 / (2 * line_ohm), rel=1e-9)


def test_a_stated_section_of_the_neutral_counts() -> None:
    full = smallest(SINGLE, {NEUTRAL_LOOP: 0.3})
    half = smallest(SINGLE, {NEUTRAL_LOOP: 0.3, "circuit[0].cable[0].neutral_section_mm2": 4})
    neutral = Piece(length_m=22, section_mm2=4, ampacity_a=1)
    loop_ohm = 0.3 + abs(hot(YARD_CABLE, neutral) + 2 * hot(YARD_CORD))
    assert half.value_a == pytest.approx(C_MIN * U0_V / loop_ohm, rel=1e-9)
    assert half.value_a < full.value_a


def test_in_a_tncs_supply_the_neutral_is_the_loop_of_the_earth_fault() -> None:
    # IEC 60364-1, 312.2.1: one PEN conductor up to the origin.
    stated = {"supply.earthing_system": "TN-C-S", "supply.external_loop_impedance_ohm": 0.25}
    loop_ohm = 0.25 + 2 * abs(hot(YARD_CABLE, YARD_CORD))
    assert smallest(SINGLE, LEVEL_ONLY, stated).value_a == pytest.approx(
        C_MIN * U0_V / loop_ohm, rel=1e-9
    )


def test_an_unknown_neutral_loop_is_bounded_at_both_ends() -> None:
    # Level 5.2 kA: Zq = 1.1 * 400 / (sqrt(3) 5200) = 0.0489 ohm. At most 0.472 ohm (|0.4 + j0.25|,
    # IEC TR 60725), at least 0.7 Zq (star-zigzag transformer: (2 + 0.1) / 3).
    line_ohm = C_MAX * 400 / SQRT3 / 5200
    run = run_over(SINGLE, LEVEL_ONLY)
    low = smallest_at(run, 0, FaultKind.LINE_NEUTRAL)
    assert low.value_a == pytest.approx(C_MIN * U0_V / abs(0.4 + 0.25j), rel=1e-3)
    high = largest_at(run, 0, FaultKind.LINE_NEUTRAL)
    assert high.value_a == pytest.approx(C_MAX * U0_V / (0.7 * line_ohm), rel=1e-9)
    assert largest_live_fault(run, 0).kind is FaultKind.LINE_NEUTRAL
    best = run_over(SINGLE, LEVEL_ONLY, favourable=True)
    assert largest_live_fault(best, 0).value_a == largest_fault(best, 0).value_a
    assert "supply.external_line_neutral_loop_ohm" in run.ends.used


def test_near_a_transformer_the_line_neutral_fault_may_be_the_larger_one() -> None:
    # 5.2 kA are 0.0489 ohm per line; a delta-star transformer has a loop a little smaller.
    near, far = {NEUTRAL_LOOP: 0.046}, {NEUTRAL_LOOP: 0.09}
    near_fault = largest_live_fault(run_over(SINGLE, near), 0)
    assert near_fault.kind is FaultKind.LINE_NEUTRAL
    assert near_fault.value_a == pytest.approx(C_MAX * U0_V / 0.046, rel=1e-9)
    far_fault = largest_live_fault(run_over(SINGLE, far), 0)
    assert far_fault.kind is FaultKind.THREE_PHASE
    assert far_fault.value_a == pytest.approx(5200, rel=1e-9)


def test_a_single_phase_circuit_knows_line_to_neutral_only() -> None:
    known = {NEUTRAL_LOOP: 0.3}
    run = run_over("camp-site-kiosk", known)
    at_outlet = largest_live_fault(run, 2)
    assert at_outlet.kind is FaultKind.LINE_NEUTRAL
    main = Piece(length_m=14, section_mm2=16, ampacity_a=1)
    pieces = (main, KIOSK_CABLE)
    cold = 2 * complex(
        sum(one.resistance_20c_ohm for one in pieces), sum(one.reactance_ohm for one in pieces)
    )
    least = min(abs(0.3 + cold), abs(0.3j + cold))
    assert at_outlet.value_a == pytest.approx(C_MAX * U0_V / least, rel=1e-9)
    at_its_device = largest_live_fault(run, 1)
    assert at_its_device.kind is FaultKind.LINE_NEUTRAL
    assert at_its_device.value_a == largest_at(run, 1, FaultKind.LINE_NEUTRAL).value_a
    assert largest_live_fault(run, 0).kind is FaultKind.THREE_PHASE
    at_station = smallest_live_fault(run, run.installation.final_circuit)
    loop_ohm = 0.3 + 2 * abs(hot(main, KIOSK_CABLE, KIOSK_CORD))
    assert at_station.value_a == pytest.approx(C_MIN * U0_V / loop_ohm, rel=1e-9)


def test_without_any_level_the_smallest_fault_is_not_known() -> None:
    unknown = {"supply.prospective_fault_current_ka": GONE}
    with pytest.raises(NotKnown) as raised:
        smallest(SINGLE, LEVEL_ONLY, unknown)
    assert [fact.path for fact in raised.value.facts] == [NEUTRAL_LOOP]


@pytest.mark.parametrize("name", ["bakery-yard", "joinery-hall", "river-depot", "camp-site-kiosk"])
def test_the_ends_lie_on_the_right_side_of_each_other(name: str) -> None:
    worst, best = run_over(name), run_over(name, favourable=True)
    for position, circuit in enumerate(worst.installation.circuits):
        assert largest_live_fault(worst, position).value_a >= (
            largest_live_fault(best, position).value_a
        )
        here = smallest_live_fault(worst, circuit).value_a
        assert here <= smallest_live_fault(best, best.installation.circuits[position]).value_a
        assert here < largest_live_fault(worst, position).value_a
        assert math.isfinite(here)


def test_at_the_origin_the_largest_current_is_the_surveyed_level() -> None:
    assert largest_fault(run_over("river-depot"), 0).value_a == pytest.approx(9000, rel=1e-12)


def test_a_loop_smaller_than_the_level_says_that_the_level_is_larger() -> None:
    # 0.02 ohm of loop beside 9 kA (0.0282 ohm at c = 1.1): the loop contains the line.
    low = {"supply.external_loop_impedance_ohm": 0.02}
    assert largest_fault(run_over("river-depot", low), 0).value_a == pytest.approx(
        C_MAX * U0_V / 0.02, rel=1e-9
    )


@pytest.mark.parametrize(
    ("low", "high", "c_max", "c_min"),
    [(10, 10, 1.10, 0.90), (6, 6, 1.05, 0.95), (6, 10, 1.10, 0.95), (10, 6, 1.05, 0.90)],
)
def test_each_voltage_factor_has_its_own_tolerance(
    low: float, high: float, c_max: float, c_min: float
) -> None:
    # IEC 60909-0:2016, Table 1: 1.05 or 1.10 upwards, 0.95 or 0.90 (FD C15-500) downwards.
    tolerance = {"supply.tolerance_low_percent": low, "supply.tolerance_high_percent": high}
    run = run_over(SINGLE, {NEUTRAL_LOOP: 0.2}, tolerance)
    upper = largest_at(run, 0, FaultKind.LINE_NEUTRAL)
    lower = smallest_at(run, 0, FaultKind.LINE_NEUTRAL)
    assert upper.value_a == pytest.approx(c_max * U0_V / 0.2)
    assert lower.value_a == pytest.approx(c_min * U0_V / 0.2)


@pytest.mark.parametrize("side", ["low", "high"])
def test_beyond_10_percent_there_is_no_voltage_factor(side: str) -> None:
    wide = {f"supply.tolerance_{side}_percent": 12}
    finding = found("breaking-capacity", "service device", SINGLE, wide)
    assert finding.outcome is Outcome.OPEN
    assert "12" in str(finding.reason.values["reason"])
