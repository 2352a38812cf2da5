"""Layout of a time-current diagram: two bands, the conductor, the load and the fault currents.

Both scales are logarithmic. Positions are in mm from the upper left corner. The bands are told
apart by grey and hatching, the marks by their dashes and by the symbols above them, so that the
picture holds in black and white. The list at the right explains every sign.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from feasibility.render.numbers import amount_text, number_text
from feasibility.render.polygon import Place, hatching, path_of
from feasibility.render.text_fit import text_width, wrap

if TYPE_CHECKING:
    from feasibility.time_current import DeviceCurve, DiagramPoint, TimeCurrent

WIDTH = 180.0
LEFT, RIGHT = 13.0, 120.0
TOP = 7.5
PLOT_HEIGHT = 78.0
BOTTOM = TOP + PLOT_HEIGHT
UNDER_PLOT = 9.0
LABEL_SIZE = 2.6
LABEL_GAP = 1.2
LIST_TEXT_FROM = 136.0
LIST_SIZE = 2.4
LIST_LINE = 3.2
LIST_GAP = 1.3
MOST_LINES = 4
TOP_S, BOTTOM_S = 10_000.0, 0.01
SMALLEST_A, LARGEST_A = 20.0, 1000.0
"""What the scale of currents spans at least."""
ROOM = 1.15
"""How far the scale of currents reaches beyond what it shows."""
FEW_DECADES = 4.0
_STEPS = (1, 2, 5)


class Style(StrEnum):
    """How a band or a mark is drawn; the templates know the lines."""

    BEFORE = "before"
    AFTER = "after"
    LOAD = "load"
    AMPACITY = "ampacity"
    SMALLEST_FAULT = "smallest fault"
    LARGEST_FAULT = "largest fault"
    SELECTIVE = "selective"
    WITHSTAND = "withstand"
    START = "start"
    NOTHING = "nothing"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """One line of the grid; the fine ones have no text."""

    at: float
    text: str
    main: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Area:
    """One band: its closed shape, its two edges, and hatching where it is hatched."""

    style: Style
    shape: str
    edges: str
    hatching: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A current as a line over the whole height, with its symbol above."""

    style: Style
    x: float
    symbol: str
    label_x: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ListEntry:
    """What one sign of the picture means; ``sample_y`` is the middle of its sample."""

    style: Style
    sample_y: float
    lines: tuple[tuple[float, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeCurrentPicture:
    """The whole diagram; ``withstand`` is a path, ``start`` the place of the inrush.

    An inrush that is shorter than the scale reaches lies on its lower edge, and the list says so.
    """

    width: float
    height: float
    left: float
    right: float
    top: float
    bottom: float
    current_ticks: tuple[Tick, ...]
    time_ticks: tuple[Tick, ...]
    areas: tuple[Area, ...]
    marks: tuple[Mark, ...]
    withstand: str
    start: Place | None
    entries: tuple[ListEntry, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Scales:
    """The corners of the plot in A and s."""

    from_a: float
    to_a: float
    to_s: float

    def x(self, current_a: float) -> float:
        share = math.log(current_a / self.from_a) / math.log(self.to_a / self.from_a)
        return _mm(LEFT + (RIGHT - LEFT) * min(max(share, 0.0), 1.0))

    def y(self, time_s: float) -> float:
        share = math.log(time_s / BOTTOM_S) / math.log(self.to_s / BOTTOM_S)
        return _mm(BOTTOM - PLOT_HEIGHT * min(max(share, 0.0), 1.0))

    def place(self, point: DiagramPoint) -> Place:
        return self.x(point.current_a), self.y(point.time_s)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sign:
    """A marked current before it has a place, and what the list says of it."""

    style: Style
    symbol: str
    current_a: float
    words: str


def time_current_picture(diagram: TimeCurrent) -> TimeCurrentPicture:
    """Lay out one diagram."""
    signs = _signs(diagram)
    scales = _scales(diagram, signs)
    entries, list_bottom = _entries(diagram, signs)
    curves = ((diagram.before, Style.BEFORE), (diagram.after, Style.AFTER))
    return TimeCurrentPicture(
        width=WIDTH,
        height=_mm(max(BOTTOM + UNDER_PLOT, list_bottom)),
        left=LEFT,
        right=RIGHT,
        top=TOP,
        bottom=BOTTOM,
        current_ticks=tuple(_ticks(scales.from_a, scales.to_a, scales.x, _steps_named(scales))),
        time_ticks=tuple(_ticks(BOTTOM_S, scales.to_s, scales.y, (1,))),
        areas=tuple(_area(curve, style, scales) for curve, style in curves if curve is not None),
        marks=_marks(signs, scales),
        withstand=_withstand_path(diagram, scales),
        start=scales.place(diagram.start) if diagram.start else None,
        entries=entries,
    )


def _signs(diagram: TimeCurrent) -> list[_Sign]:
    """Return the currents that are marked, by rising current."""
    ampacity = diagram.ampacity
    found = (
        (Style.LOAD, "Ib", diagram.design_current_a, "design current through the second device"),
        (
            Style.AMPACITY,
            "Iz",
            ampacity.value if ampacity else None,
            f"least ampacity behind it, {ampacity.name if ampacity else ''}",
        ),
        (
            Style.SMALLEST_FAULT,
            "Ik min",
            diagram.smallest_fault_a,
            "smallest fault current at the end of its circuit",
        ),
        (
            Style.LARGEST_FAULT,
            "Ik max",
            diagram.largest_fault_a,
            "largest fault current at the second device",
        ),
        (
            Style.SELECTIVE,
            "Is",
            _selective_a(diagram),
            "selective up to here, as said above",
        ),
    )
    signs = [
        _Sign(style=style, symbol=symbol, current_a=current_a, words=words)
        for style, symbol, current_a, words in found
        if current_a is not None and current_a > 0 and math.isfinite(current_a)
    ]
    return sorted(signs, key=lambda sign: sign.current_a)


def _selective_a(diagram: TimeCurrent) -> float | None:
    """Return the selectivity limit where it lies among the currents that can flow."""
    limit_a, largest_a = diagram.selective_up_to_a, diagram.largest_fault_a
    if limit_a is None or largest_a is None or limit_a >= largest_a:
        return None
    return limit_a


def _points(diagram: TimeCurrent) -> Iterator[DiagramPoint]:
    for curve in (diagram.before, diagram.after):
        if curve is not None:
            yield from (*curve.quick, *curve.slow)


def _scales(diagram: TimeCurrent, signs: Sequence[_Sign]) -> _Scales:
    points = tuple(_points(diagram))
    shown = [point.current_a for point in points]
    shown += [sign.current_a for sign in signs]
    if diagram.start is not None:
        shown.append(diagram.start.current_a)
    if diagram.withstand is not None:
        shown.append(math.sqrt(diagram.withstand.value / diagram.withstand_to_s))
    least_a = min([SMALLEST_A, *shown]) / ROOM
    most_a = max([LARGEST_A, *shown]) * ROOM
    return _Scales(
        from_a=max(step for step in _round_numbers(least_a) if step <= least_a),
        to_a=min(step for step in _round_numbers(most_a) if step >= most_a),
        to_s=max([TOP_S, *(point.time_s for point in points)]),
    )


def _round_numbers(near: float) -> Iterator[float]:
    power = 10.0 ** math.floor(math.log10(near))
    yield from (factor * power for factor in (0.5, 1, 2, 5, 10))


def _steps_named(scales: _Scales) -> tuple[int, ...]:
    few = math.log10(scales.to_a / scales.from_a) <= FEW_DECADES
    return _STEPS if few else (1,)


def _ticks(
    low: float, high: float, place: Callable[[float], float], named: tuple[int, ...]
) -> Iterator[Tick]:
    """Return a line for each whole number of each decade, from ``low`` to ``high``."""
    for decade in range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1):
        for factor in range(1, 10):
            value = factor * 10.0**decade
            if low * 0.999 <= value <= high * 1.001:
                text = number_text(value) if factor in named else ""
                yield Tick(at=place(value), text=text, main=factor == 1)


def _area(curve: DeviceCurve, style: Style, scales: _Scales) -> Area:
    """Return a band between its quick and its slow edge, from the top down to the last times."""
    quick = [scales.place(point) for point in curve.quick]
    slow = [scales.place(point) for point in curve.slow]
    left = [(quick[0][0], TOP), *quick, (quick[-1][0], BOTTOM)]
    right = [(slow[0][0], TOP), *slow]
    if curve.slow[-1].time_s > BOTTOM_S:
        # The device keeps its last time at every larger current.
        right.append((RIGHT, slow[-1][1]))
        corner = [(RIGHT, BOTTOM)]
    else:
        corner = []
    shape = [*left, *corner, *reversed(right)]
    return Area(
        style=style,
        shape=path_of(shape, closed=True),
        edges=path_of(left) + path_of(right),
        hatching=hatching(shape) if style is Style.AFTER else "",
    )


def _marks(signs: Sequence[_Sign], scales: _Scales) -> tuple[Mark, ...]:
    """Place each mark and, beside or above it, its symbol, so that no two symbols overlap."""
    wanted = [scales.x(sign.current_a) for sign in signs]
    widths = [text_width(sign.symbol, LABEL_SIZE) + LABEL_GAP for sign in signs]
    placed = _pushed_apart(wanted, widths)
    return tuple(
        Mark(style=sign.style, x=x, symbol=sign.symbol, label_x=_mm(label_x))
        for sign, x, label_x in zip(signs, wanted, placed, strict=True)
    )


def _pushed_apart(wanted: Sequence[float], widths: Sequence[float]) -> list[float]:
    """Return middles as near as can be to the wanted ones, within the plot and without overlap."""
    placed: list[float] = []
    edge = LEFT
    for middle, width in zip(wanted, widths, strict=True):
        placed.append(max(middle, edge + width / 2))
        edge = placed[-1] + width / 2
    edge = RIGHT
    for number in reversed(range(len(placed))):
        placed[number] = min(placed[number], edge - widths[number] / 2)
        edge = placed[number] - widths[number] / 2
    return placed


def _withstand_path(diagram: TimeCurrent, scales: _Scales) -> str:
    """Return the line I2t = k2S2 within the times for which it holds and within the plot."""
    if diagram.withstand is None:
        return ""
    energy = diagram.withstand.value
    from_s = max(diagram.withstand_from_s, energy / scales.to_a**2)
    ends = [
        (scales.x(math.sqrt(energy / time_s)), scales.y(time_s))
        for time_s in (diagram.withstand_to_s, from_s)
    ]
    return path_of(ends)


def _entries(diagram: TimeCurrent, signs: Sequence[_Sign]) -> tuple[tuple[ListEntry, ...], float]:
    """Return the list at the right and where it ends."""
    texts: list[tuple[Style, str]] = [
        (style, f"{order} device, {curve.name}: {curve.words}")
        for curve, style, order in (
            (diagram.before, Style.BEFORE, "first"),
            (diagram.after, Style.AFTER, "second"),
        )
        if curve is not None
    ]
    texts += [
        (sign.style, f"{sign.symbol} = {amount_text(sign.current_a, 'A')}: {sign.words}")
        for sign in signs
    ]
    if diagram.withstand is not None:
        energy = amount_text(diagram.withstand.value, "A2s")
        span = (
            f"{number_text(diagram.withstand_from_s)} s to {number_text(diagram.withstand_to_s)} s"
        )
        words = f"k²S² = {energy}, {span}: least heating limit behind it, {diagram.withstand.name}"
        texts.append((Style.WITHSTAND, words))
    if diagram.start is not None:
        current = amount_text(diagram.start.current_a, "A")
        time = amount_text(1000 * diagram.start.time_s, "ms")
        below = ", shorter than the scale reaches" if diagram.start.time_s < BOTTOM_S else ""
        texts.append((Style.START, f"inrush of the station: {current} r.m.s. for {time}{below}"))
    texts += [(Style.NOTHING, f"Not drawn: {words}") for words in diagram.missing]
    entries: list[ListEntry] = []
    y = TOP
    for style, text in texts:
        lines = wrap(text, WIDTH - LIST_TEXT_FROM, LIST_SIZE, MOST_LINES)
        entries.append(
            ListEntry(
                style=style,
                sample_y=_mm(y + LIST_LINE / 2),
                lines=tuple(
                    (_mm(y + LIST_LINE * (row + 0.78)), line) for row, line in enumerate(lines)
                ),
            )
        )
        y += LIST_LINE * len(lines) + LIST_GAP
    return tuple(entries), y


def _mm(length: float) -> float:
    return round(length, 2)
