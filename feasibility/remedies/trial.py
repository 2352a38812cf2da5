"""A site on trial: the survey with changes, asked as little as a question needs."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from feasibility.answer import offered
from feasibility.assessment import Assessment, assess
from feasibility.checks.catalogue import CATALOGUE
from feasibility.checks.load_flow import LOAD_FLOW
from feasibility.checks.question import Check
from feasibility.checks.run import unfavourable_findings
from feasibility.demand_log.record import DemandLog
from feasibility.installation.build import build_installation
from feasibility.installation.model import Installation
from feasibility.remedies.record import Part
from feasibility.result import Finding, Outcome
from feasibility.survey.changes import ChangeRefused, NoSuchPlace, changed_survey
from feasibility.survey.model import Survey
from feasibility.verdict import currents_of


class Problem(NamedTuple):
    """A question of a link that fails."""

    check: str
    link: str


Parts = tuple[Part, ...]


class AskedEnough(Exception):
    """No more questions may be asked on trial."""


@dataclass(slots=True)
class Trial:
    """The surveyed site, and what the checks say once parts are changed.

    Only checks that can fail are asked, without the second load-flow solver: what is offered in
    the end is assessed as a whole. What was open before stays out of it. ``asked`` counts the
    questions of a search; what would go beyond ``most_asked`` raises AskedEnough.
    """

    survey: Survey
    demand_logs: Mapping[str, DemandLog]
    assessment: Assessment
    most_asked: int
    asked: int = 0
    _installations: dict[Parts, Installation | None] = field(default_factory=dict)
    _against: dict[Parts, tuple[Problem, ...]] = field(default_factory=dict)
    _failing: dict[tuple[Parts, Problem], bool] = field(default_factory=dict)

    @property
    def problems(self) -> tuple[Problem, ...]:
        """Every question of the catalogue that fails, what limits the current most first."""
        asked = {check.name for check in CATALOGUE if check is not LOAD_FLOW}
        return tuple(one for one in self.failed if one.check in asked)

    @property
    def failed(self) -> tuple[Problem, ...]:
        """Everything that fails as surveyed, what limits the current most first."""
        failed = [f for f in self.assessment.findings if f.outcome is Outcome.FAIL and f.link]
        failed.sort(key=lambda one: math.inf if one.carries_a is None else one.carries_a)
        return tuple(Problem(one.check, one.link) for one in failed)

    @property
    def on_current(self) -> frozenset[str]:
        """The names of the checks that depend on current."""
        return frozenset(check.name for check in CATALOGUE if check.depends_on_current)

    @property
    def open_before(self) -> frozenset[Problem]:
        """The questions that are open as surveyed."""
        return frozenset(
            Problem(one.check, one.link)
            for one in self.assessment.findings
            if one.outcome is Outcome.OPEN
        )

    def installation(self, parts: Parts) -> Installation | None:
        """Return the changed installation; None where the rules of a survey refuse it."""
        if parts not in self._installations:
            try:
                survey = self.changed(parts)
            except (ChangeRefused, NoSuchPlace):
                self._installations[parts] = None
            else:
                self._installations[parts] = build_installation(survey, self.demand_logs)
        return self._installations[parts]

    def changed(self, parts: Iterable[Part]) -> Survey:
        """Return the survey with all changes of these parts."""
        return changed_survey(self.survey, [change for part in parts for change in part.changes])

    def failing(self, parts: Parts, problems: Iterable[Problem]) -> frozenset[Problem]:
        """Return which of the problems the changed site still has."""
        wanted = tuple(problems)
        new = [one for one in wanted if (parts, one) not in self._failing]
        if new:
            self._ask(parts, new)
        return frozenset(one for one in wanted if self._failing[parts, one])

    def _ask(self, parts: Parts, problems: Sequence[Problem]) -> None:
        """Ask these questions only; one that no longer exists is none, nor has a change refused."""
        installation = self.installation(parts)
        findings: tuple[Finding, ...] = ()
        if installation is not None:
            names = {
                check: {one.link for one in problems if one.check == check} for check, _ in problems
            }
            checks = [_of_links(o, names[o.name]) for o in self.catalogue() if o.name in names]
            findings = self._findings(installation, checks)
        for one in problems:
            self._failing[parts, one] = installation is None
        self._note(parts, findings)

    def _findings(self, installation: Installation, checks: Sequence[Check]) -> tuple[Finding, ...]:
        """Ask all questions of these checks, if so many may still be asked."""
        number = sum(len(list(check.links(installation))) for check in checks)
        if self.asked + number > self.most_asked:
            raise AskedEnough
        self.asked += number
        return unfavourable_findings(installation, checks, searches=False)

    def _note(self, parts: Parts, findings: Iterable[Finding]) -> None:
        for one in findings:
            self._failing[parts, Problem(one.check, one.link)] = self._counts(one)

    def catalogue(self) -> tuple[Check, ...]:
        """Return the checks that can fail, by themselves or as this code basis has it."""
        failed = {one.check for one in self.problems}
        return tuple(
            check
            for check in CATALOGUE
            if check is not LOAD_FLOW and (check.force.binds or check.name in failed)
        )

    def _counts(self, found: Finding) -> bool:
        """Whether a finding speaks against the change: a failure, or a question it opens."""
        if Problem(found.check, found.link) in self.open_before:
            return False
        binding = found.force.binds and found.outcome is Outcome.FAIL
        return binding or found.outcome is Outcome.OPEN

    def speaking_against(self, parts: Parts) -> tuple[Problem, ...] | None:
        """Return everything that fails after the change; None where the change is refused."""
        installation = self.installation(parts)
        if installation is None:
            return None
        if parts not in self._against:
            findings = self._findings(installation, self.catalogue())
            self._note(parts, findings)
            self._against[parts] = tuple(
                Problem(one.check, one.link) for one in findings if self._counts(one)
            )
        return self._against[parts]

    def alone_a(self, part: Part) -> float | None:
        """Return what current alone lets through once only this part is changed, as a setting."""
        installation = self.installation((part,))
        if installation is None:
            return None
        on_current = [one for one in self.catalogue() if one.depends_on_current]
        findings = unfavourable_findings(installation, on_current, searches=True)
        limit_a = currents_of(findings).carryable_a
        requested_a = self.assessment.requested_current_a
        if limit_a is None:
            return None
        return offered(self.assessment.settings, limit_a, requested_a)

    def confirmed(self, parts: Parts) -> Assessment | None:
        """Assess the changed site as a whole; None where something fails or is newly open."""
        survey = self.changed(parts)
        after = assess(
            survey,
            sha256=self.assessment.survey_sha256,
            demand_logs=self.demand_logs,
            with_year=self.assessment.year is not None,
        )
        against: Sequence[Finding] = [
            one
            for one in after.findings
            if one.outcome is Outcome.FAIL
            or (
                one.outcome is Outcome.OPEN and Problem(one.check, one.link) not in self.open_before
            )
        ]
        return None if against else after


def _of_links(check: Check, names: Collection[str]) -> Check:
    """Return a check that is asked of these links only."""
    return replace(
        check,
        links=lambda installation: [one for one in check.links(installation) if one.name in names],
    )
