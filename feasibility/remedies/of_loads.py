"""Remedies at what the site draws beside the station, and at the service that feeds it all."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from feasibility import tables
from feasibility.installation.model import DemandAt, Installation, Link, LinkKind
from feasibility.remedies.record import Kind, Part
from feasibility.remedies.values import HYPOTHETICAL, Ladder, figure, forget, known, part, put
from feasibility.result import Message, Quantity
from feasibility.survey.changes import Change
from feasibility.survey.demand import Demand

LEAST_SHARE = 0.3
"""Load management is proposed down to this share of the present demand (our own rule): below it
the site's own use would no longer be served."""

_LEVELS = 30
_KEPT_OF_A_DEMAND = ("power_factor", "net_of_generation")
_PHASES = ("maximum_l1_a", "maximum_l2_a", "maximum_l3_a")


def less_demand(installation: Installation, link: Link) -> Iterator[Ladder]:
    """Yield loads moved between the phases and load management, at each board behind a link."""
    for board in _boards(installation):
        if board.node > link.position:
            yield from _moved(board)
            yield _managed(board)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Board:
    """A board with what it draws beside the station: its place in the survey, its worst phase."""

    place: str
    name: str
    record: Demand
    node: int
    worst_a: float


def _boards(installation: Installation) -> Iterator[_Board]:
    """Yield each board whose demand is known, the origin too; ranges count at their highest."""
    survey = installation.survey
    records = [
        (f"board[{number}].demand", board.name, board.demand)
        for number, board in enumerate(survey.board, start=1)
    ]
    records.append(("supply.demand", "the supply", survey.supply.demand))
    voltage = known(installation.supply.number("nominal_voltage_v"))
    for place, name, record in records:
        drawn = [one for one in installation.demands if _place_of(one).startswith(place)]
        if record is None or not drawn or voltage is None:
            continue
        each = [_worst_a(one, voltage / math.sqrt(3)) for one in drawn]
        if None not in each:
            worst_a = sum(one or 0.0 for one in each)
            node = drawn[0].node
            yield _Board(place=place, name=name, record=record, node=node, worst_a=worst_a)


def _place_of(demand: DemandAt) -> str:
    if demand.logged is not None:
        return demand.logged.path
    return "" if demand.declared is None else demand.declared.path


def _worst_a(demand: DemandAt, voltage_v: float) -> float | None:
    """Return the most that the worst phase draws; None where a figure is open."""
    facts = demand.phase_a or demand.phase_kw or (demand.power_kw,)
    options = [fact.options for fact in (*facts, *demand.factors) if fact is not None]
    if not all(options):
        return None
    share = math.prod(max(factor.options) for factor in demand.factors)
    figure_of = max(max(fact.options) for fact in facts if fact is not None)
    if demand.phase_a is not None:
        return share * figure_of
    phases = 1 if demand.phase_kw is not None else 3
    lowest = min(demand.power_factor.options, default=1.0)
    return share * 1000 * figure_of / phases / lowest / voltage_v


def _moved(board: _Board) -> Iterator[Ladder]:
    stated = [getattr(board.record, field) for field in _PHASES]
    values = [one.value for one in stated if one is not None and one.value is not None]
    if len(values) < len(_PHASES) or board.record.diversity_factor is not None:
        return
    even = math.ceil(10 * sum(values) / len(values)) / 10
    if max(values) - even < 1:
        return
    words = (
        "Move single-phase loads of {where} between the phases until none draws more than "
        "{level}; measure again."
    )
    changes = tuple(_assumed(f"{board.place}.{field}", even) for field in _PHASES)
    yield [_at_board(Kind.MOVED_LOADS, board, words, even, changes)]


def _managed(board: _Board) -> Ladder:
    """Return load management in falling levels; it counts as a maximum of its own."""
    present = board.worst_a
    least = math.ceil(present * LEAST_SHARE)
    levels = range(math.ceil(present) - 1, least - 1, -max(1, math.ceil(present / _LEVELS)))
    words = (
        "Load management that keeps the other loads of {where} at or below {level} per phase while "
        "the station charges, also when the load management itself fails."
    )
    return [
        _at_board(Kind.LOAD_MANAGEMENT, board, words, level, (_capped(board, level),))
        for level in levels
        if level > 0
    ]


def _capped(board: _Board, level_a: float) -> Change:
    """Return the demand with a maximum in place of all its figures; a smaller phase stays so."""
    kept = {
        field: value
        for field, value in board.record.model_dump(exclude_none=True).items()
        if field in _KEPT_OF_A_DEMAND
    }
    stated = {field: getattr(board.record, field) for field in _PHASES}
    by_phase = board.record.diversity_factor is None and all(
        one is not None and one.value is not None for one in stated.values()
    )
    figures = (
        {field: min(level_a, one.value) for field, one in stated.items()}
        if by_phase
        else {"maximum_a": level_a}
    )
    capped = {field: _labelled(value) for field, value in figures.items()}
    return Change(place=board.place, value=kept | capped)


def _at_board(
    kind: Kind, board: _Board, words: str, level_a: float, changes: tuple[Change, ...]
) -> Part:
    values: dict[str, Quantity | str] = {"where": board.name, "level": figure(level_a, "A")}
    message = Message(template=words, values=values)
    return Part(kind=kind, place=board.place, link=board.name, words=message, changes=changes)


def _assumed(place: str, value: float) -> Change:
    return Change(place=place, value=_labelled(value))


def _labelled(value: float) -> dict[str, object]:
    return {"value": value, "known": "assumed", "note": HYPOTHETICAL}


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
    return [_service(pieces, one) for one in ratings]


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
