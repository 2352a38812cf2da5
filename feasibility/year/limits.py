"""The binding limits on current of an assessment, in the form that a moment can be judged by.

They are taken from the findings at the unfavourable end, so that the study of a year uses the very
figures of the checks: only what the site draws beside the station is another one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from feasibility.checks.neutral import CURRENT, NeutralLimit, neutral_limits
from feasibility.checks.question import Run
from feasibility.checks.run import Judgement
from feasibility.checks.voltage import MINIMUM
from feasibility.installation.model import Link
from feasibility.result import Finding, Outcome, Sense


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkLimits:
    """Every binding limit on current of one link.

    ``total_a`` bounds the current of the worst phase, ``neutral`` that of the neutral;
    ``voltage_v`` is the least voltage at the station. ``constant_a`` bounds the station's current
    whatever the site draws: a limit of another kind, as it stands at the largest demand. ``lowest``
    names the check with the lowest limit.
    """

    link: Link
    total_a: float | None
    neutral: tuple[NeutralLimit, ...]
    voltage_v: float | None
    constant_a: float | None
    lowest: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """The limits of each link that has one, in feed order, and the checks that stayed open."""

    of_links: tuple[LinkLimits, ...]
    missing: tuple[str, ...]


def binding_limits(judgement: Judgement) -> Limits:
    """Return what binds, from the findings of the unfavourable run."""
    run = judgement.unfavourable
    findings = [one.unfavourable for one in judgement.judged]
    binding = [one for one in findings if one.force.binds and one.depends_on_current]
    missing = tuple(
        f"{one.check} ({one.link})"
        for one in binding
        if one.outcome is Outcome.OPEN and one.carries_a is None
    )
    return Limits(of_links=tuple(_of_links(run, binding)), missing=missing)


def _of_links(run: Run, binding: Sequence[Finding]) -> Iterator[LinkLimits]:
    for link in run.installation.links:
        own = [one for one in binding if one.link == link.name and one.carries_a is not None]
        unlimited = [one for one in binding if one.link == link.name and one.carries_a is None]
        # At the largest demand nothing limits it, but what stands there bounds it all the same.
        own += [one for one in unlimited if _is_total(run, one) and one.limit is not None]
        if own:
            yield _limits(run, link, own)


def _limits(run: Run, link: Link, own: Sequence[Finding]) -> LinkLimits:
    totals = [one for one in own if _is_total(run, one)]
    neutrals = [one for one in own if _is_neutral(run, one)]
    voltages = [one for one in own if one.check == MINIMUM.name]
    others = [one for one in own if one not in (*totals, *neutrals, *voltages)]
    lowest = min(own, key=lambda one: float("inf") if one.carries_a is None else one.carries_a)
    return LinkLimits(
        link=link,
        total_a=min((one.limit for one in totals if one.limit is not None), default=None),
        neutral=neutral_limits(run, link) if neutrals else (),
        voltage_v=max((one.limit for one in voltages if one.limit is not None), default=None),
        constant_a=min(
            (one.carries_a for one in others if one.carries_a is not None), default=None
        ),
        lowest=lowest.check,
    )


def _is_neutral(run: Run, finding: Finding) -> bool:
    return finding.check == CURRENT.name and all(run.operation.phases_of_station())


def _is_total(run: Run, finding: Finding) -> bool:
    """Whether the finding compares the current of the worst phase with a rating."""
    compares = finding.unit == "A" and finding.sense is Sense.AT_MOST and finding.limit is not None
    return compares and not _is_neutral(run, finding)
