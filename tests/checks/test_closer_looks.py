"""Exact figures and sentences that the cases on both sides of a limit do not tell apart."""

from __future__ import annotations

import math

import pytest

from feasibility.checks.conductor import loaded_conductors
from feasibility.checks.fault_conductors import FaultKind, cold_cord_loop_ohm
from feasibility.checks.fault_impedance import cold_range
from feasibility.checks.question import Run, finding
from feasibility.checks.voltage import CHECKS as VOLTAGE_CHECKS
from feasibility.code_basis import code_basis
from feasibility.installation.build import build_installation
from feasibility.installation.model import LinkKind
from feasibility.result import Outcome, Quantity

from .cases_of_power_quality import REDUCED
from .hand import YARD_CORD
from .sites import GONE, SINGLE, Changes, asked, drawing, found, merged, site, step_result
from .sites import third_harmonic as third

BAKERY = "bakery-yard"
KIOSK = "camp-site-kiosk"
CABLE = "Yard outlet: cable 1"
MAIN = "Main cable: cable 1"


def run_over(name: str, *changes: Changes, favourable: bool = False) -> Run:
    return Run.over(build_installation(site(name, *changes)), favourable=favourable)


def test_a_neutral_that_is_loaded_exactly_is_not_too_small() -> None:
    # IEC 60364-5-52, Annex E: 3 h3 Ib, at 50 %, in 6 mm2 of Table B.52.4, method C: 41 A.
    exact = {**third(50), **drawing(41 / 1.5), "station.auxiliary_l1_w": 0}
    within = found("neutral-current", CABLE, SINGLE, exact)
    assert within.outcome is Outcome.PASS
    assert within.value == pytest.approx(41)
    assert within.reason.template.startswith("The neutral has to carry")
    assert "is within" in within.reason.template


def test_a_neutral_that_is_too_small_carries_less_than_is_asked_for() -> None:
    # By hand: 76 A (Table B.52.4, 16 mm2, method C) less the site's 75 A leave 1 A for 9 %.
    changes: Changes = {
        **REDUCED,
        **third(3),
        "board[0].demand": {"maximum_a": 75},
        "station.auxiliary_l1_w": 0,
    }
    beyond = found("neutral-current", MAIN, BAKERY, changes)
    assert beyond.outcome is Outcome.FAIL
    assert "exceeds" in beyond.reason.template
    assert beyond.carries_a == pytest.approx(1 / 0.09)
    within = found("neutral-current", MAIN, BAKERY, {**changes, **third(1)})
    assert within.outcome is Outcome.PASS
    assert within.carries_a == pytest.approx(1 / 0.03)


@pytest.mark.parametrize(
    ("name", "changes", "root"), [(SINGLE, 385, math.sqrt(3)), (KIOSK, 220, 1.0)]
)
def test_the_lost_power_by_hand(name: str, changes: float, root: float) -> None:
    """P = sqrt(3) U I cos phi of three phases, U I cos phi of one; it falls with the voltage."""
    low = found("full-power-voltage", "", name, {"station.full_power_voltage_v": changes})
    assert low.value is not None
    current_a = {SINGLE: 24.48, KIOSK: 10.2}[name]
    power_kw = root * low.value * current_a * 0.99 / 1000
    lost = low.reason.values["lost"]
    assert isinstance(lost, Quantity)
    assert lost.value == pytest.approx(power_kw * (1 - low.value / changes), rel=1e-9)


@pytest.mark.parametrize(
    ("name", "second_order"),
    # Where the site loads the phases unequally the phasors differ more in direction.
    [(SINGLE, 2e-4), (KIOSK, 2e-4), (BAKERY, 2e-2)],
)
@pytest.mark.parametrize("check", ["voltage-drop", "minimum-voltage", "full-power-voltage"])
def test_the_drop_by_pocket_calculator_is_that_of_the_load_flow(
    name: str, second_order: float, check: str
) -> None:
    """DIN VDE 0100-520 Supplement 2: the drop is sqrt(3) I (R cos phi + X sin phi), or I (...)."""
    steps = [one for one in found(check, "", name).working if one.symbol == "dUc"]
    assert len(steps) >= 2
    for step in steps:
        by_load_flow = next(one.value for one in step.inputs if one.symbol == "dUf")
        assert by_load_flow > 0
        assert step.result == pytest.approx(by_load_flow, rel=second_order)


def test_the_working_ends_at_the_voltage_of_the_station() -> None:
    low = found("minimum-voltage", "", SINGLE)
    steps = {one.symbol: one for one in low.working}
    inputs = {one.symbol: one.value for one in steps["U2"].inputs}
    assert steps["U2"].result == low.value == pytest.approx(inputs["U1"] - inputs["dU"])


def test_a_phase_after_the_other_is_what_a_load_uses() -> None:
    """A single-phase outlet that feeds L1 alone loads two conductors, one that feeds more three."""
    one = build_installation(site(KIOSK))
    final = one.final_circuit
    (cable,) = final.cables
    assert loaded_conductors(one, cable) == 2
    ranged = build_installation(site(KIOSK, {"station.phases": GONE}))
    assert loaded_conductors(ranged, ranged.final_circuit.cables[0]) == 3


