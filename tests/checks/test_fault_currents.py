"""Earth-fault loops by hand, what trips the devices, and which time is required."""

from __future__ import annotations

import math

import pytest

from feasibility.checks.fault_sources import greatest_earth_loop
from feasibility.checks.question import Run
from feasibility.installation.build import build_installation
from feasibility.result import Outcome

from .hand import SQRT3, YARD_CABLE, YARD_CORD, Piece
from .sites import GONE, SINGLE, Changes, found, site, step_result


def hot_loop_ohm(*pieces: Piece) -> float:
    """Loop of line and equal protective conductor over pieces in series, as hot as permitted."""
    resistance = sum(piece.resistance_ohm(piece.maximum_c) for piece in pieces)
    return 2 * math.hypot(resistance, sum(piece.reactance_ohm for piece in pieces))


def test_the_loop_of_a_site_by_hand() -> None:
    # Bakery: Ze 0.28 ohm, 14 m of 16 mm2, 22 m of 6 mm2 PVC at 70 °C, 8 m of 6 mm2 cord at 60 °C.
    main = Piece(length_m=14, section_mm2=16, ampacity_a=76)
    to_board = 0.28 + hot_loop_ohm(main)
    to_station = 0.28 + hot_loop_ohm(main, YARD_CABLE, YARD_CORD)
    reading = {"outlet.measured_loop_impedance_ohm": GONE}
    for link, ohm in (("'Main cable'", to_board), ("'Yard outlet'", to_station)):
        finding = found("disconnection", f"circuit {link}", "bakery-yard", reading)
        assert step_result(finding, "Zs") == pytest.approx(ohm, rel=1e-9)
        # c = 0.90 of IEC 60909-0:2016, by FD C15-500 of 2020.
        assert finding.value == pytest.approx(0.9 * 400 / SQRT3 / ohm, rel=1e-9)


def test_a_loop_holds_the_line_of_the_weakest_state_of_the_network() -> None:
    """IEC 60909-0: Z = c U / (sqrt(3) I); a loop is at least (2 + Z0/Z1) / 3, 0.7, of the line's.

    200 A are 1.039 ohm of the line, so that the 0.28 ohm were read in a stronger state.
    """
    weak = {
        "supply.smallest_fault_current_ka": 0.2,
        "outlet.measured_loop_impedance_ohm": GONE,
        "supply.external_line_neutral_loop_ohm": 0.11,
    }
    main = Piece(length_m=14, section_mm2=16, ampacity_a=76)
    ohm = 0.7 * 0.9 * 400 / SQRT3 / 200 + hot_loop_ohm(main)
    finding = found("disconnection", "circuit 'Main cable'", "bakery-yard", weak)
    assert step_result(finding, "Zs") == pytest.approx(ohm, rel=1e-9)
    assert finding.outcome is Outcome.FAIL  # 271 A against the 320 A of a 63 A fuse in 5 s
    # The bound is certain, so the favourable end of all ranges has no larger loop: 0.55 kA.
    between = weak | {"supply.smallest_fault_current_ka": {"low": 0.2, "high": 0.55}}
    built = build_installation(site("bakery-yard", between))
    bad, good = (greatest_earth_loop(Run.over(built, favourable=one)).ohm for one in (False, True))
    assert (bad, good) == pytest.approx((0.7 * 0.9 * 400 / SQRT3 / 200, 0.28))
    stronger = weak | {"supply.smallest_fault_current_ka": 2.0}
    finding = found("disconnection", "circuit 'Main cable'", "bakery-yard", stronger)
    assert step_result(finding, "Zs") == pytest.approx(0.28 + hot_loop_ohm(main), rel=1e-9)


