"""Between which currents the answer lies while facts are missing; never a verdict."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from feasibility.checks.run import Judged
from feasibility.result import Finding, Outcome
from feasibility.verdict import currents_of


@dataclass(frozen=True, slots=True, kw_only=True)
class PossibleCurrents:
    """What the links that are described well enough let the station draw, per phase, in A.

    ``lowest_a`` takes every range at its unfavourable end, ``highest_a`` at its favourable one;
    None where nothing limits the current yet. ``lowest_link`` and ``highest_link`` hold the current
    there. ``not_counted`` are links of which a figure is lacking: they can only lower both.
    ``deciding`` are the ranges behind ``lowest_a``, as places in the survey.
    """

    lowest_a: float | None
    highest_a: float | None
    lowest_link: str
    highest_link: str
    not_counted: tuple[str, ...]
    deciding: tuple[str, ...]


def possible_currents(judged: Sequence[Judged]) -> PossibleCurrents:
    """Return the two ends of what is possible, from the answers at both ends of all ranges."""
    low = currents_of(one.unfavourable for one in judged)
    high = currents_of(one.favourable for one in judged)
    return PossibleCurrents(
        lowest_a=low.carryable_a,
        highest_a=high.carryable_a,
        lowest_link=low.weakest_link,
        highest_link=high.weakest_link,
        not_counted=tuple(dict.fromkeys(_without_figure(one.favourable for one in judged))),
        deciding=_deciding(judged, low.carryable_a),
    )


def _without_figure(findings: Iterable[Finding]) -> Iterable[str]:
    """Yield the links at which a binding question on current could not say what passes."""
    for one in findings:
        lacks = one.outcome is Outcome.OPEN and one.carries_a is None
        if lacks and one.depends_on_current and one.force.binds:
            yield one.link


def _deciding(judged: Sequence[Judged], lowest_a: float | None) -> tuple[str, ...]:
    holding = [
        one
        for one in judged
        if one.unfavourable.force.binds
        and one.unfavourable.carries_a is not None
        and one.unfavourable.carries_a == lowest_a
    ]
    facts = (fact for one in holding for fact in one.facts if fact.is_ranged)
    return tuple(dict.fromkeys(fact.path for fact in facts))
