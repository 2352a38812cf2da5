"""Layout of the time-current diagrams as numbers, and the drawn form as well-formed SVG.

Places are checked against the logarithm of the figures, done here once more.
"""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from feasibility.assessment import Assessment
from feasibility.render import time_current_picture as layout
from feasibility.render.html import to_html
from feasibility.render.text_fit import text_width
from feasibility.render.time_current_picture import Style, TimeCurrentPicture, time_current_picture
from feasibility.result import Message, Outcome
from feasibility.time_current import ConductorLimit, DeviceCurve, DiagramPoint, TimeCurrent
from tests.render import sites

PLACE = re.compile(r"[ML](-?[\d.]+) (-?[\d.]+)")
PAGE_HEIGHT = 257.0
SVG = "{http://www.w3.org/2000/svg}"

P = DiagramPoint
BREAKER = DeviceCurve(
    name="outlet: device",
    words="IEC 60898-1 circuit-breaker, characteristic B, 32 A",
    quick=(P(36.16, 3600), P(36.16, 5.1), P(81.6, 1.0), P(96, 0.1)),
    slow=(P(46.4, 3600), P(81.6, 60), P(160, 15.6), P(160, 0.1)),
)
FUSE = DeviceCurve(
    name="service device",
    words="gG fuse, 63 A",
    quick=(P(78.75, 3600), P(160, 10), P(450, 0.1), P(949, 0.01)),
    slow=(P(100.8, 3600), P(320, 5), P(820, 0.1), P(1643, 0.01)),
)
WHOLE = TimeCurrent(
    upstream="service device",
    downstream="outlet: device",
    before=FUSE,
    after=BREAKER,
    ampacity=ConductorLimit(name="cable 1", value=41.0),
    withstand=ConductorLimit(name="cable 1", value=476_100.0),
    withstand_from_s=0.1,
    withstand_to_s=5.0,
    design_current_a=24.5,
    start=P(30.0, 0.02),
    smallest_fault_a=360.0,
    largest_fault_a=4800.0,
    selective_up_to_a=149.0,
    outcome=Outcome.CAUTION,
    selectivity=Message(template="Selective in part."),
    missing=(),
)
NOTHING = replace(
    WHOLE, before=None, after=None, ampacity=None, withstand=None, design_current_a=None,
    start=None, smallest_fault_a=None, largest_fault_a=None, selective_up_to_a=None,
    missing=tuple(f"thing {number}: not known" for number in range(8)),
)  # fmt: skip


DIAGRAMS_OF_SHIPPED = {
    "bakery-yard": 1,
    "camp-site-kiosk": 1,
    "cider-press": 1,
    "joinery-hall": 1,
    "market-hall": 1,
    "old-mill": 1,
    "quarry-workshop": 2,
    "river-depot": 2,
}
DIAGRAMS = {**DIAGRAMS_OF_SHIPPED, "large": 3, "unknown": 1}
NAMES = [f"{name} {number}" for name, count in DIAGRAMS.items() for number in range(count)]
NAMES += ["whole", "nothing"]


@cache
def assessed(name: str) -> Assessment:
    if name in DIAGRAMS_OF_SHIPPED:
        return sites.shipped(name)
    return sites.assessment_of(sites.large_site() if name == "large" else sites.unknown_site())


@cache
def picture(name: str) -> TimeCurrentPicture:
    if name in ("whole", "nothing"):
        return time_current_picture(WHOLE if name == "whole" else NOTHING)
    site, number = name.split()
    return time_current_picture(assessed(site).time_current[int(number)])


def places(path: str) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in PLACE.findall(path)]


def scale(shown: TimeCurrentPicture) -> tuple[float, float]:
    """Return where 100 A and 1 s lie, and the mm per decade, from the ticks alone."""
    marks = {tick.text: tick.at for tick in shown.current_ticks if tick.text}
    return marks["100"], marks["1000"] - marks["100"]


def test_every_site_has_its_diagrams() -> None:
    assert set(sites.names()) == set(DIAGRAMS_OF_SHIPPED)
    assert {name: len(assessed(name).time_current) for name in DIAGRAMS} == DIAGRAMS


