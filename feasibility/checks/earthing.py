"""The PEN conductor: none in the station's circuit, enough of it before, and what if it breaks."""

from __future__ import annotations

from collections.abc import Sequence

from feasibility.checks.question import Check, Run, finding, the_station, verdict_of
from feasibility.checks.working import given
from feasibility.installation.facts import NotKnown
from feasibility.installation.model import Installation, Link
from feasibility.result import Finding, Force, Outcome, Sense


def _final(installation: Installation) -> Sequence[Link]:
    return [installation.final_circuit.link]


def _judge_pen(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("no_pen")
    system = run.ends.known(run.installation.supply.word("earthing_system"))
    values = {"system": system}
    if system == "TN-C":
        words = "Earthing system {system}: the circuit of the station must not contain a PEN."
        return finding(PEN, link, limit, verdict_of(limit, passes=False), words, values)
    fact = run.installation.final_circuit.data.flag("pen_conductor")
    passes = not run.ends.known(fact) if system == "TN-C-S" or fact.options else True
    words = (
        "Earthing system {system}: the circuit of the station has no PEN conductor."
        if passes
        else "Neutral and protective conductor are one conductor in the circuit of the station: it "
        "must have both."
    )
    return finding(PEN, link, limit, verdict_of(limit, passes=passes), words, values)


def _may_have_pen(installation: Installation) -> Sequence[Link]:
    """Return the cables before the final circuit, where the system may have a PEN conductor."""
    if set(installation.supply.word("earthing_system").options).isdisjoint(("TN-C", "TN-C-S")):
        return []
    return [link for circuit in installation.circuits[:-1] for link in circuit.cables]


def _judge_section(run: Run, link: Link) -> Finding:
    """Judge the least section of a PEN conductor (IEC 60364-5-54, 543.4.1)."""
    flag = run.installation.circuit_of(link).data.flag("pen_conductor")
    conductor = run.ends.worst(
        link.data.word("conductor"), lambda word: -float(word == "aluminium")
    )
    key = "pen_section_copper_mm2" if conductor == "copper" else "pen_section_aluminium_mm2"
    limit = run.basis.limit(key)
    if flag.options == (False,):
        words = "Neutral and protective conductor are separate here."
        return finding(SECTION, link, limit, Outcome.NOT_APPLICABLE, words)
    least = limit.quantity("Smin", "least section of a PEN conductor")
    fact = link.data.number("protective_section_mm2")
    section = run.ends.low_is_bad(fact)
    passes = section >= least.value
    if not passes and flag.is_open:
        raise NotKnown((flag,))
    words = "meets" if passes else "misses"
    return finding(
        SECTION,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "As a PEN conductor {value} of {conductor} " + words + " the {least} that one must have.",
        {"value": given(fact, section, "S"), "conductor": conductor, "least": least},
        value=section,
        bound=least.value,
        unit="mm²",
        sense=Sense.AT_LEAST,
    )


def _places(installation: Installation) -> Sequence[Link]:
    """Return the places of residual-current devices, where the system may have a PEN conductor."""
    if set(installation.supply.word("earthing_system").options).isdisjoint(("TN-C", "TN-C-S")):
        return []
    return [
        circuit.residual_current_device
        for circuit in installation.circuits
        if circuit.residual_current_device.data.flag("present").options != (False,)
    ]


def _judge_through_device(run: Run, link: Link) -> Finding:
    """Refuse a PEN conductor through a residual-current device (IEC 60364-5-53, 531.3.1)."""
    limit = run.basis.limit("no_pen_through_residual_current_device")
    if not run.ends.known(link.data.flag("present")):
        words = "There is no residual-current device here."
        return finding(THROUGH, link, limit, Outcome.NOT_APPLICABLE, words)
    pen = run.ends.known(run.installation.circuit_of(link).data.flag("pen_conductor"))
    words = (
        "A residual-current device cannot work in a circuit with a PEN conductor."
        if pen
        else "The circuit behind the residual-current device has no PEN conductor."
    )
    return finding(THROUGH, link, limit, verdict_of(limit, passes=not pen), words)


def _judge_loss(run: Run, link: Link) -> Finding:
    """Ask what protects persons outdoors if the PEN conductor of the network breaks."""
    limit = run.basis.limit("pen_loss")
    system = run.ends.known(run.installation.supply.word("earthing_system"))
    if system not in ("TN-C-S", "TN-C"):
        words = "Earthing system {system}: no PEN conductor that could break."
        return finding(LOSS, link, limit, Outcome.NOT_APPLICABLE, words, {"system": system})
    location = run.installation.outlet.word("location")
    if run.ends.worst(location, lambda word: -float(word == "outdoors")) != "outdoors":
        words = "Asked outdoors only, where persons stand on the ground beside the vehicle."
        return finding(LOSS, link, limit, Outcome.NOT_APPLICABLE, words)
    measure = run.ends.known(run.installation.supply.word("pen_loss_measure"))
    passes = measure != "none"
    words = (
        "If the PEN conductor breaks, {measure} protects persons at the station and the vehicle."
        if passes
        else "If the PEN conductor of the network breaks, station and vehicle can take up a "
        "dangerous voltage against the ground; nothing is provided against it. The code basis "
        "advises a measure; some countries require one."
    )
    return finding(LOSS, link, limit, verdict_of(limit, passes=passes), words, {"measure": measure})


PEN = Check(
    name="no-pen",
    question="Is the circuit free of a PEN conductor?",
    links=_final,
    judge=_judge_pen,
)
SECTION = Check(
    name="pen-section",
    question="Is the PEN conductor before it large enough?",
    links=_may_have_pen,
    judge=_judge_section,
)
THROUGH = Check(
    name="pen-through-device",
    question="Is no PEN conductor behind a residual-current device?",
    links=_places,
    judge=_judge_through_device,
)
LOSS = Check(
    name="pen-loss",
    question="What protects persons if the PEN conductor breaks?",
    links=the_station,
    judge=_judge_loss,
    force=Force.RECOMMENDATION,
)
CHECKS = (PEN, SECTION, THROUGH, LOSS)
