"""How a check is put: a question, the links it is asked of, and a judge that returns a finding."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from feasibility.checks.operation import UNLIMITED_A, Operation
from feasibility.checks.station_load import Requested, requested_current
from feasibility.checks.working import amount, sources_of, step
from feasibility.code_basis import CodeBasis, Limit
from feasibility.installation.facts import Ends, Fact, NotKnown
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.result import Finding, Force, Message, Outcome, Quantity, Sense, Step

NOISE = 1e-9
"""Sums of currents that meet a rating exactly may exceed it by the noise of binary fractions."""


_UNKNOWN_REQUEST_A = 32.0
"""Where the search for a limit starts if no current is requested; it does not change the result."""


@dataclass(slots=True)
class Run:
    """One run of the catalogue over an installation, at one end of all ranges.

    ``needed`` collects facts that a finding names as deciding although it was judged without them.
    """

    installation: Installation
    ends: Ends
    operation: Operation
    needed: dict[str, Fact[Any]] = field(default_factory=dict)
    _requested: Requested | None = field(default=None)

    @classmethod
    def over(
        cls,
        installation: Installation,
        *,
        favourable: bool,
        settled: Mapping[str, Any] | None = None,
        searches: bool = True,
    ) -> Run:
        """Return a fresh run; ``settled`` holds options of ranges that count alone on trial.

        ``searches = False`` leaves out how much each link would carry.
        """
        ends = Ends(favourable=favourable, settled=settled or {})
        return cls(installation, ends, Operation(installation, ends, searches=searches))

    @property
    def basis(self) -> CodeBasis:
        """Limits and choices."""
        return self.installation.basis

    def requested(self) -> Requested:
        """Return the requested current; NotKnown where the station's data are open."""
        if self._requested is None:
            before = dict(self.ends.used)
            self.ends.used.clear()
            try:
                self._requested = requested_current(self.operation)
            finally:
                noted = dict(self.ends.used)
                self.ends.used.clear()
                self.ends.used.update(before | noted)
            self._requested.facts.update(noted)
        self.ends.note(self._requested.facts.values())
        return self._requested


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One entry of the catalogue.

    ``depends_on_current`` and ``force`` say what an open finding of this check is, when there was
    not enough to judge.
    """

    name: str
    question: str
    links: Callable[[Installation], Sequence[Link]]
    judge: Callable[[Run, Link], Finding]
    depends_on_current: bool = False
    force: Force = Force.REQUIREMENT


def the_station(installation: Installation) -> Sequence[Link]:
    """Return the station as the one link that a question is asked of."""
    return installation.links_of(LinkKind.STATION)


def the_outlet(installation: Installation) -> Sequence[Link]:
    """Return the outlet as the one link that a question is asked of."""
    return installation.links_of(LinkKind.OUTLET)


def verdict_of(limit: Limit, *, passes: bool) -> Outcome:
    """Return pass, or what a breach of a limit of this force is."""
    if passes:
        return Outcome.PASS
    return Outcome.FAIL if limit.force.binds else Outcome.CAUTION


def finding(
    check: Check,
    link: Link,
    limit: Limit,
    outcome: Outcome,
    template: str,
    values: Mapping[str, Quantity | str] | None = None,
    *,
    working: Iterable[Step] = (),
    value: float | None = None,
    bound: float | None = None,
    unit: str = "",
    sense: Sense = Sense.AT_MOST,
    carries_a: float | None = None,
    facts: Iterable[Fact[Any]] = (),
) -> Finding:
    """Return what a check found; ``facts`` are those that would have to be known better."""
    steps = tuple(working)
    return Finding(
        check=check.name,
        question=check.question,
        link=link.name,
        outcome=outcome,
        force=limit.force,
        reason=Message(template=template, values=dict(values or {})),
        value=value if value is not None and math.isfinite(value) else None,
        limit=bound,
        unit=unit,
        sense=sense,
        carries_a=carries_a,
        depends_on_current=check.depends_on_current,
        sources=tuple(dict.fromkeys((limit.citation, *sources_of(steps)))),
        working=steps,
        facts=tuple(fact.path for fact in facts),
    )


def current_finding(
    check: Check,
    link: Link,
    run: Run,
    limit: Limit,
    rating_a: float,
    rating_steps: Iterable[Step],
    what: str,
) -> Finding:
    """Judge the current through a link against ``rating_a`` and say what the station may draw."""
    operation = run.operation
    rating = list(rating_steps)

    def margin(station_a: float) -> float:
        return rating_a - operation.current_through(link.position, station_a)

    try:
        requested = run.requested().current_a
    except NotKnown as missing:
        carries = _carries(run, link, rating_a, margin, _UNKNOWN_REQUEST_A)
        return _request_unknown(check, link, limit, rating, carries, missing)
    value = operation.current_through(link.position, requested)
    carries = _carries(run, link, rating_a, margin, requested)
    steps = [*_current_steps(run, link, requested, value), *rating]
    outcome = verdict_of(limit, passes=value <= rating_a * (1 + NOISE))
    if outcome is Outcome.PASS and carries is not None:
        carries = max(carries, requested)  # the search ends a hair below an exact limit
    compared = "is within" if outcome is Outcome.PASS else "exceeds"
    return finding(
        check,
        link,
        limit,
        outcome,
        "The current of {value} " + compared + " " + what + " of {limit}.",
        {
            "value": amount("Ib", "current", value, "A"),
            "limit": amount("I", what, rating_a, "A"),
        },
        working=steps,
        value=value,
        bound=rating_a,
        unit="A",
        carries_a=carries,
    )


def _request_unknown(
    check: Check,
    link: Link,
    limit: Limit,
    rating: list[Step],
    carries_a: float | None,
    missing: NotKnown,
) -> Finding:
    return finding(
        check,
        link,
        limit,
        Outcome.OPEN,
        "The requested current is not known; not known: {facts}.",
        {"facts": str(missing)},
        working=rating,
        unit="A",
        carries_a=carries_a,
        facts=missing.facts,
    )


def _carries(
    run: Run, link: Link, rating_a: float, margin: Callable[[float], float], start_a: float
) -> float | None:
    if run.operation.carries_only_the_station(link.position):
        return rating_a
    carries = run.operation.largest_current_a(margin, start_a)
    return None if carries >= UNLIMITED_A else carries


def _current_steps(run: Run, link: Link, requested: float, value: float) -> list[Step]:
    operation = run.operation
    station = amount("Is", "requested current of the station", requested, "A")
    if operation.carries_only_the_station(link.position):
        return [step("Ib", f"current through {link.name}", "Is", [station], value, "A")]
    site = amount(
        "Ie",
        "what the existing demand behind this link adds in the worst phase "
        "(phasor sum where its power factor is known, otherwise arithmetic)",
        value - requested,
        "A",
    )
    return [step("Ib", f"current through {link.name}", "Is + Ie", [station, site], value, "A")]
