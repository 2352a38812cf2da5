"""The two edges of a band as lines in double logarithm, and the currents at which two bands meet.

At its test points a band is sure. Between them the slow edge (operated at the latest) and the quick
edge (holds at the least) are drawn so that they stay on the careful side of any real device: what
loses heat needs no more energy for a larger current, so the time falls at least with the square of
the current. Three pieces are straight between their points instead: the slow edge of an overload
release, since its curve is hollow in double logarithm, and both edges of a fuse, whose zones the
standard itself draws through the gates (IEC 60269-2, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from feasibility.curves.bands import CurvePoint, TripBand
from feasibility.units import require_positive

OVERLOAD_FROM_S = 1.0
"""Test points of a circuit-breaker at this time or later are those of its overload release."""

_SQUARE = 2.0
_NOISE = 1e-9

Edge = tuple[CurvePoint, ...]
"""Points by rising current and falling time, joined by straight lines; two at one current: a drop.

Left of the first the device need not operate, or surely does not. Right of the last the slow edge
keeps its time, and the quick edge says nothing more: the device may operate at once.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A straight piece of an edge: ``time = start.time_s * (start.current_a / I) ** exponent``."""

    start: CurvePoint
    end_a: float
    exponent: float

    def time_s(self, current_a: float) -> float:
        """Return the time in s at a current on the piece."""
        if math.isinf(self.start.time_s) or not self.exponent:
            return self.start.time_s
        return float(self.start.time_s * (self.start.current_a / current_a) ** self.exponent)


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A range of currents in A."""

    from_a: float
    to_a: float


def slow_edge(band: TripBand, *, then: Iterable[CurvePoint] = ()) -> Edge:
    """Return by when the device has operated; ``then``: further sure points of a fuse."""
    points = _tripping((*band.trips, *then))
    edge = list(points[:1])
    for before, after in pairwise(points):
        if band.gates is None and after.time_s < OVERLOAD_FROM_S:
            at_end_s = before.time_s * (before.current_a / after.current_a) ** _SQUARE
            edge.append(CurvePoint(after.current_a, max(at_end_s, after.time_s)))
        edge.append(after)
    return tuple(dict.fromkeys(edge))


def quick_edge(band: TripBand, *, then: Iterable[CurvePoint] = ()) -> Edge:
    """Return for how long the device surely holds; ``then``: further sure points of a fuse.

    Up to its conventional current of not operating it counts as holding for ever.
    """
    finite = [point for point in (*band.holds, *then) if math.isfinite(point.time_s)]
    points = _holding(finite)
    edge = list(points[:1])
    for before, after in pairwise(points):
        if band.gates is None:
            at_start_s = after.time_s * (after.current_a / before.current_a) ** _SQUARE
            edge.append(CurvePoint(before.current_a, min(at_start_s, before.time_s)))
        edge.append(after)
    return tuple(dict.fromkeys(edge))


def _tripping(points: Iterable[CurvePoint]) -> list[CurvePoint]:
    """Leave out each point of a slow edge that says no more than one at a smaller current."""
    kept: list[CurvePoint] = []
    for point in sorted(points):
        if not kept or point.time_s < kept[-1].time_s:
            kept.append(point)
    return kept


def _holding(points: Iterable[CurvePoint]) -> list[CurvePoint]:
    """Leave out each point of a quick edge that says no more than one at a larger current."""
    kept: list[CurvePoint] = []
    for point in sorted(points, reverse=True):
        if not kept or point.time_s > kept[-1].time_s:
            kept.append(point)
    return kept[::-1]


def piece_below(edge: Edge, current_a: float, *, beyond_s: float) -> Piece:
    """Return the piece of an edge that reaches up to a current from below.

    ``beyond_s`` is the time of the edge right of its last point.
    """
    require_positive("current_a", current_a)
    pieces = [piece for piece in _pieces(edge, beyond_s) if piece.start.current_a < current_a]
    return pieces[-1]


def _pieces(edge: Edge, beyond_s: float) -> Iterator[Piece]:
    first_a = edge[0].current_a if edge else 0.0
    if first_a:
        yield Piece(start=CurvePoint(0.0, math.inf), end_a=first_a, exponent=0.0)
    for before, after in pairwise(edge):
        if after.current_a > before.current_a:
            fall = math.log(before.time_s / after.time_s)
            width = math.log(after.current_a / before.current_a)
            yield Piece(start=before, end_a=after.current_a, exponent=fall / width)
    last = CurvePoint(edge[-1].current_a if edge else 0.0, beyond_s)
    yield Piece(start=last, end_a=math.inf, exponent=0.0)


def holds_up_to_a(edge: Edge, time_s: float) -> float:
    """Return the largest current in A at which a quick edge lies at a time or above; 0 if none."""
    require_positive("time_s", time_s)
    found = 0.0
    for piece in _pieces(edge, 0.0):
        if piece.start.time_s < time_s:
            continue
        end_a = piece.end_a
        if piece.exponent and piece.time_s(end_a) < time_s:
            end_a = piece.start.current_a * (piece.start.time_s / time_s) ** (1 / piece.exponent)
        found = max(found, end_a)
    return found


def where_slower(late: Edge, early: Edge, *, up_to_a: float) -> tuple[Span, ...]:
    """Return the currents at which a slow edge lies above a quick edge, up to a current.

    ``late`` is the slow edge of the device that shall operate, ``early`` the quick edge of the one
    that shall not: there it is not sure that it does not. Equal times are sure.
    """
    require_positive("up_to_a", up_to_a)
    bounds = {0.0, up_to_a, *(point.current_a for point in (*late, *early))}
    kept_s = late[-1].time_s if late else math.inf
    found: list[Span] = []
    for low_a, high_a in pairwise(sorted(bound for bound in bounds if bound <= up_to_a)):
        slow = piece_below(late, high_a, beyond_s=kept_s)
        quick = piece_below(early, high_a, beyond_s=0.0)
        span = _slower(slow, quick, low_a, high_a)
        if span is None:
            continue
        if found and math.isclose(found[-1].to_a, span.from_a, rel_tol=_NOISE):
            span = Span(from_a=found.pop().from_a, to_a=span.to_a)
        found.append(span)
    return tuple(found)


def _slower(slow: Piece, quick: Piece, low_a: float, high_a: float) -> Span | None:
    """Return where, between two currents, the one piece lies above the other."""
    if math.isinf(quick.start.time_s):
        return None
    if math.isinf(slow.start.time_s) or quick.start.time_s == 0:
        return Span(from_a=low_a, to_a=high_a)
    over_low = math.log(slow.time_s(low_a) / quick.time_s(low_a))
    over_high = math.log(slow.time_s(high_a) / quick.time_s(high_a))
    above_low, above_high = over_low > _NOISE, over_high > _NOISE
    if not above_low and not above_high:
        return None
    if above_low and above_high:
        return Span(from_a=low_a, to_a=high_a)
    share = over_low / (over_low - over_high)
    meeting_a = low_a * (high_a / low_a) ** min(max(share, 0.0), 1.0)
    if above_high:
        return Span(from_a=meeting_a, to_a=high_a)
    return Span(from_a=low_a, to_a=meeting_a)


def without(spans: Iterable[Span], cut: Span) -> tuple[Span, ...]:
    """Return ranges of currents less the part of them that ``cut`` covers."""
    kept: list[Span] = []
    for span in spans:
        below = Span(from_a=span.from_a, to_a=min(span.to_a, cut.from_a))
        above = Span(from_a=max(span.from_a, cut.to_a), to_a=span.to_a)
        kept += [one for one in (below, above) if one.from_a < one.to_a]
    return tuple(kept)
