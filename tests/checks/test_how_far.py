"""Which end of a range a voltage, a reading and a neutral take, and how far they reach."""

from __future__ import annotations

import pytest

from feasibility.checks.fault_conductors import FaultKind
from feasibility.checks.fault_path import live_kinds_at
from feasibility.checks.fault_sources import least_earth_loop, neutral_loop
from feasibility.checks.question import Run
from feasibility.installation.build import build_installation
from feasibility.installation.facts import NotKnown
from feasibility.result import Outcome

from .sites import GONE, SINGLE, Changes, asked, drawing, found, site

BAKERY, KIOSK = "bakery-yard", "camp-site-kiosk"
DEVICE = "circuit[0].residual_current_device"


def run_over(name: str, *changes: Changes) -> Run:
    return Run.over(build_installation(site(name, *changes)), favourable=False)


def test_the_drop_of_an_unknown_kind_of_supply_is_that_of_a_public_network() -> None:
    # IEC 60364-5-52, Table G.52.1: 5 % from a public network, 8 % from an own transformer.
    (judged,) = asked("voltage-drop", SINGLE, {"supply.kind": GONE})
    assert (judged.unfavourable.limit, judged.favourable.limit) == (5, 8)
    own = found("voltage-drop", "", SINGLE, {"supply.kind": "own transformer"})
    assert own.limit == 8


def test_the_drop_reaches_its_limit_at_the_current_that_is_named() -> None:
    carries = found("voltage-drop", "", SINGLE).carries_a
    assert carries is not None
    assert found("voltage-drop", "", SINGLE, drawing(carries)).value == pytest.approx(5, rel=1e-6)


@pytest.mark.parametrize(
    ("check", "field"),
    [
        ("full-power-voltage", "station.full_power_voltage_v"),
        ("minimum-voltage", "station.minimum_voltage_v"),
    ],
)
def test_of_the_voltages_that_a_station_may_need_the_higher_one_counts(
    check: str, field: str
) -> None:
    (judged,) = asked(check, SINGLE, {field: {"low": 300, "high": 310}})
    assert (judged.unfavourable.limit, judged.favourable.limit) == (310, 300)


def test_nothing_is_lost_where_the_voltage_is_enough() -> None:
    assert "lost" not in found("full-power-voltage", "", SINGLE).reason.values


FAR_END: Changes = {
    "circuit[0].device.characteristic": "D",
    "station.input_device_rating_a": 32,
}


@pytest.mark.parametrize(("rating_a", "far"), [(34, False), (40, True)])
def test_where_the_overload_protection_of_a_cord_sits_is_said(rating_a: int, *, far: bool) -> None:
    # IEC 60364-4-43, 433.2.2; BS 7671, Table 4F1A: the cord of 6 mm2 carries 34 A.
    changes = {**FAR_END, "circuit[0].device.rating_a": rating_a}
    finding = found("overload-rating", "cord", SINGLE, changes)
    assert (finding.outcome is Outcome.PASS) is not far
    assert finding.reason.template.startswith("The protective device's rating of {rating}")
    assert ("at the far end" in finding.reason.template) is far


def test_a_station_that_causes_no_smooth_direct_current_adds_none() -> None:
    changes: Changes = {
        f"{DEVICE}.type": "A",
        "station.residual_current_kind": "alternating",
        f"{DEVICE}.other_direct_current_ma": 2,
    }
    finding = found("direct-current-blinding", "", SINGLE, changes)
    # IEC 60364-5-53, 531.3.3: type A tolerates 6 mA.
    assert (finding.value, finding.limit) == (2, 6)


def test_a_detector_that_nobody_read_of_the_station_is_none() -> None:
    changes: Changes = {f"{DEVICE}.type": "A", "station.direct_current_detection": GONE}
    (judged,) = asked("residual-current-type", SINGLE, changes)
    assert judged.unfavourable.outcome is Outcome.FAIL
    assert judged.favourable.outcome is Outcome.PASS


@pytest.mark.parametrize(
    ("changes", "reaches"),
    [
        ({}, [True, True, True, True]),
        ({"circuit[0].cable[0].neutral_section_mm2": 0}, [True, False, False, False]),
        ({"circuit[1].cable[0].neutral_section_mm2": 0}, [True, True, False, False]),
        ({"circuit[1].cable[0].neutral_section_mm2": 6}, [True, True, True, True]),
        ({"outlet.poles": "3P+E"}, [True, True, False, False]),
        (
            {"outlet.poles": "3P+E", "circuit[1].cable[0].neutral_section_mm2": 6},
            [True, True, True, True],
        ),
    ],
)
def test_a_neutral_reaches_as_far_as_its_conductors(changes: Changes, reaches: list[bool]) -> None:
    """Origin, main board, outlet, station; without an own neutral the outlet's contacts tell."""
    installation = build_installation(site(BAKERY, {"station.needs_neutral": False}, changes))
    found_kinds = [FaultKind.LINE_NEUTRAL in live_kinds_at(installation, node) for node in range(4)]
    assert found_kinds == reaches


def test_a_reading_of_a_current_that_may_vary_agrees_where_any_of_it_does() -> None:
    # 230.9 V over 0.3 ohm are 770 A, and over 3 ohm 77 A.
    def reading(low: float, high: float) -> Outcome:
        changes: Changes = {
            "outlet.measured_loop_impedance_ohm": GONE,
            "outlet.measured_fault_current_ka": {"low": low, "high": high},
            "outlet.measured_fault_between": "line-neutral",
        }
        return found("fault-current-reading", "outlet", SINGLE, changes).outcome

    assert reading(0.077, 0.77) is Outcome.PASS
    assert reading(0.77, 20) is Outcome.PASS
    assert reading(0.05, 0.077) is Outcome.CAUTION
    assert reading(10, 20) is Outcome.CAUTION


def test_an_assumed_neutral_loop_is_shown_as_filled_in() -> None:
    run = run_over(SINGLE, {"supply.external_line_neutral_loop_ohm": GONE})
    loop = neutral_loop(run)
    assert loop.filled
    assert loop.is_ranged


def test_an_earth_loop_is_the_electrodes_only_in_tt_without_a_stated_loop() -> None:
    electrode = {"supply.electrode_resistance_ohm": 74}
    tt: Changes = {**electrode, "supply.earthing_system": "TT"}
    stated = {"supply.external_loop_impedance_ohm": 0.28}
    assert least_earth_loop(run_over(KIOSK, tt)).ohm == 74
    assert least_earth_loop(run_over(KIOSK, tt, stated)).ohm == 0.28
    with pytest.raises(NotKnown):
        least_earth_loop(run_over(KIOSK, {**electrode, "supply.earthing_system": "TN-S"}))
