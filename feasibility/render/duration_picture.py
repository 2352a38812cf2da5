"""Layout of the headroom duration curve: for how much of the time how much current is free.

Positions are in mm from the upper left corner. Where the curve lies below the requested current the
space between them is hatched.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from feasibility.render.numbers import amount_text, number_text
from feasibility.render.polygon import Place, hatching, path_of
from feasibility.render.scale import whole_steps

if TYPE_CHECKING:
    from feasibility.year.record import FreePlace, YearStudy

WIDTH = 180.0
LEFT, RIGHT = 12.0, 174.0
TOP, BOTTOM = 5.0, 47.0
_TICKS_ABOUT = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """One line of a scale."""

    at: float
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DurationPicture:
    """The whole picture. ``fixed_y`` is None where there is no fixed setting to draw."""

    title: str
    width: float
    height: float
    left: float
    right: float
    top: float
    bottom: float
    current_ticks: tuple[Tick, ...]
    time_ticks: tuple[Tick, ...]
    curve: str
    hatching: str
    requested_y: float
    requested: str
    fixed_y: float | None
    fixed: str


def duration_picture(place: FreePlace, study: YearStudy) -> DurationPicture:
    """Lay out the duration curve of one place that varies."""
    requested_a, fixed_a = study.requested_a, study.fixed.setting_a
    most_a = max(place.highest_a, requested_a) * 1.05
    last = len(place.duration_a) - 1

    def x(percent: float) -> float:
        return round(LEFT + (RIGHT - LEFT) * percent / last, 2)

    def y(current_a: float) -> float:
        return round(BOTTOM - (BOTTOM - TOP) * current_a / most_a, 2)

    points = [(x(number), y(free_a)) for number, free_a in enumerate(place.duration_a)]
    return DurationPicture(
        title=f"Current that is free over the time: {place.name}",
        width=WIDTH,
        height=BOTTOM + 9.0,
        left=LEFT,
        right=RIGHT,
        top=TOP,
        bottom=BOTTOM,
        current_ticks=tuple(
            Tick(at=y(one), text=number_text(one))
            for one in (0.0, *whole_steps(0.0, most_a, _TICKS_ABOUT))
        ),
        time_ticks=tuple(Tick(at=x(one), text=str(one)) for one in range(0, last + 1, 10)),
        curve=path_of(points),
        hatching=hatching(_short_of(points, y(requested_a))),
        requested_y=y(requested_a),
        requested=f"requested {amount_text(requested_a, 'A')}",
        fixed_y=y(fixed_a) if fixed_a else None,
        fixed=f"largest fixed setting {amount_text(fixed_a, 'A')}" if fixed_a else "",
    )


def _short_of(points: list[Place], requested_y: float) -> list[Place]:
    """Return the closed shape between the curve and the requested current, below it."""
    below: list[Place] = []
    for (x1, y1), (x2, y2) in pairwise(points):
        if y2 <= requested_y:
            continue
        if y1 <= requested_y:
            crossing = x1 + (x2 - x1) * (requested_y - y1) / (y2 - y1)
            below.append((round(crossing, 2), requested_y))
        elif not below:
            below.append((x1, y1))
        below.append((x2, y2))
    if not below:
        return []
    return [(below[0][0], requested_y), *below, (below[-1][0], requested_y)]
