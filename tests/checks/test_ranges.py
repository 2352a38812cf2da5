"""What is not known: facts that stay open, ranges that do not matter, ranges that decide."""

from __future__ import annotations

import pytest

from feasibility.assessment import Assessment
from feasibility.result import Outcome, Verdict

from .sites import GONE, SINGLE, Changes, asked, drawing, found, outcomes, quick

BAKERY = "bakery-yard"

NEVER_FILLED = {
    "supply.earthing_system": "supply.earthing_system",
    "circuit[0].cable[0].section_mm2": "circuit[1].cable[1].section_mm2",
    "circuit[1].cable[0].section_mm2": "circuit[2].cable[1].section_mm2",
    "supply.service_device.kind": "supply.service_device.kind",
    "supply.service_device.rating_a": "supply.service_device.rating_a",
    "circuit[1].device.kind": "circuit[2].device.kind",
    "circuit[1].device.rating_a": "circuit[2].device.rating_a",
    "circuit[0].cable[0].protective_section_mm2": "circuit[1].cable[1].protective_section_mm2",
    "circuit[1].cable[0].protective_section_mm2": "circuit[2].cable[1].protective_section_mm2",
    "cord.protective_section_mm2": "cord.protective_section_mm2",
    "circuit[0].residual_current_device.present": "circuit[1].residual_current_device.present",
    "circuit[1].residual_current_device.present": "circuit[2].residual_current_device.present",
    "board[0].demand.maximum_l2_a": "board[1].demand.maximum_l2_a",
    "board[0].demand": "board[1].demand.maximum_a",
}
"""Survey field (counted from 0), and the fact that has to be named (counted from 1)."""


def named(result: Assessment) -> set[str]:
    return {one.fact for one in result.open_facts}


def assumed(result: Assessment) -> set[str]:
    return {one.fact for one in result.assumptions}


@pytest.mark.parametrize("field", NEVER_FILLED)
def test_what_is_never_filled_leaves_the_verdict_undecided(field: str) -> None:
    result = quick(BAKERY, {field: GONE})
    assert result.verdict is Verdict.UNDECIDED
    assert NEVER_FILLED[field] in named(result)
    assert NEVER_FILLED[field] not in assumed(result)


@pytest.mark.parametrize("field", [name for name in NEVER_FILLED if name != "board[0].demand"])
def test_the_word_unknown_says_the_same_as_silence(field: str) -> None:
    silent, unknown = quick(BAKERY, {field: GONE}), quick(BAKERY, {field: "unknown"})
    assert unknown.verdict is silent.verdict
    assert named(unknown) == named(silent)
    assert unknown.findings == silent.findings


def test_every_open_fact_names_the_checks_that_wait_for_it() -> None:
    result = quick(BAKERY, {"supply.earthing_system": GONE})
    (fact,) = [one for one in result.open_facts if one.fact == "supply.earthing_system"]
    waiting = {name.partition(" (")[0] for name in fact.checks}
    assert {"disconnection", "no-pen"} <= waiting
    assert waiting == outcomes(result, Outcome.OPEN)


@pytest.mark.parametrize(
    ("changes", "fact"),
    [
        (
            {"circuit[1].cable[0].ambient_c": {"low": 25, "high": 35}},
            "circuit[2].cable[1].ambient_c",
        ),
        ({"circuit[1].cable[0].length_m": {"low": 10, "high": 40}}, "circuit[2].cable[1].length_m"),
        (
            {"supply.prospective_fault_current_ka": {"low": 1, "high": 5.5}},
            "supply.prospective_fault_current_ka",
        ),
        ({"board[0].demand.maximum_l1_a": {"low": 0, "high": 30}}, "board[1].demand.maximum_l1_a"),
        ({"station.efficiency": "unknown"}, "station.efficiency"),
        ({"supply.tolerance_low_percent": GONE}, "supply.tolerance_low_percent"),
    ],
    ids=str,
)
def test_a_range_that_passes_at_both_ends_decides_nothing(changes: Changes, fact: str) -> None:
    result = quick(BAKERY, changes)
    assert result.verdict is Verdict.CARRIES
    assert fact in assumed(result)
    assert result.open_facts == ()
    assert outcomes(result, Outcome.OPEN) == set()


