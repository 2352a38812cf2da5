"""Exactly at a limit, and what the sentence says on each side of it.

IEC 60364-4-43, 434.5.1 asks for a breaking capacity "not less than" the prospective current, and
IEC 60364-4-41, 411.4.4 and 411.5.3 for products that do not exceed their limits: what equals its
limit meets it.
"""

from __future__ import annotations

from typing import Any

import pytest

from feasibility.result import Finding, Outcome, Quantity

from .cases_of_current import BREAKER, CABLE
from .cases_of_faults import CAPACITY, LOOP, YARD_R, YARD_X
from .cases_of_protection import BREAKER_BEFORE_IT, IN_TT, NO_READING, NO_RESIDUAL
from .sites import GONE, SINGLE, Changes, asked, found, merged, step_result

KNOWN_LEVELS: Changes = {"supply.external_line_neutral_loop_ohm": 0.28}
DEVICE = "circuit[0].device"
STATION_KA = "station.permitted_fault_current_ka"
SERVICE_KA = f"{DEVICE}.service_breaking_capacity_ka"
RESIDUAL_KA = "circuit[0].residual_current_device.conditional_fault_current_ka"
WEAK: Changes = {CAPACITY: 4.5, f"{DEVICE}.backed_up_by": "gG 63 A"}

RATED_IN_KA = [
    ("breaking-capacity", BREAKER, CAPACITY, {}, Outcome.OPEN),
    (
        "breaking-capacity",
        BREAKER,
        CAPACITY,
        BREAKER_BEFORE_IT,
        Outcome.FAIL,
    ),
    ("breaking-capacity", BREAKER, f"{DEVICE}.backed_up_to_ka", WEAK, Outcome.FAIL),
    ("service-breaking-capacity", BREAKER, SERVICE_KA, {}, Outcome.CAUTION),
    ("station-fault-level", "station", STATION_KA, {}, Outcome.FAIL),
    ("conditional-fault-current", "residual-current device", RESIDUAL_KA, {}, Outcome.FAIL),
]
IDS = [f"{check} by {field.rpartition('.')[2]}" for check, _, field, *_ in RATED_IN_KA]
ENOUGH = ("is within", "which is enough")
TOO_LITTLE = ("exceeds", "which is too little")


def says(finding: Finding, *words: str) -> bool:
    return any(word in finding.reason.template.rpartition(";")[2] for word in words)


@pytest.mark.parametrize(("check", "link", "field", "changes", "breach"), RATED_IN_KA, ids=IDS)
def test_a_rating_equal_to_the_fault_current_is_enough(
    check: str, link: str, field: str, changes: Changes, breach: Outcome
) -> None:
    basis = merged(KNOWN_LEVELS, changes)
    current_ka = found(check, link, SINGLE, basis, {field: 4.9}).value
    assert current_ka is not None
    assert 1 < current_ka < 10
    for rating_ka, outcome, words in (
        (current_ka, Outcome.PASS, ENOUGH),
        (1.01 * current_ka, Outcome.PASS, ENOUGH),
        (0.99 * current_ka, breach, TOO_LITTLE),
    ):
        finding = found(check, link, SINGLE, basis, {field: rating_ka})
        assert (finding.outcome, finding.limit) == (outcome, rating_ka)
        assert finding.value == pytest.approx(current_ka)
        assert finding.value == pytest.approx(step_result(finding, "Ik3max") / 1000, rel=1e-9)
        assert says(finding, *words)
        assert finding.reason.template.startswith("The largest fault current")
        shown = finding.reason.values["value"]
        assert isinstance(shown, Quantity)
        assert shown.value == pytest.approx(current_ka)
        assert shown.unit == "kA"


def test_a_device_that_is_just_strong_enough_needs_no_back_up_table() -> None:
    current_ka = found("breaking-capacity", BREAKER, SINGLE, KNOWN_LEVELS).value
    own = merged(WEAK, {CAPACITY: current_ka, f"{DEVICE}.backed_up_to_ka": 10.0})
    alone = found("breaking-capacity", BREAKER, SINGLE, KNOWN_LEVELS, own)
    assert (alone.outcome, alone.limit) == (Outcome.PASS, current_ka)


