"""The text for the terminal, over all shipped sites and over currents that lie close together."""

from __future__ import annotations

import re
import tomllib
from dataclasses import replace
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from feasibility.assessment import Assessment, assess
from feasibility.chain import ChainLink
from feasibility.examples import example_names, example_text
from feasibility.render.numbers import message_text
from feasibility.render.plain_lines import for_terminal
from feasibility.render.text import to_text, verdict_in_words
from feasibility.result import Outcome, Verdict
from feasibility.survey.model import Survey

from ..demand_log.logs import logs_of

COLUMNS = 80
BAR = slice(39, 63)
"""Where the bars stand in a row of the chain: two blanks, 36 columns of name, a blank."""


@cache
def assessment_of(name: str) -> Assessment:
    survey = Survey.model_validate(tomllib.loads(example_text(name)))
    return assess(survey, sha256="0" * 64, demand_logs=logs_of(survey))


def joined(text: str) -> str:
    """Return a text without its line breaks and indentation."""
    return re.sub(r"\s+", " ", text)


@pytest.mark.parametrize("name", example_names())
def test_no_line_is_longer_than_a_terminal_is_wide(name: str) -> None:
    lines = to_text(assessment_of(name)).split("\n")
    assert max(len(line) for line in lines) <= COLUMNS
    assert all(line == line.rstrip() for line in lines)


@pytest.mark.parametrize("name", example_names())
def test_the_verdict_stands_first_and_the_deferral_last(name: str) -> None:
    assessment = assessment_of(name)
    text = to_text(assessment)
    headlines = {
        Verdict.CARRIES: "CARRIES THE REQUESTED CURRENT",
        Verdict.CARRIES_REDUCED: "CARRIES A REDUCED CURRENT",
        Verdict.UPGRADE: "UPGRADE NEEDED",
        Verdict.UNDECIDED: "UNDECIDED",
    }
    first = text.split("\n", 1)[0]
    assert first == headlines[assessment.verdict]
    words = joined(for_terminal(verdict_in_words(assessment)))
    assert joined(text).startswith(f"{first} {words}")
    last = joined(text.split("\n\n")[-1])
    assert "local code" in last
    assert "licensed electrician" in last


@pytest.mark.parametrize("name", example_names())
def test_everything_that_was_found_is_told(name: str) -> None:
    assessment = assessment_of(name)
    text = joined(to_text(assessment))
    told = [joined(for_terminal(message_text(one.reason))) for one in assessment.findings]
    told += [one.label for one in assessment.open_facts]
    told += [one.label for one in assessment.assumptions]
    told += [one.question for one in assessment.findings]
    told += [joined(for_terminal(message_text(one))) for one in assessment.cautions]
    told += list(assessment.not_checked)
    assert told
    assert not [one for one in told if one not in text]


@pytest.mark.parametrize("name", example_names())
def test_what_fails_and_what_is_open_comes_before_the_findings(name: str) -> None:
    assessment = assessment_of(name)
    to_do = joined(to_text(assessment).split("WHAT TO DO\n")[1].split("\n\nFINDINGS\n")[0])
    failed = [one for one in assessment.findings if one.outcome is Outcome.FAIL]
    for one in failed:
        assert f"{one.link}: {joined(for_terminal(message_text(one.reason)))}" in to_do
    for fact in assessment.open_facts:
        assert f"Find out: {fact.label}." in to_do
    nothing = "Nothing that fails and nothing that is open."
    assert (nothing in to_do) == (not failed and not assessment.open_facts)


@pytest.mark.parametrize("name", example_names())
def test_it_never_says_that_anything_is_safe(name: str) -> None:
    assessment = assessment_of(name)
    assert not re.search("safe", to_text(assessment) + verdict_in_words(assessment), re.IGNORECASE)


def test_the_shipped_sites_show_every_verdict() -> None:
    assert {assessment_of(name).verdict for name in example_names()} == set(Verdict)


def with_chain(requested_a: float | None, *links: ChainLink) -> Assessment:
    return replace(
        assessment_of("bakery-yard"),
        requested_current_a=requested_a,
        carryable_current_a=requested_a,
        current_limit_only_a=requested_a,
        advised_current_a=requested_a,
        chain=links,
    )


def link_with(
    carries_a: float | None, advised_a: float | None = None, outcome: Outcome = Outcome.PASS
) -> ChainLink:
    return ChainLink(
        name="plug",
        kind="plug",
        carries_a=carries_a,
        advised_a=carries_a if advised_a is None else advised_a,
        outcome=outcome,
    )


def row_of(assessment: Assessment) -> str:
    (row,) = re.findall("^  plug .*$", to_text(assessment), re.MULTILINE)
    return str(row).ljust(COLUMNS)


@given(st.floats(0.001, 200), st.floats(0.1, 200))
def test_a_bar_reaches_the_mark_exactly_if_the_link_lets_the_current_through(
    carries_a: float, requested_a: float
) -> None:
    bar = row_of(with_chain(requested_a, link_with(carries_a)))[BAR]
    before, mark, after = bar.partition("|")
    assert mark
    if carries_a >= requested_a:
        assert before == "#" * len(before)
        assert len(before) > 15
    else:
        assert before.endswith(" ")
        assert not after.strip()


