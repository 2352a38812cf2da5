"""Residual-current devices in series: blinding, standing current, selectivity, delay."""

from __future__ import annotations

from collections.abc import Sequence

from feasibility import tables
from feasibility.checks.disconnection import DISCONNECTION
from feasibility.checks.question import Check, Run, finding, verdict_of
from feasibility.checks.required_time import required_time
from feasibility.checks.residual_current import (
    ALSO_SMOOTH,
    NO_DEVICE,
    covering,
    places,
    present,
    residual_kind,
    smooth_current_is_cut_off,
    suits,
)
from feasibility.checks.working import amount, given, step
from feasibility.installation.model import Installation, Link, PathCircuit
from feasibility.result import Finding, Force, Outcome, Quantity, Sense, Step
from feasibility.survey.circuit import Circuit


def _tolerated(run: Run, link: Link, letter: str) -> tuple[Quantity, Step]:
    """Return the smooth direct current that a device tolerates (IEC 60364-5-53, 531.3.3)."""
    if letter not in ALSO_SMOOTH:
        tolerated = tables.residual_current_rule(
            rule=f"smooth direct current that a type {letter} device tolerates",
            condition="superimposed",
        ).named("Itol")
        return tolerated, step("Imax", "tolerated", "Itol", [tolerated], tolerated.value, "mA")
    rule = "smooth direct current that a type B device tolerates"
    least = tables.residual_current_rule(rule=rule, condition="whichever is higher: this")
    share = tables.residual_current_rule(
        rule=rule, condition="or this share of the rated residual current"
    )
    fact = link.data.number("residual_current_ma")
    rated = run.ends.low_is_bad(fact)
    bound = max(least.value, share.value * rated)
    inputs = [least.named("I0"), share.named("s"), given(fact, rated, "Idn")]
    line = step("Imax", "tolerated", "max(I0, s * Idn)", inputs, bound, "mA")
    return amount("Imax", "tolerated", bound, "mA"), line


def _from_the_station(run: Run, link: Link, letter: str) -> Quantity | None:
    """Return the smooth direct current of the station that reaches a device; None: no limit.

    A device of type B cuts off by itself what it does not tolerate.
    """
    if residual_kind(run) != "smooth direct":
        return amount("Ist", "station, declared to cause none", 0.0, "mA")
    if smooth_current_is_cut_off(run, link):
        return tables.residual_current_rule(
            rule="operating value of a direct-current detector", condition="smooth direct current"
        ).named("Ist", "station, cut off above this")
    if letter in ALSO_SMOOTH:
        return amount("Ist", "station, which this device cuts off by itself", 0.0, "mA")
    return None


def _serves_only_the_station(run: Run, link: Link) -> bool:
    """Whether nothing else can hang on the device: one unit with the circuit's own breaker."""
    circuit = run.installation.circuit_of(link)
    record = circuit.data.record
    taps = record.other_outlet if isinstance(record, Circuit) else ()
    blocked = all(tap.blocked is not None and tap.blocked.value is True for tap in taps)
    nothing = bool(taps) or circuit.data.flag("other_outlets_none").options == (True,)
    combined = link.data.flag("combined").options == (True,)
    return circuit.is_final and combined and blocked and nothing


def _of_others(run: Run, link: Link, field: str, symbol: str) -> Quantity:
    if not link.data.mentions(field) and _serves_only_the_station(run, link):
        return amount(symbol, "nothing else hangs on this device", 0.0, "mA")
    fact = link.data.number(field)
    return given(fact, run.ends.high_is_bad(fact), symbol)


