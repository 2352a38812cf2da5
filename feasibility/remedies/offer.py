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
from feasibility.remedies.trial import AskedEnough, Parts, Problem, Trial
from feasibility.survey.model import Survey

MOST_OFFERED = 3
MOST_REDUCED = 1

_TRIALS = 10
"""So many times the questions of one assessment are asked on trial at most (our own rule)."""

_REDUCED_TRIALS = _TRIALS / 3
"""The same for the search at a lower setting."""

_MOST_CONFIRMED = 2
"""So many sets are assessed in full at most for each remedy that is wanted (our own rule)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """``remedies`` reach the requested current, ``reduced`` a lower setting, both smallest first.

    ``without_remedy`` are failing questions for which no change is listed. ``ended_early`` says
    that the search for remedies stopped at its limit, so that others may be enough.
    """

    remedies: tuple[Remedy, ...] = ()
    reduced: tuple[Remedy, ...] = ()
    without_remedy: tuple[Problem, ...] = ()
    ended_early: bool = False


def offered(
    survey: Survey,
    assessment: Assessment,
    demand_logs: Mapping[str, DemandLog],
    prices: Prices | None = None,
) -> Offer:
    """Return remedies for everything that fails; nothing where nothing fails."""
    questions = len(assessment.findings)
    trial = Trial(
        survey=survey,
        demand_logs=demand_logs,
        assessment=assessment,
        most_asked=_TRIALS * questions,
    )
    if not trial.problems:
        return Offer(without_remedy=trial.failed)
    search = Search(trial=trial, prefix=())
    remedies = _confirmed(trial, search, MOST_OFFERED, prices)
    least = min((one.disturbance for one in remedies), default=None)
    trial.most_asked = trial.asked + int(_REDUCED_TRIALS * questions)
    reduced = _at_lower_setting(trial, prices)
    return Offer(
        remedies=remedies,
        reduced=tuple(one for one in reduced if least is None or one.disturbance < least),
        without_remedy=search.without_remedy(),
        ended_early=search.ended_early,
    )


def _at_lower_setting(trial: Trial, prices: Prices | None) -> tuple[Remedy, ...]:
    """Return what lets the station run at a lower setting; both ways to it share the questions."""
    for prefix in lower_settings(trial.survey, trial.assessment):
        search = Search(trial=trial, prefix=prefix)
        try:
            left = search.problems()
        except AskedEnough:
            return ()
        if any(one.check in trial.on_current for one in left):
            continue
        if left:
            return _confirmed(trial, search, MOST_REDUCED, prices)
        remedy = _confirm(trial, prefix, prefix, prices)
        return () if remedy is None else (remedy,)
    return ()


def _confirmed(
    trial: Trial, search: Search, most: int, prices: Prices | None
) -> tuple[Remedy, ...]:
    tried = islice(search.sets(), _MOST_CONFIRMED * most)
    confirmed = (_confirm(trial, (*search.prefix, *one), search.prefix, prices) for one in tried)
    remedies = list(islice((one for one in confirmed if one is not None), most))
    if len(remedies) < most and len(search.found) == _MOST_CONFIRMED * most:
        search.ended_early = True
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
