"""Accessors and comparison of solutions, on phasors set by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from feasibility.network.solution import Solution, compare

TURN = np.exp(-2j * np.pi / 3 * np.arange(3))


def solution(*, scale_v: complex = 1.0, scale_a: complex = 1.0, end: str = "end") -> Solution:
    end_v = np.array([200, 210, 220]) * TURN
    lines_a = scale_a * np.array([30, 20, 10]) * TURN
    return Solution(
        node_rows={"source": 0, end: 1},
        branch_rows={"cable": 0},
        node_voltages_v=np.array([230 * TURN, scale_v * end_v]),
        branch_currents_a=np.array([lines_a]),
        neutral_currents_a=np.array([lines_a.sum()]),
        branch_losses_w=np.array([140.0]),
    )


def test_accessors() -> None:
    solved = solution()
    assert solved.voltage_v("end") == pytest.approx([200, 210, 220])
    assert solved.voltage_phasor_v("end")[1] == pytest.approx(210 * TURN[1])
    # Law of cosines at 120 degrees: U12^2 = U1^2 + U2^2 + U1 U2.
    expected = [math.sqrt(a * a + b * b + a * b) for a, b in ((200, 210), (210, 220), (220, 200))]
    assert solved.line_voltage_v("end") == pytest.approx(expected)
    assert solved.lowest_line_voltage_v("end") == pytest.approx(min(expected))
    assert solved.line_voltage_v("source") == pytest.approx([230 * math.sqrt(3)] * 3)
    assert solved.current_a("cable") == pytest.approx([30, 20, 10])
    assert solved.neutral_current_a("cable") == pytest.approx(math.sqrt(300))
    assert solved.loss_w("cable") == 140
    assert solved.total_loss_w == 140
    with pytest.raises(KeyError):
        solved.voltage_v("elsewhere")


def test_compare_finds_the_largest_deviation() -> None:
    assert compare(solution(), solution()) == 0
    assert compare(solution(), solution(scale_v=1.01)) == pytest.approx(2.2 / 230)
    assert compare(solution(), solution(scale_a=1.02)) == pytest.approx(0.02)
    assert compare(solution(scale_a=0), solution(scale_a=1e-9)) == pytest.approx(30e-9)
    # The same magnitudes at another angle are another solution.
    assert compare(solution(), solution(scale_v=np.exp(0.01j))) == pytest.approx(
        0.01 * 220 / 230, rel=1e-4
    )


def test_compare_accepts_no_nan_and_no_other_network() -> None:
    for other in (solution(scale_v=math.nan), solution(scale_a=math.nan)):
        assert not compare(solution(), other) < 1
        assert not compare(other, solution()) < 1
    with pytest.raises(ValueError, match="different networks"):
        compare(solution(), solution(end="other"))
