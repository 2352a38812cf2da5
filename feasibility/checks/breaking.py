"""Can each device break the largest fault current where it stands? IEC 60364-4-43, 434.5.1."""

from __future__ import annotations

from collections.abc import Sequence

from feasibility.checks.fault_path import largest_fault
from feasibility.checks.question import Check, Run, finding, verdict_of
from feasibility.checks.working import amount, given, step
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.result import Finding, Outcome

_FILL = {
    "gG fuse": "device.fuse_breaking_capacity_ka",
    "IEC 60898-1 circuit-breaker": "device.breaking_capacity_ka",
}


def _devices(installation: Installation) -> Sequence[Link]:
    return installation.links_of(LinkKind.DEVICE)


def _behind_a_fuse(run: Run, link: Link) -> bool:
    """Whether a gG fuse stands before the device (IEC 60364-4-43, 434.5.1: back-up protection)."""
    return any(
        device.data.word("kind").options == ("gG fuse",)
        for device in run.installation.links_of(LinkKind.DEVICE)
        if device.position < link.position
    )


def _judge(run: Run, link: Link) -> Finding:
    kind = run.ends.known(link.data.word("kind"))
    fact = link.data.number("breaking_capacity_ka", fill=_FILL.get(kind, "none"))
    capacity = run.ends.low_is_bad(fact)
    fault = largest_fault(run, max(link.position, 0))
    value = fault.value_a / 1000
    limit = run.basis.limit("breaking_capacity")
    passes = value <= capacity
    words = "is within" if passes else "exceeds"
    outcome = verdict_of(limit, passes=passes)
    template = "The largest fault current at the device, {value}, " + words + " its capacity of "
    template += "{bound}."
    if not passes and _behind_a_fuse(run, link):
        outcome = Outcome.OPEN
        template += " A fuse stands before it: the maker's documented back-up pairing decides."
    return finding(
        BREAKING,
        link,
        limit,
        outcome,
        template,
        {"value": amount("Ik3max", "", value, "kA"), "bound": amount("Icn", "", capacity, "kA")},
        working=(
            *fault.steps,
            step(
                "Icn",
                "rated short-circuit capacity",
                "I",
                [given(fact, capacity, "I")],
                capacity,
                "kA",
            ),
        ),
        value=value,
        bound=capacity,
        unit="kA",
    )


def _limited_station(installation: Installation) -> Sequence[Link]:
    has = installation.station.mentions("permitted_fault_current_ka")
    return installation.links_of(LinkKind.STATION) if has else []


def _judge_station(run: Run, link: Link) -> Finding:
    fact = link.data.number("permitted_fault_current_ka")
    permitted = run.ends.low_is_bad(fact)
    fault = largest_fault(run, len(run.installation.circuits))
    value = fault.value_a / 1000
    limit = run.basis.limit("station_maker")
    passes = value <= permitted
    words = "is within" if passes else "exceeds"
    return finding(
        STATION,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "The largest fault current at the outlet, {value}, " + words + " the {bound} that the "
        "station's maker permits.",
        {"value": amount("Ik3max", "", value, "kA"), "bound": amount("Imax", "", permitted, "kA")},
        working=(
            *fault.steps,
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
STATION = Check(
    name="station-fault-level",
    question="Is the fault level within what the station's maker permits?",
    links=_limited_station,
    judge=_judge_station,
)

CHECKS = (BREAKING, STATION)
