"""Which unknown facts matter most: each on trial by itself, ordered by effect on the current."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from feasibility.answer import Answer, answer_of
from feasibility.checks.run import Judged, Judgement, settle
from feasibility.installation.facts import Fact
from feasibility.result import Finding, Outcome, Verdict

_SAME_SHARE = 1e-3
"""A figure that moves by less than this share of its limit does not count as moved (own rule)."""

_SAME_A = 0.01
"""A current that moves by less does not count as moved (own rule: no setting is finer)."""


class Decides(StrEnum):
    """What a fact does to the verdict."""

    ALONE = "alone"
    TOGETHER = "together"
    NOT = "not"


@dataclass(frozen=True, slots=True, kw_only=True)
class FactWeight:
    """A fact that is not known exactly, and what knowing it would do.

    ``lowest_a`` and ``highest_a``: what current alone lets through, per phase, at the options of a
    range, all other ranges at their unfavourable ends; None where nothing limits it or, for a fact
    that is ``missing``, where no range stands for it. ``holds_current`` says that a question on
    current waits for it. ``decides``: alone if the verdict is certain once this fact alone is
    known to be one of its options (or, if missing, if no question waits for anything else).
    """

    fact: str
    label: str
    missing: bool
    holds_current: bool
    lowest_a: float | None
    highest_a: float | None
    decides: Decides

    @property
    def effect_a(self) -> float:
        """By how much the current moves, in A; infinite where nothing limits it at one end."""
        if self.missing:
            return math.inf if self.holds_current else 0.0
        if self.highest_a is None:
            return 0.0 if self.lowest_a is None else math.inf
        return self.highest_a - (self.lowest_a or 0.0)


def weighed_facts(judgement: Judgement, answer: Answer) -> tuple[FactWeight, ...]:
    """Return every range that entered a finding and every missing fact, the weightiest first.

    Ordered by effect on the current, then by what decides. Only questions that can decide count.
    """
    binding = [one for one in judgement.judged if _binds(one)]
    counted = Judgement(
        judged=tuple(binding),
        open_facts=judgement.open_facts,
        unfavourable=judgement.unfavourable,
        favourable=judgement.favourable,
    )
    ranged = {fact.path: fact for one in binding for fact in one.facts if fact.is_ranged}
    weights = [_range_weight(fact, counted, answer) for fact in ranged.values()]
    weights += _missing_weights(answer, judgement, ranged)
    return tuple(sorted(weights, key=_order))


def _order(weight: FactWeight) -> tuple[float, int, str]:
    return (-weight.effect_a, list(Decides).index(weight.decides), weight.fact)


def _binds(one: Judged) -> bool:
    return one.unfavourable.force.binds or one.favourable.force.binds


def _missing_weights(
    answer: Answer, judgement: Judgement, ranged: dict[str, Fact[Any]]
) -> Iterable[FactWeight]:
    waiting = [one for one in answer.findings if one.outcome is Outcome.OPEN]
    named = dict.fromkeys(path for one in waiting for path in one.facts if path not in ranged)
    for path in named:
        fact = judgement.open_facts.get(path)
        alone = all(set(one.facts) == {path} for one in waiting)
        yield FactWeight(
            fact=path,
            label=path if fact is None else fact.label,
            missing=True,
            holds_current=any(one.depends_on_current and path in one.facts for one in waiting),
            lowest_a=None,
            highest_a=None,
            decides=_missing_decides(answer, alone=alone),
        )


def _missing_decides(answer: Answer, *, alone: bool) -> Decides:
    if answer.verdict is not Verdict.UNDECIDED:
        return Decides.NOT
    return Decides.ALONE if alone else Decides.TOGETHER


def _range_weight(fact: Fact[Any], judgement: Judgement, answer: Answer) -> FactWeight:
    undecided = answer.verdict is Verdict.UNDECIDED

    def again(one: Judged) -> bool:
        # What passes with all ranges unfavourable passes with any option of one of them.
        if one.check.depends_on_current:
            return True
        return undecided and one.unfavourable.outcome is not Outcome.PASS

    trials = [settle(judgement, fact, option, again=again) for option in fact.options]
    answers = [answer_of(trial) for trial in trials]
    limits_a = [_limit_a(one) for one in answers]
    return FactWeight(
        fact=fact.path,
        label=fact.label,
        missing=False,
        holds_current=any(
            one.check.depends_on_current and _enters(fact, one) for one in judgement.judged
        ),
        lowest_a=_finite(min(limits_a)),
        highest_a=_finite(max(limits_a)),
        decides=_decides(trials, answers, answer),
    )


def _limit_a(answer: Answer) -> float:
    carryable_a = answer.limits.carryable_a
    return math.inf if carryable_a is None else carryable_a


def _finite(current_a: float) -> float | None:
    return current_a if math.isfinite(current_a) else None


def _enters(fact: Fact[Any], one: Judged) -> bool:
    return any(entered.path == fact.path for entered in one.facts)


def _decides(trials: Sequence[Judgement], answers: Sequence[Answer], answer: Answer) -> Decides:
    if answer.verdict is not Verdict.UNDECIDED:
        return Decides.NOT
    if any(one.verdict in (Verdict.CARRIES, Verdict.CARRIES_REDUCED) for one in answers):
        return Decides.ALONE
    undecided = {(f.check, f.link) for f in answer.findings if f.outcome is Outcome.OPEN}
    first = _picture(trials[0], undecided)
    moved = any(_moved(first, _picture(trial, undecided)) for trial in trials[1:])
    return Decides.TOGETHER if moved else Decides.NOT


def _picture(trial: Judgement, undecided: set[tuple[str, str]]) -> list[Finding]:
    """Return what is found at both ends where the answer is not certain."""
    return [
        finding
        for one in trial.judged
        for finding in (one.unfavourable, one.favourable)
        if (finding.check, finding.link) in undecided
    ]


def _moved(first: Sequence[Finding], second: Sequence[Finding]) -> bool:
    return any(_differs(one, other) for one, other in zip(first, second, strict=True))


def _differs(one: Finding, other: Finding) -> bool:
    if one.outcome is not other.outcome:
        return True
    if abs((one.carries_a or 0.0) - (other.carries_a or 0.0)) > _SAME_A:
        return True
    return abs((one.utilisation or 0.0) - (other.utilisation or 0.0)) > _SAME_SHARE
