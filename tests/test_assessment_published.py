"""Published worked examples put as surveys, so far as they ask what the program answers."""

from __future__ import annotations

import pytest

from feasibility.result import Outcome, Verdict

from .checks.sites import (
    GONE,
    SINGLE,
    Changes,
    drawing,
    found,
    quick,
    step_result,
    third_harmonic,
)

CABLE = "Yard outlet: cable 1"

# -- Cable and breaker sizing sheet of a building project, feeder of the main distribution board ---
# 154 kW at 0.8, 400 V: 278 A; XLPE copper in air, grouping 0.8; breaker set to 400 A. Ratings of
# the sheet's own library: 240 mm2 483 A, 300 mm2 562 A.


def feeder(ampacity_a: float, section_mm2: float) -> Changes:
    return {
        **drawing(278),
        "circuit[0].device": {
            "kind": "IEC 60947-2 circuit-breaker",
            "rating_a": 630,
            "setting_a": 400,
            "magnetic_setting_a": 4000,
            "breaking_capacity_ka": 50,
        },
        "circuit[0].cable[0].ampacity_a": ampacity_a,
        "circuit[0].cable[0].section_mm2": section_mm2,
        "circuit[0].cable[0].insulation": "XLPE",
        "circuit[0].cable[0].ends_rated_c": 90,
        # Two circuits in one bunch: 0.80, IEC 60364-5-52, Table B.52.17.
        "circuit[0].cable[0].grouping": "bunched",
        "circuit[0].cable[0].grouped_circuits": 2,
    }


def test_240_mm2_carry_the_load_but_not_the_breaker() -> None:
    load = found("ampacity", CABLE, SINGLE, feeder(483, 240))
    assert load.outcome is Outcome.PASS
    breaker = found("overload-rating", CABLE, SINGLE, feeder(483, 240))
    assert breaker.outcome is Outcome.FAIL
    assert breaker.limit == pytest.approx(386, abs=0.5)


def test_300_mm2_carry_both() -> None:
    breaker = found("overload-rating", CABLE, SINGLE, feeder(562, 300))
    assert breaker.outcome is Outcome.PASS
    assert breaker.limit == pytest.approx(450, abs=1)


def test_a_fault_level_behind_an_ideal_source_is_not_accepted() -> None:
    # The sheet computes 75.33 kA behind 30 m of cable and no source at all. Without a surveyed
    # fault level the question stays open.
    none = {"supply.prospective_fault_current_ka": GONE}
    assert found("breaking-capacity", "service device", SINGLE, none).outcome is Outcome.OPEN


# -- 11-step procedure for a successful electrical circuit design (article), kiln -----------------
# 8.6 kW at 230 V: 37.4 A; the site already draws 97.3 A on a supply of 80 A; together 134.7 A.

KILN: Changes = {
    **drawing(37.4),
    "station.phases": "L1",
    "station.power_factor": 1,
    "supply.service_device.rating_a": 80,
    "supply.contracted_current_a": 80,
    "supply.metering_continuous_a": 80,
    "board[0].demand": {"maximum_l1_a": 97.3, "maximum_l2_a": 97.3, "maximum_l3_a": 97.3},
    "station.minimum_voltage_v": 150,
    "station.full_power_voltage_v": 200,
    "station.maximum_voltage_v": 265,
}


def test_a_supply_whose_own_demand_is_too_large_never_carries() -> None:
    result = quick("bakery-yard", KILN)
    assert result.verdict is Verdict.UPGRADE
    assert result.current_limit_only_a == 0.0
    service = found("device-rating", "service device", "bakery-yard", KILN)
    assert service.value == pytest.approx(134.7, abs=0.05)
    assert (service.outcome, service.carries_a) == (Outcome.FAIL, 0.0)


def test_the_base_case_is_too_much_without_the_kiln_already() -> None:
    # However little the station asks for, the 80 A links have nothing left.
    least = found("device-rating", "service device", "bakery-yard", KILN, drawing(0.1))
    assert (least.outcome, least.carries_a) == (Outcome.FAIL, 0.0)


# -- Loop impedances ------------------------------------------------------------------------------