def _judge_blinding(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("direct_current_tolerance")
    if not present(run, link):
        return finding(BLINDING, link, limit, Outcome.NOT_APPLICABLE, NO_DEVICE)
    letter = run.ends.known(link.data.word("type"))
    own = _from_the_station(run, link, letter)
    if own is None:
        return finding(
            BLINDING,
            link,
            limit,
            verdict_of(limit, passes=False),
            "Nothing limits the smooth direct current that the station drives through this device "
            "of {type}; it can blind the device, also for everything else behind it. Only type B, "
            "or detection of 6 mA at the station, may stand here.",
            {"type": f"type {letter}"},
        )
    tolerated, line = _tolerated(run, link, letter)
    others = _of_others(run, link, "other_direct_current_ma", "Ioth")
    total = own.value + others.value
    passes = total <= tolerated.value
    words = "is within" if passes else "exceeds"
    return finding(
        BLINDING,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "Smooth direct current through this device of {type}: {value}, which " + words + " the "
        "{bound} at which it still works.",
        {
            "type": f"type {letter}",
            "value": amount("Idc", "", total, "mA"),
            "bound": amount("Imax", "", tolerated.value, "mA"),
        },
        working=(line, step("Idc", "all behind it", "Ist + Ioth", [own, others], total, "mA")),
        value=total,
        bound=tolerated.value,
        unit="mA",
    )


def _judge_leakage(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("standing_leakage_share")
    if not present(run, link):
        return finding(LEAKAGE, link, limit, Outcome.NOT_APPLICABLE, NO_DEVICE)
    current_fact = run.installation.station.number("protective_conductor_current_ma")
    own = given(current_fact, run.ends.high_is_bad(current_fact), "Ist")
    others = _of_others(run, link, "other_leakage_ma", "Ioth")
    total = own.value + others.value
    rated_fact = link.data.number("residual_current_ma")
    rated = run.ends.low_is_bad(rated_fact)
    share = limit.quantity("s", "advised share of the rated residual current")
    bound = share.value * rated
    passes = total <= bound
    words = "is within" if passes else "exceeds"
    inputs = [share, given(rated_fact, rated, "Idn")]
    return finding(
        LEAKAGE,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "The standing protective-conductor current of the station and of what else hangs on the "
        "device, {value}, " + words + " {bound}, the advised share of the rated residual current.",
        {"value": amount("Ipe", "", total, "mA"), "bound": amount("", "", bound, "mA")},
        working=(
            step("Imax", "advised standing current", "s * Idn", inputs, bound, "mA"),
            step("Ipe", "station and others", "Ist + Ioth", [own, others], total, "mA"),
        ),
        value=total,
        bound=bound,
        unit="mA",
    )


def _may_be_there(link: Link) -> bool:
    return link.data.flag("present").options != (False,)


def _above_another(installation: Installation) -> Sequence[Link]:
    found = [place for place in places(installation) if _may_be_there(place)]
    return found[:-1]


def _judge_selectivity(run: Run, link: Link) -> Finding:
    """Judge 535.3: three times the rated residual current, and later than the one behind it."""
    limit = run.basis.limit("residual_current_selectivity")
    behind = [
        place
        for place in places(run.installation)
        if place.position > link.position and _may_be_there(place) and present(run, place)
    ]
    if not present(run, link) or not behind:
        words = "There is only one residual-current device here."
        return finding(SELECTIVITY, link, limit, Outcome.NOT_APPLICABLE, words)
    nearest = behind[0]
    ratio = tables.residual_current_rule(
        rule="ratio for selectivity",
        condition="rated residual current upstream / downstream, at least",
    ).named("k")
    upper_fact = link.data.number("residual_current_ma")
    lower_fact = nearest.data.number("residual_current_ma")
    upper, lower = run.ends.low_is_bad(upper_fact), run.ends.high_is_bad(lower_fact)
    bound = ratio.value * lower
    line = step(
        "Imin", "least rated residual current", "k * Idn2",
        [ratio, given(lower_fact, lower, "Idn2")], bound, "mA",
    )  # fmt: skip
    if upper < bound:
        return finding(
            SELECTIVITY,
            link,
            limit,
            verdict_of(limit, passes=False),
            "An earth fault at the station can also trip this device, {value}: it is below the "
            "{bound} that selectivity over the one behind it needs.",
            {
                "value": given(upper_fact, upper, "Idn1"),
                "bound": amount("Imin", "", bound, "mA"),
            },
            working=(line,),
            value=upper,
            bound=bound,
            unit="mA",
            sense=Sense.AT_LEAST,
        )
    return _judge_times(run, link, nearest, line)


def _judge_times(run: Run, link: Link, nearest: Link, line: Step) -> Finding:
    limit = run.basis.limit("residual_current_selectivity")
    holds = _holds_s(run, link)
    breaks, steps = _breaks_s(run, nearest)
    passes = holds.value > breaks
    words = "longer than" if passes else "not longer than"
    return finding(
        SELECTIVITY,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "The device before waits {value}, " + words + " the {bound} within which the one behind it "
        "breaks" + ("." if passes else ": an earth fault at the station can trip both."),
        {"value": holds, "bound": amount("tb", "", breaks, "s")},
        working=(
            line,
            *steps,
            step("tw", "the device before waits", "t", [holds], holds.value, "s"),
        ),
        value=holds.value if passes else None,
        bound=breaks if passes else None,
        unit="s" if passes else "",
        sense=Sense.AT_LEAST,
    )


def _holds_s(run: Run, link: Link) -> Quantity:
    """Return how long a device surely does not trip, at twice its rated residual current."""
    delay = run.ends.worst(link.data.word("delay"), lambda word: float(word != "none"))
    if delay == "adjustable":
        fact = link.data.number("delay_s")
        return given(fact, run.ends.low_is_bad(fact), "t")
    if delay == "S":
        return tables.residual_current_rule(
            rule="trip time, type S, at least", condition="2 x rated residual current"
        ).named("t")
    return amount("t", "a device without delay", 0.0, "s")


def _breaks_s(run: Run, link: Link) -> tuple[float, tuple[Step, ...]]:
    """Return within which time a device breaks at five times its rated residual current."""
    delay = run.ends.worst(
        link.data.word("delay"), lambda word: -float(("none", "S", "adjustable").index(word))
    )
    if delay == "adjustable":
        return _adjustable_breaks_s(run, link)
    kind = "type S" if delay == "S" else "general type"
    rule = tables.residual_current_rule(
        rule=f"trip time, {kind}, at most", condition="5 x rated residual current"
    ).named("t5")
    return rule.value, (step("tb", "it breaks within", "t5", [rule], rule.value, "s"),)


def _adjustable_breaks_s(run: Run, link: Link) -> tuple[float, tuple[Step, ...]]:
    fact = link.data.number("delay_s")
    delay = run.ends.high_is_bad(fact)
    allowance = run.basis.limit("adjustable_delay_allowance_s").quantity("dt", "breaking on top")
    value = delay + allowance.value
    inputs = [given(fact, delay, "td"), allowance]
    return value, (step("tb", "it breaks within", "td + dt", inputs, value, "s"),)


def _adjustable(installation: Installation) -> Sequence[Link]:
    return [p for p in places(installation) if "adjustable" in p.data.word("delay").options]


def _judge_time(run: Run, link: Link) -> Finding:
    """Judge whether an adjustable delay leaves the disconnection time of IEC 60364-4-41."""
    limit = run.basis.limit("disconnection")
    if not present(run, link):
        return finding(TIME, link, limit, Outcome.NOT_APPLICABLE, NO_DEVICE)
    circuit = run.installation.circuit_of(link)
    system = run.ends.known(run.installation.supply.word("earthing_system"))
    time = required_time(run, circuit, "TT" if system == "TT" else "TN").named("tmax")
    breaks, steps = _adjustable_breaks_s(run, link)
    values: dict[str, Quantity | str] = {"value": amount("tb", "", breaks, "s"), "bound": time}
    if breaks > time.value and _disconnected_otherwise(run, link, circuit, system):
        words = (
            "The device breaks only within {value}; a fault in its circuit is disconnected within "
            "{bound} without it."
        )
        return finding(TIME, link, limit, Outcome.PASS, words, values, working=steps)
    passes = breaks <= time.value
    words = "within" if passes else "longer than"
    return finding(
        TIME,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "With its set delay the device breaks within {value}, " + words + " the {bound} permitted "
        "for its circuit.",
        values,
        working=steps,
        value=breaks,
        bound=time.value,
        unit="s",
    )


def _disconnected_otherwise(run: Run, link: Link, circuit: PathCircuit, system: str) -> bool:
    """Whether a prompt device before it, or in TN the overcurrent device, disconnects in time."""
    prompt = any(
        present(run, place)
        and "adjustable" not in place.data.word("delay").options
        and suits(run, place)
        for place in covering(run, circuit)
        if place is not link
    )
    if prompt or not system.startswith("TN"):
        return prompt
    return DISCONNECTION.judge(run, circuit.link).outcome is Outcome.PASS


BLINDING = Check(
    name="direct-current-blinding",
    question="Does smooth direct current leave every residual-current device before it working?",
    links=places,
    judge=_judge_blinding,
)
LEAKAGE = Check(
    name="standing-leakage",
    question="Does the standing current to earth leave the residual-current device alone?",
    links=places,
    judge=_judge_leakage,
    force=Force.RECOMMENDATION,
)
SELECTIVITY = Check(
    name="residual-current-selectivity",
    question="Does an earth fault at the station trip only the nearest residual-current device?",
    links=_above_another,
    judge=_judge_selectivity,
    force=Force.RECOMMENDATION,
)
TIME = Check(
    name="residual-current-delay",
    question="Does the delayed residual-current device still disconnect in time?",
    links=_adjustable,
    judge=_judge_time,
)

CHECKS = (BLINDING, LEAKAGE, SELECTIVITY, TIME)
