"""Cases of cables in parallel and of cords by the second published set."""

from __future__ import annotations

from feasibility.result import Outcome

from .case import About
from .sites import drawing

BAKERY = "bakery-yard"
BESIDE = "circuit[0].cable[0].parallel_cable"
CORD = {"cord.section_mm2": 6, "cord.grade": "60 C rubber", "cord.ambient_c": 30}

PARALLEL = About(
    check="parallel-cables",
    site=BAKERY,
    breach=Outcome.CAUTION,
    lacking_facts=Outcome.CAUTION,
)
SECOND = About(
    check="cord-second-set",
    link="cord",
    site=BAKERY,
    breach=Outcome.CAUTION,
    lacking_facts=Outcome.CAUTION,
)

CASES = (
    *PARALLEL.around(
        "equal cables, or one that differs",
        {"circuit[0].cable[0].in_parallel": 2},
        {BESIDE: [{"section_mm2": 25, "length_m": 20}]},
        "IEC 60364-5-52:2009, 523.7: same material, section, length, no branches",
    ),
    PARALLEL.unknown(
        "circuit[1].cable[1].parallel_cable[1].length_m", {BESIDE: [{"section_mm2": 25}]}
    ),
    *SECOND.around(
        "6 mm2 H07RN-F by the other set",
        {**CORD, **drawing(43.9)},
        {**CORD, **drawing(44.1)},
        "DIN VDE 0298-4:2013-06, Table 11, column 5: 44 A for 6 mm2, three loaded",
        limit=44.0,
    ),
    SECOND.unknown("cord.section_mm2", {**CORD, "cord.section_mm2": "unknown"}),
)
