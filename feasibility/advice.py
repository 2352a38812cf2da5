"""What an assessment leads to: what has to be changed and to what, and which facts to find out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from feasibility.answer import answer_of
from feasibility.assessment import Assessment
from feasibility.checks.catalogue import CATALOGUE
from feasibility.checks.load_flow import LOAD_FLOW
from feasibility.checks.run import run_catalogue
from feasibility.demand_log.record import DemandLog
from feasibility.installation.build import build_installation
from feasibility.open_facts import FactWeight, weighed_facts
from feasibility.remedies.offer import offered
from feasibility.remedies.record import Prices, Remedy
from feasibility.remedies.trial import Problem
from feasibility.result import Verdict


class Need(StrEnum):
    """Whether the feed has to be upgraded for the requested current."""

    NONE = "none"
    NOT_CERTAIN = "not certain"
    UPGRADE = "upgrade"
    NO_LISTED_REMEDY = "no listed remedy"


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """What has to be upgraded, and what would be enough.

    ``remedies`` reach the requested current, ``reduced`` let the station run at a lower setting;
    each list has the smallest disturbance first, then the lowest price. ``without_remedy`` are
    failing questions against which no change is listed. ``ended_early`` says that the search for
    remedies stopped at its limit, so that others may be enough. ``facts`` has the weightiest fact
    first. What a remedy changes is hypothetical.
    """

    need: Need
    remedies: tuple[Remedy, ...]
    reduced: tuple[Remedy, ...]
    without_remedy: tuple[Problem, ...]
    facts: tuple[FactWeight, ...]
    currency: str = ""
    ended_early: bool = False


def advise(
    assessment: Assessment,
    demand_logs: Mapping[str, DemandLog] | None = None,
    prices: Prices | None = None,
) -> Advice:
    """Return remedies and the weight of facts for an assessed survey.

    ``demand_logs`` are the logs that its survey names, ``prices`` the user's own. Every remedy is
    confirmed by an assessment of the changed survey.
    """
    logs = demand_logs or {}
    offer = offered(assessment.survey, assessment, logs, prices)
    return Advice(
        need=_need(assessment, found=bool(offer.remedies)),
        remedies=offer.remedies,
        reduced=offer.reduced,
        without_remedy=offer.without_remedy,
        facts=_facts(assessment, logs),
        currency="" if prices is None else prices.currency,
        ended_early=offer.ended_early,
    )


def _need(assessment: Assessment, *, found: bool) -> Need:
    if assessment.verdict is Verdict.CARRIES:
        return Need.NONE
    if assessment.verdict is Verdict.UNDECIDED and not found:
        return Need.NOT_CERTAIN
    return Need.UPGRADE if found else Need.NO_LISTED_REMEDY


def _facts(assessment: Assessment, demand_logs: Mapping[str, DemandLog]) -> tuple[FactWeight, ...]:
    if not assessment.assumptions and not assessment.open_facts:
        return ()
    binding = [one for one in CATALOGUE if one.force.binds and one is not LOAD_FLOW]
    judgement = run_catalogue(build_installation(assessment.survey, demand_logs), binding)
    return weighed_facts(judgement, answer_of(judgement))