FLIPPING: dict[str, tuple[Changes, str, str]] = {
    "ampacity and overload": (
        {"circuit[1].cable[0].ambient_c": {"low": 30, "high": 60}},
        "circuit[2].cable[1].ambient_c",
        "ampacity",
    ),
    "overload alone": (
        {"circuit[1].cable[0].ambient_c": {"low": 30, "high": 50}},
        "circuit[2].cable[1].ambient_c",
        "overload-rating",
    ),
    "grouping": (
        {"circuit[1].cable[0].grouped_circuits": {"low": 1, "high": 9}},
        "circuit[2].cable[1].grouped_circuits",
        "overload-rating",
    ),
    "disconnection": (
        {
            "supply.external_loop_impedance_ohm": {"low": 0.28, "high": 1.5},
            "outlet.measured_loop_impedance_ohm": GONE,
            "circuit[0].residual_current_device.present": False,
        },
        "supply.external_loop_impedance_ohm",
        "disconnection",
    ),
    "demand": (
        {"board[0].demand.maximum_l1_a": {"low": 10, "high": 60}},
        "board[1].demand.maximum_l1_a",
        "device-rating",
    ),
    "breaking capacity": (
        {
            "supply.prospective_fault_current_ka": {"low": 5, "high": 60},
        },
        "supply.prospective_fault_current_ka",
        "breaking-capacity",
    ),
    "residual-current type": (
        {
            "circuit[1].residual_current_device.type": "A",
            "station.direct_current_detection": "unknown",
        },
        "station.direct_current_detection",
        "residual-current-type",
    ),
    "least voltage": (
        {
            "station.minimum_voltage_v": {"low": 300, "high": 358},
            "station.full_power_voltage_v": 359,
        },
        "station.minimum_voltage_v",
        "minimum-voltage",
    ),
}


@pytest.mark.parametrize("label", FLIPPING)
def test_a_range_within_which_the_answer_flips_is_undecided_and_named(label: str) -> None:
    changes, fact, check = FLIPPING[label]
    result = quick(BAKERY, changes)
    assert result.verdict is Verdict.UNDECIDED
    assert fact in named(result)
    assert check in outcomes(result, Outcome.OPEN)


@pytest.mark.parametrize(
    "changes",
    [
        {"circuit[1].cable[0].ambient_c": {"low": 50, "high": 60}},
        {"board[0].demand.maximum_l1_a": {"low": 62.9, "high": 80}},
        {"circuit[1].residual_current_device.type": "AC", "station.efficiency": "unknown"},
    ],
    ids=str,
)
def test_a_range_that_fails_at_both_ends_is_decided(changes: Changes) -> None:
    result = quick(BAKERY, changes)
    assert result.verdict is Verdict.UPGRADE
    assert result.carryable_current_a in (None, 0.0)


NO_RESIDUAL = {
    "circuit[0].residual_current_device": {"present": False},
    "outlet.measured_loop_impedance_ohm": GONE,
    "circuit[0].device.characteristic": "unknown",
}


def test_an_unknown_characteristic_counts_as_d_for_disconnection() -> None:
    # IEC 60898-1, Table 7: B to 5 In, D to 20 In.
    finding = found("disconnection", "", SINGLE, NO_RESIDUAL)
    assert finding.limit == pytest.approx(20 * 32)
    assert finding.outcome is Outcome.OPEN
    assert finding.facts == ("circuit[1].device.characteristic",)
    close = {"circuit[0].cable[0].length_m": 1, "cord.length_m": 1}
    near = found(
        "disconnection", "", SINGLE, NO_RESIDUAL, close, {"supply.external_loop_impedance_ohm": 0.2}
    )
    assert near.outcome is Outcome.PASS


