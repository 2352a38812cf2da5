"""Remedies at what the site draws beside the station, and at the service that feeds it all."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from feasibility import tables
from feasibility.installation.model import DemandAt, Installation, Link, LinkKind
from feasibility.remedies.record import Kind, Part
from feasibility.remedies.values import HYPOTHETICAL, Ladder, figure, forget, known, part, put
from feasibility.result import Message, Quantity
from feasibility.survey.changes import Change

LEAST_SHARE = 0.3
"""Load management is proposed down to this share of the present demand (our own rule): below it
the site's own use would no longer be served."""

_STEPS = 8
_LEVELS = 30
_PHASES = ("maximum_l1_a", "maximum_l2_a", "maximum_l3_a")


def less_demand(installation: Installation, link: Link) -> Iterator[Ladder]:
    """Yield loads moved between the phases and load management, at each board behind a link."""
    for demand in installation.demands:
        stated = _stated(demand)
        if demand.node <= link.position or demand.logged is not None or stated is None:
            continue
        place = _place_of(demand)
        if not place.endswith(".demand"):
            continue  # an outlet on the circuit: it counts at its rating unless it is blocked
        if demand.phase_a is not None and len({fact.path for fact in demand.phase_a}) > 1:
            yield from _moved(demand, place, stated)
        yield _managed(demand, place, stated)


def _stated(demand: DemandAt) -> Sequence[float] | None:
    """Return the figures that the survey gives of a demand, None unless each is one figure."""
    facts = demand.phase_a if demand.phase_a is not None else (demand.power_kw,)
    figures = [fact.options for fact in facts if fact is not None]
    if not figures or any(len(options) != 1 for options in figures):
        return None
    return [float(options[0]) for options in figures]


def _place_of(demand: DemandAt) -> str:
    fact = demand.phase_a[0] if demand.phase_a is not None else demand.power_kw
    return "" if fact is None else fact.path.rpartition(".")[0]


def _moved(demand: DemandAt, place: str, stated: Sequence[float]) -> Iterator[Ladder]:
    even = math.ceil(10 * sum(stated) / len(stated)) / 10
    if max(stated) - even < 1:
        return
    words = (
        "Move single-phase loads of {where} between the phases until none draws more than "
        "{level}; measure again."
    )
    yield [
        Part(
            kind=Kind.MOVED_LOADS,
            place=place,
            link=demand.where,
            words=_message(words, demand, figure(even, "A")),
            changes=tuple(_assumed(f"{place}.{field}", even) for field in _PHASES),
        )
    ]


def _managed(demand: DemandAt, place: str, stated: Sequence[float]) -> Ladder:
    present = max(stated)
    least = present * LEAST_SHARE
    step = max(1, math.ceil(present / _LEVELS))
    levels = range(math.ceil(present) - 1, math.ceil(least) - 1, -step)
    by_phase = len({fact.path for fact in demand.phase_a or ()}) > 1
    field = "maximum_kw" if demand.phase_a is None else "maximum_a"
    words = (
        "Load management that keeps the other loads of {where} at or below {level} while the "
        "station charges, and whenever it fails itself."
    )
    return [
        Part(
            kind=Kind.LOAD_MANAGEMENT,
            place=place,
            link=demand.where,
            words=_message(words, demand, figure(level, "kW" if field == "maximum_kw" else "A")),
            changes=tuple(
                _assumed(f"{place}.{name}", min(level, value))
                for name, value in zip(_PHASES if by_phase else (field,), stated, strict=False)
            ),
        )
        for level in levels
    ]


def _message(template: str, demand: DemandAt, level: Quantity) -> Message:
    return Message(template=template, values={"where": demand.where, "level": level})


def _assumed(place: str, value: float) -> Change:
    return Change(place=place, value={"value": value, "known": "assumed", "note": HYPOTHETICAL})


def enlarged_service(failing: Sequence[Link]) -> Ladder:
    """Return services of the next larger ratings, as far as their pieces fail."""
    pieces = [link for link in failing if link.kind in _SERVICE_FIELD]
    if not pieces:
        return []
    present = [_rating(link) for link in pieces]
    smallest = min((one for one in present if one is not None), default=None)
    if smallest is None:
        return []
    ratings = [one for one in tables.standard_device_ratings(device="gG fuse") if one > smallest]
    return [_service(pieces, one) for one in ratings[:_STEPS]]


_SERVICE_FIELD = {
    LinkKind.CONTRACT: "contracted_current_a",
    LinkKind.METERING: "metering_continuous_a",
    LinkKind.DEVICE: "rating_a",
}


def _rating(link: Link) -> float | None:
    rating = known(link.data.number(_SERVICE_FIELD[link.kind]))
    if rating is not None or link.kind is not LinkKind.CONTRACT:
        return rating
    power = known(link.data.number("contracted_power_kva"))
    voltage = known(link.data.number("nominal_voltage_v"))
    return None if power is None or voltage is None else 1000 * power / (math.sqrt(3) * voltage)


def _service(pieces: Sequence[Link], rating_a: float) -> Part:
    changes: tuple[Change, ...] = ()
    for link in pieces:
        changes += put(link.data, **{_SERVICE_FIELD[link.kind]: rating_a})
        if link.kind is LinkKind.DEVICE:
            changes += forget(link.data, "continuous_a", "temperature_factor", "let_through_a2s")
        if link.kind is LinkKind.CONTRACT:
            changes += forget(link.data, "contracted_power_kva")
    names = " and ".join(link.name for link in pieces)
    words = "Have the network operator enlarge the service ({pieces}) to {rating}."
    return part(
        Kind.ENLARGED_SERVICE,
        pieces[0],
        words,
        {"pieces": names, "rating": figure(rating_a, "A")},
        changes,
        place="supply",
    )


def service_links(installation: Installation) -> tuple[Link, ...]:
    """Return contract, metering place and service device."""
    return tuple(
        link for link in installation.links if link.data.path in ("supply", "supply.service_device")
    )
