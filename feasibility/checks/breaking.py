"""Can each device break the largest fault current where it stands? IEC 60364-4-43, 434.5.1."""

from __future__ import annotations

from collections.abc import Sequence

from feasibility import tables
from feasibility.checks.fault_conductors import FaultKind
from feasibility.checks.fault_path import FaultCurrent, largest_at, largest_live_fault
from feasibility.checks.question import Check, Run, finding, verdict_of
from feasibility.checks.working import amount, given, step
from feasibility.installation.facts import Fact, NotKnown
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.installation.resolve import Resolved
from feasibility.result import Finding, Force, Outcome, Quantity, Step
from feasibility.survey.circuit import Device
from feasibility.survey.device_kinds import ADJUSTABLE_BREAKER, FUSE, MINIATURE_BREAKER

_FILL = {
    FUSE: "device.fuse_breaking_capacity_ka",
    MINIATURE_BREAKER: "device.breaking_capacity_ka",
}
_SERVICE = "service_breaking_capacity_ka"
_SHARE = "device.service_breaking_share"


def _devices(installation: Installation) -> Sequence[Link]:
    return installation.links_of(LinkKind.DEVICE)


def largest_at_device(run: Run, link: Link) -> FaultCurrent:
    """Return the largest fault current that a device can have to break.

    Between live conductors, or in TN to earth where that is known and larger.
    """
    position = max(link.position, 0)
    live = largest_live_fault(run, position)
    system = run.installation.supply.word("earthing_system").options
    if not all(word.startswith("TN") for word in system):
        return live
    try:
        earth = largest_at(run, position, FaultKind.LINE_EARTH)
    except NotKnown:
        return live  # the loop to earth is as long as that of the neutral or longer
    return max(live, earth, key=lambda fault: fault.value_a)


def _capacity(run: Run, data: Resolved) -> Fact[float]:
    kind = run.ends.known(data.word("kind"))
    return data.number("breaking_capacity_ka", fill=_FILL.get(kind, "none"))


def _current(fault: FaultCurrent) -> tuple[Quantity, Quantity]:
    """Return the fault current in kA, and in A as the working ends with it."""
    words = f"largest {fault.kind} fault current"
    return (
        amount("Ik", words, fault.value_a / 1000, "kA"),
        amount(fault.steps[-1].symbol, words, fault.value_a, "A"),
    )


def _in_ka(fault: FaultCurrent) -> Step:
    value, amperes = _current(fault)
    return step("Ik", value.meaning, f"{amperes.symbol} / 1000", [amperes], value.value, "kA")


def _judge(run: Run, link: Link) -> Finding:
    fact = _capacity(run, link.data)
    capacity = run.ends.low_is_bad(fact)
    fault = largest_at_device(run, link)
    value = fault.value_a / 1000
    limit = run.basis.limit("breaking_capacity")
    if value > capacity and link.data.mentions("backed_up_to_ka"):
        return _judge_pairing(run, link, fault, capacity)
    passes = value <= capacity
    template = (
        "The largest fault current at the device, {value} ({kind}), "
        + ("is within" if passes else "exceeds")
        + " its capacity of {bound}."
    )
    outcome = verdict_of(limit, passes=passes)
    lacking: tuple[Fact[float], ...] = ()
    if not passes and _behind_a_fuse(run, link):
        outcome, lacking = Outcome.OPEN, (link.data.number("backed_up_to_ka"),)
        run.needed.update({fact.path: fact for fact in lacking})
        template += " A fuse stands before it: the maker's documented back-up pairing decides."
    return finding(
        BREAKING,
        link,
        limit,
        outcome,
        template,
        {
            "value": _current(fault)[0],
            "kind": fault.kind.value,
            "bound": amount("Icn", "", capacity, "kA"),
        },
        working=(*fault.steps, _in_ka(fault), _rated("Icn", fact, capacity)),
        value=value,
        bound=capacity,
        unit="kA",
        facts=lacking,
    )


def _rated(symbol: str, fact: Fact[float], capacity_ka: float) -> Step:
    inputs = [given(fact, capacity_ka, "I")]
    return step(symbol, "rated short-circuit capacity", "I", inputs, capacity_ka, "kA")


def _behind_a_fuse(run: Run, link: Link) -> bool:
    """Whether a gG fuse stands before the device (IEC 60364-4-43, 434.5.1: back-up protection)."""
    return any(
        device.data.word("kind").options == (FUSE,)
        for device in run.installation.links_of(LinkKind.DEVICE)
        if device.position < link.position
    )


