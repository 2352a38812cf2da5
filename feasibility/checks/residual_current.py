"""Residual-current protection: is the required device there, and does it suit a rectifier?"""

from __future__ import annotations

from collections.abc import Sequence

from feasibility.checks.question import Check, Run, finding, the_outlet, verdict_of
from feasibility.checks.working import amount
from feasibility.code_basis import Limit
from feasibility.installation.model import Installation, Link, LinkKind, PathCircuit
from feasibility.result import Finding, Outcome

ALSO_SMOOTH = ("B", "B+")
"""Types that detect smooth direct residual current themselves (IEC 62423; DIN VDE 0664-400)."""

_KINDS = ("alternating", "pulsating", "smooth direct")
_RANKS = ("AC", "A", "F", "B", "B+")


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
    return _suits(run, link, run.ends.known(link.data.word("type")))[0]


def residual_kind(run: Run) -> str:
    """Return the worst kind of residual current that the station can cause."""
    fact = run.installation.station.word("residual_current_kind")
    return run.ends.worst(fact, lambda word: -float(_KINDS.index(word)))


def smooth_current_is_cut_off(run: Run, link: Link) -> bool:
    """Whether the station, this device or one nearer to it cuts off smooth direct current at 6 mA.

    IEC 62955 describes such detectors.
    """
    if run.ends.bad_if(run.installation.station.flag("direct_current_detection"), bad=False):
        return True
    nearer = (
        circuit.residual_current_device
        for circuit in run.installation.circuits
        if circuit.position >= link.position
    )
    return any(
        place.data.flag("present").options == (True,)
        and run.ends.known(place.data.flag("direct_current_detection"))
        for place in nearer
    )


def undelayed(run: Run, link: Link) -> bool:
    """Whether the device trips without an intended delay."""
    word = run.ends.worst(link.data.word("delay"), lambda delay: float(delay == "none"))
    return word == "none"


def _demanded(run: Run) -> Limit | None:
    """Return the limit by which the outlet needs a residual-current device, or None."""
    outlet = run.installation.outlet
    if run.ends.known(outlet.word("kind")) != "IEC 60309":
        return None
    rating = run.ends.low_is_bad(outlet.number("rating_a"))
    if rating <= run.basis.number("additional_protection_outlet_a"):
        return run.basis.limit("additional_protection")
    if run.ends.bad_if(outlet.flag("building_site"), bad=True):
        return run.basis.limit("building_site_residual_current")
    return None


def _judge_presence(run: Run, link: Link) -> Finding:
    limit = _demanded(run)
    if limit is None:
        bound = run.basis.number("additional_protection_outlet_a")
        return finding(
            PRESENCE,
            link,
            run.basis.limit("additional_protection"),
            Outcome.NOT_APPLICABLE,
            "Additional protection by 30 mA is required for socket-outlets up to {bound}, and a "
            "device for larger ones on building sites; the station's manual or a national rule "
            "may still ask for one.",
            {"bound": amount("In", "", bound, "A")},
        )
    additional = limit.key == "additional_protection"
    permitted = limit.quantity("Idn", "largest rated residual current")
    devices = [d for d in covering(run, run.installation.final_circuit) if present(run, d)]
    rated = [(run.ends.high_is_bad(d.data.number("residual_current_ma")), d) for d in devices]
    sensitive = [value for value, device in rated if value <= permitted.value]
    prompt = [
        value
        for value, device in rated
        if value <= permitted.value and (not additional or undelayed(run, device))
    ]
    if not rated:
        words = "The outlet needs a residual-current device of at most {bound}; there is none."
    elif prompt:
        words = "The most sensitive residual-current device, {value}, meets the required {bound}."
    elif sensitive:
        words = (
            "The residual-current device of {value} is time-delayed: additional protection by "
            "{bound} needs one that trips without delay."
        )
    else:
        words = "The most sensitive residual-current device, {value}, misses the required {bound}."
    least = min(prompt or sensitive or [value for value, _ in rated], default=None)
    compared = bool(rated) and (bool(prompt) or not sensitive)
    return finding(
        PRESENCE,
        link,
        limit,
        verdict_of(limit, passes=bool(prompt)),
        words,
        {"bound": permitted} | ({} if least is None else {"value": amount("Idn", "", least, "mA")}),
        value=least if compared else None,
        bound=permitted.value if compared else None,
        unit="mA" if compared else "",
    )


def _circuits(installation: Installation) -> Sequence[Link]:
    return [circuit.link for circuit in installation.circuits]


