"""Readings beside the calculation: the worse of the two counts, alone only with its particulars."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from feasibility.checks.fault_conductors import FaultKind
from feasibility.checks.fault_path import largest_at, largest_fault, smallest_at
from feasibility.checks.question import Run
from feasibility.installation.build import build_installation
from feasibility.installation.facts import NotKnown

from .hand import SQRT3, YARD_CABLE, YARD_CORD
from .sites import GONE, SINGLE, Changes, site

U0_V = 400 / SQRT3
C_MAX, C_MIN = 1.10, 0.90
"""IEC 60909-0:2016, Table 1, networks with 10 % tolerance (0.90: FD C15-500 of 2020)."""

LOOP = "outlet.measured_loop_impedance_ohm"
CURRENT = "outlet.measured_fault_current_ka"
BETWEEN = "outlet.measured_fault_between"
OUTLET, STATION = 1, 2
BARE: Changes = {LOOP: GONE}
WHO: dict[str, Any] = {
    "known": "measured",
    "instrument": "installation tester 1",
    "date": dt.date(2026, 3, 12),
    "method": "high current, two leads",
}


def run_over(name: str, *changes: Changes) -> Run:
    return Run.over(build_installation(site(name, *changes)), favourable=False)


def complete(value: float) -> dict[str, Any]:
    return WHO | {"value": value}


def line_to_line(current_ka: float) -> Changes:
    return {CURRENT: current_ka, BETWEEN: "line-line"}


def test_a_line_to_line_reading_above_the_calculation_raises_the_three_phase_current() -> None:
    # Ik3 = 2 / sqrt(3) Ik2 (IEC 60909-0:2016, 7.3), and cmax on an instrument's nominal voltage.
    before = largest_fault(run_over(SINGLE), OUTLET).value_a
    after = largest_fault(run_over(SINGLE, line_to_line(3.0)), OUTLET)
    assert before < after.value_a
    assert after.value_a == pytest.approx(C_MAX * 2 / SQRT3 * 3000, rel=1e-9)
    assert [step.symbol for step in after.steps].count("Zc") == 1


def test_a_reading_below_the_calculation_does_not_lower_the_largest_current() -> None:
    before = largest_fault(run_over(SINGLE), OUTLET).value_a
    lower = largest_fault(run_over(SINGLE, {CURRENT: complete(0.5), BETWEEN: "line-line"}), OUTLET)
    assert lower.value_a == before


def test_a_loop_smaller_than_the_calculated_line_raises_the_three_phase_current() -> None:
    # Every loop contains the line: Z1 <= 0.05 ohm.
    small = {LOOP: 0.05, "supply.external_loop_impedance_ohm": 0.05}
    assert largest_fault(run_over(SINGLE, small), OUTLET).value_a == pytest.approx(
        C_MAX * U0_V / 0.05, rel=1e-9
    )


def test_a_reading_further_on_bounds_the_current_before_it() -> None:
    # The board feeds the outlet, so its fault current is no smaller than the outlet's.
    reading = line_to_line(8.0)
    at_board = largest_fault(run_over("bakery-yard", reading), 1).value_a
    assert at_board == pytest.approx(C_MAX * 2 / SQRT3 * 8000, rel=1e-9)


def test_a_reading_at_a_board_counts_for_what_lies_behind_it() -> None:
    reading = {
        "board[0].measured_fault_current_ka": 5.0,
        "board[0].measured_fault_between": "line-neutral",
    }
    run = run_over("bakery-yard", reading)
    at_board = largest_at(run, 1, FaultKind.LINE_NEUTRAL)
    assert at_board.value_a == pytest.approx(C_MAX * 5000, rel=1e-9)
    zm = U0_V / 5000
    cold = 2 * complex(YARD_CABLE.resistance_20c_ohm, YARD_CABLE.reactance_ohm)
    least = min(abs(zm + cold), abs(1j * zm + cold))
    at_outlet = largest_at(run, 2, FaultKind.LINE_NEUTRAL)
    assert at_outlet.value_a == pytest.approx(C_MAX * U0_V / least, rel=1e-9)


def test_a_lower_reading_of_line_and_neutral_makes_the_smallest_current_smaller() -> None:
    # 0.3 kA between line and neutral: 0.77 ohm cold, of which 0.11 ohm outside stay as they are.
    reading = {CURRENT: 0.3, BETWEEN: "line-neutral"}
    fault = smallest_at(run_over(SINGLE, reading), OUTLET, FaultKind.LINE_NEUTRAL)
    warm = 0.11 + (U0_V / 300 - 0.11) * (1 + 0.00393 * (70 - 20))
    assert fault.value_a == pytest.approx(C_MIN * U0_V / warm, rel=1e-9)
    before = smallest_at(run_over(SINGLE), OUTLET, FaultKind.LINE_NEUTRAL)
    assert fault.value_a < before.value_a
    better = {CURRENT: complete(2.2), BETWEEN: "line-neutral"}
    unchanged = smallest_at(run_over(SINGLE, better), OUTLET, FaultKind.LINE_NEUTRAL)
    assert unchanged.value_a == before.value_a


NO_EXTERNAL: Changes = {"supply.external_loop_impedance_ohm": GONE}


def test_where_the_calculation_lacks_its_facts_a_complete_reading_stands_alone() -> None:
    # IEC 60364-6, Annex D (from memory): a cold reading of 2/3 of the loop permitted when hot.
    run = run_over(SINGLE, NO_EXTERNAL, {LOOP: complete(0.5)})
    fault = smallest_at(run, OUTLET, FaultKind.LINE_EARTH)
    assert fault.value_a == pytest.approx(C_MIN * U0_V / (1.5 * 0.5), rel=1e-9)
    behind = smallest_at(run, STATION, FaultKind.LINE_EARTH)
    loop_ohm = 1.5 * 0.5 + YARD_CORD.hot_loop_ohm
    assert behind.value_a == pytest.approx(C_MIN * U0_V / loop_ohm, rel=1e-9)


@pytest.mark.parametrize("lacking", ["known", "instrument", "date", "method"])
def test_a_reading_without_its_particulars_does_not_stand_alone(lacking: str) -> None:
    reading = complete(0.5)
    del reading[lacking]
    run = run_over(SINGLE, NO_EXTERNAL, {LOOP: reading})
    with pytest.raises(NotKnown) as raised:
        smallest_at(run, OUTLET, FaultKind.LINE_EARTH)
    assert [fact.path for fact in raised.value.facts] == ["supply.external_loop_impedance_ohm"]


def test_a_reading_alone_counts_with_the_permitted_error_for_the_largest_current() -> None:
    # IEC 61557-3: at most 30 % operating error (from memory).
    unknown = {"supply.prospective_fault_current_ka": "unknown"}
    reading = {CURRENT: complete(2.0), BETWEEN: "line-line"}
    fault = largest_fault(run_over(SINGLE, unknown, reading), OUTLET)
    assert fault.value_a == pytest.approx(1.3 * C_MAX * 2 / SQRT3 * 2000, rel=1e-9)
    with pytest.raises(NotKnown):
        largest_fault(run_over(SINGLE, unknown, reading), 0)


def test_a_loop_of_line_and_neutral_alone_says_nothing_about_three_phases() -> None:
    unknown = {"supply.prospective_fault_current_ka": "unknown"}
    reading = {CURRENT: complete(2.0), BETWEEN: "line-neutral"}
    with pytest.raises(NotKnown):
        largest_fault(run_over(SINGLE, unknown, reading), OUTLET)


def test_the_electrode_bounds_the_earth_fault_of_a_tt_supply() -> None:
    run = run_over("camp-site-kiosk")
    fault = largest_at(run, 0, FaultKind.LINE_EARTH)
    assert fault.value_a == pytest.approx(C_MAX * U0_V / 74, rel=1e-9)
    with pytest.raises(NotKnown):
        smallest_at(run, 0, FaultKind.LINE_EARTH)
