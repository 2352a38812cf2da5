"""Layout of the chain picture as numbers."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from feasibility.assessment import Assessment
from feasibility.chain import ChainLink
from feasibility.render import chain_picture as picture
from feasibility.render.words import currents_beside
from feasibility.result import Outcome
from tests.render import sites

WHOLE_PAGE = 257.0
POINT = re.compile(r"[ML](\S+) (-?[\d.]+?)(?=[ML]|$)")


def link(
    carries_a: float | None, *, advised_a: float | None = None, outcome: Outcome = Outcome.PASS
) -> ChainLink:
    return ChainLink(
        name=f"link {carries_a}",
        kind="cable",
        carries_a=carries_a,
        advised_a=carries_a if advised_a is None else advised_a,
        outcome=outcome,
    )


def drawn(requested_a: float | None, *links: ChainLink, weakest: str = "") -> picture.ChainPicture:
    assessment: Assessment = replace(
        sites.shipped("bakery-yard"),
        requested_current_a=requested_a,
        chain=links,
        weakest_link=weakest,
    )
    return picture.chain_picture(assessment, currents_beside(assessment))


def test_a_bar_is_as_long_as_its_current() -> None:
    shown = drawn(32.0, link(16.0), link(32.0), link(40.0))
    quarter, half, most = shown.bars
    assert shown.ticks[-1].text == "50"
    span = picture.BARS_TO - picture.BARS_FROM
    assert quarter.width == pytest.approx(span * 16 / 50, abs=0.01)
    assert half.width == pytest.approx(span * 32 / 50, abs=0.01)
    assert most.width == pytest.approx(span * 40 / 50, abs=0.01)
    assert shown.requested_x == pytest.approx(picture.BARS_FROM + half.width, abs=0.01)


def test_a_bar_that_falls_short_ends_left_of_the_requested_line_and_is_hatched() -> None:
    shown = drawn(32.0, link(31.0, outcome=Outcome.FAIL), link(33.0))
    short, enough = shown.bars
    assert shown.requested_x is not None
    assert short.x + short.width < shown.requested_x < enough.x + enough.width
    assert (short.style, enough.style) == (picture.BarStyle.SHORT, picture.BarStyle.ENOUGH)
    assert short.hatching
    assert not enough.hatching


def test_what_is_far_beyond_is_cut_and_says_its_current() -> None:
    shown = drawn(32.0, link(30.0), link(500.0))
    near, far = shown.bars
    assert far.cut
    assert not near.cut
    assert far.x + far.width == picture.BARS_TO
    assert far.carries == "500"


@pytest.mark.parametrize(
    ("one", "style"),
    [
        (link(None, outcome=Outcome.OPEN), picture.BarStyle.NOT_KNOWN),
        (link(None), picture.BarStyle.NO_LIMIT),
        (link(40.0, outcome=Outcome.OPEN), picture.BarStyle.UNCERTAIN),
        (link(20.0, outcome=Outcome.FAIL), picture.BarStyle.SHORT),
        (link(32.0), picture.BarStyle.ENOUGH),
        (link(40.0, outcome=Outcome.FAIL), picture.BarStyle.ENOUGH),
    ],
)
def test_how_a_bar_is_drawn(one: ChainLink, style: picture.BarStyle) -> None:
    (bar,) = drawn(32.0, one).bars
    assert bar.style is style


def test_an_unknown_link_has_a_bar_over_the_whole_scale_and_the_words() -> None:
    _, unknown = drawn(32.0, link(40.0), link(None, outcome=Outcome.OPEN)).bars
    assert unknown.width == pytest.approx(picture.BARS_TO - picture.BARS_FROM)
    assert unknown.carries == "not known"
    assert unknown.advised == "–"
    assert unknown.advised_x is None


def test_nothing_known_at_all_can_still_be_drawn() -> None:
    shown = drawn(None, link(None, outcome=Outcome.OPEN))
    assert shown.ticks == ()
    assert shown.requested_x is None


def test_a_link_without_any_current_left_has_no_bar() -> None:
    (bar,) = drawn(32.0, link(0.0, outcome=Outcome.FAIL)).bars
    assert bar.width == 0
    assert bar.carries == "0"
    assert bar.hatching == ""


def test_the_advised_current_is_marked_inside_the_bar() -> None:
    (bar,) = drawn(20.0, link(32.0, advised_a=25.6)).bars
    assert bar.advised_x is not None
    assert bar.x < bar.advised_x < bar.x + bar.width
    assert bar.advised == "25.6"


def test_only_the_weakest_link_is_marked() -> None:
    weak, other = drawn(20.0, link(25.0), link(32.0), weakest="link 25.0").bars
    assert weak.weakest
    assert not other.weakest


@pytest.mark.parametrize("count", [1, 3, 11, 14, 27, 36])
def test_rows_do_not_overlap_and_stay_on_one_page(count: int) -> None:
    shown = drawn(20.0, *(link(20.0 + number) for number in range(count)))
    assert [bar.number for bar in shown.bars] == list(range(1, count + 1))
    for upper, lower in zip(shown.bars, shown.bars[1:], strict=False):
        assert upper.y + upper.height < upper.lower_y <= lower.y
    assert shown.bars[-1].lower_y == pytest.approx(shown.bottom_y, abs=0.02)
    assert shown.height <= WHOLE_PAGE


@example(None, [5e-324])
@given(
    st.one_of(st.none(), st.floats(0.5, 2000)),
    st.lists(st.one_of(st.none(), st.floats(0, 3000)), max_size=20),
)
def test_the_scale_shows_the_requested_current_and_the_weakest_link(
    requested_a: float | None, carries_a: list[float | None]
) -> None:
    full_a, step_a = picture.scale_of(requested_a, carries_a)
    known = [one for one in carries_a if one is not None and one > 0]
    for shown in [
        *([] if requested_a is None else [requested_a]),
        *([min(known)] if known else []),
    ]:
        assert shown <= full_a
    if step_a is None:
        assert requested_a is None
        assert not known
    else:
        assert 1 <= full_a / step_a <= 2 * picture.TICKS_ABOUT


@given(st.floats(0, 100), st.floats(1, 6))
def test_hatching_stays_inside_its_bar(width: float, height: float) -> None:
    path = picture.hatching(10, 20, width, height)
    points = [(float(x), float(y)) for x, y in POINT.findall(path)]
    assert len(points) == path.count("M") + path.count("L")
    for x, y in points:
        assert 10 - 0.01 <= x <= 10 + width + 0.01
        assert 20 - 0.01 <= y <= 20 + height + 0.01
    if width > 2 * picture.HATCH_STEP:
        assert len(points) >= 4
