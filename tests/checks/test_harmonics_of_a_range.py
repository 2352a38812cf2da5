"""A third harmonic that may vary: every step of Table E.52.1 in its range counts.

IEC 60364-5-52, Annex E: 0.86 on the line from 15 % to 33 %, on the neutral (3 h3 Ib) from 33 % to
45 %, none on the neutral above. Between two rows less distortion can be the worse one.
"""

from __future__ import annotations

import pytest

from .sites import GONE, asked, third_harmonic

FULL_A = 76.0
"""16 mm2 of copper, PVC, method C: Table B.52.4."""


@pytest.mark.parametrize(
    ("percent", "factor"),
    [
        (15, 1.0),
        (15.1, 0.86),
        (33, 0.86),
        (34, 0.86 / 1.02),
        (40, 0.86 / 1.2),
        (45, 0.86 / 1.35),
        (46, 1 / 1.38),
        (50, 1 / 1.5),
        ({"low": 10, "high": 40}, 0.86 / 1.2),
        ({"low": 40, "high": 50}, 0.86 / 1.35),
        ({"low": 45, "high": 50}, 0.86 / 1.35),
        ({"low": 46, "high": 50}, 1 / 1.5),
        ({"low": 20, "high": 46}, 0.86 / 1.35),
    ],
)
def test_the_line_carries_less_for_a_third_harmonic(percent: object, factor: float) -> None:
    (judged,) = [
        one
        for one in asked("ampacity", "bakery-yard", third_harmonic(percent))
        if one.unfavourable.link == "Main cable: cable 1"
    ]
    assert judged.unfavourable.limit == pytest.approx(FULL_A * factor)


def test_a_neutral_that_the_station_may_need_carries_the_third_harmonic() -> None:
    changes = {**third_harmonic(40), "station.needs_neutral": GONE}
    (judged,) = [
        one
        for one in asked("ampacity", "bakery-yard", changes)
        if one.unfavourable.link == "Main cable: cable 1"
    ]
    assert judged.unfavourable.limit == pytest.approx(FULL_A * 0.86 / 1.2)
    assert judged.favourable.limit == pytest.approx(FULL_A)
    without = {**third_harmonic(40), "station.needs_neutral": False}
    neutral = asked("neutral-current", "bakery-yard", without)[0].unfavourable
    (step,) = [one for one in neutral.working if one.symbol == "In"]
    assert {one.symbol: one.value for one in step.inputs}["h3"] == 0