def test_a_smaller_protective_conductor_counts_in_the_loop() -> None:
    small = {"circuit[0].cable[0].protective_section_mm2": 4}
    finding = found(
        "disconnection", "", SINGLE, small, {"outlet.measured_loop_impedance_ohm": GONE}
    )
    protective = Piece(length_m=22, section_mm2=4, ampacity_a=1)
    loop = math.hypot(
        YARD_CABLE.resistance_ohm(70)
        + protective.resistance_ohm(70)
        + 2 * YARD_CORD.resistance_ohm(60),
        2 * YARD_CABLE.reactance_ohm + 2 * YARD_CORD.reactance_ohm,
    )
    assert step_result(finding, "Zs") == pytest.approx(0.28 + loop, rel=1e-9)


def test_a_reading_larger_than_the_calculated_loop_counts_instead() -> None:
    # IEC 60364-6, Annex D (from memory): the part of a cold reading inside the installation is
    # raised to service temperature, 70 °C, the part outside (0.28 ohm) is not; then the hot cord.
    reading = {"outlet.measured_loop_impedance_ohm": 0.9}
    finding = found("disconnection", "", SINGLE, reading)
    warm = 0.28 + (0.9 - 0.28) * (1 + 0.00393 * (70 - 20))
    assert step_result(finding, "Zs") == pytest.approx(warm + hot_loop_ohm(YARD_CORD), rel=1e-9)


@pytest.mark.parametrize(
    ("device", "limit_a", "source"),
    [
        ({"characteristic": "B"}, 160, "IEC 60898-1, Table 7: 5 In"),
        ({"characteristic": "C"}, 320, "IEC 60898-1, Table 7: 10 In"),
        ({"characteristic": "D"}, 640, "IEC 60898-1, Table 7: 20 In"),
    ],
)
def test_what_surely_trips_a_breaker(device: Changes, limit_a: float, source: str) -> None:
    assert source
    changes = {f"circuit[0].device.{field}": value for field, value in device.items()}
    assert found("disconnection", "", SINGLE, changes).limit == pytest.approx(limit_a)


def test_what_surely_trips_an_adjustable_breaker() -> None:
    # IEC 60947-2, 8.3.3.1.2: magnetic setting with 20 % tolerance.
    device = {
        "circuit[0].device": {
            "kind": "IEC 60947-2 circuit-breaker",
            "rating_a": 32,
            "setting_a": 32,
            "magnetic_setting_a": 200,
            "breaking_capacity_ka": 10,
        }
    }
    assert found("disconnection", "", SINGLE, device).limit == pytest.approx(240)


FUSE_100 = {
    "circuit[0].device": {"kind": "gG fuse", "rating_a": 100, "breaking_capacity_ka": 50},
    "outlet.rating_a": 125,
    "cord.plug_rating_a": 125,
}


def test_a_final_circuit_above_63_a_has_5_seconds() -> None:
    # IEC 60269-1: a gG 100 A fuse melts within 5 s from 580 A (gate, greatest value).
    assert found("disconnection", "", SINGLE, FUSE_100).limit == pytest.approx(580)


@pytest.mark.parametrize(
    ("kind", "outlet_a", "device_a", "quick"),
    [
        ("IEC 60309", 63, 63, True),
        ("IEC 60309", 125, 63, True),
        ("IEC 60309", 125, 80, False),
        ("fixed connection", 32, 32, True),
        ("fixed connection", 63, 32, True),
        ("fixed connection", 63, 50, False),
    ],
)
def test_the_rated_current_of_the_circuit_decides_the_time(
    kind: str, outlet_a: float, device_a: float, quick: bool
) -> None:
    # IEC 60364-4-41:2005+A1:2017, 411.3.2.2: 0.4 s up to 63 A with outlets, 32 A fixed; else 5 s.
    changes = {
        "circuit[0].device": {"kind": "gG fuse", "rating_a": device_a, "breaking_capacity_ka": 50},
        "outlet": {"kind": kind, "rating_a": outlet_a, "poles": "3P+N+E"},
        "outlet.clock_position": 6,
    }
    finding = found("disconnection", "", SINGLE, changes)
    assert step_result(finding, "tmax") == (0.4 if quick else 5.0)


