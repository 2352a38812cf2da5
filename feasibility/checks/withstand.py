"""Do the live conductors withstand a fault until the device has operated?

IEC 60364-4-43, 434.5.2: I2t <= k2S2 at every current between the smallest fault at the far end and
the largest one at the start. Where the device may take longer than 5 s the formula does not hold:
such currents are overloads, and 433.1 covers them where the same device protects against overload
(435.1).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from feasibility.checks.device_energy import deciding_facts
from feasibility.checks.fault_conductors import FaultKind
from feasibility.checks.fault_heating import (
    LIVE,
    Heating,
    Withstand,
    exceeded_words,
    heating,
    range_values,
    ranged_facts,
    withstand_of,
)
from feasibility.checks.fault_path import (
    FaultCurrent,
    end_of,
    largest_at,
    largest_live_fault,
    smallest_at,
    smallest_earth_fault,
    smallest_live_fault,
)
from feasibility.checks.overload_cover import protects_against_overload
from feasibility.checks.parallel_cables import unequal_cables
from feasibility.checks.question import Check, Run, finding, verdict_of
from feasibility.code_basis import Limit
from feasibility.installation.facts import Fact, NotKnown
from feasibility.installation.model import Installation, Link, LinkKind, PathCircuit
from feasibility.result import Finding, Outcome
from feasibility.tables import NotTabulated


def _cables(installation: Installation) -> Sequence[Link]:
    return installation.links_of(LinkKind.CABLE, LinkKind.CORD)


def _with_own_neutral(installation: Installation) -> Sequence[Link]:
    cables = installation.links_of(LinkKind.CABLE)
    return [link for link in cables if link.data.mentions("neutral_section_mm2")]


def _judge_line(run: Run, link: Link) -> Finding:
    smallest = _smallest_in_line(run, run.installation.circuit_of(link))
    largest = largest_live_fault(run, link.position)
    withstand = _weakest(run, link, "section_mm2")
    return _judge_conductor(run, LINE, link, withstand, smallest, largest)


def _judge_neutral(run: Run, link: Link) -> Finding:
    fact = link.data.number("neutral_section_mm2")
    section = run.ends.low_is_bad(fact)
    limit = run.basis.limit("short_circuit_withstand")
    if section <= 0:
        words = "There is no neutral in this piece of cable."
        return finding(NEUTRAL, link, limit, Outcome.NOT_APPLICABLE, words)
    if section >= run.ends.high_is_bad(link.data.number("section_mm2")):
        words = "The neutral is not smaller than the line conductors and is judged with them."
        return finding(NEUTRAL, link, limit, Outcome.NOT_APPLICABLE, words)
    node = end_of(run.installation.circuit_of(link))
    smallest = _if_known(lambda: smallest_at(run, node, FaultKind.LINE_NEUTRAL))
    largest = largest_at(run, link.position, FaultKind.LINE_NEUTRAL)
    withstand = _weakest(run, link, "neutral_section_mm2")
    return _judge_conductor(run, NEUTRAL, link, withstand, smallest, largest)


def _weakest(run: Run, link: Link, field: str) -> Withstand:
    """Return what the conductor withstands; of cables in parallel the weakest single one.

    IEC 60364-4-43, 434.4: a fault close to the start of one of them takes nearly the whole current
    through it.
    """
    found = []
    for branch in (link, *unequal_cables(link)):
        fact = branch.data.number(field)
        section = run.ends.low_is_bad(fact)
        if section > 0:
            found.append(withstand_of(run, branch, fact, section, LIVE))
    return min(found, key=lambda one: one.permitted_a2s)


def _smallest_in_line(run: Run, circuit: PathCircuit) -> FaultCurrent | None:
    """Return the smallest fault current that heats a line conductor, None where it is not known.

    In TN an earth fault heats it too. In TT it is small and ended by the residual-current device;
    in IT the second of two earth faults may be smaller than any that is computed here.
    """
    systems = run.installation.supply.word("earthing_system").options
    live = _if_known(lambda: smallest_live_fault(run, circuit))
    if live is None or systems == ("TT",):
        return live
    if not systems or not all(word.startswith("TN") for word in systems):
        return None
    earth = _if_known(lambda: smallest_earth_fault(run, circuit))
    return None if earth is None else min(live, earth, key=lambda fault: fault.value_a)


def _if_known(fault: Callable[[], FaultCurrent]) -> FaultCurrent | None:
    try:
        return fault()
    except (NotKnown, NotTabulated):
        return None


def _judge_conductor(
    run: Run,
    check: Check,
    link: Link,
    withstand: Withstand,
    smallest: FaultCurrent | None,
    largest: FaultCurrent,
) -> Finding:
    bound = withstand.permitted_a2s
    found = heating(run, link, smallest, largest, bound)
    limit = run.basis.limit("short_circuit_withstand")
    outcome, words, facts = _answer(run, check, link, limit, found, bound)
    return finding(
        check,
        link,
        limit,
        outcome,
        words,
        range_values(found, bound),
        working=(*withstand.steps, *found.steps),
        value=found.greatest.energy_a2s if found.greatest.passed else None,
        bound=bound,
        unit="A²s",
        facts=facts,
    )


def _answer(
    run: Run, check: Check, link: Link, limit: Limit, found: Heating, bound_a2s: float
) -> tuple[Outcome, str, tuple[Fact[object], ...]]:
    device = run.installation.circuit_of(link).device
    if found.greatest.energy_a2s > bound_a2s and found.certain:
        return verdict_of(limit, passes=False), exceeded_words(found), ()
    if found.greatest.energy_a2s > bound_a2s:
        return Outcome.OPEN, _PERHAPS, (*deciding_facts(run, device), *ranged_facts(run))
    if found.greatest.passed is None:
        return Outcome.OPEN, _NEVER, ranged_facts(run)
    words = _RANGE if found.smallest else _ANY
    if found.greatest.slow_up_to_a is None:
        return Outcome.PASS, words, ()
    # A smaller neutral is no conductor that the rating of the device was chosen for.
    if check is LINE and protects_against_overload(run, link):
        return Outcome.PASS, words + _COVERED, ()
    return Outcome.OPEN, _SLOW, ranged_facts(run)


_RANGE = (
    "At any fault current from {smallest} to {largest} at most {energy} passes ({device}); the "
    "conductor withstands {bound}."
)
_ANY = (
    "At any fault current up to {largest} at most {energy} passes ({device}); the conductor "
    "withstands {bound}."
)
_COVERED = " Up to {slow} the device may take longer than 5 s: there it protects against overload."
_NEVER = (
    "Up to the largest fault current of {largest} nothing shows that the device operates within "
    "5 s: a device that trips sooner, or the maker's curve of this one, is needed."
)
_SLOW = (
    "Up to {slow} the device may take longer than 5 s, and as overload protection it is too large "
    "for this conductor: a device that trips sooner, or a larger conductor, is needed."
)
_PERHAPS = (
    "By the limits of the standards up to {energy} may pass ({device}), more than the {bound} that "
    "the conductor withstands; the maker's let-through energy at this fault level decides."
)


LINE = Check(
    name="short-circuit-withstand",
    question="Does the cable withstand a short-circuit until the device has operated?",
    links=_cables,
    judge=_judge_line,
)
NEUTRAL = Check(
    name="neutral-withstand",
    question="Does the smaller neutral withstand a short-circuit until the device has operated?",
    links=_with_own_neutral,
    judge=_judge_neutral,
)

CHECKS = (LINE, NEUTRAL)
