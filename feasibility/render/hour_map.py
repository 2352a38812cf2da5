"""Layout of maps of the hours of the day: the current that is free, by month or by weekday.

Positions are in mm from the upper left corner. A cell says its figure; where less than the
requested current is free it is hatched and its figure bold, so that the map holds in black and
white.
"""

from __future__ import annotations

import calendar
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from feasibility.render.polygon import hatching

if TYPE_CHECKING:
    from feasibility.year.record import MonthHours, WeekMap

WIDTH = 180.0
LEFT = 19.0
CELL_WIDTH = (WIDTH - LEFT) / 24
CELL_HEIGHT = 4.6
TOP = 5.0
HATCH_STEP = 1.3


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One hour: its place, the free current as text, hatching where it is too little."""

    x: float
    y: float
    text: str
    short: bool
    hatching: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """The name of a row and the middle of its line."""

    y: float
    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HourMap:
    """The whole map; ``title`` names it for those who cannot see it."""

    title: str
    width: float
    height: float
    cell_width: float
    cell_height: float
    hours: tuple[tuple[float, str], ...]
    rows: tuple[Row, ...]
    cells: tuple[Cell, ...]


def month_map(months: Sequence[MonthHours], requested_a: float) -> HourMap:
    """Lay out the least free current by month and hour."""
    names = [f"{calendar.month_abbr[one.month]} {one.year}" for one in months]
    figures = [one.by_hour_lowest_a for one in months]
    return _map("Least current that is free, by month and hour", names, figures, requested_a)


def week_map(figures: WeekMap, requested_a: float) -> HourMap:
    """Lay out the least free current by weekday and hour."""
    names = list(calendar.day_name)
    return _map("Least current that is free, by weekday and hour", names, figures, requested_a)


def _map(
    title: str, names: Sequence[str], figures: Sequence[Sequence[float]], requested_a: float
) -> HourMap:
    cells = [
        _cell(hour, row, free_a, requested_a)
        for row, hours in enumerate(figures)
        for hour, free_a in enumerate(hours)
    ]
    return HourMap(
        title=title,
        width=WIDTH,
        height=round(TOP + CELL_HEIGHT * len(names) + 0.5, 2),
        cell_width=round(CELL_WIDTH, 3),
        cell_height=CELL_HEIGHT,
        hours=tuple((round(LEFT + CELL_WIDTH * (hour + 0.5), 2), str(hour)) for hour in range(24)),
        rows=tuple(
            Row(y=round(TOP + CELL_HEIGHT * (row + 0.68), 2), name=name)
            for row, name in enumerate(names)
        ),
        cells=tuple(cells),
    )


def _cell(hour: int, row: int, free_a: float, requested_a: float) -> Cell:
    x, y = round(LEFT + CELL_WIDTH * hour, 3), round(TOP + CELL_HEIGHT * row, 3)
    short = free_a < requested_a
    right, bottom = x + CELL_WIDTH, y + CELL_HEIGHT
    corners = [(x, y), (right, y), (right, bottom), (x, bottom)]
    return Cell(
        x=x,
        y=y,
        text="" if math.isnan(free_a) else _rounded_down(free_a),
        short=short,
        hatching=hatching(corners, HATCH_STEP) if short else "",
    )


def _rounded_down(free_a: float) -> str:
    return str(math.floor(free_a + 1e-6))
