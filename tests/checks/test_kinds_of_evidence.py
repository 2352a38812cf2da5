"""Evidence of several kinds side by side: what one kind lacks, or proves, holds for it alone."""

from __future__ import annotations

import math

import pytest

from feasibility.checks.device_band import band
from feasibility.checks.fault_conductors import FaultKind
from feasibility.checks.fault_impedance import greatest_impedance
from feasibility.checks.question import Run
from feasibility.installation.build import build_installation
from feasibility.result import Outcome

from .sites import GONE, SINGLE, Changes, found, site
from .test_readings import complete

BAKERY, KIOSK = "bakery-yard", "camp-site-kiosk"
CABLE = "circuit[0].cable[0]"


def run_over(name: str, changes: Changes) -> Run:
    return Run.over(build_installation(site(name, changes)), favourable=False)


def test_an_incomplete_reading_hides_no_complete_one_behind_it() -> None:
    changes: Changes = {
        "supply.external_loop_impedance_ohm": GONE,
        "board[0].measured_loop_impedance_ohm": 0.5,
        "outlet.measured_loop_impedance_ohm": complete(2.0),
    }
    # IEC 60364-6, Annex D: a cold reading is two thirds of what may be when hot.
    at_outlet = greatest_impedance(run_over(BAKERY, changes), 2, FaultKind.LINE_EARTH)
    assert at_outlet.ohm == pytest.approx(2.0 * 3 / 2)


def test_a_makers_curve_begins_at_the_setting() -> None:
    device = {
        "kind": "IEC 60947-2 circuit-breaker",
        "rating_a": 63,
        "setting_a": 40,
        "magnetic_setting_a": 400,
        "breaking_capacity_ka": 10,
        "curve_point": [{"current_a": 200, "fastest_s": 10, "slowest_s": 100}],
    }
    run = run_over(SINGLE, {"circuit[0].device": device})
    trips, _, _ = band(run, run.installation.final_circuit.device)
    assert [trips.fastest_time_s(amperes) for amperes in (40, 50, 64)] == [math.inf, 10, 10]


def test_the_limit_of_an_energy_class_proves_no_breach() -> None:
    """Class 3 of 16 A lets 35 000 A2s through at most; 1.5 mm2 withstands (115 * 1.5)^2."""
    changes: Changes = {
        f"{CABLE}.section_mm2": 1.5,
        f"{CABLE}.protective_section_mm2": 1.5,
        "circuit[0].device.rating_a": 16,
        "circuit[0].device.energy_limiting_class": 3,
        "circuit[0].device.breaking_capacity_ka": 6,
    }
    finding = found("short-circuit-withstand", "Yard outlet: cable 1", SINGLE, changes)
    assert (finding.outcome, finding.value) == (Outcome.OPEN, 35_000)
    assert finding.limit == pytest.approx((115 * 1.5) ** 2)
    by_maker = {**changes, "circuit[0].device.let_through_a2s": 35_000}
    by_maker["circuit[0].device.energy_limiting_class"] = GONE
    proved = found("short-circuit-withstand", "Yard outlet: cable 1", SINGLE, by_maker)
    assert proved.outcome is Outcome.FAIL


def test_a_neutral_that_is_missing_in_a_parallel_cable_melts_nowhere() -> None:
    # IEC 60364-4-43, 434.5.2: 115 for copper and PVC; the one of 16 mm2 is the weakest there is.
    changes: Changes = {
        f"{CABLE}.section_mm2": 25,
        f"{CABLE}.neutral_section_mm2": 16,
        f"{CABLE}.parallel_cable": [
            {"section_mm2": 25, "length_m": 14, "neutral_section_mm2": 0},
        ],
        f"{CABLE}.grouping": "bunched",
    }
    finding = found("neutral-withstand", "Main cable: cable 1", BAKERY, changes)
    assert finding.limit == pytest.approx((115 * 16) ** 2)


def test_a_cord_in_tt_needs_no_more_than_copper_does() -> None:
    # IEC 60364-5-54, 543.1.1: 25 mm2 of copper are enough in TT.
    changes: Changes = {"cord.section_mm2": 70, "cord.protective_section_mm2": 25}
    finding = found("protective-conductor", "cord", KIOSK, changes)
    assert (finding.outcome, finding.value, finding.limit) == (Outcome.PASS, 25, 25)