@pytest.mark.parametrize(
    ("check", "changes"),
    [
        ("station-fault-level", {STATION_KA: GONE}),
        ("electrode-stability", {}),
        ("measured-loop", NO_READING),
        ("measured-loop", merged(IN_TT, {"supply.electrode_resistance_ohm": 20})),
        ("loop-reading", NO_READING),
        ("loop-reading", merged(IN_TT, {"supply.electrode_resistance_ohm": 20})),
        ("fault-current-reading", {}),
        ("neutral-withstand", {}),
    ],
)
def test_a_question_that_does_not_concern_a_site_is_not_asked(check: str, changes: Changes) -> None:
    assert not asked(check, SINGLE, changes)


def test_a_back_up_table_names_the_device_before() -> None:
    weak = merged(WEAK, {f"{DEVICE}.backed_up_to_ka": 10.0})
    finding = found("breaking-capacity", BREAKER, SINGLE, weak)
    values = finding.reason.values
    own, bound = values["own"], values["bound"]
    assert isinstance(own, Quantity)
    assert isinstance(bound, Quantity)
    assert (own.value, bound.value, values["partner"]) == (4.5, 10.0, "gG 63 A")
    assert step_result(finding, "Ik") == finding.value


@pytest.mark.parametrize(
    ("before", "outcome"),
    [
        ({"kind": "gG fuse", "rating_a": 63, "breaking_capacity_ka": 50}, Outcome.OPEN),
        (BREAKER_BEFORE_IT["supply.service_device"], Outcome.FAIL),
    ],
)
def test_only_a_fuse_before_it_leaves_a_weak_breaker_open(
    before: dict[str, Any], outcome: Outcome
) -> None:
    # IEC 60364-4-43, 434.5.1: a lower capacity only with another device on the supply side.
    weak = {CAPACITY: 4.5, "supply.service_device": before}
    finding = found("breaking-capacity", BREAKER, SINGLE, weak)
    assert finding.outcome is outcome
    assert ("back-up pairing" in finding.reason.template) is (outcome is Outcome.OPEN)


def test_a_fuse_is_no_back_up_for_itself_nor_for_what_stands_before_it() -> None:
    fuse = {"kind": "gG fuse", "rating_a": 32, "breaking_capacity_ka": 4.5}
    own = merged(BREAKER_BEFORE_IT, {DEVICE: fuse})
    assert found("breaking-capacity", BREAKER, SINGLE, own).outcome is Outcome.FAIL
    weak = {"supply.service_device.breaking_capacity_ka": 4.5}
    before = merged(own, {CAPACITY: 50}, weak)
    assert found("breaking-capacity", "service device", SINGLE, before).outcome is Outcome.FAIL


def test_the_largest_current_at_a_device_is_to_earth_in_tn_where_that_is_larger() -> None:
    # A single-phase circuit: 0.1 ohm to earth beside 0.28 ohm to the neutral.
    kiosk = "Kiosk outlet: device"
    near = merged(
        KNOWN_LEVELS,
        {"supply.earthing_system": "TN-S", "supply.external_loop_impedance_ohm": 0.1},
    )
    to_earth = found("breaking-capacity", kiosk, "camp-site-kiosk", near)
    assert to_earth.reason.values["kind"] == "line-earth"
    for other in (
        {"supply.external_loop_impedance_ohm": 0.3},
        {"supply.external_loop_impedance_ohm": GONE},
        {"supply.earthing_system": "TT"},
    ):
        live = found("breaking-capacity", kiosk, "camp-site-kiosk", near, other)
        assert live.reason.values["kind"] == "line-neutral"
        assert (live.value or 0) < (to_earth.value or 0)


