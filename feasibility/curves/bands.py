"""The band in which a protective device operates, from the test points of its standard.

Between two test points a standard promises nothing, so both edges are steps: the device has
surely operated only from the next point on, and surely holds only up to the last one. The one
exception is the gG fuse between 5 s and 0.1 s (see ``FuseGates``). One number in, one number out.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from feasibility.units import require_positive, require_within

FUSE_SLOW_GATE_S = 5.0
FUSE_QUICK_GATE_S = 0.1
FUSE_HOLDING_GATE_S = 10.0
"""IEC 60269-1, Table "gates" for gG fuse-links: currents at 10 s, 5 s and 0.1 s (from memory)."""

INTERPOLATION_MARGIN = 1.07
"""Printed 0.4 s currents of gG fuses lie up to 7 % above the straight line (loop tester manual)."""


class ContradictoryBandError(ValueError):
    """Two test points of one device exclude each other (a slip in a setting or in a table)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BandPoint:
    """One test of a device standard, at a multiple of a rating or setting.

    ``t_min_s``: it must not operate before; ``t_max_s``: it must have operated by then, given
    exactly when ``must_trip``. None where the test sets no such limit.
    """

    multiple: float
    must_trip: bool
    t_min_s: float | None = None
    t_max_s: float | None = None

    def __post_init__(self) -> None:
        require_positive("multiple", self.multiple)
        for name, time_s in (("t_min_s", self.t_min_s), ("t_max_s", self.t_max_s)):
            if time_s is not None:
                require_positive(name, time_s)
        if self.must_trip is not (self.t_max_s is not None):
            message = "a point that must trip has t_max_s, one that must not has none"
            raise ContradictoryBandError(message)
        if self.t_min_s is None and not self.must_trip:
            message = "a point that must not trip has t_min_s"
            raise ContradictoryBandError(message)


@dataclass(frozen=True, slots=True, order=True)
class CurvePoint:
    """A current and the time that belongs to it."""

    current_a: float
    time_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FuseGates:
    """The gates of a gG fuse-link: currents it holds for, and currents that melt it within, a time.

    IEC 60269-1, gates of gG (from memory). Between the two melting gates a straight line in double
    logarithm stands for the slowest fuse, shifted up by a margin because printed 0.4 s values
    lie beside it; never above the 0.1 s gate, which is sure by itself.
    """

    holds_10s_a: float
    melts_5s_a: float
    holds_0_1s_a: float
    melts_0_1s_a: float
    margin: float = INTERPOLATION_MARGIN

    def __post_init__(self) -> None:
        require_positive("holds_10s_a", self.holds_10s_a)
        require_within("melts_5s_a", self.melts_5s_a, lower=self.holds_10s_a, upper=math.inf)
        require_within("holds_0_1s_a", self.holds_0_1s_a, lower=self.holds_10s_a, upper=math.inf)
        quickest_a = max(self.melts_5s_a, self.holds_0_1s_a)
        require_within("melts_0_1s_a", self.melts_0_1s_a, lower=quickest_a, upper=math.inf)
        require_within("margin", self.margin, lower=1.0, upper=2.0)

    @property
    def _slope(self) -> float:
        return math.log(self.melts_0_1s_a / self.melts_5s_a) / math.log(
            FUSE_SLOW_GATE_S / FUSE_QUICK_GATE_S
        )

    def melts_at_a(self, time_s: float) -> float | None:
        """Return the current in A that melts the slowest fuse by then; None outside the gates."""
        if not FUSE_QUICK_GATE_S < time_s < FUSE_SLOW_GATE_S:
            return None
        line_a: float = self.melts_5s_a * (FUSE_SLOW_GATE_S / time_s) ** self._slope
        return min(self.margin * line_a, self.melts_0_1s_a)

    def melting_time_s(self, current_a: float) -> float | None:
        """Return the time in s in which that current melts the slowest fuse; None outside."""
        line_a = current_a / self.margin
        if not self.melts_5s_a < line_a < self.melts_0_1s_a:
            return None
        melting_s: float = FUSE_SLOW_GATE_S * (self.melts_5s_a / line_a) ** (1 / self._slope)
        return melting_s


