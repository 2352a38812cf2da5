"""What the devices in series at most let through, over a whole range of fault currents.

For each device the energy is known where its standard's band says how long a fault can last (0.1 s
to 5 s), and where it acts quickest by the let-through energy of its maker, its class or its fuse
standard, or by the time in which it has surely opened with the direct current counted in. All
bounds rise or fall steadily between two steps of the bands, so both ends of each piece are enough.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from feasibility.checks.working import amount, step
from feasibility.citation import Citation
from feasibility.clauses.adiabatic import (
    LONGEST_S,
    SHORTEST_S,
    asymmetrical_energy_a2s,
    direct_current_share,
    fault_energy_a2s,
)
from feasibility.curves.bands import TripBand
from feasibility.result import Quantity, Step

_LEAST_S = 1e-3
"""No device ends a fault sooner: a quicker point of a maker's curve counts as this."""

_PARTS = 32
"""Pieces between two steps of the bands, where several devices stand in series."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ceiling:
    """An energy that a device stays below where it acts quickest, up to a fault current.

    ``by_maker`` tells the maker's own figure from a limit of a standard, below which the device may
    lie.
    """

    working: Step
    up_to_a: float = math.inf
    by_maker: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """What the energy of a device that opens within 0.1 s is computed with."""

    peak_factor: Quantity
    frequency_hz: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Passage:
    """One device in the way of a fault current: when it has operated, and what it lets through.

    ``opening`` is None where nothing but a ceiling bounds a quick operation (a fuse). Above
    ``up_to_a`` the device does not count.
    """

    name: str
    band: TripBand
    origin: str
    sources: tuple[Citation, ...]
    ceilings: tuple[Ceiling, ...] = ()
    opening: Opening | None = None
    up_to_a: float = math.inf

    @property
    def quickest_s(self) -> float:
        """The shortest time in which its standard's band has it surely operated."""
        return min((point.time_s for point in self.band.trips), default=math.inf)


@dataclass(frozen=True, slots=True, kw_only=True)
class Passed:
    """The energy that passes at a current, and why it is not more.

    ``time_s`` is how long the current may flow, None where a ceiling bounds the energy. ``quick``:
    within 0.1 s, or as quickly as the device's band has it.
    """

    passage: Passage
    current_a: float
    energy_a2s: float
    time_s: float | None
    ceiling: Ceiling | None
    quick: bool

    def steps(self) -> tuple[Step, ...]:
        """Return the working of the energy."""
        if self.ceiling is not None:
            return (self.ceiling.working,)
        assert self.time_s is not None  # noqa: S101 - one of the two is given
        meaning = f"slowest operation of {self.passage.name} at this current: {self.passage.origin}"
        inputs = [
            amount("I", "fault current", self.current_a, "A"),
            Quantity(
                value=self.time_s,
                unit="s",
                symbol="t",
                meaning=meaning,
                sources=self.passage.sources,
            ),
        ]
        formula = "I ** 2 * t"
        opening = self.passage.opening
        if self.quick and self.time_s <= SHORTEST_S and opening is not None:
            inputs.append(_share(self.time_s, opening))
            formula = "I ** 2 * t * (m + 1)"
        words = f"energy let through by {self.passage.name}"
        return (step("I2t", words, formula, inputs, self.energy_a2s, "A²s"),)


@dataclass(frozen=True, slots=True, kw_only=True)
class Greatest:
    """The greatest energy over a range of currents.

    ``passed`` is None where no current of the range is bounded. Up to ``slow_up_to_a`` no device
    has surely operated within 5 s; None where that happens at no current of the range.
    """

    passed: Passed | None
    slow_up_to_a: float | None

    @property
    def energy_a2s(self) -> float:
        """The energy, 0 where nothing is bounded."""
        return self.passed.energy_a2s if self.passed else 0.0


def greatest_energy(passages: Sequence[Passage], *, low_a: float, high_a: float) -> Greatest:
    """Return the greatest energy that devices in series let through at any current of a range.

    The same current flows through all of them: at each current the one that lets least through
    counts. Where one bound rises and another falls within a piece the result errs upward, the less
    the smaller the pieces.
    """
    greatest: Passed | None = None
    slow: float | None = None
    parts = _PARTS if len(passages) > 1 else 1
    for low, high in _pieces(passages, low_a, high_a, parts):
        bounds = [_greater(one, low, high) for one in passages]
        least = min(
            (one for one in bounds if one is not None),
            key=lambda one: one.energy_a2s,
            default=None,
        )
        if least is None:
            slow = _without_noise(high)
        elif greatest is None or least.energy_a2s > greatest.energy_a2s:
            greatest = least
    return Greatest(passed=greatest, slow_up_to_a=slow)