# -- Disconnection ---------------------------------------------------------------------------------


def test_a_loop_that_draws_just_what_trips_the_device_disconnects() -> None:
    # B32: 5 In = 160 A, 0.9 x 230.9 V / 160 A at most (see the cases).
    yard = "circuit 'Yard outlet'"
    basis = merged(NO_READING, NO_RESIDUAL)
    inside = step_result(found("disconnection", yard, SINGLE, basis), "Zs") - 0.28
    greatest = step_result(found("disconnection", yard, SINGLE, basis), "Zsmax")
    # Just enough, in spite of the last digit of a sum.
    at = {"supply.external_loop_impedance_ohm": greatest * (1 - 1e-12) - inside}
    assert found("disconnection", yard, SINGLE, basis, at).outcome is Outcome.PASS
    beyond = {"supply.external_loop_impedance_ohm": greatest * (1 + 1e-9) - inside}
    finding = found("disconnection", yard, SINGLE, basis, beyond)
    assert finding.outcome is Outcome.FAIL
    assert "no suitable residual-current device" in finding.reason.template


def test_a_current_equal_to_that_of_the_makers_curve_operates_the_device() -> None:
    yard = "circuit 'Yard outlet'"
    basis = merged(NO_READING, NO_RESIDUAL)
    current_a = found("disconnection", yard, SINGLE, basis).value
    assert current_a is not None
    for share, outcome in ((1.0, Outcome.PASS), (1.01, Outcome.FAIL)):
        curve = [{"current_a": share * current_a, "slowest_s": 0.03}]
        device = {"kind": "other", "description": "old circuit-breaker", "rating_a": 32}
        own = {DEVICE: device | {"curve_point": curve}}
        finding = found("disconnection", yard, SINGLE, basis, own)
        assert (finding.outcome, finding.value) == (outcome, current_a)


def test_the_largest_loop_named_is_that_of_hot_conductors() -> None:
    finding = found("disconnection", "circuit 'Yard outlet'", SINGLE, NO_READING)
    largest = finding.reason.values["largest"]
    assert isinstance(largest, Quantity)
    assert largest.value == step_result(finding, "Zsmax")
    assert "hot" in largest.meaning


def test_an_electrode_at_its_limit_passes_and_the_sentence_says_so() -> None:
    # 50 V / 0.03 A (IEC 60364-4-41, 411.5.3).
    yard = "circuit 'Yard outlet'"
    basis = merged(IN_TT, NO_READING)
    limit = found(
        "disconnection", yard, SINGLE, basis, {"supply.electrode_resistance_ohm": 9}
    ).limit
    assert limit is not None
    assert limit == pytest.approx(50 / 0.03)
    for ohm, outcome, words in (
        (limit, Outcome.PASS, "is within"),
        (1.01 * limit, Outcome.FAIL, "exceeds"),
    ):
        finding = found(
            "disconnection", yard, SINGLE, basis, {"supply.electrode_resistance_ohm": ohm}
        )
        assert finding.outcome is outcome
        assert words in finding.reason.template
    for ohm, outcome, words in (
        (200, Outcome.PASS, "does not exceed {bound}"),
        (202, Outcome.CAUTION, "may not stay stable"),
    ):
        changes = {"supply.electrode_resistance_ohm": ohm}
        stable = found("electrode-stability", "", SINGLE, basis, changes)
        assert stable.outcome is outcome
        assert words in stable.reason.template


@pytest.mark.parametrize(
    ("delay", "promised"),
    [({}, True), ({"delay": "S"}, True), ({"delay": "adjustable", "delay_s": 0.1}, False)],
)
def test_the_break_time_in_tt_is_stated_where_a_standard_promises_one(
    delay: Changes, promised: bool
) -> None:
    device = {f"circuit[0].residual_current_device.{key}": value for key, value in delay.items()}
    basis = merged(IN_TT, NO_READING, {"supply.electrode_resistance_ohm": 9})
    finding = found("disconnection", "circuit 'Yard outlet'", SINGLE, basis, device)
    assert finding.reason.template.startswith("TT: the earth electrode's {value}")
    assert ("; it breaks within {breaks}" in finding.reason.template) is promised
    assert ("breaks" in finding.reason.values) is promised
    assert ("tb" in [step.symbol for step in finding.working]) is promised


