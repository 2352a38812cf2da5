"""The advice in words: rows for the terminal and the report; nothing is computed here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from feasibility.advice import Advice, Need
from feasibility.assessment import Assessment
from feasibility.open_facts import Decides, FactWeight
from feasibility.remedies.record import OfferedPart, Remedy
from feasibility.render.numbers import (
    amount_text,
    carried_text,
    distinct_numbers,
    message_text,
    with_unit,
)
from feasibility.result import Verdict

_HYPOTHETICAL = (
    "Each change was made in the survey on trial and the changed site assessed afresh with the "
    "same checks; none of the remedies can do without one of its parts. What they change is "
    "hypothetical: nobody has seen it on site, and who plans it has to judge what stays as it is."
)

_DECIDES = {
    Decides.ALONE: "decides the verdict alone",
    Decides.TOGETHER: "decides the verdict only together with others",
    Decides.NOT: "does not matter for the verdict",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class PartRow:
    """One change of a remedy, and what it alone would give."""

    words: str
    alone: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RemedyRow:
    """A remedy: its parts, what the changed site carries, what the user's prices come to."""

    parts: tuple[PartRow, ...]
    result: str
    price: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FactRow:
    """A fact that is not known exactly: its place, what it does to current and verdict."""

    label: str
    fact: str
    current: str
    decides: str
    matters: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class AdviceView:
    """Everything of the advice that is printed; empty lists are left out."""

    need: str
    hypothetical: str
    remedies: tuple[RemedyRow, ...]
    reduced: tuple[RemedyRow, ...]
    without_remedy: tuple[str, ...]
    facts: tuple[FactRow, ...]


def advice_view(assessment: Assessment, advice: Advice) -> AdviceView:
    """Return the advice in words."""
    return AdviceView(
        need=need_in_words(assessment, advice),
        hypothetical=_HYPOTHETICAL,
        remedies=tuple(_remedy(one, advice.currency) for one in advice.remedies),
        reduced=tuple(_remedy(one, advice.currency) for one in advice.reduced),
        without_remedy=tuple(f"{one.check} ({one.link})" for one in advice.without_remedy),
        facts=tuple(_fact(one) for one in advice.facts),
    )


def need_in_words(assessment: Assessment, advice: Advice) -> str:
    """Say whether the feed has to be upgraded, which part of it and to what."""
    requested = amount_text(assessment.requested_current_a, "A")
    if advice.need is Need.NONE:
        return f"Nothing has to be upgraded for the requested {requested} per phase."
    if advice.need is Need.NOT_CERTAIN:
        return (
            "Whether the feed has to be upgraded is not certain yet; the facts below decide it, "
            "the weightiest first."
        )
    if advice.need is Need.NO_LISTED_REMEDY:
        enough = "none of the listed changes, up to three together, is enough"
        if advice.ended_early:
            enough = (
                "none of the listed changes that were tried is enough, and so much fails that not "
                "all of them were tried together"
            )
        return (
            f"The feed has to be upgraded for the requested {requested} per phase; {enough}. An "
            "electrician has to plan it."
        )
    first = advice.remedies[0]
    links = _listed(list(dict.fromkeys(one.part.link for one in first.parts)))
    done = " ".join(message_text(one.part.words) for one in first.parts)
    return (
        f"The feed has to be upgraded for the requested {requested} per phase at: {links}. "
        f"With the least disturbance: {done}"
    )


def _listed(names: Sequence[str]) -> str:
    return ", ".join(names[:-1]) + (" and " if len(names) > 1 else "") + names[-1]


def _remedy(remedy: Remedy, currency: str) -> RemedyRow:
    several = len(remedy.parts) > 1
    return RemedyRow(
        parts=tuple(_part(one, several=several) for one in remedy.parts),
        result=_result(remedy),
        price="" if remedy.price is None else f"{remedy.price:.2f} {currency}".strip(),
    )


def _part(offered: OfferedPart, *, several: bool) -> PartRow:
    alone = ""
    if several:
        alone = "what it alone lets through is not limited or not known"
        if offered.alone_a is not None:
            alone = f"alone it lets {carried_text(offered.alone_a)} through"
        if offered.alone_a == 0:
            alone = "alone it lets no setting of the station through"
    return PartRow(words=message_text(offered.part.words), alone=alone)


def _result(remedy: Remedy) -> str:
    asked, carried = distinct_numbers((remedy.requested_a, remedy.carries_a))
    if remedy.carries_a is None:
        words = f"The station then draws {with_unit(asked, 'A')} per phase; nothing limits it"
    else:
        words = (
            f"The station then draws {with_unit(asked, 'A')} per phase, and up to "
            f"{with_unit(carried, 'A')} are carried"
        )
    if remedy.verdict is Verdict.UNDECIDED:
        return f"{words}; undecided all the same until the open facts are known."
    return f"{words}."


def _fact(weight: FactWeight) -> FactRow:
    return FactRow(
        label=weight.label,
        fact=weight.fact,
        current=_current(weight),
        decides=_DECIDES[weight.decides],
        matters=weight.decides is not Decides.NOT or weight.effect_a > 0,
    )


def _current(weight: FactWeight) -> str:
    if weight.missing:
        waits = "a question on current waits for it"
        return waits if weight.holds_current else "no effect on the current"
    low, high = weight.lowest_a, weight.highest_a
    if low is None and high is None:
        return "no effect on the current"
    if high is None:
        return f"{carried_text(low)} or no limit"
    if low == high:
        return "no effect on the current"
    first, second = distinct_numbers((low, high))
    return f"{first} to {with_unit(second, 'A')}"