def _judge_pairing(run: Run, link: Link, fault: FaultCurrent, capacity_ka: float) -> Finding:
    """Judge a device that is too weak alone by the maker's back-up table."""
    limit = run.basis.limit("breaking_capacity")
    fact = link.data.number("backed_up_to_ka")
    bound = run.ends.low_is_bad(fact)
    value = fault.value_a / 1000
    passes = value <= bound
    record = link.data.record
    partner = record.backed_up_by if isinstance(record, Device) else None
    assert partner is not None  # noqa: S101 - the survey is refused without it
    template = (
        "The largest fault current at the device, {value} ({kind}), exceeds its own capacity of "
        "{own}; behind {partner} the maker's back-up table permits {bound}, "
        + ("which is enough." if passes else "which is too little.")
    )
    inputs = [given(fact, bound, "I")]
    return finding(
        BREAKING,
        link,
        limit,
        verdict_of(limit, passes=passes),
        template,
        {
            "value": _current(fault)[0],
            "kind": fault.kind.value,
            "own": amount("Icn", "", capacity_ka, "kA"),
            "partner": partner,
            "bound": amount("Ib", "", bound, "kA"),
        },
        working=(
            *fault.steps,
            _in_ka(fault),
            step("Ibu", f"back-up table, behind {partner}", "I", inputs, bound, "kA"),
        ),
        value=value,
        bound=bound,
        unit="kA",
    )


def _breakers(installation: Installation) -> Sequence[Link]:
    """Circuit-breakers with an Ics of their own: by table, by the range, or as stated."""
    kinds = {MINIATURE_BREAKER, ADJUSTABLE_BREAKER}
    return [
        link
        for link in installation.links_of(LinkKind.DEVICE)
        if set(link.data.word("kind").options) <= kinds or link.data.mentions(_SERVICE)
    ]


def _service_capacity(run: Run, data: Resolved) -> Step:
    if data.mentions(_SERVICE):
        fact = data.number(_SERVICE)
        stated = run.ends.low_is_bad(fact)
        inputs = [given(fact, stated, "I")]
        return step("Ics", "service short-circuit capacity", "I", inputs, stated, "kA")
    fact = _capacity(run, data)
    rated = run.ends.low_is_bad(fact)
    if run.ends.known(data.word("kind")) == MINIATURE_BREAKER:
        found = tables.service_breaking_ka(device=MINIATURE_BREAKER, breaking_capacity_ka=rated)
        return step("Ics", found.meaning, "Icst", [found.named("Icst")], found.value, "kA")
    share_fact = data.number(_SERVICE, fill=_SHARE)
    share = run.ends.low_is_bad(share_fact)
    inputs = [given(fact, rated, "Icu"), amount("s", "least share that is usual", share, "")]
    return step("Ics", "service short-circuit capacity", "Icu * s", inputs, share * rated, "kA")


def _judge_service(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("service_breaking_capacity")
    capacity = _service_capacity(run, link.data)
    fault = largest_at_device(run, link)
    value = fault.value_a / 1000
    passes = value <= capacity.result
    template = "The largest fault current at the device, {value} ({kind}), "
    template += (
        "is within its service short-circuit capacity of {bound}."
        if passes
        else "exceeds its service short-circuit capacity of {bound}: after such a fault it may "
        "have to be replaced."
    )
    return finding(
        SERVICE,
        link,
        limit,
        verdict_of(limit, passes=passes),
        template,
        {
            "value": _current(fault)[0],
            "kind": fault.kind.value,
            "bound": amount("Ics", "", capacity.result, "kA"),
        },
        working=(*fault.steps, _in_ka(fault), capacity),
        value=value,
        bound=capacity.result,
        unit="kA",
    )


def _limited_station(installation: Installation) -> Sequence[Link]:
    has = installation.station.mentions("permitted_fault_current_ka")
    return installation.links_of(LinkKind.STATION) if has else []


def _judge_station(run: Run, link: Link) -> Finding:
    fact = link.data.number("permitted_fault_current_ka")
    permitted = run.ends.low_is_bad(fact)
    fault = largest_live_fault(run, len(run.installation.circuits))
    value = fault.value_a / 1000
    limit = run.basis.limit("station_maker")
    passes = value <= permitted
    words = "is within" if passes else "exceeds"
    return finding(
        STATION,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "The largest fault current at the outlet, {value} ({kind}), " + words + " the {bound} that "
        "the station's maker permits.",
        {
            "value": _current(fault)[0],
            "kind": fault.kind.value,
            "bound": amount("Imax", "", permitted, "kA"),
        },
        working=(
            *fault.steps,
            _in_ka(fault),
            step("Imax", "permitted", "I", [given(fact, permitted, "I")], permitted, "kA"),
        ),
        value=value,
        bound=permitted,
        unit="kA",
    )


BREAKING = Check(
    name="breaking-capacity",
    question="Can the device break the largest fault current?",
    links=_devices,
    judge=_judge,
)
SERVICE = Check(
    name="service-breaking-capacity",
    question="Does the device remain fit for service after the largest fault?",
    links=_breakers,
    judge=_judge_service,
    force=Force.PRACTICE,
)
STATION = Check(
    name="station-fault-level",
    question="Is the fault level within what the station's maker permits?",
    links=_limited_station,
    judge=_judge_station,
)

CHECKS = (BREAKING, SERVICE, STATION)
