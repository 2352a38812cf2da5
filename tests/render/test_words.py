"""The verdict in plain words, for each row of the verdict table."""

from __future__ import annotations

from dataclasses import replace

import pytest

from feasibility.assessment import Assessment
from feasibility.render import words
from feasibility.render.numbers import THIN_SPACE
from feasibility.result import Finding, Message, Outcome, Verdict
from tests.render import sites

T = THIN_SPACE


def failure(link: str, *, depends_on_current: bool, carries_a: float | None = None) -> Finding:
    return Finding(
        check="check",
        question="Is it enough?",
        outcome=Outcome.FAIL,
        reason=Message(template=f"{link} is too small."),
        link=link,
        carries_a=carries_a,
        depends_on_current=depends_on_current,
    )


def changed(**changes: object) -> Assessment:
    return replace(sites.shipped("bakery-yard"), **changes)  # type: ignore[arg-type]


def test_every_verdict_has_its_sentence() -> None:
    sentences = {
        words.verdict_sentence(changed(verdict=verdict, carryable_current_a=20.0))
        for verdict in Verdict
    }
    assert sentences == {
        "The supply carries the requested current as found.",
        f"The supply carries a reduced current of 20{T}A as found.",
        "The supply must be upgraded before the station is connected.",
        "It cannot be decided yet whether the supply carries the requested current.",
    }


def test_a_supply_that_carries_names_the_link_with_the_least_to_spare() -> None:
    reason = words.verdict_reason(sites.shipped("bakery-yard"))
    assert "Yard outlet: device" in reason
    assert "breached" in reason


def test_nothing_is_called_judged_of_which_the_facts_were_not_read() -> None:
    data = sites.example("bakery-yard")
    unread = words.verdict_reason(sites.assessment_of(data))
    assert "none is left unjudged" not in unread
    assert "what was not read, and so not judged" in unread
    data["board"][0]["rated_current_a"] = 80
    assert "none is left unjudged" in words.verdict_reason(sites.assessment_of(data))


def test_a_reduced_current_is_explained_by_the_finding_that_holds_it_down() -> None:
    assessment = sites.shipped("joinery-hall")
    reason = words.verdict_reason(assessment)
    assert "metering place" in reason
    assert f"exceeds its rating of 60{T}A" in reason


def test_an_upgrade_names_what_no_lower_current_mends() -> None:
    reason = words.verdict_reason(
        changed(
            verdict=Verdict.UPGRADE,
            findings=(
                failure("cable 1", depends_on_current=True),
                failure("cable 2", depends_on_current=False),
            ),
        )
    )
    assert "Is it enough?” (cable 2)" in reason
    assert "cable 1" not in reason


def test_an_upgrade_for_want_of_current_names_the_smallest_setting() -> None:
    one = failure("cable 1", depends_on_current=True, carries_a=2.0)
    reason = words.verdict_reason(changed(verdict=Verdict.UPGRADE, findings=(one,)))
    assert f"its smallest is 10{T}A" in reason
    settings = replace(sites.shipped("bakery-yard").settings, counts=False)
    reason = words.verdict_reason(
        changed(verdict=Verdict.UPGRADE, findings=(one,), settings=settings)
    )
    assert "no lower setting counts" in reason


def test_an_undecided_verdict_names_the_first_open_facts_and_counts_the_rest() -> None:
    assessment = sites.shipped("old-mill")
    reason = words.verdict_reason(assessment)
    for fact in assessment.open_facts[: words.NAMED_FACTS]:
        assert fact.label in reason
    rest = len(assessment.open_facts) - words.NAMED_FACTS
    assert f"and {rest} more facts" in reason
    assert f"{len(words.opened(assessment))} questions are" in reason


@pytest.mark.parametrize(
    ("changes", "part"),
    [
        ({"carryable_current_a": 20.0}, ""),
        (
            {
                "carryable_current_a": None,
                "findings": (failure("cable 1", depends_on_current=False),),
            },
            "a requirement is not met",
        ),
        (
            {
                "carryable_current_a": None,
                "findings": (replace(failure("a", depends_on_current=True), outcome=Outcome.OPEN),),
            },
            "not every link can be judged",
        ),
        ({"carryable_current_a": None, "findings": ()}, "nothing on the feed path limits"),
    ],
)
def test_why_no_carryable_current_is_stated(changes: dict[str, object], part: str) -> None:
    said = words.why_no_carryable_current(changed(**changes))
    assert part in said
    assert bool(said) == bool(part)


def test_failures_that_no_lower_current_mends_come_first() -> None:
    assessment = changed(
        findings=(
            failure("cable 1", depends_on_current=True),
            failure("cable 2", depends_on_current=False),
        )
    )
    assert [one.link for one in words.failed(assessment)] == ["cable 2", "cable 1"]


def test_outcomes_have_a_word_and_a_sign_each() -> None:
    assert len(set(words.OUTCOME_WORDS.values())) == len(Outcome)
    assert len(set(words.OUTCOME_SIGNS.values())) == len(Outcome)
