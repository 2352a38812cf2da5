"""Facts of the arrangement: dedicated circuit, PEN, second source, maker's conditions."""

from __future__ import annotations

from collections.abc import Sequence

from feasibility.checks.loading import device_rating_a
from feasibility.checks.question import Check, Run, finding, verdict_of
from feasibility.checks.working import amount, given
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.result import Finding, Outcome
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


def _judge_pen(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("no_pen")
    system = run.ends.known(run.installation.supply.word("earthing_system"))
    passes = system != "TN-C"
    template = (
        "Earthing system {system}: the circuit of the station has no PEN conductor."
        if passes
        else "Earthing system {system}: the circuit of the station must not contain a PEN."
    )
    return finding(PEN, link, limit, verdict_of(limit, passes=passes), template, {"system": system})


def _final(installation: Installation) -> Sequence[Link]:
    return [installation.final_circuit.link]


def _station(installation: Installation) -> Sequence[Link]:
    return installation.links_of(LinkKind.STATION)


def _judge_feedback(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("station_maker")
    if not run.ends.known(run.installation.station.flag("can_feed_back")):
        words = "The station is declared unable to feed back into the supply."
        return finding(FEEDBACK, link, limit, Outcome.PASS, words)
    words = (
        "The station can feed back into the supply: overload and disconnection with a second "
        "source are beyond this program and need a specialist."
    )
    return finding(FEEDBACK, link, limit, Outcome.OPEN, words)


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
PEN = Check(
    name="no-pen",
    question="Is the circuit free of a PEN conductor?",
    links=_final,
    judge=_judge_pen,
)
FEEDBACK = Check(
    name="feed-back",
    question="Can the station feed back into the supply?",
    links=_station,
    judge=_judge_feedback,
)
UPSTREAM = Check(
    name="upstream-device",
    question="Is the device before the station within what its maker permits?",
    links=_with_upstream_limit,
    judge=_judge_upstream,
)
CHECKS = (DEDICATED, PEN, FEEDBACK, UPSTREAM)
