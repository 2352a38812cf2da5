"""From what a catalogue found to the answer: requested and carried current, verdict."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from feasibility.checks.catalogue import MUST_BE_JUDGED
from feasibility.checks.lower_setting import lower_setting
from feasibility.checks.question import Run
from feasibility.checks.run import Judgement, merge
from feasibility.installation.facts import NotKnown
from feasibility.result import Finding, Outcome, Step, Verdict
from feasibility.settings import Settings, settings_of
from feasibility.tables import NotTabulated
from feasibility.verdict import Currents, currents_of, verdict_from


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What follows from the findings. Currents of the station, per phase, in A.

    ``offered_a`` is what current alone lets through, as a setting that the station offers; None
    where nothing limits it.
    """

    findings: tuple[Finding, ...]
    verdict: Verdict
    requested_a: float | None
    requested_working: tuple[Step, ...]
    limits: Currents
    settings: Settings
    offered_a: float | None

    @property
    def carryable_a(self) -> float | None:
        """The carryable current; None where a failure bars it or a limit is not known."""
        barred = any(
            one.outcome is Outcome.FAIL and not one.depends_on_current for one in self.findings
        )
        return None if barred or not self.limits.complete else self.offered_a

    @property
    def advised_a(self) -> float | None:
        """The same with recommendations and practice counted as well."""
        advised = offered(self.settings, self.limits.advised_a, self.requested_a)
        if advised is None or self.offered_a is None:
            return None
        return min(advised, self.offered_a)


def answer_of(judgement: Judgement, *, more: Iterable[Finding] = ()) -> Answer:
    """Merge both ends of all ranges and return what follows; ``more`` findings count as well.

    These are known at the unfavourable ends only: where the answer flips, a failure is open.
    """
    settings = settings_of(judgement.unfavourable.installation, judgement.unfavourable.ends)
    requested, working = _requested(judgement)
    flip_matters = _flip_matters(judgement)
    findings = [merge(one, flip_matters=flip_matters) for one in judgement.judged]
    findings.extend(_in_doubt(more, findings) if flip_matters else more)
    limits = currents_of(findings)
    findings.extend(_about_settings(judgement, settings, limits, requested))
    return Answer(
        findings=tuple(findings),
        verdict=_verdict(findings, settings, limits, requested),
        requested_a=requested,
        requested_working=working,
        limits=limits,
        settings=settings,
        offered_a=offered(settings, limits.carryable_a, requested),
    )


def _in_doubt(more: Iterable[Finding], findings: Sequence[Finding]) -> list[Finding]:
    """Return failures on current as open, decided by the facts that decide the others."""
    undecided = [f for f in findings if f.depends_on_current and f.outcome is Outcome.OPEN]
    facts = tuple(dict.fromkeys(fact for one in undecided for fact in one.facts))
    return [
        replace(one, outcome=Outcome.OPEN, facts=facts)
        if one.outcome is Outcome.FAIL and one.depends_on_current
        else one
        for one in more
    ]


def _verdict(
    findings: Sequence[Finding], settings: Settings, limits: Currents, requested: float | None
) -> Verdict:
    return verdict_from(
        findings,
        requested_a=requested,
        carryable_a=limits.carryable_a,
        smallest_setting_a=settings.smallest_drawn_a,
        must_be_judged=MUST_BE_JUDGED,
    )


def _requested(judgement: Judgement) -> tuple[float | None, tuple[Step, ...]]:
    try:
        requested = judgement.unfavourable.requested()
    except (NotKnown, NotTabulated):
        return None, ()
    return requested.current_a, requested.steps


def _flip_matters(judgement: Judgement) -> bool:
    """Whether the answer as far as current goes differs between the two ends of the ranges."""

    def answer(run: Run, findings: list[Finding]) -> Verdict:
        try:
            requested = run.requested().current_a
        except (NotKnown, NotTabulated):
            return Verdict.UNDECIDED
        decided = [one for one in findings if one.depends_on_current]
        decided = [one for one in decided if one.outcome is not Outcome.OPEN]
        return verdict_from(
            decided,
            requested_a=requested,
            carryable_a=currents_of(decided).carryable_a,
            smallest_setting_a=settings_of(run.installation, run.ends).smallest_drawn_a,
        )

    worst = answer(judgement.unfavourable, [one.unfavourable for one in judgement.judged])
    best = answer(judgement.favourable, [one.favourable for one in judgement.judged])
    return worst != best


def _about_settings(
    judgement: Judgement, settings: Settings, limits: Currents, requested: float | None
) -> list[Finding]:
    """Say so where only a lower setting would help but none counts, or it is not known."""
    if requested is None or limits.carryable_a is None or requested <= limits.carryable_a:
        return []
    if settings.counts or settings.drawn_at(settings.smallest_a) > limits.carryable_a:
        return []
    return [lower_setting(judgement.favourable)]


def offered(settings: Settings, limit_a: float | None, requested_a: float | None) -> float | None:
    """Return what a limit lets through, as a setting that the station offers.

    Not below the requested current where that passes; None where nothing limits it.
    """
    if limit_a is None:
        return None
    setting = settings.offered_below(limit_a)
    if requested_a is not None and requested_a <= limit_a:
        return max(setting, requested_a)
    return setting