@dataclass(frozen=True, slots=True, kw_only=True)
class TripBand:
    """What is sure about a device: operated by then (``trips``), not before then (``holds``).

    A point of ``trips`` binds at its current and above, a point of ``holds`` at its current and
    below. ``gates`` is given for a gG fuse only.
    """

    trips: tuple[CurvePoint, ...]
    holds: tuple[CurvePoint, ...]
    gates: FuseGates | None = None

    def __post_init__(self) -> None:
        for held in self.holds:
            for tripped in self.trips:
                if held.current_a >= tripped.current_a and held.time_s > tripped.time_s:
                    message = (
                        f"holds {held.current_a:g} A for {held.time_s:g} s, "
                        f"yet trips at {tripped.current_a:g} A within {tripped.time_s:g} s"
                    )
                    raise ContradictoryBandError(message)

    def surely_trips_at_a(self, time_s: float) -> float | None:
        """Return the smallest current in A that has surely operated the device within a time.

        None where no test point reaches so short a time: then nothing is sure at any current.
        """
        require_positive("time_s", time_s)
        currents = [point.current_a for point in self.trips if point.time_s <= time_s]
        melting_a = self.gates.melts_at_a(time_s) if self.gates else None
        if melting_a is not None:
            currents.append(melting_a)
        return min(currents, default=None)

    def may_trip_at_a(self, time_s: float) -> float | None:
        """Return the current in A above which the device may operate within a time.

        Up to and including this current it surely holds so long. None where nothing is known.
        """
        require_positive("time_s", time_s)
        return max(
            (point.current_a for point in self.holds if point.time_s >= time_s), default=None
        )

    def slowest_time_s(self, current_a: float) -> float | None:
        """Return the time in s by which the device has surely operated; None: perhaps never."""
        require_positive("current_a", current_a)
        times = [point.time_s for point in self.trips if point.current_a <= current_a]
        melting_s = self.gates.melting_time_s(current_a) if self.gates else None
        if melting_s is not None:
            times.append(melting_s)
        return min(times, default=None)

    def fastest_time_s(self, current_a: float) -> float:
        """Return the time in s for which the device surely holds; 0 where it may act at once.

        Infinite up to the continuous current.
        """
        require_positive("current_a", current_a)
        return max(
            (point.time_s for point in self.holds if point.current_a >= current_a), default=0.0
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Release:
    """One release of a circuit-breaker: its test points as multiples of a rating or setting."""

    base_a: float
    points: Sequence[BandPoint]

    def __post_init__(self) -> None:
        require_positive("base_a", self.base_a)


def breaker(*, continuous_a: float, releases: Iterable[Release]) -> TripBand:
    """Return the band of a circuit-breaker.

    IEC 60898-1, Table 7: one set of points as multiples of In. IEC 60947-2, 7.2.1.2.4 and 8.3.3.1:
    overload points as multiples of Ir, short-circuit points as multiples of Im; a delayed release
    enters by the times of its points. ``continuous_a``, the rating or overload setting, it carries
    without end (uninterrupted duty, at the reference temperature). Which rows of which edition
    enter is for the caller. Raises OutOfRange, and ContradictoryBandError where two releases
    exclude each other.
    """
    require_positive("continuous_a", continuous_a)
    edges = [_currents(release.points, release.base_a) for release in releases]
    return _band(edges, continuous_a=continuous_a)


@dataclass(frozen=True, slots=True, kw_only=True)
class CurveEdge:
    """One point of a maker's curve: not operated before ``fastest_s``, surely by ``slowest_s``."""

    current_a: float
    fastest_s: float | None = None
    slowest_s: float | None = None


def makers_curve(*, continuous_a: float, points: Iterable[CurveEdge]) -> TripBand:
    """Return the band that a maker's own curve gives, between its points as steps.

    ``continuous_a`` is what the device carries without end: its rating or overload setting. Raises
    OutOfRange, and ContradictoryBandError where the points exclude each other.
    """
    require_positive("continuous_a", continuous_a)
    trips: list[CurvePoint] = []
    holds: list[CurvePoint] = []
    for point in points:
        require_positive("current_a", point.current_a)
        for times, time_s in ((holds, point.fastest_s), (trips, point.slowest_s)):
            if time_s is not None:
                require_positive("time_s", time_s)
                times.append(CurvePoint(point.current_a, time_s))
    return _band(((trips, holds),), continuous_a=continuous_a)


def fuse_gg(
    *,
    rating_a: float,
    non_fusing_multiple: float,
    fusing_multiple: float,
    conventional_time_s: float,
    gates: FuseGates | None,
) -> TripBand:
    """Return the band of a gG fuse-link.

    IEC 60269-1: conventional non-fusing and fusing current at the conventional time, and the gates.
    Melting times; from 0.1 s on the arc adds nothing that counts. Without gates (ratings the table
    does not list) only the conventional currents are known. Raises OutOfRange and
    ContradictoryBandError.
    """
    require_positive("rating_a", rating_a)
    points = [
        BandPoint(multiple=non_fusing_multiple, must_trip=False, t_min_s=conventional_time_s),
        BandPoint(multiple=fusing_multiple, must_trip=True, t_max_s=conventional_time_s),
    ]
    conventional = _currents(points, rating_a)
    if gates is None:
        return _band((conventional,), continuous_a=rating_a)
    melting = (
        CurvePoint(gates.melts_5s_a, FUSE_SLOW_GATE_S),
        CurvePoint(gates.melts_0_1s_a, FUSE_QUICK_GATE_S),
    )
    holding = (
        CurvePoint(gates.holds_10s_a, FUSE_HOLDING_GATE_S),
        CurvePoint(gates.holds_0_1s_a, FUSE_QUICK_GATE_S),
    )
    return _band((conventional, (melting, holding)), continuous_a=rating_a, gates=gates)


Edges = tuple[Sequence[CurvePoint], Sequence[CurvePoint]]
"""Points of ``trips`` and of ``holds``."""


def _currents(points: Sequence[BandPoint], base_a: float) -> Edges:
    trips = [CurvePoint(p.multiple * base_a, p.t_max_s) for p in points if p.t_max_s is not None]
    holds = [CurvePoint(p.multiple * base_a, p.t_min_s) for p in points if p.t_min_s is not None]
    return trips, holds


def _band(
    edges: Iterable[Edges], *, continuous_a: float, gates: FuseGates | None = None
) -> TripBand:
    trips: set[CurvePoint] = set()
    holds = {CurvePoint(continuous_a, math.inf)}
    for tripping, holding in edges:
        trips.update(tripping)
        holds.update(holding)
    return TripBand(trips=tuple(sorted(trips)), holds=tuple(sorted(holds)), gates=gates)
