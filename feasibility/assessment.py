"""Assess one survey: the only object that crosses from computing to rendering."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from feasibility import __version__, tables
from feasibility.answer import Answer, answer_of
from feasibility.chain import ChainLink, PathElement, WeakLink, chain_of, path_of, weakest_links
from feasibility.checks.catalogue import CATALOGUE, NOT_CHECKED
from feasibility.checks.fault_levels import fault_levels
from feasibility.checks.load_flow import NetworkState, network_state
from feasibility.checks.run import Judgement, run_catalogue
from feasibility.demand_evidence import (
    DemandEvidence,
    KnownDemand,
    demand_evidence,
    known_demands,
)
from feasibility.demand_log.record import DemandLog
from feasibility.expected_readings import ExpectedReadings, expected_readings
from feasibility.installation.build import build_installation
from feasibility.installation.facts import Fact
from feasibility.network.year_flow import Progress
from feasibility.operator_request import OperatorRequest, operator_request
from feasibility.possible import PossibleCurrents, possible_currents
from feasibility.result import Finding, Message, NodeFaults, Outcome, Step, Verdict
from feasibility.settings import Settings, settings_of
from feasibility.survey.model import Survey
from feasibility.time_current import TimeCurrent, time_current_of
from feasibility.voltage_along import VoltageAlong, voltage_along
from feasibility.year.finding import finding_of
from feasibility.year.generation import generation_study
from feasibility.year.generation_record import GenerationStudy
from feasibility.year.record import YearStudy
from feasibility.year.study import year_study

SCHEMA_VERSION = "1.13"


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
    generation: GenerationStudy | None
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
    of_year = () if year is None else (finding_of(year, installation.basis),)
    return _assessment(survey, sha256, judgement, answer_of(judgement, more=of_year), year)


def _assessment(
    survey: Survey,
    sha256: str,
    judgement: Judgement,
    answer: Answer,
    year: YearStudy | None,
) -> Assessment:
    """Draw everything out of what was judged."""
    installation, findings = judgement.unfavourable.installation, answer.findings
    faults, fault_facts = fault_levels(judgement.unfavourable)
    expected = _expected(judgement, answer)
    return Assessment(
        survey_sha256=sha256,
        survey=survey,
        code_basis=installation.basis.title,
        verdict=answer.verdict,
        requested_current_a=answer.requested_a,
        requested_working=answer.requested_working,
        carryable_current_a=answer.carryable_a,
        current_limit_only_a=answer.offered_a,
        advised_current_a=answer.advised_a,
        weakest_link=answer.limits.weakest_link,
        possible=possible_currents(judgement.judged),
        weakest_links=weakest_links(findings),
        settings=answer.settings,
        chain=chain_of(installation, findings),
        path=path_of(installation),
        findings=findings,
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
        generation=generation_study(judgement),
        sources=_source_titles(findings, answer.requested_working, expected),
    )


def _expected(judgement: Judgement, answer: Answer) -> ExpectedReadings:
    """Return the readings of the tests, at the lower setting where only one carries."""
    tested = answer.requested_a
    if answer.verdict is Verdict.CARRIES_REDUCED and answer.offered_a is not None:
        tested = answer.settings.drawn_at(answer.offered_a)
    return expected_readings(judgement.unfavourable, answer.findings, answer.verdict, tested)


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


def _open_facts(findings: Sequence[Finding], judgement: Judgement) -> tuple[OpenFact, ...]:
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


def _cautions(findings: Sequence[Finding]) -> tuple[Message, ...]:
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
    findings: Sequence[Finding], working: tuple[Step, ...], expected: ExpectedReadings
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