def test_currents_and_times_lie_where_their_logarithms_say() -> None:
    shown = picture("whole")
    x_100, decade = scale(shown)
    for mark, current_a in zip(shown.marks, (24.5, 41, 149, 360, 4800), strict=True):
        assert mark.x == pytest.approx(x_100 + decade * math.log10(current_a / 100), abs=0.02)
    times = {tick.text: tick.at for tick in shown.time_ticks if tick.text}
    assert times["0.01"] == shown.bottom
    assert times["1"] - times["10"] == pytest.approx(times["0.1"] - times["1"], abs=0.02)
    assert shown.start is not None
    assert shown.start[0] == pytest.approx(x_100 + decade * math.log10(0.3), abs=0.02)
    one_s, per_decade = times["1"], times["1"] - times["10"]
    assert shown.start[1] == pytest.approx(one_s - per_decade * math.log10(0.02), abs=0.02)


def test_the_heating_limit_is_a_line_of_constant_energy() -> None:
    shown = picture("whole")
    x_100, decade = scale(shown)
    (left, upper), (right, lower) = places(shown.withstand)
    # 476 100 A2s: 308.6 A for 5 s and 2182 A for 0.1 s.
    assert left == pytest.approx(x_100 + decade * math.log10(3.086), abs=0.05)
    assert right == pytest.approx(x_100 + decade * math.log10(21.82), abs=0.05)
    assert lower > upper


def test_a_band_begins_at_the_top_and_ends_at_the_bottom() -> None:
    shown = picture("whole")
    for area in shown.areas:
        heights = [y for _, y in places(area.shape)]
        assert (min(heights), max(heights)) == (shown.top, shown.bottom)
    fuse, breaker = shown.areas
    assert max(x for x, _ in places(breaker.shape)) == shown.right
    assert max(x for x, _ in places(fuse.shape)) < shown.right
    assert breaker.hatching
    assert not fuse.hatching


def test_a_short_inrush_lies_on_the_edge_and_is_said_to_be_shorter() -> None:
    shown = time_current_picture(replace(WHOLE, start=P(30.0, 0.004)))
    assert shown.start is not None
    assert shown.start[1] == shown.bottom
    text = " ".join(line for entry in shown.entries for _, line in entry.lines)
    assert "4\u202fms, shorter than the scale reaches" in text


def test_a_limit_beyond_every_fault_is_not_marked() -> None:
    shown = time_current_picture(replace(WHOLE, selective_up_to_a=4800.0))
    assert Style.SELECTIVE not in {mark.style for mark in shown.marks}
    assert Style.SELECTIVE in {mark.style for mark in picture("whole").marks}


def test_what_is_not_known_is_said_in_the_list() -> None:
    shown = picture("nothing")
    assert shown.areas == ()
    assert shown.marks == ()
    assert shown.withstand == ""
    text = " ".join(line for entry in shown.entries for _, line in entry.lines)
    for number in range(8):
        assert f"thing {number}: not known" in text


@pytest.mark.parametrize("name", NAMES)
def test_everything_lies_in_the_picture(name: str) -> None:
    shown = picture(name)
    drawn = [place for area in shown.areas for place in places(area.shape + area.hatching)]
    drawn += places(shown.withstand)
    for x, y in drawn:
        assert shown.left - 0.01 <= x <= shown.right + 0.01
        assert shown.top - 0.01 <= y <= shown.bottom + 0.01
    for mark in shown.marks:
        assert shown.left <= mark.x <= shown.right
    assert shown.height <= PAGE_HEIGHT / 2


@pytest.mark.parametrize("name", NAMES)
def test_no_two_texts_overlap(name: str) -> None:
    boxes = [one for one in text_boxes(picture(name)) if one[-1]]
    assert len(boxes) > 8
    for one, other in combinations(boxes, 2):
        apart = (
            one[2] <= other[0] + 1e-6
            or other[2] <= one[0] + 1e-6
            or one[3] <= other[1] + 1e-6
            or other[3] <= one[1] + 1e-6
        )
        assert apart, (one, other)
    for left, top, right, bottom, _ in boxes:
        assert left >= -0.01
        assert right <= picture(name).width + 0.01
        assert top >= 0
        assert bottom <= picture(name).height + 0.01


