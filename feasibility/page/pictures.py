"""Positions for the pictures of outlets: contacts seen from the front, with the notch below."""

from __future__ import annotations

import math
from dataclasses import dataclass

_RING = 9.0
_CONTACTS = {"2P+E": 3, "3P+E": 4, "3P+N+E": 5}
_USUAL = 5


@dataclass(frozen=True, slots=True)
class ClockPicture:
    """The earthing contact and the others of an outlet; positions from the middle of the face."""

    earth: tuple[float, float]
    others: tuple[tuple[float, float], ...]


def clock_picture(hour: int, poles: str) -> ClockPicture:
    """Return the contacts of an outlet whose earthing contact stands at this hour.

    The clock position is that of the earthing contact with the main keyway at 6 h, the socket seen
    from the front (IEC 60309-2, from memory). Poles that are not known are drawn as five contacts.
    """
    count = _CONTACTS.get(poles, _USUAL)
    first = math.radians(hour * 30)
    places = [first + 2 * math.pi * number / count for number in range(count)]
    points = [(round(_RING * math.sin(a), 2), round(-_RING * math.cos(a), 2)) for a in places]
    return ClockPicture(points[0], tuple(points[1:]))
