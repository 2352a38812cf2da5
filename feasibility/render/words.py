"""The words for outcomes and verdicts, in the plain language of the client."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from feasibility.render.numbers import CurrentsBeside, amount_text, message_text, with_unit
from feasibility.result import Finding, Outcome, Verdict

if TYPE_CHECKING:
    from feasibility.assessment import Assessment

OUTCOME_WORDS = {
    Outcome.PASS: "pass",
    Outcome.CAUTION: "caution",
    Outcome.FAIL: "fail",
    Outcome.OPEN: "open",
    Outcome.NOT_APPLICABLE: "not applicable",
}
OUTCOME_SIGNS = {
    Outcome.PASS: "✓",
    Outcome.CAUTION: "!",
    Outcome.FAIL: "✗",
    Outcome.OPEN: "?",
    Outcome.NOT_APPLICABLE: "–",
}
NAMED_FACTS = 3
"""How many unknown facts the verdict's reason names before it only counts the rest."""


def currents_beside(assessment: Assessment) -> CurrentsBeside:
    """Return the formatter of all carried and advised currents beside the requested one."""
    links = assessment.chain
    return CurrentsBeside(
        assessment.requested_current_a,
        (
            assessment.carryable_current_a,
            assessment.current_limit_only_a,
            assessment.advised_current_a,
            *(link.carries_a for link in links),
            *(link.advised_a for link in links),
        ),
    )


def verdict_sentence(assessment: Assessment) -> str:
    """Return the verdict as one sentence."""
    if assessment.verdict is Verdict.CARRIES:
        return "The supply carries the requested current as found."
    if assessment.verdict is Verdict.CARRIES_REDUCED:
        reduced = currents_beside(assessment).carried(assessment.carryable_current_a)
        return f"The supply carries a reduced current of {with_unit(reduced, 'A')} as found."
    if assessment.verdict is Verdict.UPGRADE:
        return "The supply must be upgraded before the station is connected."
    return "It cannot be decided yet whether the supply carries the requested current."


def verdict_reason(assessment: Assessment) -> str:
    """Return what the verdict rests on, in one or two sentences."""
    reasons = {
        Verdict.CARRIES: _why_it_carries,
        Verdict.CARRIES_REDUCED: _why_reduced,
        Verdict.UPGRADE: _why_upgrade,
        Verdict.UNDECIDED: _why_undecided,
    }
    return reasons[assessment.verdict](assessment)


def _why_it_carries(assessment: Assessment) -> str:
    text = "No requirement and no maker's limit is breached, and none is left unjudged."
    if any(one.outcome is Outcome.CAUTION and one.facts for one in assessment.findings):
        text = (
            "Of the requirements and makers' limits that were judged none is breached; what was "
            "not read, and so not judged, stands among the cautions."
        )
    if assessment.weakest_link:
        text += f" The link with the least to spare is: {assessment.weakest_link}."
    return text + _cautions(assessment)


def _why_reduced(assessment: Assessment) -> str:
    """Name the weakest link and the sentence of the finding that holds the current there."""
    holding = [one for one in failed(assessment) if one.link == assessment.weakest_link]
    least = min(holding, key=_carries_a, default=None)
    text = f"The link that holds the current there is: {assessment.weakest_link}."
    if least is not None:
        text += f" {message_text(least.reason)}"
    return text + _cautions(assessment)


def _why_upgrade(assessment: Assessment) -> str:
    if found := barring(assessment):
        text = "Not met, whatever the current is: "
        return text + _questions(found) + "."
    if not assessment.settings.counts:
        return (
            "The supply does not carry the requested current, and no lower setting counts: the "
            "station may draw its maximum."
        )
    smallest = amount_text(assessment.settings.smallest_a, "A")
    return (
        "No setting that the station offers is low enough for the supply as found; its smallest "
        f"is {smallest}."
    )


def _why_undecided(assessment: Assessment) -> str:
    names = [one.label for one in assessment.open_facts]
    count = len(opened(assessment))
    text = f"{_count(count, 'question is', 'questions are')} still open."
    if not names:
        return text
    rest = len(names) - NAMED_FACTS
    more = f" and {_count(rest, 'more fact', 'more facts')}" if rest > 0 else ""
    return f"{text} Not known well enough: {'; '.join(names[:NAMED_FACTS])}{more}."


def why_no_carryable_current(assessment: Assessment) -> str:
    """Return why no carryable current is stated; empty where one is."""
    if assessment.carryable_current_a is not None:
        return ""
    if barring(assessment):
        return "Not stated, because a requirement is not met that no lower current meets."
    if opened(assessment):
        return "Not stated, because not every link can be judged yet."
    return "Not stated, because nothing on the feed path limits the current."


def failed(assessment: Assessment) -> tuple[Finding, ...]:
    """Return the failed findings: first those that no lower current mends."""
    found = [one for one in assessment.findings if one.outcome is Outcome.FAIL]
    return tuple(sorted(found, key=lambda one: one.depends_on_current))


def barring(assessment: Assessment) -> tuple[Finding, ...]:
    """Return the failed findings that no lower current mends."""
    return tuple(one for one in failed(assessment) if not one.depends_on_current)


def opened(assessment: Assessment) -> tuple[Finding, ...]:
    """Return the open findings."""
    return tuple(one for one in assessment.findings if one.outcome is Outcome.OPEN)


def _carries_a(finding: Finding) -> float:
    return finding.carries_a if finding.carries_a is not None else float("inf")


def _questions(findings: Sequence[Finding]) -> str:
    """Return what was asked, each question with the links where the answer is no."""
    links: dict[str, list[str]] = {}
    for one in findings:
        links.setdefault(one.question.rstrip("?"), []).append(one.link)
    return "; ".join(
        f"\u201c{question}?\u201d ({', '.join(dict.fromkeys(names))})"
        for question, names in links.items()
    )


def _cautions(assessment: Assessment) -> str:
    count = len(assessment.cautions)
    if not count:
        return ""
    return f" {_count(count, 'caution goes', 'cautions go')} with it."


def _count(number: int, one: str, several: str) -> str:
    return f"{number} {one if number == 1 else several}"