Box = tuple[float, float, float, float, str]


def box(x: float, y: float, size: float, text: str, share_left: float) -> Box:
    """Return left, top, right, bottom and the text; ``share_left`` of it lies left of ``x``."""
    wide = text_width(text, size)
    left = x - share_left * wide
    return left, y - 0.8 * size, left + wide, y + 0.2 * size, text


def text_boxes(shown: TimeCurrentPicture) -> Iterator[Box]:
    """Return every text of a diagram as its template sets it."""
    over, under = shown.top - 3.8, shown.bottom + 3.2
    yield box(0, over, 2.4, "time in s", 0)
    yield from (box(mark.label_x, over, 2.6, mark.symbol, 0.5) for mark in shown.marks)
    for tick in shown.current_ticks:
        yield box(tick.at, under, 2.2, tick.text, 0.5)
    for tick in shown.time_ticks:
        yield box(shown.left - 1, tick.at + 0.8, 2.2, tick.text, 1)
    for entry in shown.entries:
        yield from (box(layout.LIST_TEXT_FROM, y, 2.4, line, 0) for y, line in entry.lines)


def diagrams_in(html: str) -> list[ET.Element]:
    drawings = re.findall(r"<svg .*?</svg>", html, flags=re.DOTALL)
    found = [ET.fromstring(one) for one in drawings]  # noqa: S314 - our own text
    return [one for one in found if "time in s" in "".join(one.itertext())]


@pytest.mark.parametrize("name", sites.names())
def test_every_diagram_is_well_formed_and_says_its_figures(name: str) -> None:
    assessment = sites.shipped(name)
    drawn = diagrams_in(to_html(assessment))
    assert len(drawn) == len(assessment.time_current)
    for element, diagram in zip(drawn, assessment.time_current, strict=True):
        text = " ".join(element.itertext())
        assert "Ib = " in text
        for curve in (diagram.before, diagram.after):
            assert curve is not None
            assert curve.name.split()[0] in text
        assert all(path.get("d") is not None for path in element.iter(f"{SVG}path"))


def test_names_that_try_to_be_markup_stay_text() -> None:
    hostile = '<script>x</script>"&{{ 7*7 }}'
    assessment = sites.shipped("bakery-yard")
    curve = replace(BREAKER, name=hostile, words=hostile)
    limit = ConductorLimit(name=hostile, value=30.0)
    diagram = replace(
        WHOLE, upstream=hostile, after=curve, ampacity=limit, missing=(hostile,),
        selectivity=Message(template="{x}", values={"x": hostile}),
    )  # fmt: skip
    html = to_html(replace(assessment, time_current=(diagram,)))
    assert "<script>" not in html
    (element,) = diagrams_in(html)
    assert "<script>x</script>" in "".join(element.itertext())


def test_without_a_second_device_the_report_says_so() -> None:
    html = to_html(replace(sites.shipped("bakery-yard"), time_current=()))
    assert "only one overcurrent device stands in the feed path" in html
    assert diagrams_in(html) == []


currents = st.none() | st.floats(0.5, 200_000)


@given(currents, currents, currents, currents, st.floats(10, 1e10), st.floats(0.01, 10))
def test_any_currents_can_be_drawn(
    load_a: float | None,
    least_a: float | None,
    most_a: float | None,
    limit_a: float | None,
    energy_a2s: float,
    lasts_s: float,
) -> None:
    diagram = replace(
        WHOLE,
        design_current_a=load_a,
        smallest_fault_a=least_a,
        largest_fault_a=most_a,
        selective_up_to_a=limit_a,
        withstand=ConductorLimit(name="cable", value=energy_a2s),
        start=P(load_a, lasts_s) if load_a else None,
    )
    shown = time_current_picture(diagram)
    labels = sorted(
        (mark.label_x, text_width(mark.symbol, layout.LABEL_SIZE)) for mark in shown.marks
    )
    for (left, wide), (right, other) in pairwise(labels):
        assert right - left >= (wide + other) / 2
    for x, y in places(shown.withstand):
        assert shown.left <= x <= shown.right
        assert shown.top <= y <= shown.bottom
