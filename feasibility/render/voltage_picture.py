"""Layout of the voltage along the feed path: three cases over the metres of cable and cord.

Positions are in mm from the upper left corner. The cases are told apart by the dashes of their
lines and the shapes of their marks, so that the picture holds in black and white.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from feasibility.render.numbers import amount_text, number_text
from feasibility.render.polygon import path_of
from feasibility.render.scale import whole_steps
from feasibility.render.text_fit import fit_name, text_width

if TYPE_CHECKING:
    from feasibility.voltage_along import VoltageAlong

WIDTH = 180.0
LEFT, RIGHT = 16.0, 176.0
TOP, BOTTOM = 4.0, 52.0
LABEL_SIZE = 2.3
VALUE_SIZE = 2.2
NAME_WIDTH = 26.0
ROW = 3.0
NAME_TOP = BOTTOM + 7.5
KEY_LINE = 4.0
_TICKS_ABOUT = 6
_ROOM = 0.06


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """One line of the scale of voltages."""

    y: float
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NodeMark:
    """A node: where it stands, what is written below it, and its two voltages as text."""

    x: float
    loaded_y: float
    idle_y: float
    label_x: float
    name_lines: tuple[str, ...]
    name_y: float
    loaded: str
    loaded_x: float
    loaded_width: float


@dataclass(frozen=True, slots=True, kw_only=True)
class VoltagePicture:
    """The whole picture with the lines of its key."""

    width: float
    height: float
    left: float
    right: float
    top: float
    bottom: float
    ticks: tuple[Tick, ...]
    nodes: tuple[NodeMark, ...]
    loaded: str
    idle: str
    highest_y: float
    nominal_y: float
    accepted_y: float
    metres: str
    key: tuple[tuple[float, str, str], ...]


def voltage_picture(along: VoltageAlong) -> VoltagePicture:
    """Lay out the picture."""
    levels = [along.highest_v, along.nominal_v, along.accepted_from_v]
    levels += [voltage for point in along.points for voltage in (point.loaded_v, point.idle_v)]
    span = max(levels) - min(levels)
    low, high = min(levels) - _ROOM * span, max(levels) + _ROOM * span
    length = along.points[-1].distance_m or 1.0

    def x(distance_m: float) -> float:
        return round(LEFT + (RIGHT - LEFT) * distance_m / length, 2)

    def y(voltage_v: float) -> float:
        return round(BOTTOM - (BOTTOM - TOP) * (voltage_v - low) / (high - low), 2)

    nodes = _nodes(along, x, y)
    key_from = max(one.name_y + ROW * len(one.name_lines) for one in nodes) + 1.0
    key = _key(along, key_from)
    return VoltagePicture(
        width=WIDTH,
        height=round(key[-1][0] + 2.0, 2),
        left=LEFT,
        right=RIGHT,
        top=TOP,
        bottom=BOTTOM,
        ticks=tuple(
            Tick(y=y(value), text=number_text(value))
            for value in whole_steps(low, high, _TICKS_ABOUT)
        ),
        nodes=nodes,
        loaded=path_of([(x(one.distance_m), y(one.loaded_v)) for one in along.points]),
        idle=path_of([(x(one.distance_m), y(one.idle_v)) for one in along.points]),
        highest_y=y(along.highest_v),
        nominal_y=y(along.nominal_v),
        accepted_y=y(along.accepted_from_v),
        metres=amount_text(length, "m"),
        key=key,
    )


def _nodes(
    along: VoltageAlong, x: Callable[[float], float], y: Callable[[float], float]
) -> tuple[NodeMark, ...]:
    """Place the nodes; names that would overlap step down a line."""
    marks: list[NodeMark] = []
    ends: list[float] = []
    for point in along.points:
        at = x(point.distance_m)
        lines = fit_name(point.name, NAME_WIDTH, LABEL_SIZE, 2)
        half = max(text_width(line, LABEL_SIZE) for line in lines) / 2 + 0.5
        label_x = round(min(max(at, half), WIDTH - half), 2)
        loaded = amount_text(point.loaded_v, "V", 4)
        width = round(text_width(loaded, VALUE_SIZE), 2)
        row = next((n for n, end in enumerate(ends) if end <= label_x - half), len(ends))
        ends[row : row + 1] = [label_x + half]
        marks.append(
            NodeMark(
                x=at,
                loaded_y=y(point.loaded_v),
                idle_y=y(point.idle_v),
                label_x=label_x,
                name_lines=lines,
                name_y=round(NAME_TOP + 2 * ROW * row, 2),
                loaded=loaded,
                loaded_x=round(min(max(at - width / 2, LEFT + 1.2), RIGHT - 1.2 - width), 2),
                loaded_width=width,
            )
        )
    return tuple(marks)


def _key(along: VoltageAlong, top: float) -> tuple[tuple[float, str, str], ...]:
    kind = "between lines" if along.between_lines else "line to neutral"
    current = amount_text(along.station_current_a, "A")
    texts = (
        ("loaded", f"station at the requested {current}, lowest supply voltage, largest demand"),
        ("idle", "the same with the station off"),
        ("highest", f"nothing draws, highest supply voltage: {amount_text(along.highest_v, 'V')}"),
        ("nominal", f"nominal voltage {kind}: {amount_text(along.nominal_v, 'V')}"),
        ("accepted", f"the station operates from {amount_text(along.accepted_from_v, 'V')}"),
    )
    return tuple(
        (round(top + KEY_LINE * (row + 0.5), 2), style, text)
        for row, (style, text) in enumerate(texts)
    )