def test_the_high_end_of_the_fault_level_counts_for_breaking_and_the_long_loop_for_tripping() -> (
    None
):
    level = {"supply.prospective_fault_current_ka": {"low": 3, "high": 5}}
    breaking = found("breaking-capacity", "service device", BAKERY, level)
    assert breaking.value == pytest.approx(5.0, rel=1e-9)
    station = found("station-fault-level", "", BAKERY, level)
    high = {"supply.prospective_fault_current_ka": 5}
    assert station.value == pytest.approx(found("station-fault-level", "", BAKERY, high).value)
    length = {"circuit[0].cable[0].length_m": {"low": 10, "high": 40}}
    without = {"circuit[0].residual_current_device": {"present": False}}
    tripping = found("disconnection", "", SINGLE, length, without)
    long = found("disconnection", "", SINGLE, {"circuit[0].cable[0].length_m": 40}, without)
    assert tripping.value == pytest.approx(long.value)
    short = {"circuit[0].cable[0].length_m": 10}
    assert found("station-fault-level", "", SINGLE, length).value == pytest.approx(
        found("station-fault-level", "", SINGLE, short).value
    )


def test_an_unknown_breaking_capacity_takes_the_smallest_of_its_standard() -> None:
    # IEC 60898-1, 5.3.4: from 1.5 kA; gG fuses IEC 60269-1: at least 25 kA, from memory.
    unknown = {"circuit[1].device.breaking_capacity_ka": GONE}
    finding = found("breaking-capacity", "Yard outlet: device", BAKERY, unknown)
    assert finding.limit == pytest.approx(1.5)
    fuse = {"supply.service_device.breaking_capacity_ka": GONE}
    assert found("breaking-capacity", "service device", BAKERY, fuse).limit == pytest.approx(25)
    adjustable = {
        "circuit[1].device": {
            "kind": "IEC 60947-2 circuit-breaker",
            "rating_a": 32,
            "setting_a": 32,
            "magnetic_setting_a": 160,
        }
    }
    open_one = found("breaking-capacity", "Yard outlet: device", BAKERY, adjustable)
    assert open_one.outcome is Outcome.OPEN


def test_unknown_laying_takes_the_worst_of_the_usual_methods() -> None:
    # IEC 60364-5-52, Table B.52.4, 6 mm2 PVC copper: A2 29 A, the least of A1 to C; in air.
    unknown = {"circuit[0].cable[0].method": "unknown"}
    finding = found("ampacity", "Yard outlet: cable 1", SINGLE, drawing(10), unknown)
    assert finding.limit == pytest.approx(29.0)
    (judged,) = [
        one
        for one in asked("ampacity", SINGLE, drawing(10), unknown)
        if one.unfavourable.link.endswith("cable 1")
    ]
    # Table B.52.10: method E, 43 A, is the best that it may be.
    assert judged.favourable.limit == pytest.approx(43.0)


@pytest.mark.parametrize(
    "changes",
    [
        {"circuit[1].cable[0].ambient_c": {"low": 30, "high": 75}},
        {"circuit[1].cable[0].ambient_c": 75},
        {"cord.ambient_c": {"low": 30, "high": 75}},
        {"cord.layers_on_drum": {"low": 0, "high": 9}},
        {"circuit[1].cable[0].grouping": "bunched", "circuit[1].cable[0].grouped_circuits": 40},
        {"circuit[1].cable[0].section_mm2": 7},
        {
            "circuit[0].cable[0].method": "D1",
            "circuit[0].cable[0].grouping": GONE,
            "circuit[0].cable[0].ambient_c": 20,
            "circuit[0].cable[0].soil_resistivity_k_m_per_w": {"low": 1, "high": 6},
        },
    ],
    ids=str,
)
def test_what_the_tables_do_not_hold_never_carries(changes: Changes) -> None:
    assert quick(BAKERY, changes).verdict is Verdict.UNDECIDED


def test_all_unfavourable_ends_count_at_once() -> None:
    # Either doubt alone leaves the 63 A service enough, both together do not.
    demand = {"board[0].demand.maximum_l1_a": {"low": 20, "high": 33.6}}
    factor = {"board[0].demand.power_factor": {"low": 0.9, "high": 1.0}}

    def service(*changes: Changes) -> Outcome:
        return found("device-rating", "service device", BAKERY, drawing(29.6), *changes).outcome

    assert service(demand) is Outcome.PASS
    assert service(factor) is Outcome.PASS
    assert service(demand, factor) is Outcome.OPEN
