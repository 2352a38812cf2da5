"""Paths of straight lines, and hatching of any shape, in mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

HATCH_STEP = 1.8

Place = tuple[float, float]


def path_of(places: Sequence[Place], *, closed: bool = False) -> str:
    """Return the path through these places."""
    pieces = [f"{'L' if number else 'M'}{x:g} {y:g}" for number, (x, y) in enumerate(places)]
    return "".join(pieces) + ("Z" if closed else "")


def hatching(shape: Sequence[Place], step: float = HATCH_STEP) -> str:
    """Return the path of lines at 45 degrees that fill a closed shape.

    Lines of different shapes fall on the same places, so that they do not crowd where shapes meet.
    """
    if not shape:
        return ""
    sums = [x + y for x, y in shape]
    lines = range(math.ceil(min(sums) / step), math.floor(max(sums) / step) + 1)
    return "".join(_line(shape, number * step) for number in lines)


def _line(shape: Sequence[Place], total: float) -> str:
    """Return the pieces of the line ``x + y = total`` that lie within the shape."""
    crossings = []
    for (x1, y1), (x2, y2) in pairwise([*shape, shape[0]]):
        before, after = x1 + y1 - total, x2 + y2 - total
        if (before >= 0) != (after >= 0):
            crossings.append(x1 + (x2 - x1) * before / (before - after))
    crossings.sort()
    return "".join(
        path_of([(_mm(x1), _mm(total - x1)), (_mm(x2), _mm(total - x2))])
        for x1, x2 in zip(crossings[::2], crossings[1::2], strict=True)
        if x2 - x1 > 0.01
    )


def _mm(length: float) -> float:
    return round(length, 2)