def test_greatest_reading_behind_a_type_b_16_a_breaker() -> None:
    # Question-and-answer page: 2.875 ohm at 230 V and 5 x 16 A; 2/3 of it, 1.92 ohm, for a reading
    # (IEC 60364-6, Annex D, from memory). The program takes 400 V / sqrt(3) for 230 V.
    changes = {"circuit[0].device.rating_a": 16}
    limit = found("measured-loop", "", SINGLE, changes).limit
    assert limit == pytest.approx(1.92, abs=0.01)
    assert limit == pytest.approx(2.875 * 2 / 3, rel=5e-3)


def test_loop_of_an_electric_shower() -> None:
    # Trade forum: 30 m of 6/2.5 mm2, external loop 0.15 ohm, 1.2 times warm: 0.52 ohm, cut from
    # 0.528 (PVC at 70 °C is 1.1965 times warm).
    shower = {
        "supply.external_loop_impedance_ohm": 0.15,
        "circuit[0].cable[0].length_m": 30,
        "circuit[0].cable[0].protective_section_mm2": 2.5,
        "outlet": {"kind": "fixed connection", "rating_a": 32, "poles": "3P+N+E"},
        "cord": GONE,
    }
    finding = found("disconnection", "", SINGLE, shower)
    loop_ohm = step_result(finding, "Zs")
    assert int(100 * loop_ohm) / 100 == pytest.approx(0.52)
    assert loop_ohm == pytest.approx(0.528, abs=0.002)


# -- Tables of the standards, through the whole path ---------------------------------------------


@pytest.mark.parametrize(
    ("section_mm2", "insulation", "method", "printed_a"),
    [
        (6, "PVC", "C", 41),
        (10, "PVC", "C", 57),
        (16, "PVC", "C", 76),
        (6, "PVC", "B2", 34),
        (16, "PVC", "B2", 62),
        (25, "PVC", "C", 96),
    ],
)
def test_ampacities_of_three_loaded_conductors(
    section_mm2: float, insulation: str, method: str, printed_a: float
) -> None:
    # IEC 60364-5-52:2009, Table B.52.4, copper, 30 °C.
    changes = {
        "circuit[0].cable[0].section_mm2": section_mm2,
        "circuit[0].cable[0].insulation": insulation,
        "circuit[0].cable[0].method": method,
        "circuit[0].cable[0].grouping": "bunched",
    }
    assert found("ampacity", CABLE, SINGLE, changes).limit == pytest.approx(printed_a)


def test_two_loaded_conductors_of_a_single_phase_circuit() -> None:
    # IEC 60364-5-52:2009, Table B.52.2: 4 mm2 copper, PVC, method C, 36 A.
    finding = found("ampacity", "Kiosk outlet: cable 1", "camp-site-kiosk")
    assert finding.limit == pytest.approx(36)


@pytest.mark.parametrize(("circuits", "factor"), [(1, 0.80), (2, 0.70), (3, 0.65)])
def test_cables_in_parallel_count_each_in_their_group(circuits: int, factor: float) -> None:
    # Two cables of 16 mm2 beside the cables of other circuits, bunched: 2 x 76 A (Table B.52.4)
    # with the factor for two, three or four cables (Table B.52.17).
    changes = {
        "circuit[0].cable[0].in_parallel": 2,
        "circuit[0].cable[0].grouping": "bunched",
        "circuit[0].cable[0].grouped_circuits": circuits,
    }
    finding = found("ampacity", "Main cable: cable 1", "bakery-yard", changes)
    assert finding.limit == pytest.approx(2 * 76 * factor)


@pytest.mark.parametrize(
    ("third_percent", "factor"),
    [(15, 1.0), (20, 0.86), (33, 0.86), (40, 0.86 / 1.2), (50, 1 / 1.5), (60, 1 / 1.8)],
)
def test_third_harmonics_in_a_cable_that_feeds_the_station_alone(
    third_percent: float, factor: float
) -> None:
    # IEC 60364-5-52:2009, Table E.52.1: 0.86 by line to 33 %; by the neutral 3 h3 Ib above, 0.86 to
    # 45 %, then 1.0.
    changes = third_harmonic(third_percent)
    finding = found("ampacity", CABLE, SINGLE, changes)
    assert finding.limit == pytest.approx(41 * factor, rel=1e-3)
