"""Edges of bands, and the currents at which two bands meet.

Test points: IEC 60898-1, Table 7 and the gates of IEC 60269-1 as test_bands.py quotes them. The
ratio of 1.6 between fuses is the rule of IEC 60269-1 and of a trade page on selectivity.
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from feasibility.curves.bands import (
    BandPoint,
    CurvePoint,
    FuseGates,
    Release,
    TripBand,
    breaker,
    fuse_gg,
)
from feasibility.curves.edges import (
    Edge,
    Span,
    holds_up_to_a,
    piece_below,
    quick_edge,
    slow_edge,
    where_slower,
    without,
)
from feasibility.units import OutOfRange

# IEC 60898-1, Table 7 (2003), rated current above 32 A up to 63 A for the 120 s.
MAGNETIC = {"B": (3.0, 5.0), "C": (5.0, 10.0), "D": (10.0, 20.0)}


def miniature(rating_a: float, letter: str) -> TripBand:
    low, high = MAGNETIC[letter]
    late_s = 60.0 if rating_a <= 32 else 120.0
    points = [
        BandPoint(multiple=1.13, must_trip=False, t_min_s=3600.0),
        BandPoint(multiple=1.45, must_trip=True, t_max_s=3600.0),
        BandPoint(multiple=2.55, must_trip=True, t_min_s=1.0, t_max_s=late_s),
        BandPoint(multiple=low, must_trip=False, t_min_s=0.1),
        BandPoint(multiple=high, must_trip=True, t_max_s=0.1),
    ]
    return breaker(continuous_a=rating_a, releases=[Release(base_a=rating_a, points=points)])


# IEC 60269-1, Tables 2 and 3: 10 s, 5 s, 0.1 s, 0.1 s, from 16 to 100 A.
GATES = {
    16: (33, 65, 85, 150),
    20: (42, 85, 110, 200),
    25: (52, 110, 150, 260),
    32: (75, 150, 200, 350),
    40: (95, 190, 260, 450),
    50: (125, 250, 350, 610),
    63: (160, 320, 450, 820),
    80: (215, 425, 610, 1100),
    100: (290, 580, 820, 1450),
}


def fuse(rating_a: int) -> TripBand:
    hold_10, melt_5, hold_01, melt_01 = GATES[rating_a]
    return fuse_gg(
        rating_a=rating_a,
        non_fusing_multiple=1.25,
        fusing_multiple=1.6,
        conventional_time_s=3600.0 if rating_a <= 63 else 7200.0,
        gates=FuseGates(
            holds_10s_a=hold_10, melts_5s_a=melt_5, holds_0_1s_a=hold_01, melts_0_1s_a=melt_01
        ),
    )


BANDS = [*(miniature(rating, letter) for rating in (16, 32, 63) for letter in "BCD")]
BANDS += [fuse(rating) for rating in GATES]


def time_below(edge: Edge, current_a: float, beyond_s: float) -> float:
    return piece_below(edge, current_a, beyond_s=beyond_s).time_s(current_a)


@pytest.mark.parametrize("band", BANDS, ids=str)
def test_edges_run_from_left_above_to_right_below(band: TripBand) -> None:
    for edge in (slow_edge(band), quick_edge(band)):
        assert len(edge) > 2
        for before, after in pairwise(edge):
            assert before.current_a <= after.current_a
            assert before.time_s >= after.time_s
            assert before != after


@given(st.sampled_from(BANDS), st.floats(1.05, 40.0))
def test_an_edge_never_says_more_than_the_test_points(band: TripBand, multiple: float) -> None:
    continuous_a = next(point.current_a for point in band.holds if math.isinf(point.time_s))
    current_a = multiple * continuous_a
    slow, quick = slow_edge(band), quick_edge(band)
    sure_s = band.slowest_time_s(current_a)
    # At the step the edge below is still the one before it: look just beyond.
    drawn_s = time_below(slow, current_a * (1 + 1e-12), slow[-1].time_s)
    assert drawn_s <= (math.inf if sure_s is None else sure_s) * (1 + 1e-9)
    held_s = time_below(quick, current_a, 0.0)
    assert held_s >= band.fastest_time_s(current_a) * (1 - 1e-9)
    assert held_s <= drawn_s * (1 + 1e-9) or math.isinf(drawn_s)


def test_the_overload_part_of_a_breaker_goes_on_to_its_short_circuit_release() -> None:
    # B32: 60 s at 2.55 In, at constant I2t 15.6 s at 5 In, there down to 0.1 s.
    edge = slow_edge(miniature(32, "B"))
    at_five = [point.time_s for point in edge if point.current_a == 160.0]
    assert at_five == pytest.approx([60 * (2.55 / 5) ** 2, 0.1])


def test_a_breaker_holds_at_least_the_energy_of_its_next_test_point() -> None:
    # C63: 1 s at 2.55 In means at least 5.09 s at 1.13 In (1 s times the square of 2.55 / 1.13).
    edge = quick_edge(miniature(63, "C"))
    at_first = [point.time_s for point in edge if point.current_a == pytest.approx(1.13 * 63)]
    assert at_first == pytest.approx([3600.0, (2.55 / 1.13) ** 2])


def test_a_fuse_is_straight_between_its_gates() -> None:
    edge = quick_edge(fuse(63))
    assert [point.current_a for point in edge] == [1.25 * 63, 160, 450]
    # Halfway in double logarithm between 160 A, 10 s and 450 A, 0.1 s.
    assert time_below(edge, math.sqrt(160 * 450), 0.0) == pytest.approx(1.0)


def test_further_points_of_a_fuse_go_on_below_its_last_gate() -> None:
    edge = quick_edge(fuse(63), then=[CurvePoint(949.0, 0.01)])
    assert edge[-1] == CurvePoint(949.0, 0.01)
    assert time_below(edge, 949.0, 0.0) == pytest.approx(0.01)


@pytest.mark.parametrize(
    ("small", "large"), [(16, 25), (20, 32), (25, 40), (32, 50), (40, 63), (50, 80), (63, 100)]
)
def test_fuses_at_1_to_1_6_hold_where_the_smaller_one_melts(small: int, large: int) -> None:
    """Where both gates stand: 0.1 s against 0.1 s (IEC 60269-1: the gates are graded so)."""
    slow, quick = slow_edge(fuse(small)), quick_edge(fuse(large))
    assert slow[-1].current_a <= quick[-1].current_a


@pytest.mark.parametrize(
    ("upstream", "downstream", "limit_a"),
    [
        # Fuse before a breaker: up to the 0.1 s gate, in which the breaker has opened.
        (fuse(63), miniature(16, "B"), 450),
        (fuse(80), miniature(32, "B"), 610),
        (fuse(100), miniature(16, "C"), 820),
        # Two equal devices: from the current at which the upstream one need not hold.
        (fuse(32), fuse(32), 1.25 * 32),
        (miniature(32, "B"), miniature(32, "B"), 1.13 * 32),
        (miniature(16, "B"), miniature(32, "B"), 1.13 * 16),
    ],
)
def test_where_selectivity_ends(upstream: TripBand, downstream: TripBand, limit_a: float) -> None:
    spans = where_slower(slow_edge(downstream), quick_edge(upstream), up_to_a=10_000)
    assert spans[0].from_a == pytest.approx(limit_a)
    assert spans[-1].to_a == 10_000


def test_bands_may_overlap_in_the_overload_range_and_part_again() -> None:
    """63 A fuse before B32, by hand: constant I2t of the breaker against the line to the gate."""
    slope = math.log(3600 / 10) / math.log(160 / (1.25 * 63))
    # 60 s (81.6 / I)^2 = 10 s (160 / I)^slope
    meeting_a = (10 * 160**slope / (60 * 81.6**2)) ** (1 / (slope - 2))
    slow, quick = slow_edge(miniature(32, "B")), quick_edge(fuse(63))
    first, second = where_slower(slow, quick, up_to_a=5_000)
    assert first.from_a == pytest.approx(meeting_a)
    assert first.to_a == 160.0
    assert second == Span(from_a=450.0, to_a=5_000)


def test_a_range_below_the_meeting_is_free() -> None:
    slow, quick = slow_edge(miniature(16, "B")), quick_edge(fuse(63))
    assert where_slower(slow, quick, up_to_a=450 * 0.99) == ()
    (span,) = where_slower(slow, quick, up_to_a=450 * 1.01)
    assert span == Span(from_a=450.0, to_a=450 * 1.01)


@pytest.mark.parametrize(
    ("edge", "time_s", "current_a"),
    [
        (quick_edge(miniature(63, "C")), 0.1, 315.0),
        (quick_edge(fuse(63)), 0.1, 450.0),
        (quick_edge(fuse(63)), 10.0, 160.0),
        # At constant I2t between 1 s at 2.55 In and the point before it.
        (quick_edge(miniature(63, "C")), 4.0, 2.55 * 63 / 2),
        (quick_edge(miniature(63, "C")), 0.05, 315.0),
        (quick_edge(miniature(63, "C")), 4000.0, 1.13 * 63),
    ],
)
def test_how_far_a_device_holds_for_a_time(edge: Edge, time_s: float, current_a: float) -> None:
    assert holds_up_to_a(edge, time_s) == pytest.approx(current_a)


@given(st.sampled_from(BANDS), st.floats(0.1, 5000))
def test_beyond_what_it_holds_the_edge_lies_below(band: TripBand, time_s: float) -> None:
    edge = quick_edge(band)
    current_a = holds_up_to_a(edge, time_s)
    assert time_below(edge, current_a, 0.0) >= time_s * (1 - 1e-9)
    assert time_below(edge, current_a * 1.001, 0.0) < time_s


@pytest.mark.parametrize(
    ("cut", "left"),
    [
        (Span(from_a=5, to_a=8), (Span(from_a=10, to_a=20), Span(from_a=30, to_a=40))),
        (Span(from_a=15, to_a=35), (Span(from_a=10, to_a=15), Span(from_a=35, to_a=40))),
        (
            Span(from_a=12, to_a=18),
            (Span(from_a=10, to_a=12), Span(from_a=18, to_a=20), Span(from_a=30, to_a=40)),
        ),
        (Span(from_a=10, to_a=40), ()),
    ],
)
def test_what_is_known_otherwise_is_taken_out(cut: Span, left: tuple[Span, ...]) -> None:
    assert without((Span(from_a=10, to_a=20), Span(from_a=30, to_a=40)), cut) == left


def test_what_is_not_known_is_never_sure() -> None:
    held = quick_edge(fuse(63))
    assert where_slower((), held, up_to_a=1_000)[0].from_a == pytest.approx(1.25 * 63)
    assert where_slower(slow_edge(miniature(16, "B")), (), up_to_a=1_000)[0].from_a == 0.0


@given(st.sampled_from(BANDS), st.sampled_from(BANDS), st.floats(20, 20_000))
def test_the_spans_are_exactly_where_the_one_lies_above_the_other(
    upstream: TripBand, downstream: TripBand, current_a: float
) -> None:
    slow, quick = slow_edge(downstream), quick_edge(upstream)
    spans = where_slower(slow, quick, up_to_a=20_000)
    for before, after in pairwise(spans):
        assert before.to_a < after.from_a
    corners = [point.current_a for point in (*slow, *quick)] + [s.from_a for s in spans]
    corners += [span.to_a for span in spans]
    if any(math.isclose(current_a, corner, rel_tol=1e-6) for corner in corners):
        return
    late_s = time_below(slow, current_a, slow[-1].time_s)
    held_s = time_below(quick, current_a, 0.0)
    unsure = not math.isinf(held_s) and late_s > held_s
    assert any(span.from_a <= current_a <= span.to_a for span in spans) is unsure


@given(st.sampled_from(sorted(GATES)), st.sampled_from(sorted(GATES)), st.sampled_from(BANDS))
def test_a_larger_fuse_before_never_lowers_the_limit(one: int, other: int, after: TripBand) -> None:
    small, large = sorted((one, other))
    slow = slow_edge(after)
    ends = [
        where_slower(slow, quick_edge(fuse(rating)), up_to_a=20_000)[0].from_a
        for rating in (small, large)
    ]
    assert ends[0] <= ends[1]


@given(st.floats(6, 63), st.floats(6, 63), st.sampled_from("BCD"), st.sampled_from(BANDS))
def test_a_larger_breaker_before_never_lowers_the_limit(
    one: float, other: float, letter: str, after: TripBand
) -> None:
    ends = [
        where_slower(slow_edge(after), quick_edge(miniature(rating, letter)), up_to_a=20_000)[0]
        for rating in sorted((one, other))
    ]
    assert ends[0].from_a <= ends[1].from_a * (1 + 1e-9)


@pytest.mark.parametrize("current_a", [0.0, -1.0, math.nan])
def test_a_current_that_is_none_is_refused(current_a: float) -> None:
    with pytest.raises(OutOfRange):
        where_slower((), (), up_to_a=current_a)
    with pytest.raises(OutOfRange):
        piece_below((), current_a, beyond_s=0.1)
