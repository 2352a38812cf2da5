"""The verdict table of the design, row by row and pair by pair, on bare findings."""

from __future__ import annotations

import math

import pytest

from feasibility.result import Finding, Force, Message, Outcome, Verdict
from feasibility.verdict import currents_of, verdict_from

SMALLEST_A = 6.0


def finding(
    outcome: Outcome,
    *,
    current: bool = False,
    carries_a: float | None = None,
    force: Force = Force.REQUIREMENT,
    check: str = "check",
    link: str = "link",
) -> Finding:
    return Finding(
        check=check,
        question="?",
        outcome=outcome,
        reason=Message(template=""),
        link=link,
        force=force,
        carries_a=carries_a,
        depends_on_current=current,
    )


PASS = finding(Outcome.PASS)
CAUTION = finding(Outcome.CAUTION, force=Force.PRACTICE)
NOT_APPLICABLE = finding(Outcome.NOT_APPLICABLE)
OPEN = finding(Outcome.OPEN)
OPEN_CURRENT = finding(Outcome.OPEN, current=True)
FAIL = finding(Outcome.FAIL)
FAIL_CURRENT = finding(Outcome.FAIL, current=True)


def verdict(
    *findings: Finding,
    requested_a: float | None = 20.0,
    carryable_a: float | None = 32.0,
    smallest_setting_a: float = SMALLEST_A,
    must: tuple[str, ...] = (),
) -> Verdict:
    return verdict_from(
        findings,
        requested_a=requested_a,
        carryable_a=carryable_a,
        smallest_setting_a=smallest_setting_a,
        must_be_judged=must,
    )


def test_row_1_a_failure_that_no_current_mends_is_an_upgrade() -> None:
    assert verdict(FAIL) is Verdict.UPGRADE


def test_row_2_an_open_question_is_undecided() -> None:
    assert verdict(OPEN) is Verdict.UNDECIDED
    assert verdict(OPEN_CURRENT) is Verdict.UNDECIDED


def test_row_2_an_unknown_requested_current_is_undecided() -> None:
    assert verdict(PASS, requested_a=None) is Verdict.UNDECIDED


@pytest.mark.parametrize("requested_a", [20.0, 31.9, 32.0])
def test_row_3_a_requested_current_up_to_the_carryable_one_is_carried(requested_a: float) -> None:
    assert verdict(PASS, requested_a=requested_a) is Verdict.CARRIES


def test_row_3_holds_where_nothing_limits_the_current() -> None:
    assert verdict(PASS, carryable_a=None) is Verdict.CARRIES


@pytest.mark.parametrize("carryable_a", [SMALLEST_A, 6.1, 19.9])
def test_row_4_from_the_smallest_setting_on_a_reduced_current_is_carried(
    carryable_a: float,
) -> None:
    assert verdict(FAIL_CURRENT, carryable_a=carryable_a) is Verdict.CARRIES_REDUCED


@pytest.mark.parametrize("carryable_a", [0.0, 3.0, 5.9])
def test_row_5_below_the_smallest_setting_it_is_an_upgrade(carryable_a: float) -> None:
    assert verdict(FAIL_CURRENT, carryable_a=carryable_a) is Verdict.UPGRADE


def test_row_5_a_failure_on_current_that_names_no_current_is_an_upgrade() -> None:
    assert verdict(FAIL_CURRENT, carryable_a=None) is Verdict.UPGRADE


def test_rows_3_and_4_by_currents_alone() -> None:
    # Without any finding that failed, the two currents alone keep "carries" away.
    assert verdict(PASS, requested_a=32.1) is Verdict.CARRIES_REDUCED
    assert verdict(PASS, requested_a=32.1, smallest_setting_a=33.0) is Verdict.UPGRADE


@pytest.mark.parametrize("order", [1, -1])
@pytest.mark.parametrize(
    ("findings", "expected"),
    [
        ((FAIL, OPEN), Verdict.UPGRADE),
        ((FAIL, OPEN_CURRENT), Verdict.UPGRADE),
        ((FAIL, PASS), Verdict.UPGRADE),
        ((FAIL, CAUTION), Verdict.UPGRADE),
        ((FAIL, FAIL_CURRENT), Verdict.UPGRADE),
        ((OPEN, PASS), Verdict.UNDECIDED),
        ((OPEN, CAUTION), Verdict.UNDECIDED),
        ((OPEN, FAIL_CURRENT), Verdict.UNDECIDED),
        ((OPEN_CURRENT, FAIL_CURRENT), Verdict.UNDECIDED),
        ((CAUTION, PASS), Verdict.CARRIES),
        ((NOT_APPLICABLE, PASS), Verdict.CARRIES),
    ],
)
def test_which_row_comes_first(
    findings: tuple[Finding, ...], expected: Verdict, order: int
) -> None:
    assert verdict(*findings[::order]) is expected