@pytest.mark.parametrize(("setting_a", "time_s"), [(32, 0.4), (40, 5.0)])
def test_the_setting_of_an_adjustable_device_is_the_rated_current_of_its_circuit(
    setting_a: float, time_s: float
) -> None:
    # IEC 60364-4-41:2005+A1:2017, 411.3.2.2: 0.4 s for fixed equipment up to 32 A.
    changes = {
        "circuit[0].device": {
            "kind": "IEC 60947-2 circuit-breaker",
            "rating_a": 63,
            "setting_a": setting_a,
            "magnetic_setting_a": 400,
            "breaking_capacity_ka": 10,
        },
        "outlet": {"kind": "fixed connection", "rating_a": 63, "poles": "3P+N+E"},
    }
    assert step_result(found("disconnection", "", SINGLE, changes), "tmax") == time_s


def test_it_systems_are_left_to_a_specialist() -> None:
    finding = found("disconnection", "", SINGLE, {"supply.earthing_system": "IT"})
    assert finding.outcome is Outcome.OPEN


@pytest.mark.parametrize(("rated_ma", "greatest_ohm"), [(30, 1667), (100, 500), (300, 167)])
def test_electrodes_of_tt_systems(rated_ma: float, greatest_ohm: float) -> None:
    # Instruction manual of a loop and earth tester, page 27: 50 V.
    changes = {"circuit[1].residual_current_device.residual_current_ma": rated_ma}
    finding = found("disconnection", "circuit 'Kiosk outlet'", "camp-site-kiosk", changes)
    assert finding.limit == pytest.approx(greatest_ohm, abs=0.5)


IN_SERIES: Changes = {
    "circuit[0].residual_current_device": {
        "present": True,
        "type": "B",
        "residual_current_ma": 300,
        "rating_a": 63,
    }
}


def test_of_residual_current_devices_in_series_the_most_sensitive_one_disconnects() -> None:
    # IEC 60364-4-41, 411.3.3 and 411.5.3: any one of them does; main 300 mA, last circuit 30 mA.
    presence = found("residual-current-presence", "", "bakery-yard", IN_SERIES)
    assert (presence.outcome, presence.value) == (Outcome.PASS, 30.0)
    last = found("disconnection", "circuit 'Kiosk outlet'", "camp-site-kiosk", IN_SERIES)
    assert last.limit == pytest.approx(50 / 0.03)
    main = found("disconnection", "circuit 'Main cable'", "camp-site-kiosk", IN_SERIES)
    assert main.limit == pytest.approx(50 / 0.3)


def test_a_device_before_the_last_circuit_covers_it_but_not_the_other_way_round() -> None:
    only_main = dict(IN_SERIES) | {"circuit[1].residual_current_device": {"present": False}}
    last = found("disconnection", "circuit 'Kiosk outlet'", "camp-site-kiosk", only_main)
    assert last.limit == pytest.approx(50 / 0.3)
    bare = {"circuit[0].double_insulated": False}
    main = found("disconnection", "circuit 'Main cable'", "camp-site-kiosk", bare)
    assert main.outcome is Outcome.FAIL


def test_tt_without_a_residual_current_device_fails() -> None:
    without = {"circuit[1].residual_current_device": {"present": False}}
    finding = found("disconnection", "circuit 'Kiosk outlet'", "camp-site-kiosk", without)
    assert finding.outcome is Outcome.FAIL


def test_a_main_cable_in_tt_needs_double_insulation_or_a_device() -> None:
    link = "circuit 'Main cable'"
    assert found("disconnection", link, "camp-site-kiosk").outcome is Outcome.NOT_APPLICABLE
    bare = {"circuit[0].double_insulated": False}
    assert found("disconnection", link, "camp-site-kiosk", bare).outcome is Outcome.FAIL
    unknown = {"circuit[0].double_insulated": GONE}
    finding = found("disconnection", link, "camp-site-kiosk", unknown)
    assert finding.outcome is Outcome.OPEN
    assert finding.facts == ("circuit[1].double_insulated",)