def test_what_is_carried_beyond_the_advice_looks_different() -> None:
    bar = row_of(with_chain(20.0, link_with(24.0, 10.0)))[BAR]
    assert bar == "#########++++++++++|+++ "
    assert row_of(with_chain(20.0, link_with(400.0, 10.0)))[BAR].endswith("+>")


def test_a_link_that_is_not_known_has_no_bar() -> None:
    row = row_of(with_chain(20.0, link_with(None, outcome=Outcome.OPEN)))
    assert row[BAR] == "?" + " " * 18 + "|" + " " * 4
    assert row[BAR.stop :].split() == ["?", "open"]
    row = row_of(with_chain(20.0, link_with(float("nan"))))
    assert row[BAR].startswith("? ")
    assert row[BAR.stop :].split() == ["?", "pass"]


def test_a_link_that_does_not_limit_is_told_from_one_that_is_not_known() -> None:
    row = row_of(with_chain(20.0, link_with(None)))
    assert row[BAR] == "#" * 19 + "|" + "###>"
    assert row[BAR.stop :].split() == ["no", "limit", "pass"]


def test_without_any_current_there_are_no_bars_and_no_mark() -> None:
    assert not row_of(with_chain(None, link_with(20.0)))[BAR].strip()
    assert not row_of(with_chain(0.0, link_with(20.0)))[BAR].strip()


def test_a_link_with_a_long_name_keeps_name_and_bar() -> None:
    name = "Feeder along the back of the hall to the workshop: protective device"
    text = to_text(with_chain(20.0, replace(link_with(24.0), name=name)))
    assert f"\n  {name}\n{' ' * 39}###################|###      24 A pass\n" in text


def judged(verdict: Verdict, requested_a: float, carryable_a: float | None) -> Assessment:
    return replace(
        with_chain(requested_a),
        verdict=verdict,
        carryable_current_a=carryable_a,
        current_limit_only_a=carryable_a,
        advised_current_a=carryable_a,
        weakest_link="plug",
    )


def words_of(assessment: Assessment) -> str:
    return for_terminal(verdict_in_words(assessment))


def test_a_small_excess_over_the_carryable_current_is_not_rounded_away() -> None:
    reduced = judged(Verdict.CARRIES_REDUCED, 32.004, 32.0)
    assert "32 A per phase continuously instead of 32.004 A" in words_of(reduced)
    assert "\nRequested      32.004 A per phase\nCarryable      32 A per phase" in to_text(reduced)


def test_the_requested_current_and_all_of_it_carried_read_alike() -> None:
    text = to_text(judged(Verdict.CARRIES, 21.7391304, 21.7391304))
    assert "Requested      21.7 A per phase\nCarryable      21.7 A per phase" in text
    assert "Advised        21.7 A per phase" in text


def test_a_failure_whatever_the_current_is_named_in_the_short_sentence() -> None:
    failed = replace(
        assessment_of("bakery-yard").findings[-1], outcome=Outcome.FAIL, depends_on_current=False
    )
    assessment = replace(judged(Verdict.UPGRADE, 20.0, None), findings=(failed,))
    named = f"{failed.check} ({failed.link})"
    assert words_of(assessment) == f"Upgrade needed, whatever the current: {named}."
    assert words_of(replace(assessment, findings=(failed,) * 5)).endswith("; and 2 more.")


def test_too_small_for_every_setting_is_said_with_the_weakest_link() -> None:
    assessment = judged(Verdict.UPGRADE, 20.0, 0.0)
    assert words_of(assessment) == (
        "Upgrade needed: the supply does not carry even the smallest setting, 10 A per phase; "
        "weakest link: plug."
    )
    assert "Carryable      0 A per phase: none of the settings" in to_text(assessment)


def test_that_no_setting_counts_is_said_with_the_requested_current() -> None:
    assessment = judged(Verdict.UPGRADE, 20.0, 16.0)
    uncertain = replace(assessment, settings=replace(assessment.settings, counts=False))
    assert words_of(uncertain) == (
        "Upgrade needed: the supply does not carry the requested 20 A per phase, and no lower "
        "setting counts; weakest link: plug."
    )
    assert "none is certain to hold, so the station may draw its maximum" in joined(
        to_text(uncertain)
    )
    assert "certain to hold" not in to_text(assessment)


def test_undecided_names_what_is_open_whatever_it_is() -> None:
    assessment = judged(Verdict.UNDECIDED, 20.0, None)
    assert words_of(assessment) == "Undecided: a question that has to be judged was not asked."
    unjudged = replace(assessment.findings[0], outcome=Outcome.OPEN)
    assert words_of(replace(assessment, findings=(unjudged,))) == (
        f"Undecided; could not be judged: {unjudged.check} ({unjudged.link})."
    )


def test_assumed_settings_are_said() -> None:
    assessment = assessment_of("bakery-yard")
    listed = "Settings       10, 13, 16, 20, 24, 25, 28, 32 A per phase, tolerance 2 %"
    assert listed in to_text(assessment)
    whole = replace(assessment, settings=replace(assessment.settings, offered_a=()))
    said = "Settings       not listed; whole amperes from 6 A are assumed, tolerance 2 %"
    assert said in to_text(whole)
