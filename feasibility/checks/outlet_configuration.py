"""Is the outlet the right one: contacts, clock position, plug, terminals, unplugging under load?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from feasibility import tables
from feasibility.checks.question import Check, Run, finding, verdict_of
from feasibility.checks.working import amount, given, step
from feasibility.installation.facts import Fact
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.installation.resolve import Resolved
from feasibility.result import Finding, Force, Outcome, Quantity, Sense
from feasibility.survey.circuit import Cable, Circuit


def sockets(installation: Installation) -> Sequence[Link]:
    """Return the outlet unless it is a fixed connection."""
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
    texts = [_configuration(*(ends.known(pair[side]) for pair in pairs)) for side in (0, 1)]
    return finding(
        PLUG,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "The plug ({plug}) " + words + " the outlet ({outlet}).",
        {"outlet": texts[0], "plug": texts[1]},
    )


def _configuration(rating_a: float, poles: str, clock: float) -> str:
    return f"{rating_a:g} A, {poles}, {clock:g} h"


def _judge_unplugging(run: Run, link: Link) -> Finding:
    """Ask for an interlock where the contacts must not part under load."""
    limit = run.basis.limit("unplugging_under_load")
    outlet = run.installation.outlet
    least = limit.quantity("In", "from this rating")
    rating = run.ends.high_is_bad(outlet.number("rating_a"))
    if rating < least.value:
        words = "Asked of outlets from {least} only."
        return finding(UNPLUGGING, link, limit, Outcome.NOT_APPLICABLE, words, {"least": least})
    record = run.installation.final_circuit.data.record
    parts = record.part if isinstance(record, Circuit) else ()
    if any(part.kind == "interlocked switch" for part in parts) or (
        outlet.flag("interlocked_switch").options == (True,)
    ):
        words = "A switch interlocked with the outlet keeps the plug from being pulled under load."
        return finding(UNPLUGGING, link, limit, Outcome.PASS, words)
    if outlet.word("pilot_contact").options == ("connected",):
        words = (
            "The pilot contact, which parts before the others, is connected and switches the "
            "circuit off when the plug is pulled."
        )
        return finding(UNPLUGGING, link, limit, Outcome.PASS, words)
    run.ends.known(outlet.flag("interlocked_switch"))
    run.ends.known(outlet.word("pilot_contact"))
    return finding(
        UNPLUGGING,
        link,
        limit,
        verdict_of(limit, passes=False),
        "From {least} an outlet should be interlocked, by a switch or by its pilot contact; this "
        "one is not. Stop the station and switch the circuit off before the plug is pulled.",
        {"least": least},
    )


def _terminated(installation: Installation) -> Sequence[Link]:
    """Return outlet and plug where they have terminals of IEC 60309."""
    if not sockets(installation):
        return []
    return installation.links_of(LinkKind.OUTLET, LinkKind.PLUG)


def _conductor_at(run: Run, link: Link) -> tuple[Resolved, str, str]:
    """Return the cable or cord at the terminals, and the fields of rating and terminals."""
    if link.kind is LinkKind.PLUG:
        return link.data, "plug_rating_a", "plug_terminals"
    return run.installation.final_circuit.cables[-1].data, "rating_a", "terminals"


def _terminal_range(run: Run, link: Link, fields: str, rating_a: float) -> tuple[Quantity, ...]:
    """Return what the terminals take: as marked, else by the table of the standard."""
    marks = [link.data.number(f"{fields}_{end}_mm2") for end in ("from", "to")]
    if not any(mark.is_open for mark in marks):
        low, high = run.ends.high_is_bad(marks[0]), run.ends.low_is_bad(marks[1])
        return given(marks[0], low, "Smin"), given(marks[1], high, "Smax")
    flexible = link.kind is LinkKind.PLUG
    low_table, high_table = tables.terminal_sections(rating_a=rating_a, flexible=flexible)
    return low_table.named("Smin"), high_table.named("Smax")


def _in_parallel(run: Run, conductor: Resolved) -> bool:
    """Whether several cables may end at the same terminals; a cord never does."""
    cable = conductor.record
    if not isinstance(cable, Cable):
        return False
    return bool(cable.parallel_cable) or run.ends.high_is_bad(conductor.number("in_parallel")) > 1


def _judge_terminals(run: Run, link: Link) -> Finding:
    """Compare the conductor's section with what the terminals take: own marking, or the standard.

    The standard's table is a least range: outside of it the marking of the accessory decides.
    """
    limit = run.basis.limit("terminal_range")
    conductor, rating_field, fields = _conductor_at(run, link)
    fact = conductor.number("section_mm2")
    if _in_parallel(run, conductor):
        words = (
            "Several conductors in parallel end at the terminals; whether these take them together "
            "has to be read from the accessory."
        )
        return finding(TERMINALS, link, limit, Outcome.OPEN, words)
    rating = run.ends.known(link.data.number(rating_field))
    low, high = _terminal_range(run, link, fields, rating)
    marked = not low.sources
    section = run.ends.worst(fact, lambda value: min(value - low.value, high.value - value))
    passes = low.value <= section <= high.value
    too_thin = section < low.value
    bound = low if too_thin else high
    template = (
        "Its terminals take {low} to {high}; the conductor of {value} fits."
        if passes
        else "Its terminals take {low} to {high}; the conductor of {value} does not fit."
        if marked
        else "Terminals of the standard take at least {low} to {high}; whether these take the "
        "conductor of {value} has to be read from the accessory."
    )
    conductors = given(fact, section, "Sc")
    return finding(
        TERMINALS,
        link,
        limit,
        verdict_of(limit, passes=passes) if passes or marked else Outcome.OPEN,
        template,
        {"low": low, "high": high, "value": conductors},
        working=(
            step(bound.symbol, "limit", "S0", [bound.named("S0")], bound.value, "mm²"),
            step("S", "conductor", "Sc", [conductors], section, "mm²"),
        ),
        value=section,
        bound=bound.value,
        unit="mm²",
        sense=Sense.AT_LEAST if too_thin else Sense.AT_MOST,
    )


CONTACTS = Check(
    name="outlet-configuration",
    question="Do contacts and clock position belong to the voltage?",
    links=sockets,
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
UNPLUGGING = Check(
    name="unplugging-under-load",
    question="Is the plug kept from being pulled under load?",
    links=sockets,
    judge=_judge_unplugging,
    force=Force.RECOMMENDATION,
)
TERMINALS = Check(
    name="terminal-range",
    question="Do the terminals take the conductor?",
    links=_terminated,
    judge=_judge_terminals,
)
CHECKS = (CONTACTS, POLES, PLUG, TERMINALS, UNPLUGGING)
