"""Residual-current protection: is the required device there, and does it suit a rectifier?"""

from __future__ import annotations

from collections.abc import Sequence

from feasibility.checks.question import Check, Run, finding, verdict_of
from feasibility.checks.working import amount, given, step
from feasibility.installation.model import Installation, Link, LinkKind, PathCircuit
from feasibility.result import Finding, Force, Outcome


def covering(run: Run, circuit: PathCircuit) -> tuple[Link, ...]:
    """Return the places of residual-current devices through which a circuit is fed."""
    return tuple(
        other.residual_current_device
        for other in run.installation.circuits
        if other.position <= circuit.position
    )


def present(run: Run, link: Link) -> bool:
    """Whether the device is there; NotKnown where nobody looked."""
    return run.ends.known(link.data.flag("present"))


def suits(run: Run, link: Link) -> bool:
    """Whether the device's type suits the station; NotKnown where the type is open."""
    return _suits(run, run.ends.known(link.data.word("type")))[0]


def _outlet(installation: Installation) -> Sequence[Link]:
    return installation.links_of(LinkKind.OUTLET)


def _judge_presence(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("additional_protection")
    outlet = run.installation.outlet
    rating = run.ends.low_is_bad(outlet.number("rating_a"))
    bound = run.basis.number("additional_protection_outlet_a")
    if run.ends.known(outlet.word("kind")) != "IEC 60309" or rating > bound:
        return finding(
            PRESENCE,
            link,
            limit,
            Outcome.NOT_APPLICABLE,
            "Additional protection by 30 mA is required for socket-outlets up to {bound}; the "
            "station's manual or a national rule may still ask for a device.",
            {"bound": amount("In", "", bound, "A")},
        )
    devices = covering(run, run.installation.final_circuit)
    ratings = [
        run.ends.high_is_bad(device.data.number("residual_current_ma"))
        for device in devices
        if present(run, device)
    ]
    permitted = limit.quantity("Idn30", "largest rated residual current").value
    if not ratings:
        return finding(
            PRESENCE,
            link,
            limit,
            verdict_of(limit, passes=False),
            "The outlet needs a residual-current device of at most {bound}; there is none.",
            {"bound": amount("Idn", "", permitted, "mA")},
        )
    least = min(ratings)
    passes = least <= permitted
    words = "meets" if passes else "misses"
    return finding(
        PRESENCE,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "The most sensitive residual-current device, {value}, " + words + " the required {bound}.",
        {"value": amount("Idn", "", least, "mA"), "bound": amount("Idn", "", permitted, "mA")},
        value=least,
        bound=permitted,
        unit="mA",
    )


def _places(installation: Installation) -> Sequence[Link]:
    return [circuit.residual_current_device for circuit in installation.circuits]


def _judge_type(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("residual_current_type")
    if not present(run, link):
        words = "There is no residual-current device here."
        return finding(TYPE, link, limit, Outcome.NOT_APPLICABLE, words)
    letter = run.ends.known(link.data.word("type"))
    passes, template = _suits(run, letter)
    return finding(
        TYPE, link, limit, verdict_of(limit, passes=passes), template, {"type": f"type {letter}"}
    )


def _suits(run: Run, letter: str) -> tuple[bool, str]:
    station, ends = run.installation.station, run.ends
    if letter == "B":
        return True, "A residual-current device of {type} also detects smooth direct current."
    if letter == "AC":
        return False, (
            "A residual-current device of {type} does not detect the residual currents of a "
            "rectifier and can be blinded by them."
        )
    kind = ends.worst(
        station.word("residual_current_kind"), lambda word: -float(word == "smooth direct")
    )
    if kind != "smooth direct":
        return True, (
            "The station is declared to cause no smooth direct residual current; {type} suits it."
        )
    if ends.bad_if(station.flag("direct_current_detection"), bad=False):
        return True, (
            "The station detects and cuts off smooth direct residual current above 6 mA itself; "
            "{type} is not blinded."
        )
    return False, (
        "The station can cause smooth direct residual current, which blinds a device of {type}; "
        "type B is needed here and before it."
    )


def _judge_leakage(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("standing_leakage_share")
    if not present(run, link):
        words = "There is no residual-current device here."
        return finding(LEAKAGE, link, limit, Outcome.NOT_APPLICABLE, words)
    current_fact = run.installation.station.number("protective_conductor_current_ma")
    current = run.ends.high_is_bad(current_fact)
    rated_fact = link.data.number("residual_current_ma")
    rated = run.ends.low_is_bad(rated_fact)
    share = limit.quantity("s", "advised share of the rated residual current")
    bound = share.value * rated
    passes = current <= bound
    words = "is within" if passes else "exceeds"
    inputs = [share, given(rated_fact, rated, "Idn")]
    return finding(
        LEAKAGE,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "The station's standing protective-conductor current of {value} " + words + " {bound}, the "
        "advised share of the device's rated residual current.",
        {"value": given(current_fact, current, "Ipe"), "bound": amount("", "", bound, "mA")},
        working=(
            step("Imax", "advised standing current", "s * Idn", inputs, bound, "mA"),
            step("Ipe", "station", "I", [given(current_fact, current, "I")], current, "mA"),
        ),
        value=current,
        bound=bound,
        unit="mA",
    )


PRESENCE = Check(
    name="residual-current-presence",
    question="Is the required residual-current device there?",
    links=_outlet,
    judge=_judge_presence,
)
TYPE = Check(
    name="residual-current-type",
    question="Does the residual-current device suit a rectifier?",
    links=_places,
    judge=_judge_type,
)
LEAKAGE = Check(
    name="standing-leakage",
    question="Does the standing current to earth leave the residual-current device alone?",
    links=_places,
    judge=_judge_leakage,
    force=Force.RECOMMENDATION,
)

CHECKS = (PRESENCE, TYPE, LEAKAGE)
