"""Facts of the arrangement: contacts, dedicated circuit, PEN, second source, maker's conditions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from feasibility import tables
from feasibility.checks.loading import device_rating_a
from feasibility.checks.question import Check, Run, finding, verdict_of
from feasibility.checks.working import amount, given
from feasibility.installation.facts import Fact
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.result import Finding, Outcome, Quantity
from feasibility.survey.circuit import Circuit


def _sockets(installation: Installation) -> Sequence[Link]:
    if installation.outlet.word("kind").options == ("fixed connection",):
        return []
    return installation.links_of(LinkKind.OUTLET)


def _judge_contacts(run: Run, link: Link) -> Finding:
    """Compare poles and clock position with voltage and frequency (IEC 60309-2)."""
    limit = run.basis.limit("outlet_configuration")
    ends, outlet, supply = run.ends, run.installation.outlet, run.installation.supply
    poles = ends.known(outlet.word("poles"))
    clock = ends.known(outlet.number("clock_position"))
    frequencies = supply.number("frequency_hz")
    ends.note((frequencies,))
    voltage = run.operation.nominal_voltage_v
    at_contacts = voltage / 3**0.5 if poles == "2P+E" else voltage
    fitting = [
        {
            one.clock_position
            for one in tables.industrial_outlet(
                poles=poles, voltage_v=round(at_contacts), frequency_hz=int(frequency)
            )
        }
        for frequency in frequencies.options
    ]
    clocks = sorted(set.intersection(*fitting) if fitting else set())
    passes = clock in clocks
    values: dict[str, Quantity | str] = {
        "outlet": f"{poles}, {clock:g} h",
        "voltage": amount("U", "", at_contacts, "V"),
        "clocks": " or ".join(f"{one} h" for one in clocks) or "no tabulated position",
    }
    template = (
        "The outlet {outlet} belongs to {voltage}."
        if passes
        else "The outlet {outlet} does not belong to {voltage}: {clocks} would."
    )
    return finding(CONTACTS, link, limit, verdict_of(limit, passes=passes), template, values)


def _judge_poles(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("outlet_configuration")
    ends, station = run.ends, run.installation.station
    poles = ends.known(run.installation.outlet.word("poles"))
    three = ends.known(station.word("phases")) == "L1L2L3"
    neutral = ends.bad_if(station.flag("needs_neutral"), bad=True) if three else True
    enough = not three or poles.startswith("3P")
    has_neutral = poles in ("3P+N+E", "2P+E")
    passes = enough and (has_neutral or not neutral)
    need = ("three phases" if three else "one phase") + (" and neutral" if neutral else "")
    words = "has" if passes else "does not have"
    return finding(
        POLES,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "The station needs {need}; the connection ({poles}) " + words + " them.",
        {"need": need, "poles": poles},
    )


def _plugs(installation: Installation) -> Sequence[Link]:
    return installation.links_of(LinkKind.PLUG)


def _judge_plug(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("outlet_configuration")
    ends, outlet, cord = run.ends, run.installation.outlet, link.data
    pairs: tuple[tuple[Fact[Any], Fact[Any]], ...] = (
        (outlet.number("rating_a"), cord.number("plug_rating_a")),
        (outlet.word("poles"), cord.word("plug_poles")),
        (outlet.number("clock_position"), cord.number("plug_clock_position")),
    )
    passes = all(ends.known(first) == ends.known(second) for first, second in pairs)
    words = "fits" if passes else "does not fit"
    texts = [" ".join(_plain(ends.known(pair[side])) for pair in pairs) for side in (0, 1)]
    return finding(
        PLUG,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "The plug ({plug}) " + words + " the outlet ({outlet}).",
        {"outlet": texts[0], "plug": texts[1]},
    )


def _plain(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)


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


CONTACTS = Check(
    name="outlet-configuration",
    question="Do contacts and clock position belong to the voltage?",
    links=_sockets,
    judge=_judge_contacts,
)
POLES = Check(
    name="poles",
    question="Does the connection have the conductors that the station needs?",
    links=lambda installation: installation.links_of(LinkKind.OUTLET),
    judge=_judge_poles,
)
PLUG = Check(
    name="plug-fit", question="Does the plug fit the outlet?", links=_plugs, judge=_judge_plug
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
CHECKS = (CONTACTS, POLES, PLUG, DEDICATED, PEN, FEEDBACK, UPSTREAM)