def test_a_reading_at_the_advised_limit_is_within_it() -> None:
    # The main board, where no cord is added: 2/3 x 230.9 / 320 ohm (IEC 60364-6, Annex D).
    field = "board[0].measured_loop_impedance_ohm"
    link = "circuit 'Main cable'"
    limit = found("measured-loop", link, "bakery-yard", {field: 0.3}).limit
    assert limit is not None
    for ohm, outcome, words in (
        (limit, Outcome.PASS, "is within"),
        (1.01 * limit, Outcome.CAUTION, "exceeds"),
    ):
        finding = found("measured-loop", link, "bakery-yard", {field: ohm, LOOP: 0.6})
        assert finding.outcome is outcome
        assert words in finding.reason.template
        assert "with the cord" not in finding.reason.template
    at_outlet = found("measured-loop", "outlet", "bakery-yard", {LOOP: 0.6})
    assert "with the cord" in at_outlet.reason.template


# -- Readings beside the calculation ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("loop_ohm", "outcome", "words", "symbol"),
    [
        (0.11, Outcome.CAUTION, "below what the calculation explains", "Zlo"),
        (0.4, Outcome.PASS, "explained by the calculation", "Zup"),
        (0.9, Outcome.CAUTION, "above what the calculation explains", "Zup"),
    ],
)
def test_a_reading_is_told_from_what_the_calculation_explains(
    loop_ohm: float, outcome: Outcome, words: str, symbol: str
) -> None:
    low = {LOOP: loop_ohm, "supply.external_loop_impedance_ohm": 0.1 if loop_ohm < 0.2 else 0.28}
    finding = found("loop-reading", "outlet", SINGLE, low)
    assert finding.outcome is outcome
    assert words in finding.reason.template
    assert finding.working[-1].symbol == symbol


def test_the_cold_loop_of_a_reading_is_that_of_the_cable_alone() -> None:
    # IEC 60228 and IEC 60364-5-52, Annex G, by hand; 30 % of IEC 61557-3 (from memory).
    finding = found("loop-reading", "outlet", SINGLE, {LOOP: 0.5})
    assert finding.limit == pytest.approx(1.3 * (0.28 + (YARD_R**2 + YARD_X**2) ** 0.5))
    assert finding.link.endswith("outlet")
    at_board = found(
        "loop-reading",
        "circuit 'Main cable'",
        "bakery-yard",
        {"board[0].measured_loop_impedance_ohm": 0.3},
    )
    # 14 m of 16 mm2: 1.15 ohm/km (IEC 60228).
    main = 2 * 0.014 * complex(1.15, 0.08)
    assert at_board.limit == pytest.approx(1.3 * (0.28 + abs(main)))


# -- Protective conductor --------------------------------------------------------------------------


def test_in_tt_the_electrode_alone_limits_the_largest_current() -> None:
    # IEC 60909-0:2016, Table 1: 1.10 with 10 % tolerance; 1.1 x 230.94 / 10 ohm = 25.4 A.
    changes = merged(
        IN_TT,
        NO_READING,
        {
            "circuit[0].cable[0].protective_section_mm2": 2.5,
            "supply.electrode_resistance_ohm": 10,
            "supply.tolerance_low_percent": 10,
        },
    )
    finding = found("protective-conductor", CABLE, SINGLE, changes)
    assert finding.outcome is Outcome.PASS
    assert step_result(finding, "Ik1max") == pytest.approx(1.1 * 400 / 3**0.5 / 10)
    # 30 mA is the smallest current that the residual-current device has to end.
    assert step_result(finding, "Ikmin") == pytest.approx(0.03)
