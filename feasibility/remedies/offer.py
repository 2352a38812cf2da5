"""What is offered: remedies that a full assessment of the changed site confirms."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import islice

from feasibility.assessment import Assessment
from feasibility.demand_log.record import DemandLog
from feasibility.remedies.of_station import lower_settings
from feasibility.remedies.record import OfferedPart, Prices, Remedy
from feasibility.remedies.search import Search
from feasibility.remedies.trial import Parts, Problem, Trial
from feasibility.survey.model import Survey

MOST_OFFERED = 3
MOST_REDUCED = 1

_TRIALS = 10
"""So many times the questions of one assessment are asked on trial at most (our own rule)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """``remedies`` reach the requested current, ``reduced`` a lower setting, both smallest first.

    ``without_remedy`` are failing questions for which no change is listed.
    """

    remedies: tuple[Remedy, ...] = ()
    reduced: tuple[Remedy, ...] = ()
    without_remedy: tuple[Problem, ...] = ()


def offered(
    survey: Survey,
    assessment: Assessment,
    demand_logs: Mapping[str, DemandLog],
    prices: Prices | None = None,
) -> Offer:
    """Return remedies for everything that fails; nothing where nothing fails."""
    trial = Trial(survey=survey, demand_logs=demand_logs, assessment=assessment)
    if not trial.problems:
        return Offer(without_remedy=trial.failed)
    most_asked = _TRIALS * len(assessment.findings)
    search = Search(trial=trial, prefix=(), most_asked=most_asked)
    remedies = _confirmed(trial, (), search, MOST_OFFERED, prices)
    least = min((one.disturbance for one in remedies), default=None)
    reduced = _at_lower_setting(trial, most_asked, prices)
    return Offer(
        remedies=remedies,
        reduced=tuple(one for one in reduced if least is None or one.disturbance < least),
        without_remedy=search.without_remedy(),
    )


def _at_lower_setting(trial: Trial, most_asked: int, prices: Prices | None) -> tuple[Remedy, ...]:
    for prefix in lower_settings(trial.survey, trial.assessment):
        search = Search(trial=trial, prefix=prefix, most_asked=trial.asked + most_asked // 3)
        left = search.problems()
        if any(one.check in trial.on_current for one in left):
            continue
        if left:
            return _confirmed(trial, prefix, search, MOST_REDUCED, prices)
        remedy = _confirm(trial, prefix, prefix, prices)
        return () if remedy is None else (remedy,)
    return ()


def _confirmed(
    trial: Trial, prefix: Parts, search: Search, most: int, prices: Prices | None
) -> tuple[Remedy, ...]:
    confirmed = (
        _confirm(trial, (*prefix, *one), prefix, prices)
        for one in search.sets()
        if not prefix or trial.speaking_against(one) != ()
    )
    remedies = list(islice((one for one in confirmed if one is not None), most))
    return tuple(sorted(remedies, key=_order))


def _order(remedy: Remedy) -> tuple[tuple[int, ...], float]:
    price = float("inf") if remedy.price is None else remedy.price
    return remedy.disturbance, price


def _confirm(trial: Trial, parts: Parts, prefix: Parts, prices: Prices | None) -> Remedy | None:
    after = trial.confirmed(parts)
    if after is None:
        return None
    return Remedy(
        parts=tuple(OfferedPart(part=one, alone_a=trial.alone_a(one)) for one in parts),
        requested_a=after.requested_current_a,
        carries_a=after.current_limit_only_a,
        verdict=after.verdict,
        reduced=bool(prefix),
        price=None if prices is None else prices.of(parts),
    )
