"""Run the catalogue twice, with all ranges unfavourable and with all favourable, and merge."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from feasibility.checks.question import Check, Run
from feasibility.curves.bands import ContradictoryBandError
from feasibility.installation.facts import Fact, NotKnown
from feasibility.installation.model import Installation, Link
from feasibility.result import Finding, Message, Outcome
from feasibility.tables import NotTabulated
from feasibility.units import OutOfRange


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One check of one link at both ends of the ranges that entered it."""

    check: Check
    link: Link
    unfavourable: Finding
    favourable: Finding
    facts: tuple[Fact[Any], ...]

    @property
    def flips(self) -> bool:
        """Whether the ranges decide the answer: it fails at one end and not at the other."""
        return (
            self.unfavourable.outcome is Outcome.FAIL
            and self.favourable.outcome is not Outcome.FAIL
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """Everything the catalogue found, with both runs for whoever needs their figures."""

    judged: tuple[Judged, ...]
    open_facts: dict[str, Fact[Any]]
    unfavourable: Run
    favourable: Run

    @property
    def assumed_facts(self) -> dict[str, Fact[Any]]:
        """Every fact that entered a finding and is a range or was filled in."""
        return {fact.path: fact for one in self.judged for fact in one.facts}


def run_catalogue(installation: Installation, catalogue: Sequence[Check]) -> Judgement:
    """Ask every question of every link it concerns."""
    worst = Run.over(installation, favourable=False)
    best = Run.over(installation, favourable=True)
    judged: list[Judged] = []
    open_facts: dict[str, Fact[Any]] = {}
    for check in catalogue:
        for link in check.links(installation):
            one, missing = _judge(check, link, worst, best)
            open_facts.update({fact.path: fact for fact in missing if fact.is_open})
            judged.append(one)
    open_facts.update(worst.needed)
    return Judgement(
        judged=tuple(judged), open_facts=open_facts, unfavourable=worst, favourable=best
    )


def unfavourable_findings(
    installation: Installation, catalogue: Sequence[Check], *, searches: bool
) -> tuple[Finding, ...]:
    """Ask every question of every link it concerns, with all ranges unfavourable only.

    ``searches = False`` leaves out how much each link would carry.
    """
    worst = Run.over(installation, favourable=False, searches=searches)
    return tuple(
        _ask(check, worst, link)[0] for check in catalogue for link in check.links(installation)
    )


def settle(
    judgement: Judgement, fact: Fact[Any], option: object, *, again: Callable[[Judged], bool]
) -> Judgement:
    """Return what would be found if a range were known to be this option, all else as it is.

    Only questions into which the range entered, and of these what ``again`` chooses, are asked
    again.
    """
    settled = {fact.path: option}
    installation = judgement.unfavourable.installation
    worst = Run.over(installation, favourable=False, settled=settled)
    best = Run.over(installation, favourable=True, settled=settled)
    judged = tuple(
        _judge(one.check, one.link, worst, best)[0]
        if again(one) and any(entered.path == fact.path for entered in one.facts)
        else one
        for one in judgement.judged
    )
    return Judgement(
        judged=judged, open_facts=judgement.open_facts, unfavourable=worst, favourable=best
    )


def _judge(check: Check, link: Link, worst: Run, best: Run) -> tuple[Judged, tuple[Fact[Any], ...]]:
    """Ask one question at both ends; return as well the facts that it lacks."""
    worst.ends.used.clear()
    unfavourable, missing = _ask(check, worst, link)
    facts = tuple(worst.ends.used.values())
    ranged = any(fact.is_ranged for fact in facts)
    favourable = _ask(check, best, link)[0] if ranged else unfavourable
    judged = Judged(
        check=check, link=link, unfavourable=unfavourable, favourable=favourable, facts=facts
    )
    return judged, missing


def _ask(check: Check, run: Run, link: Link) -> tuple[Finding, tuple[Fact[Any], ...]]:
    try:
        return check.judge(run, link), ()
    except NotKnown as missing:
        template = "Cannot be judged yet; not known: {facts}."
        values = {"facts": str(missing)}
        return _not_judged(check, link, template, values, missing.facts), missing.facts
    except (NotTabulated, OutOfRange, ContradictoryBandError) as refused:
        template = "Cannot be judged: {reason}."
        return _not_judged(check, link, template, {"reason": str(refused)}, ()), ()


def _not_judged(
    check: Check,
    link: Link,
    template: str,
    values: dict[str, str],
    facts: Iterable[Fact[Any]],
) -> Finding:
    """Return an open finding; a caution where no answer of the check could ever fail.

    A limit that is no requirement cannot decide the verdict, so neither can its missing facts.
    """
    return Finding(
        check=check.name,
        question=check.question,
        link=link.name,
        outcome=Outcome.OPEN if check.force.binds else Outcome.CAUTION,
        reason=Message(template=template, values=dict(values)),
        depends_on_current=check.depends_on_current,
        facts=tuple(fact.path for fact in facts),
        force=check.force,
    )


def merge(judged: Judged, *, flip_matters: bool) -> Finding:
    """Return the finding that counts: the unfavourable end, open where the ranges decide.

    ``flip_matters`` is False where the answer as far as current goes is the same at both ends;
    then a finding on current counts at its unfavourable end. One that does not depend on current is
    always open where the ranges decide it.
    """
    found = judged.unfavourable
    if not judged.flips or (found.depends_on_current and not flip_matters):
        return found
    deciding = [fact for fact in judged.facts if fact.is_ranged]
    names = "; ".join(fact.label for fact in deciding)
    reason = Message(
        template=found.reason.template + " At the other end of what is possible it passes. "
        "Decided by: {facts}.",
        values={**found.reason.values, "facts": names},
    )
    return replace(
        found,
        outcome=Outcome.OPEN,
        reason=reason,
        facts=tuple(fact.path for fact in deciding),
    )
