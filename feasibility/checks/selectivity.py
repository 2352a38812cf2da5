"""Does only the device next to a fault operate? Judged for each two devices in series.

The definitions of IEC 60947-2, 2.17 (from memory): the selectivity limit current is where the total
time-current characteristic of the device on the load side meets the one of the other device.
Selectivity is no safety requirement, so nothing here can fail.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from feasibility import tables
from feasibility.checks.devices_in_series import (
    DeviceEdge,
    Pair,
    pairs,
    quick_edge_of,
    slow_edge_of,
)
from feasibility.checks.fault_path import FaultCurrent, largest_fault
from feasibility.checks.held_energy import HeldEnergy, held_energy
from feasibility.checks.loading import device_rating_a
from feasibility.checks.question import Check, Run, finding
from feasibility.checks.working import amount, given, step
from feasibility.curves.edges import (
    Piece,
    Span,
    holds_up_to_a,
    piece_below,
    where_slower,
    without,
)
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.result import Finding, Force, Outcome, Quantity, Sense, Step
from feasibility.survey.circuit import Device
from feasibility.survey.device_kinds import (
    ADJUSTABLE_BREAKER,
    FUSE,
    MINIATURE_BREAKER,
    SELECTIVE_BREAKER,
)

LOOKED_UP_TO_A = 100_000.0
"""Beyond every fault current of a low-voltage site."""

_BREAKERS = {MINIATURE_BREAKER, ADJUSTABLE_BREAKER, SELECTIVE_BREAKER}

_TABLE_DECIDES = "above it the makers' selectivity table decides."
_HELD = (
    " In a short-circuit this device lets through at most {energy}, which does not melt "
    "{upstream}: that needs at least {melting}."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """How far two devices are selective by their bands.

    ``sure_a``: the first current at which the upstream device may operate before the other has.
    ``overlaps``: where that is so. ``release_a``: up to here the upstream device surely holds a
    short-circuit for the time of its last test point.
    """

    slow: DeviceEdge
    quick: DeviceEdge
    sure_a: float
    overlaps: tuple[Span, ...]
    release_a: float
    held: HeldEnergy | None

    @property
    def reversed(self) -> bool:
        """Whether the upstream device may operate where the other one need not at all."""
        return self.sure_a < self.slow.points[0].current_a

    @property
    def again_up_to_a(self) -> float | None:
        """Where selectivity ends again, if the bands part behind a first overlap."""
        return self.overlaps[1].from_a if len(self.overlaps) > 1 else None


def _downstream(installation: Installation) -> Sequence[Link]:
    return [pair.downstream for pair in pairs(installation)]


def _pair(installation: Installation, link: Link) -> Pair:
    (pair,) = [one for one in pairs(installation) if one.downstream.name == link.name]
    return pair


def reach_of(run: Run, pair: Pair, fault_a: float) -> Reach:
    """Return how far two devices are selective; NotKnown where the band of one is open."""
    slow, quick = slow_edge_of(run, pair.downstream), quick_edge_of(run, pair.upstream)
    overlaps = where_slower(slow.points, quick.points, up_to_a=LOOKED_UP_TO_A)
    held = held_energy(run, pair, fault_a)
    if held is not None and held.up_to_a > slow.points[-1].current_a:
        overlaps = without(overlaps, Span(from_a=slow.points[-1].current_a, to_a=held.up_to_a))
    return Reach(
        slow=slow,
        quick=quick,
        sure_a=overlaps[0].from_a if overlaps else LOOKED_UP_TO_A,
        overlaps=overlaps,
        release_a=holds_up_to_a(quick.points, slow.points[-1].time_s),
        held=held,
    )


def _judge(run: Run, link: Link) -> Finding:
    pair = _pair(run.installation, link)
    fault = largest_fault(run, pair.fault_position)
    if link.data.has("selective_up_to_ka"):
        return _by_makers_table(run, pair, fault)
    kinds = [run.ends.known(one.data.word("kind")) for one in (pair.upstream, pair.downstream)]
    if kinds == [FUSE, FUSE] and (found := _by_energy(run, pair, fault)):
        return found
    reach = reach_of(run, pair, fault.value_a)
    if set(kinds) <= _BREAKERS and reach.release_a > reach.sure_a and not reach.reversed:
        ratio = _ratio(run, pair)
        if ratio.value >= run.basis.number("selectivity_breaker_ratio"):
            return _by_ratio(run, pair, fault, reach, ratio)
    return _by_bands(run, pair, fault, reach)


def _found(
    run: Run,
    pair: Pair,
    fault: FaultCurrent,
    up_to_a: float | None,
    template: str,
    values: dict[str, Quantity | str],
    steps: Sequence[Step],
) -> Finding:
    """Return the finding; ``up_to_a`` is None where selectivity has no limit."""
    total = up_to_a is None or up_to_a >= fault.value_a
    return finding(
        SELECTIVITY,
        pair.downstream,
        run.basis.limit("selectivity"),
        Outcome.PASS if total else Outcome.CAUTION,
        template,
        {
            "upstream": _named(pair.upstream),
            "fault": amount("Ik3max", "", fault.value_a, "A"),
            **({} if up_to_a is None else {"up_to": amount("Is", "", up_to_a, "A")}),
            **values,
        },
        working=(*fault.steps, *steps),
        value=up_to_a,
        bound=None if up_to_a is None else fault.value_a,
        unit="A",
        sense=Sense.AT_LEAST,
    )


def _named(device: Link) -> str:
    """Return a device in words for a sentence."""
    return device.data.label if device.kind is LinkKind.DEVICE else "the station's own device"


def _by_makers_table(run: Run, pair: Pair, fault: FaultCurrent) -> Finding:
    fact = pair.downstream.data.number("selective_up_to_ka")
    up_to = run.ends.low_is_bad(fact)
    record = pair.downstream.data.record
    told = record.selective_with if isinstance(record, Device) else None
    inputs = [given(fact, up_to, "Ist")]
    meaning = "selective up to here by the maker's table"
    line = step("Is", meaning, "1000 * Ist", inputs, 1000 * up_to, "A")
    template = (
        "By the maker's table, as surveyed for {told} before it, selective up to {up_to}, "
        + ("as much as" if 1000 * up_to >= fault.value_a else "less than")
        + " the {fault} that can flow here."
    )
    return _found(run, pair, fault, 1000 * up_to, template, {"told": told or "the device"}, [line])


def _by_energy(run: Run, pair: Pair, fault: FaultCurrent) -> Finding | None:
    """Judge two gG fuses by their I2t; None where the smaller one's is too large or not tabulated.

    IEC 60269-1 and 60269-2: the limits are graded so that ratings of 1.6 : 1 are selective.
    """
    before_a = run.ends.low_is_bad(pair.upstream.data.number("rating_a"))
    after_a = run.ends.high_is_bad(pair.downstream.data.number("rating_a"))
    try:
        melting = tables.fuse_energy(rating_a=before_a).system_a_prearcing_min.named("Eu")
        operating = tables.fuse_energy(rating_a=after_a).system_a_operating_max.named("Ed")
    except tables.NotTabulated:
        return None
    if melting.value < operating.value:
        return None
    melts = f"smallest pre-arcing I2t of {_named(pair.upstream)}"
    lets = f"largest operating I2t of {_named(pair.downstream)}"
    steps = (
        step("Emin", melts, "Eu", [melting], melting.value, "A2s"),
        step("Emax", lets, "Ed", [operating], operating.value, "A2s"),
    )
    template = (
        "Selective with {upstream} for every fault current: the {operating} that this fuse lets "
        "through at most do not melt {upstream}, which needs at least {melting} (gG fuses graded "
        "1.6 : 1)."
    )
    values: dict[str, Quantity | str] = {"operating": operating, "melting": melting}
    return _found(run, pair, fault, None, template, values, steps)


def _ratio(run: Run, pair: Pair) -> Quantity:
    before = device_rating_a(run, pair.upstream, high_is_bad=False)
    after = device_rating_a(run, pair.downstream, high_is_bad=True)
    return amount("r", "ratio of the ratings or settings", before / after, "")


def _by_ratio(run: Run, pair: Pair, fault: FaultCurrent, reach: Reach, ratio: Quantity) -> Finding:
    """Judge two circuit-breakers: overload by the ratio, short-circuit by the release."""
    least = run.basis.limit("selectivity_breaker_ratio").quantity("rmin", "least ratio")
    up_to = reach.release_a
    before = device_rating_a(run, pair.upstream, high_is_bad=False)
    after = device_rating_a(run, pair.downstream, high_is_bad=True)
    inputs = [
        amount("Iu", f"rating or setting of {_named(pair.upstream)}", before, "A"),
        amount("Id", f"rating or setting of {_named(pair.downstream)}", after, "A"),
    ]
    held = amount("Ih", "held for as long as the other one takes at most", up_to, "A")
    holds = f"up to here {_named(pair.upstream)} surely holds"
    steps = (
        step("r", "ratio of the ratings or settings", "Iu / Id", inputs, ratio.value, ""),
        step("r1", "practice in the overload range", "rmin", [least], least.value, ""),
        step("Is", holds, "Ih", [held], up_to, "A", reach.quick.sources),
    )
    if up_to >= fault.value_a:
        template = (
            "Selective with {upstream} for every current up to the {fault} that can flow here: the "
            "short-circuit release of that holds up to {up_to}."
        )
    else:
        template = (
            "Selective with {upstream} up to {up_to}, where the short-circuit release of that may "
            "begin to act, of the {fault} that can flow here; "
        ) + _TABLE_DECIDES
    template += (
        " In the overload range the standards' tolerance bands overlap from {sure} on; practice "
        "counts a ratio of the ratings of {least} or more as selective there, and it is {ratio}."
    )
    values: dict[str, Quantity | str] = {
        "ratio": ratio,
        "least": least,
        "sure": amount("I0", "", reach.sure_a, "A"),
    }
    return _found(run, pair, fault, up_to, template, values, steps)


def _by_bands(run: Run, pair: Pair, fault: FaultCurrent, reach: Reach) -> Finding:
    values: dict[str, Quantity | str] = {}
    if reach.sure_a >= fault.value_a:
        template = (
            "Selective with {upstream}: for every current up to the {fault} that can flow here "
            "this device has operated before {upstream} may."
        )
    elif reach.reversed:
        template = (
            "Not selective with {upstream}: already in an overload, from {up_to} on, {upstream} "
            "may operate first."
        )
    elif reach.again_up_to_a is not None and reach.overlaps[0].to_a < fault.value_a:
        values["end"] = amount("Ie", "", reach.overlaps[0].to_a, "A")
        values["again"] = amount("Ia", "", min(reach.again_up_to_a, fault.value_a), "A")
        template = (
            "Surely selective with {upstream} up to {up_to}; from there to {end}, in the overload "
            "range, the tolerance bands of the standards overlap and the makers' curves decide. "
        )
        template += (
            "Beyond, surely selective up to the {fault} that can flow here."
            if reach.again_up_to_a >= fault.value_a
            else "Beyond, surely selective up to {again} of the {fault} that can flow here; "
            + _TABLE_DECIDES
        )
    else:
        template = (
            "Surely selective with {upstream} up to {up_to} of the {fault} that can flow here; "
        ) + _TABLE_DECIDES
    steps = _meeting(pair, reach)
    if reach.held is not None:
        template += _HELD
        values["energy"] = amount("E", "", reach.held.energy_a2s, "A²s")
        values["melting"] = reach.held.melting
        steps = (*reach.held.steps, *steps)
    return _found(run, pair, fault, reach.sure_a, template, values, steps)


def _meeting(pair: Pair, reach: Reach) -> tuple[Step, ...]:
    """Write down both times at the current where selectivity ends."""
    by_energy = reach.held is not None and reach.sure_a == reach.held.up_to_a
    words = "where the edges of the two bands meet, or end"
    if by_energy:
        words = "up to here the energy let through is known"
    meeting = amount("I0", words, reach.sure_a, "A")
    before, after = _named(pair.upstream), _named(pair.downstream)
    meaning = f"smallest current at which {before} may operate before {after} has"
    steps = [step("Is", meaning, "I0", [meeting], reach.sure_a, "A")]
    if by_energy:
        return tuple(steps)
    kept_s = reach.slow.points[-1].time_s
    for symbol, meaning, edge, beyond_s in (
        ("td", f"{after} has operated by then: {reach.slow.origin}", reach.slow, kept_s),
        ("tu", f"{before} holds for so long: {reach.quick.origin}", reach.quick, 0.0),
    ):
        piece = piece_below(edge.points, reach.sure_a, beyond_s=beyond_s)
        if math.isfinite(piece.start.time_s):
            steps.append(_time(symbol, meaning, piece, reach.sure_a, edge))
    return tuple(steps)


def _time(symbol: str, meaning: str, piece: Piece, current_a: float, edge: DeviceEdge) -> Step:
    start = amount("t1", "time at the point of the edge before it", piece.start.time_s, "s")
    if not piece.exponent:
        return step(symbol, meaning, "t1", [start], piece.start.time_s, "s", edge.sources)
    inputs = [
        start,
        amount("I1", "current at that point", piece.start.current_a, "A"),
        amount("Is", "current where selectivity ends", current_a, "A"),
        amount("n", "slope to the next point in double logarithm", piece.exponent, ""),
    ]
    result = piece.time_s(current_a)
    return step(symbol, meaning, "t1 * (I1 / Is) ** n", inputs, result, "s", edge.sources)


SELECTIVITY = Check(
    name="selectivity",
    question="Does only the device next to a fault operate?",
    links=_downstream,
    judge=_judge,
    force=Force.RECOMMENDATION,
)

CHECKS = (SELECTIVITY,)
