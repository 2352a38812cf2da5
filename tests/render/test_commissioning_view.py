"""The sheet for the commissioning: everything expected is on it, with room for what is read."""

from __future__ import annotations

import pytest

from feasibility.render.commissioning_view import (
    NOT_DECIDED,
    NOT_STANDING,
    commissioning_sheet,
    span_text,
)
from feasibility.render.html import to_html
from feasibility.result import Span

from .sites import assessment_of, hostile_site, names, shipped, unknown_site


@pytest.mark.parametrize("name", names())
def test_every_expected_reading_stands_on_the_sheet(name: str) -> None:
    expected = shipped(name).expected_readings
    sheet = commissioning_sheet(shipped(name))
    assert [one.node for one in sheet.nodes] == [one.node for one in expected.nodes]
    assert len(sheet.temperatures) == len(expected.temperatures)
    assert [one.number for one in sheet.tests] == [str(n + 1) for n in range(len(expected.tests))]
    assert bool(sheet.not_standing) is not expected.verdict_stands


def test_a_sheet_that_does_not_hold_says_what_comes_first() -> None:
    assert commissioning_sheet(shipped("river-depot")).not_standing == NOT_STANDING
    assert commissioning_sheet(shipped("old-mill")).not_standing == NOT_DECIDED


def test_every_source_of_the_site_is_switched_off_before_work() -> None:
    """EN 50110-1, 6.2: disconnect completely, from all possible sources (from memory)."""
    first = commissioning_sheet(shipped("joinery-hall")).isolation[0]
    assert "the network, roof photovoltaics at Main board, and the station" in first
    assert "live in daylight" in first
    assert "flood pump generator" in commissioning_sheet(shipped("river-depot")).isolation[0]
    assert "high-voltage side" in commissioning_sheet(shipped("quarry-workshop")).isolation[0]
    assert "feeds in at Main board." in commissioning_sheet(shipped("old-mill")).isolation[0]


def test_the_fault_current_is_not_taken_for_that_to_earth() -> None:
    sheet = commissioning_sheet(shipped("camp-site-kiosk"))
    assert sheet.fault_between == "line-neutral"
    document = to_html(shipped("camp-site-kiosk"))
    assert "Fault current line-neutral, A" in document


def test_tests_are_dead_first_and_then_with_the_supply_on() -> None:
    hows = [one.how for one in commissioning_sheet(shipped("bakery-yard")).tests]
    dead = [one.startswith("dead") for one in hows]
    assert dead == sorted(dead, reverse=True)
    assert all(one.startswith(("dead", "supply on", "station at full load")) for one in hows)


def test_figures_of_the_bakery() -> None:
    sheet = commissioning_sheet(shipped("bakery-yard"))
    outlet = sheet.nodes[2]
    assert outlet.loop_read == "0.52"
    assert outlet.section == "Yard outlet"
    # 24.48 A over 22 m of 6 mm2 at 3.08 ohm/km (IEC 60228): 1.66 V, times the power factor 0.99
    assert outlet.drop.startswith("1.65 ")
    assert outlet.loop_most == "0.909"
    assert sheet.nodes[0].drop == ""
    assert sheet.between == "line and neutral"
    insulation = next(one for one in sheet.tests if one.test == "Insulation resistance")
    assert "1\u202fMΩ" in insulation.limits
    assert any(one.permitted == "50\u202fK above the air" for one in sheet.temperatures)


def test_what_is_not_known_is_said_once() -> None:
    sheet = commissioning_sheet(assessment_of(unknown_site()))
    assert sheet.test_current == "its full current"
    assert all(one.loop == "not known" for one in sheet.nodes)
    assert len(sheet.lacking) == len(set(sheet.lacking)) == 6


def test_two_ends_that_are_shown_alike_are_one_figure() -> None:
    assert span_text(Span(low=0.2801, high=0.2803), "Ω") == "0.28\u202fΩ"
    assert span_text(Span(low=1.0, high=2.0)) == "1 – 2"
    assert span_text(None) == "not known"


def test_a_name_cannot_break_out_of_the_sheet() -> None:
    document = to_html(assessment_of(hostile_site()))
    start = document.index("Sheet for the commissioning")
    assert "<b>x</b>" not in document[start:]
    assert "&lt;b&gt;x&lt;/b&gt;" in document[start:]


def test_the_sheet_has_room_for_each_phase_at_each_node() -> None:
    document = to_html(shipped("bakery-yard"))
    start = document.index("Drop under load")
    table = document[start : document.index("</table>", start)]
    assert table.count('class="blank"') == (4 + 1) * 3 * 2
    for words in ("skilled in electricity", "operator alone", "dead"):
        assert words in document