def _judge_fire(run: Run, link: Link) -> Finding:
    """Judge IEC 60364-4-42, 422.3.9: at most 300 mA where there is a risk of fire."""
    limit = run.basis.limit("fire_residual_current")
    circuit = run.installation.circuits[link.position]
    risk = circuit.data.flag("fire_risk")
    if risk.options == (False,):
        return finding(FIRE, link, limit, Outcome.NOT_APPLICABLE, _NO_FIRE_RISK)
    permitted = limit.quantity("Idn", "largest rated residual current")
    rated = [
        run.ends.high_is_bad(device.data.number("residual_current_ma"))
        for device in covering(run, circuit)
        if present(run, device)
    ]
    least = min(rated, default=None)
    passes = least is not None and least <= permitted.value
    if not passes and not run.ends.bad_if(risk, bad=True):
        return finding(FIRE, link, limit, Outcome.NOT_APPLICABLE, _NO_FIRE_RISK)
    if least is None:
        words = (
            "The circuit ends in or passes through a place with a risk of fire: it needs a "
            "residual-current device of at most {bound}; there is none."
        )
        return finding(
            FIRE, link, limit, verdict_of(limit, passes=False), words, {"bound": permitted}
        )
    words = "meets" if passes else "misses"
    return finding(
        FIRE,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "The most sensitive residual-current device, {value}, " + words + " the {bound} required "
        "where there is a risk of fire.",
        {"bound": permitted, "value": amount("Idn", "", least, "mA")},
        value=least,
        bound=permitted.value,
        unit="mA",
    )


_NO_FIRE_RISK = "The survey states no particular risk of fire along this circuit."


def places(installation: Installation) -> Sequence[Link]:
    """Return the places of residual-current devices along the feed path."""
    return [circuit.residual_current_device for circuit in installation.circuits]


def _judge_type(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("residual_current_type")
    if not present(run, link):
        return finding(TYPE, link, limit, Outcome.NOT_APPLICABLE, NO_DEVICE)
    letter = run.ends.known(link.data.word("type"))
    passes, template = _suits(run, link, letter)
    return finding(
        TYPE, link, limit, verdict_of(limit, passes=passes), template, {"type": f"type {letter}"}
    )


NO_DEVICE = "There is no residual-current device here."


def _suits(run: Run, link: Link, letter: str) -> tuple[bool, str]:
    if letter in ALSO_SMOOTH:
        return True, "A residual-current device of {type} also detects smooth direct current."
    kind = residual_kind(run)
    if letter == "AC":
        return kind == "alternating", (
            "The station is declared to cause alternating residual current only; {type} suits it."
            if kind == "alternating"
            else "A residual-current device of {type} does not detect the residual currents of a "
            "rectifier and can be blinded by them."
        )
    if kind != "smooth direct":
        return True, (
            "The station is declared to cause no smooth direct residual current; {type} suits it."
        )
    if smooth_current_is_cut_off(run, link):
        return True, (
            "Smooth direct residual current above 6 mA is detected and cut off at the station or "
            "on the way to it; {type} suits what remains."
        )
    return False, (
        "The station can cause smooth direct residual current, which blinds a device of {type}; "
        "type B is needed here and before it."
    )


def _with_manual(installation: Installation) -> Sequence[Link]:
    asks = installation.station.mentions("required_residual_current_type")
    return installation.links_of(LinkKind.STATION) if asks else []


def _judge_manual(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("station_maker")
    required = run.ends.known(link.data.word("required_residual_current_type"))
    devices = [d for d in covering(run, run.installation.final_circuit) if present(run, d)]
    letters = [run.ends.known(device.data.word("type")) for device in devices]
    passes = any(_RANKS.index(letter) >= _RANKS.index(required) for letter in letters)
    found = f"there is type {' and type '.join(letters)}" if letters else "there is none"
    return finding(
        MANUAL,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "The station's manual asks for a residual-current device of {required}; {found}, which "
        + ("serves." if passes else "does not serve."),
        {"required": f"type {required}", "found": found},
    )


PRESENCE = Check(
    name="residual-current-presence",
    question="Is the required residual-current device there?",
    links=the_outlet,
    judge=_judge_presence,
)
FIRE = Check(
    name="fire-protection",
    question="Is the circuit protected by a residual-current device where fire is a risk?",
    links=_circuits,
    judge=_judge_fire,
)
TYPE = Check(
    name="residual-current-type",
    question="Does the residual-current device suit a rectifier?",
    links=places,
    judge=_judge_type,
)
MANUAL = Check(
    name="residual-current-by-manual",
    question="Is the residual-current device there that the station's manual asks for?",
    links=_with_manual,
    judge=_judge_manual,
)

CHECKS = (PRESENCE, FIRE, TYPE, MANUAL)
