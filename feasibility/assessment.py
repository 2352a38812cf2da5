"""Assess one survey: the only object that crosses from computing to rendering."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from feasibility import __version__, tables
from feasibility.chain import ChainLink, PathElement, WeakLink, chain_of, path_of, weakest_links
from feasibility.checks.catalogue import CATALOGUE, MUST_BE_JUDGED, NOT_CHECKED
from feasibility.checks.fault_levels import fault_levels
from feasibility.checks.load_flow import NetworkState, network_state
from feasibility.checks.lower_setting import lower_setting
from feasibility.checks.question import Run
from feasibility.checks.run import Judgement, merge, run_catalogue
from feasibility.demand_evidence import (
    DemandEvidence,
    KnownDemand,
    demand_evidence,
    known_demands,
)
from feasibility.demand_log.record import DemandLog
from feasibility.expected_readings import ExpectedReadings, expected_readings
from feasibility.installation.build import build_installation
from feasibility.installation.facts import Fact, NotKnown
from feasibility.network.year_flow import Progress
from feasibility.operator_request import OperatorRequest, operator_request
from feasibility.possible import PossibleCurrents, possible_currents
from feasibility.result import Finding, Message, NodeFaults, Outcome, Step, Verdict
from feasibility.settings import Settings, settings_of
from feasibility.survey.model import Survey
from feasibility.tables import NotTabulated
from feasibility.time_current import TimeCurrent, time_current_of
from feasibility.verdict import Currents, currents_of, verdict_from
from feasibility.voltage_along import VoltageAlong, voltage_along
from feasibility.year.finding import finding_of
from feasibility.year.record import YearStudy
from feasibility.year.study import year_study

SCHEMA_VERSION = "1.10"


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumption:
    """A range that entered a finding: what stood for a value that is not known exactly."""

    fact: str
    label: str
    options: tuple[float | str | bool, ...]
    unit: str
    reason: str
    by_surveyor: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenFact:
    """A survey value without which some checks stay open, and which checks those are."""

    fact: str
    label: str
    checks: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Assessment:
    """Everything there is to say about one survey. Currents are per phase, in A."""

    schema_version: str = SCHEMA_VERSION
    program_version: str = __version__
    survey_sha256: str
    survey: Survey
    code_basis: str
    verdict: Verdict
    requested_current_a: float | None
    requested_working: tuple[Step, ...]
    carryable_current_a: float | None
    current_limit_only_a: float | None
    advised_current_a: float | None
    weakest_link: str
    possible: PossibleCurrents
    weakest_links: tuple[WeakLink, ...]
    settings: Settings
    chain: tuple[ChainLink, ...]
    path: tuple[PathElement, ...]
    findings: tuple[Finding, ...]
    assumptions: tuple[Assumption, ...]
    open_facts: tuple[OpenFact, ...]
    cautions: tuple[Message, ...]
    not_checked: tuple[str, ...] = NOT_CHECKED
    network: NetworkState | None
    voltage_along: VoltageAlong | None
    time_current: tuple[TimeCurrent, ...]
    demands: tuple[KnownDemand, ...]
    demand_logs: tuple[DemandEvidence, ...]
    fault_levels: tuple[NodeFaults, ...]
    operator_request: OperatorRequest
    expected_readings: ExpectedReadings
    year: YearStudy | None
    sources: Mapping[str, str]


def assess(
    survey: Survey,
    *,
    sha256: str,
    demand_logs: Mapping[str, DemandLog] | None = None,
    with_year: bool = True,
    on_step: Progress | None = None,
) -> Assessment:
    """Assess a survey that passed the consistency rules; what is missing becomes an open finding.

    ``sha256`` identifies the survey file; ``demand_logs`` are the logs that it names, by their
    place in it. ``with_year`` studies each quarter-hour where a demand changes in time, ``on_step``
    is told its progress. Raises UnknownCodeBasis for a code basis that is not there.
    """
    installation = build_installation(survey, demand_logs)
    judgement = run_catalogue(installation, CATALOGUE)
    settings = settings_of(installation, judgement.unfavourable.ends)
    year = year_study(judgement, settings, on_step) if with_year else None
    return _assessment(survey, sha256, judgement, settings, year)


def _assessment(
    survey: Survey,
    sha256: str,
    judgement: Judgement,
    settings: Settings,
    year: YearStudy | None,
) -> Assessment:
    """Draw everything out of what was judged."""
    installation = judgement.unfavourable.installation
    requested, working = _requested(judgement)
    findings, limits, by_current = _merged(judgement, settings, requested, year)
    faults, fault_facts = fault_levels(judgement.unfavourable)
    verdict = _verdict(findings, settings, limits, requested)
    expected = _expected(judgement, findings, verdict, settings, by_current)
    return Assessment(
        survey_sha256=sha256,
        survey=survey,
        code_basis=installation.basis.title,
        verdict=verdict,
        requested_current_a=requested,
        requested_working=working,
        carryable_current_a=by_current if limits.complete and not _barred(findings) else None,
        current_limit_only_a=by_current,
        advised_current_a=_advised(settings, limits, by_current),
        weakest_link=limits.weakest_link,
        possible=possible_currents(judgement.judged),
        weakest_links=weakest_links(findings),
        settings=settings,
        chain=chain_of(installation, findings),
        path=path_of(installation),
        findings=tuple(findings),
        assumptions=_assumptions({**judgement.assumed_facts, **fault_facts}),
        open_facts=_open_facts(findings, judgement),
        cautions=_cautions(findings),
        network=network_state(judgement.unfavourable),
        voltage_along=voltage_along(judgement.unfavourable),
        time_current=time_current_of(judgement.unfavourable, findings),
        demands=known_demands(installation),
        demand_logs=demand_evidence(installation),
        fault_levels=faults,
        operator_request=operator_request(judgement.unfavourable),
        expected_readings=expected,
        year=year,
        sources=_source_titles(findings, working, expected),
    )


def _merged(
    judgement: Judgement, settings: Settings, requested: float | None, year: YearStudy | None
) -> tuple[list[Finding], Currents, float | None]:
    """Return the findings of both ends in one, and what they let the station draw.

    That is as the limits say, and as a setting that the station offers.
    """
    flip_matters = _flip_matters(judgement)
    findings = [merge(one, flip_matters=flip_matters) for one in judgement.judged]
    if year is not None:
        findings.append(finding_of(year, judgement.unfavourable.basis))
    limits = currents_of(findings)
    findings.extend(_about_settings(judgement, settings, limits, requested))
    return findings, limits, _offered(settings, limits, requested)


def _barred(findings: list[Finding]) -> bool:
    """Whether something fails that no lower current mends."""
    return any(f.outcome is Outcome.FAIL and not f.depends_on_current for f in findings)


def _expected(
    judgement: Judgement,
    findings: list[Finding],
    verdict: Verdict,
    settings: Settings,
    by_current: float | None,
) -> ExpectedReadings:
    """Return the readings of the tests, at the lower setting where only one carries."""
    tested, _ = _requested(judgement)
    if verdict is Verdict.CARRIES_REDUCED and by_current is not None:
        tested = settings.drawn_at(by_current)
    return expected_readings(judgement.unfavourable, findings, verdict, tested)


def _verdict(
    findings: list[Finding], settings: Settings, limits: Currents, requested: float | None
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


def _offered(settings: Settings, limits: Currents, requested: float | None) -> float | None:
    """Return the carryable current as a setting that the station offers."""
    if limits.carryable_a is None:
        return None
    offered = settings.offered_below(limits.carryable_a)
    if requested is not None and requested <= limits.carryable_a:
        return max(offered, requested)
    return offered


def _advised(settings: Settings, limits: Currents, by_current: float | None) -> float | None:
    if limits.advised_a is None or by_current is None:
        return None
    if limits.advised_a >= by_current:
        return by_current
    return settings.offered_below(limits.advised_a)


def _assumptions(facts: Mapping[str, Fact[Any]]) -> tuple[Assumption, ...]:
    ranged = sorted(facts.values(), key=lambda fact: fact.path)
    return tuple(
        Assumption(
            fact=fact.path,
            label=fact.label,
            options=fact.options,
            unit=fact.unit,
            reason=fact.reason,
            by_surveyor=not fact.filled,
        )
        for fact in ranged
    )


def _open_facts(findings: list[Finding], judgement: Judgement) -> tuple[OpenFact, ...]:
    known: dict[str, Fact[Any]] = {**judgement.open_facts, **judgement.assumed_facts}
    asked: dict[str, list[str]] = {}
    for one in findings:
        if one.outcome is Outcome.OPEN:
            for path in one.facts:
                asked.setdefault(path, []).append(f"{one.check} ({one.link})")
    return tuple(
        OpenFact(fact=path, label=known[path].label if path in known else path, checks=tuple(names))
        for path, names in asked.items()
    )


def _cautions(findings: list[Finding]) -> tuple[Message, ...]:
    return tuple(
        replace(
            one.reason,
            template=f"{{link}}: {one.reason.template}",
            values={**one.reason.values, "link": one.link},
        )
        for one in findings
        if one.outcome is Outcome.CAUTION
    )


def _source_titles(
    findings: list[Finding], working: tuple[Step, ...], expected: ExpectedReadings
) -> dict[str, str]:
    """Return id and title of every source that is cited anywhere."""
    cited = {citation.source for one in findings for citation in one.sources}
    cited |= {citation.source for one in expected.temperatures for citation in one.sources}
    cited |= {one.citation.source for one in expected.tests}
    cited |= {c.source for one in expected.tests for limit in one.limits for c in limit.sources}
    for step in working:
        cited |= {citation.source for citation in step.sources}
        cited |= {c.source for quantity in step.inputs for c in quantity.sources}
    known = tables.sources()
    return {
        name: f"{known[name].title}, {known[name].edition}".rstrip(", ") for name in sorted(cited)
    }