@pytest.mark.parametrize(
    ("method", "share"),
    # Heat grows with the square of the current: 30 °C in air, 20 °C in the ground (B.52.10).
    [("C", math.sqrt((70 - 30) / (90 - 30))), ("D1", math.sqrt((70 - 20) / (90 - 20)))],
)
def test_a_data_sheets_ampacity_counts_for_the_temperature_of_the_terminals(
    method: str, share: float
) -> None:
    """IEC 60364-5-52, 523.1: the terminals' temperature bounds that of the conductor."""
    own: Changes = {
        "circuit[0].cable[0].ampacity_a": 85,
        "circuit[0].cable[0].insulation": "XLPE",
        "circuit[0].cable[0].method": method,
        "circuit[0].cable[0].ambient_c": 30 if method == "C" else 20,
        "circuit[0].cable[0].soil_resistivity_k_m_per_w": 2.5 if method == "D1" else GONE,
    }
    assert found("ampacity", MAIN, BAKERY, own).limit == pytest.approx(85 * share)
    fit = {**own, "circuit[0].cable[0].ends_rated_c": 90}
    assert found("ampacity", MAIN, BAKERY, fit).limit == pytest.approx(85)


def test_each_cable_in_parallel_is_the_one_stated() -> None:
    """Three different ones: Table B.52.4, method C, 16, 25 and 35 mm2, times 0.70 (B.52.17)."""
    beside = [{"section_mm2": 25, "length_m": 14}, {"section_mm2": 35, "length_m": 14}]
    changes: Changes = {
        "circuit[0].cable[0].parallel_cable": beside,
        "circuit[0].cable[0].grouping": "bunched",
        "circuit[0].cable[0].in_sun": True,
    }
    steps = found("ampacity", MAIN, BAKERY, changes).working
    symbols = [one.symbol for one in steps]
    assert [one for one in symbols if one.startswith("Iz")] == ["Iz1", "Iz2", "Iz3", "Iz"]
    assert symbols.count("T") == 3
    shares = [step_result(found("ampacity", MAIN, BAKERY, changes), f"s{k}") for k in (1, 2, 3)]
    branches = [1 / complex(r, 0.08) for r in (1.15, 0.727, 0.524)]
    expected = [abs(one) / abs(sum(branches)) for one in branches]
    assert shares == pytest.approx(expected)


def test_the_cold_loop_of_the_cord_is_line_and_protective_conductor() -> None:
    # IEC 60228, class 5, and 0.08 ohm/km, there and back.
    loop, _ = cold_cord_loop_ohm(run_over(SINGLE))
    assert loop == pytest.approx(
        2 * abs(complex(YARD_CORD.resistance_20c_ohm, YARD_CORD.reactance_ohm)), rel=1e-12
    )


def test_what_a_reading_may_be_at_most_takes_the_longest_cable() -> None:
    ranged = run_over(SINGLE, {"circuit[0].cable[0].length_m": {"low": 10, "high": 40}})
    longest = run_over(SINGLE, {"circuit[0].cable[0].length_m": 40})
    shortest = run_over(SINGLE, {"circuit[0].cable[0].length_m": 10})
    kind = FaultKind.LINE_EARTH
    low, high = cold_range(ranged, 1, kind)
    assert high.ohm == cold_range(longest, 1, kind)[1].ohm
    assert low.ohm == cold_range(shortest, 1, kind)[0].ohm


def test_a_figure_that_is_no_number_is_not_shown() -> None:
    run = run_over(SINGLE)
    (link,) = run.installation.links_of(LinkKind.OUTLET)
    limit = code_basis("iec-60364").limit("voltage_drop")
    (check, *_) = VOLTAGE_CHECKS
    for number in (math.nan, math.inf):
        shown = finding(check, link, limit, Outcome.OPEN, "x", value=number)
        assert shown.value is None
    shown = finding(check, link, limit, Outcome.OPEN, "x", value=1.0, bound=2.0)
    assert (shown.value, shown.limit) == (1, 2)


def test_a_board_takes_the_smallest_rating_that_the_circuits_device_may_have() -> None:
    ranged: Changes = {"circuit[1].device.rating_a": {"low": 32, "high": 40}}
    name = "joinery-hall"
    limits = [
        (one.unfavourable.limit, one.favourable.limit)
        for check in ("board-diversity", "board-assumed-loading")
        for one in asked(check, name, ranged)
        if one.unfavourable.limit is not None
    ]
    assert limits
    for bad, good in limits:
        assert bad is not None
        assert good == pytest.approx(bad * 40 / 32)


def test_an_adjustable_delay_has_the_time_of_its_earthing_system() -> None:
    """IEC 60364-4-41, Table 41.1: 0.4 s in TN, 0.2 s in TT; 0.09 s to break."""
    device = "circuit[0].residual_current_device"
    set_to = {
        f"{device}.delay": "adjustable",
        f"{device}.delay_s": 0.4 - 0.09,
    }
    in_tn = found("residual-current-delay", "", SINGLE, set_to)
    assert (in_tn.outcome, in_tn.limit) == (Outcome.PASS, 0.4)
    assert in_tn.value == pytest.approx(0.4)
    in_tt = found(
        "residual-current-delay",
        "",
        SINGLE,
        merged(
            set_to, {"supply.earthing_system": "TT", "outlet.measured_loop_impedance_ohm": GONE}
        ),
    )
    assert (in_tt.outcome, in_tt.limit) == (Outcome.FAIL, 0.2)
