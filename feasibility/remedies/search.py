"""The smallest sets of changes that are enough, in the order of how much they disturb."""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import combinations, count

from feasibility.remedies.proposals import easing, proposed
from feasibility.remedies.record import Kind, Part, disturbance_of
from feasibility.remedies.trial import AskedEnough, Parts, Problem, Trial

MOST_PARTS = 3
"""A remedy of more parts than this is a new installation (our own rule)."""

_AT_A_DEVICE = (
    Kind.RELEASE_SETTING,
    Kind.OTHER_DEVICE,
    Kind.RESIDUAL_CURRENT_DEVICE,
    Kind.OTHER_PART,
    Kind.OTHER_OUTLET,
)

Waiting = tuple[tuple[int, ...], int, Parts]


@dataclass(slots=True)
class Search:
    """Looks for sets of parts that are enough, beside the parts that are changed in any case.

    ``ended_early`` says that it stopped because no more questions may be asked on trial.
    """

    trial: Trial
    prefix: Parts
    ended_early: bool = False
    found: list[Parts] = field(default_factory=list)
    _waiting: list[Waiting] = field(default_factory=list)
    _number: Iterator[int] = field(default_factory=count)
    _helpless: tuple[Problem, ...] = ()
    _seen: set[frozenset[Part]] = field(default_factory=set)

    def sets(self) -> Iterator[Parts]:
        """Yield sets of parts that are enough, none of them dispensable, the least first.

        None that is enough without the prefix.
        """
        try:
            yield from self._sets()
        except AskedEnough:
            self.ended_early = True

    def _sets(self) -> Iterator[Parts]:
        problems = self.problems()
        if not problems:
            return
        helping = self._helping(problems)
        helped = frozenset().union(*helping.values())
        self._helpless = tuple(one for one in problems if one not in helped)
        for chosen in _covers(problems, helping):
            self._push(chosen)
        yield from self._enough(problems)
        for eased in easing(self.trial, self.prefix, problems):
            self._push_beside(eased, problems)
        yield from self._enough(problems)

    def _enough(self, problems: Sequence[Problem]) -> Iterator[Parts]:
        """Yield what is enough of the sets that wait, and of what they are extended to."""
        while self._waiting:
            chosen = heapq.heappop(self._waiting)[2]
            if any(set(one) <= set(chosen) for one in self.found):
                continue
            against = self.trial.speaking_against((*self.prefix, *chosen))
            if against is None:
                continue
            if against:
                self._extend(chosen, against)
            elif self._is_minimal(chosen, problems):
                self.found.append(chosen)
                if not self.prefix or self.trial.speaking_against(chosen) != ():
                    yield chosen

    def _push_beside(self, eased: Part, problems: Sequence[Problem]) -> None:
        """Let sets wait that are enough once a part eases what they are against."""
        left = self.trial.failing((*self.prefix, eased), problems)
        rest = tuple(one for one in problems if one in left)
        for chosen in _covers(rest, self._helping(rest, beside=(eased,))):
            if len(chosen) < MOST_PARTS and _go_together((eased, *chosen)):
                self._push((eased, *chosen))

    def problems(self) -> tuple[Problem, ...]:
        """Return what fails before anything but the prefix is changed."""
        left = self.trial.failing(self.prefix, self.trial.problems)
        return tuple(one for one in self.trial.problems if one in left)

    def _helping(
        self, problems: Sequence[Problem], beside: Parts = ()
    ) -> dict[Part, frozenset[Problem]]:
        """Return each proposed part with the problems that it is rid of."""
        parts = (*self.prefix, *beside)
        helping: dict[Part, frozenset[Problem]] = {}
        for one in proposed(self.trial, parts, problems):
            if one not in helping:
                reached = [p for p in problems if self._may_help(one, p)]
                left = self.trial.failing((*parts, one), reached)
                helping[one] = frozenset(reached) - left
        return helping

    def _may_help(self, part: Part, problem: Problem) -> bool:
        """Whether a part can be rid of a problem: at a device, not of a current elsewhere."""
        if part.kind not in _AT_A_DEVICE or part.link == problem.link:
            return True
        return problem.check not in self.trial.on_current

    def without_remedy(self) -> tuple[Problem, ...]:
        """Return the problems against which no change is listed; known once sets were asked for."""
        return self._helpless

    def _push(self, chosen: Parts) -> None:
        if frozenset(chosen) not in self._seen:
            self._seen.add(frozenset(chosen))
            ordered = tuple(sorted(chosen, key=lambda one: (one.kind.disturbance, one.place)))
            heapq.heappush(self._waiting, (disturbance_of(ordered), next(self._number), ordered))

    def _extend(self, chosen: Parts, against: Sequence[Problem]) -> None:
        """Add a part against what the chosen ones bring about, if they do what they are for."""
        if len(chosen) == MOST_PARTS or set(against) & set(self.trial.problems):
            return
        for more in proposed(self.trial, (*self.prefix, *chosen), against):
            if _go_together((*chosen, more)):
                self._push((*chosen, more))

    def _is_minimal(self, chosen: Parts, problems: Sequence[Problem]) -> bool:
        """Whether without any one of its parts the set is no longer enough."""
        if len(chosen) == 1:
            return True
        return not any(self._is_enough(_without(chosen, one), problems) for one in chosen)

    def _is_enough(self, chosen: Parts, problems: Sequence[Problem]) -> bool:
        parts = (*self.prefix, *chosen)
        if self.trial.failing(parts, problems):
            return False
        return self.trial.speaking_against(parts) == ()


def _without(chosen: Parts, dropped: Part) -> Parts:
    return tuple(one for one in chosen if one is not dropped)


def _covers(
    problems: Sequence[Problem], helping: dict[Part, frozenset[Problem]]
) -> Iterator[Parts]:
    """Yield sets of parts that together are rid of all problems, each needed for some."""
    everything = frozenset(problems)
    for size in range(1, MOST_PARTS + 1):
        for chosen in combinations(helping, size):
            if not _go_together(chosen):
                continue
            each = [helping[one] for one in chosen]
            if frozenset().union(*each) == everything and _each_needed(each, everything):
                yield chosen


def _go_together(chosen: Parts) -> bool:
    """Whether no part undoes another one: no place twice, nothing at what a new circuit leaves."""
    if len({one.key for one in chosen}) < len(chosen):
        return False
    left = [one.place for one in chosen if one.kind is Kind.NEW_CIRCUIT]
    others = [one.place for one in chosen if one.kind is not Kind.NEW_CIRCUIT]
    return not left or not any(one.startswith((left[0], "outlet", "cord")) for one in others)


def _each_needed(each: Sequence[frozenset[Problem]], everything: frozenset[Problem]) -> bool:
    if len(each) == 1:
        return True
    return all(
        frozenset().union(*(one for place, one in enumerate(each) if place != dropped))
        != everything
        for dropped in range(len(each))
    )