def passed_at(passage: Passage, current_a: float) -> Passed | None:
    """Return what passes at one current; None where it may flow longer than 5 s."""
    time_s = passage.band.slowest_time_s(current_a) if current_a <= passage.up_to_a else None
    if time_s is None or time_s > LONGEST_S:
        return None
    quick = time_s <= max(passage.quickest_s, SHORTEST_S)
    found = [
        Passed(
            passage=passage,
            current_a=_without_noise(current_a),
            energy_a2s=ceiling.working.result,
            time_s=None,
            ceiling=ceiling,
            quick=True,
        )
        for ceiling in passage.ceilings
        if quick and current_a <= ceiling.up_to_a
    ]
    energy_a2s = _energy_by_time_a2s(passage, current_a, time_s)
    if energy_a2s is not None:
        found.append(
            Passed(
                passage=passage,
                current_a=_without_noise(current_a),
                energy_a2s=energy_a2s,
                time_s=max(time_s, _LEAST_S),
                ceiling=None,
                quick=quick,
            )
        )
    return min(found, key=lambda one: one.energy_a2s, default=None)


def _energy_by_time_a2s(passage: Passage, current_a: float, time_s: float) -> float | None:
    if time_s > SHORTEST_S:
        return float(fault_energy_a2s(fault_current_a=current_a, time_s=time_s))
    if passage.opening is None:
        return None
    time_s = max(time_s, _LEAST_S)
    share = _share(time_s, passage.opening).value
    return float(
        asymmetrical_energy_a2s(
            fault_current_a=current_a, time_s=time_s, direct_current_share=share
        )
    )


def _share(time_s: float, opening: Opening) -> Quantity:
    value = direct_current_share(
        time_s=time_s, peak_factor=opening.peak_factor.value, frequency_hz=opening.frequency_hz
    )
    meaning = (
        f"heat of the direct current, share of that of the alternating current over {time_s:g} s "
        f"at {opening.frequency_hz:g} Hz, peak factor {opening.peak_factor.value:g}"
    )
    return Quantity(
        value=float(value),
        unit="",
        symbol="m",
        meaning=meaning,
        sources=opening.peak_factor.sources,
    )


def _without_noise(current_a: float) -> float:
    """Return the step itself for the last number before or after it."""
    return float(f"{current_a:.12g}")


def _greater(passage: Passage, low_a: float, high_a: float) -> Passed | None:
    """Return the greater energy of both ends of a piece; None where one end is not bounded."""
    ends = [passed_at(passage, low_a), passed_at(passage, high_a)]
    known = [one for one in ends if one is not None]
    return max(known, key=lambda one: one.energy_a2s) if len(known) == len(ends) else None


def _pieces(
    passages: Iterable[Passage], low_a: float, high_a: float, parts: int
) -> Iterator[tuple[float, float]]:
    """Split a range at every step of the bands: the steps themselves, and what lies between."""
    steps = {low_a, high_a}
    for passage in passages:
        steps |= {one for one in _steps_of(passage) if low_a < one < high_a}
    edges = sorted(steps)
    yield edges[0], edges[0]
    for before, after in pairwise(edges):
        low, high = math.nextafter(before, math.inf), math.nextafter(after, 0.0)
        if low <= high:
            yield from pairwise(_spread(low, high, parts))
        yield after, after


def _spread(low_a: float, high_a: float, parts: int) -> list[float]:
    """Return ``parts`` + 1 currents in equal ratios, the ends exactly."""
    ratio = high_a / low_a
    inner = [low_a * ratio ** (number / parts) for number in range(1, parts)]
    return [low_a, *inner, high_a]


def _steps_of(passage: Passage) -> Iterator[float]:
    yield from (point.current_a for point in passage.band.trips)
    gates = passage.band.gates
    if gates is not None:
        yield gates.margin * gates.melts_5s_a
    yield from (one.up_to_a for one in passage.ceilings)
    yield passage.up_to_a
