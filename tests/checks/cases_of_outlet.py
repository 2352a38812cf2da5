"""Cases of the checks on the outlet as found: sun, contacts, condition, place, isolation."""

from __future__ import annotations

from .case import About, Case
from .sites import GONE, drawing, merged

CABLE, CORD = "Yard outlet: cable 1", "cord"
IN_SUN = "circuit[0].cable[0].in_sun"

SUN: tuple[Case, ...] = (
    *About(check="ampacity", link=CABLE).around(
        "30 A through 6 mm2 in the shade, and in the sun",
        merged(drawing(30), {IN_SUN: False}),
        merged(drawing(30), {IN_SUN: True}),
        "AS/NZS 3008.1.1, 3.5.8: 20 K warmer; IEC 60364-5-52, Table B.52.14: 0.71 at 50 C, PVC",
    ),
    *About(check="ampacity", link=CABLE).around(
        "41 A times 0.71 in the sun",
        merged(drawing(41 * 0.71 * 0.99), {IN_SUN: True}),
        merged(drawing(41 * 0.71 * 1.01), {IN_SUN: True}),
        "AS/NZS 3008.1.1, 3.5.8: 20 K warmer; IEC 60364-5-52, Table B.52.14: 0.71 at 50 C, PVC",
        41 * 0.71,
    ),
    *About(check="overload-rating", link=CABLE).around(
        "a breaker of 32 A before 10 and 6 mm2 in the sun",
        {IN_SUN: True, "circuit[0].cable[0].section_mm2": 10},
        {IN_SUN: True},
        "IEC 60364-5-52, Table B.52.4: 57 A and 41 A, method C; times 0.71",
    ),
    *About(check="ampacity", link=CORD).around(
        "27 A through a cord of 34 A in the shade, and in the sun",
        merged(drawing(27), {"cord.in_sun": False}),
        merged(drawing(27), {"cord.in_sun": True}),
        "BS 7671:2008, Table 4F1A: 6 mm2, 34 A at 30 C; sqrt(10/30) of it at 50 C",
    ),
    About(check="ampacity", link=CABLE).unknown(
        "circuit[1].cable[1].in_sun", merged(drawing(30), {IN_SUN: GONE})
    ),
)

CASES = (*SUN,)