@pytest.mark.parametrize("carryable_a", [0.0, 6.0, 32.0, None])
@pytest.mark.parametrize("requested_a", [20.0, 40.0, None])
def test_fail_beats_open_whatever_the_currents(
    carryable_a: float | None, requested_a: float | None
) -> None:
    both = verdict(FAIL, OPEN, carryable_a=carryable_a, requested_a=requested_a)
    assert both is Verdict.UPGRADE


@pytest.mark.parametrize("carryable_a", [0.0, 6.0, 32.0, None])
def test_open_beats_both_kinds_of_carries(carryable_a: float | None) -> None:
    assert verdict(OPEN, carryable_a=carryable_a) is Verdict.UNDECIDED


def test_a_failed_current_never_carries_even_if_the_currents_say_so() -> None:
    assert verdict(FAIL_CURRENT, requested_a=20.0, carryable_a=32.0) is Verdict.CARRIES_REDUCED


def test_a_question_that_nobody_asked_is_undecided() -> None:
    asked = finding(Outcome.PASS, check="disconnection")
    both = ("disconnection", "breaking-capacity")
    assert verdict(asked, must=("disconnection",)) is Verdict.CARRIES
    assert verdict(asked, must=both) is Verdict.UNDECIDED
    assert verdict(must=both) is Verdict.UNDECIDED
    assert verdict(asked, FAIL, must=both) is Verdict.UPGRADE


@pytest.mark.parametrize("bad", ["requested_a", "carryable_a", "smallest_setting_a"])
def test_not_a_number_is_never_reduced_or_carried_by_a_comparison(bad: str) -> None:
    currents = {"requested_a": 40.0, "carryable_a": 32.0, "smallest_setting_a": 33.0}
    assert verdict(PASS, **(currents | {bad: math.nan})) is not Verdict.CARRIES  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "carryable_a",
    [
        32.0,
        math.nan,
        None,
    ],
)
def test_a_requested_current_that_is_not_a_number_is_never_carried(
    carryable_a: float | None,
) -> None:
    result = verdict(PASS, requested_a=math.nan, carryable_a=carryable_a)
    assert result is not Verdict.CARRIES


def test_binding_limits_set_the_carryable_current_and_all_limits_the_advised_one() -> None:
    limits = [
        finding(Outcome.PASS, current=True, carries_a=40.0, link="cable"),
        finding(
            Outcome.PASS, current=True, carries_a=32.0, link="device", force=Force.MAKERS_LIMIT
        ),
        finding(Outcome.CAUTION, current=True, carries_a=25.0, force=Force.RECOMMENDATION),
        finding(Outcome.PASS, current=True, carries_a=28.0, force=Force.PRACTICE),
        finding(Outcome.PASS, current=True, carries_a=20.0, force=Force.NUISANCE),
    ]
    currents = currents_of(limits)
    assert (currents.carryable_a, currents.weakest_link) == (32.0, "device")
    assert currents.advised_a == 20.0
    assert currents.complete


def test_a_link_that_carries_nothing_is_the_weakest() -> None:
    limits = [
        finding(Outcome.PASS, current=True, carries_a=40.0, link="cable"),
        finding(Outcome.FAIL, current=True, carries_a=0.0, link="meter"),
    ]
    currents = currents_of(limits)
    assert (currents.carryable_a, currents.weakest_link) == (0.0, "meter")


def test_no_limit_at_all_is_no_current() -> None:
    currents = currents_of([PASS])
    assert (currents.carryable_a, currents.advised_a, currents.weakest_link) == (None, None, "")


@pytest.mark.parametrize(
    ("one", "complete"),
    [
        (finding(Outcome.OPEN, current=True), False),
        (finding(Outcome.OPEN, current=True, carries_a=10.0), True),
        (finding(Outcome.OPEN, current=True, force=Force.PRACTICE), True),
        (finding(Outcome.OPEN), True),
    ],
)
def test_the_ampere_result_is_complete_only_if_every_binding_check_names_a_current(
    one: Finding, complete: bool
) -> None:
    assert currents_of([one]).complete is complete
