"""Facts of the arrangement: dedicated circuit, maker's conditions, surge protection."""

from __future__ import annotations

from collections.abc import Sequence

from feasibility.checks.loading import device_rating_a
from feasibility.checks.question import Check, Run, finding, the_station, verdict_of
from feasibility.checks.working import amount, given
from feasibility.installation.facts import NotKnown
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.result import Finding, Force, Outcome
from feasibility.survey.circuit import Circuit


def _circuits(installation: Installation) -> Sequence[Link]:
    return [circuit.link for circuit in installation.circuits]


def _judge_dedicated(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("dedicated_circuit")
    circuit = run.installation.circuits[link.position]
    record = circuit.data.record
    taps = record.other_outlet if isinstance(record, Circuit) else ()
    live = [tap.name for tap in taps if tap.blocked is None or tap.blocked.value is not True]
    if not taps and not run.ends.known(circuit.data.flag("other_outlets_none")):
        words = "The survey says that there are other outlets or taps but lists none."
        return finding(DEDICATED, link, limit, Outcome.OPEN, words)
    if not circuit.is_final:
        words = "Outlets and taps on this circuit are listed and counted at their ratings."
        return finding(DEDICATED, link, limit, Outcome.PASS, words)
    if not live:
        words = "Nothing but the station can draw from this circuit."
        return finding(DEDICATED, link, limit, Outcome.PASS, words)
    return finding(
        DEDICATED,
        link,
        limit,
        verdict_of(limit, passes=False),
        "The circuit is not dedicated to the station: {taps} can draw too, counted at the rating.",
        {"taps": ", ".join(live)},
    )


def _judge_surge(run: Run, link: Link) -> Finding:
    """Ask for a surge protective device on the way (IEC 60364-4-44, 443)."""
    limit = run.basis.limit("surge_protection")
    places = [place for place in run.installation.feeding_places if place.on_path]
    facts = [place.data.flag("surge_protection") for place in places]
    if any(fact.options == (True,) for fact in facts):
        words = "A surge protective device is fitted on the way to the station."
        return finding(SURGE, link, limit, Outcome.PASS, words)
    missing = [fact for fact in facts if fact.is_open]
    if missing:
        raise NotKnown(missing)
    words = (
        "No surge protective device is fitted at the origin or at a board on the way: a surge from "
        "the network reaches the station's electronics."
    )
    return finding(SURGE, link, limit, verdict_of(limit, passes=False), words)


def _with_upstream_limit(installation: Installation) -> Sequence[Link]:
    has = installation.station.mentions("largest_upstream_device_a")
    return installation.links_of(LinkKind.STATION) if has else []


def _judge_upstream(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("station_maker")
    fact = link.data.number("largest_upstream_device_a")
    permitted = run.ends.low_is_bad(fact)
    device = run.installation.final_circuit.device
    rating = device_rating_a(run, device, high_is_bad=True)
    passes = rating <= permitted
    words = "is within" if passes else "exceeds"
    return finding(
        UPSTREAM,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "The device before the station, {value}, " + words + " the {bound} its maker permits.",
        {"value": amount("In", "", rating, "A"), "bound": given(fact, permitted, "Imax")},
        value=rating,
        bound=permitted,
        unit="A",
    )


DEDICATED = Check(
    name="dedicated-circuit",
    question="Can anything else draw from the circuit?",
    links=_circuits,
    judge=_judge_dedicated,
)
SURGE = Check(
    name="surge-protection",
    question="Is the station protected against surges from the network?",
    links=the_station,
    judge=_judge_surge,
    force=Force.RECOMMENDATION,
)
UPSTREAM = Check(
    name="upstream-device",
    question="Is the device before the station within what its maker permits?",
    links=_with_upstream_limit,
    judge=_judge_upstream,
)
CHECKS = (DEDICATED, UPSTREAM, SURGE)
