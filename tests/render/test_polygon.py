"""Hatching of shapes: its length is the area over the distance of the lines, by Cavalieri."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from feasibility.render.polygon import HATCH_STEP, Place, hatching, path_of

PIECE = re.compile(r"M(\S+) (\S+?)L(\S+) (-?[\d.]+)")


def pieces(path: str) -> list[tuple[float, ...]]:
    return [tuple(map(float, found)) for found in PIECE.findall(path)]


def area(shape: list[Place]) -> float:
    turns = zip(shape, [*shape[1:], shape[0]], strict=True)
    return abs(sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in turns)) / 2


SHAPES: list[list[Place]] = [
    [(0, 0), (90, 0), (90, 60), (0, 60)],
    [(0, 0), (100, 0), (0, 80)],
    # A hollow shape, as a band has it.
    [(10, 0), (10, 50), (30, 50), (30, 70), (100, 70), (100, 60), (50, 60), (40, 0)],
]


@pytest.mark.parametrize("shape", SHAPES)
def test_the_lines_are_as_long_as_the_shape_is_large(shape: list[Place]) -> None:
    drawn = pieces(hatching(shape))
    length = sum(math.hypot(x2 - x1, y2 - y1) for x1, y1, x2, y2 in drawn)
    # Neighbouring lines lie HATCH_STEP / sqrt(2) apart.
    assert length * HATCH_STEP / math.sqrt(2) == pytest.approx(area(shape), rel=0.03)


@pytest.mark.parametrize("shape", SHAPES)
def test_every_line_runs_at_45_degrees(shape: list[Place]) -> None:
    drawn = pieces(hatching(shape))
    assert len(drawn) == hatching(shape).count("M") > 20
    for x1, y1, x2, y2 in drawn:
        assert x2 - x1 == pytest.approx(y1 - y2, abs=0.02)


coordinates = st.floats(-50, 200)


@given(st.lists(st.tuples(coordinates, coordinates), max_size=8))
def test_hatching_of_any_shape_stays_within_its_bounds(shape: list[Place]) -> None:
    for x1, y1, x2, y2 in pieces(hatching(shape)):
        for x, y in ((x1, y1), (x2, y2)):
            assert min(one for one, _ in shape) - 0.01 <= x <= max(one for one, _ in shape) + 0.01
            assert min(one for _, one in shape) - 0.01 <= y <= max(one for _, one in shape) + 0.01


def test_a_path_is_written_in_full() -> None:
    assert path_of([(1, 2), (3.25, 4)]) == "M1 2L3.25 4"
    assert path_of([(1, 2), (3, 4)], closed=True) == "M1 2L3 4Z"
    assert hatching([]) == ""
