"""The section on the hours of a year: its words and its pictures."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from feasibility.render.duration_picture import duration_picture
from feasibility.render.hour_map import month_map, week_map
from feasibility.render.year_text import year_sentences
from feasibility.render.year_view import year_view
from tests.render.year_of_hours import REQUESTED_A, energy, study


def plain(text: str) -> str:
    """Return the text with ordinary blanks."""
    return text.replace("\u202f", " ")


def test_the_words_are_those_of_the_terminal() -> None:
    view = year_view(study())
    assert view.sentences == year_sentences(study())
    assert "61.25 of the 8760 hours of the year" in plain(view.sentences[0])
    assert "365 days" in plain(view.heading)


def test_hours_by_a_load_profile_are_called_an_estimate() -> None:
    profiled = replace(study().demands[0], kind="load profile", estimated_hours=8760.0)
    assert "an estimate" in year_view(study(demands=(profiled,))).sentences[0]
    assert "an estimate" not in year_view(study()).sentences[0]


def test_the_month_map_hatches_what_is_too_little() -> None:
    picture = month_map(study().months, REQUESTED_A)
    assert [row.name for row in picture.rows][:2] == ["Jan 2025", "Feb 2025"]
    assert len(picture.cells) == 12 * 24
    short = [one for one in picture.cells if one.short]
    assert len(short) == 3 * 5
    assert {one.text for one in short} == {"24"}
    assert all(one.hatching for one in short)
    assert {one.text for one in picture.cells if not one.short} == {"40"}
    assert all(one.x + picture.cell_width <= picture.width + 0.01 for one in picture.cells)


def test_a_cell_at_the_requested_current_is_not_short() -> None:
    exactly = ((REQUESTED_A, REQUESTED_A - 0.01, math.nan) + (50.0,) * 21,)
    picture = week_map(exactly * 7, REQUESTED_A)
    assert [one.short for one in picture.cells[:4]] == [False, True, False, False]
    assert [one.text for one in picture.cells[:4]] == ["32", "31", "", "50"]


def test_the_duration_curve_falls_and_is_hatched_below_the_request() -> None:
    one = study()
    picture = duration_picture(one.whole_path, one)
    places = [piece.split(" ") for piece in picture.curve[1:].split("L")]
    heights = [float(y) for _, y in places]
    assert heights == sorted(heights)
    assert picture.hatching
    assert picture.fixed_y is not None
    assert picture.fixed_y > picture.requested_y
    assert picture.top <= picture.requested_y <= picture.bottom
    enough = replace(one.whole_path, duration_a=(40.0,) * 101, lowest_a=40.0, highest_a=40.0)
    assert duration_picture(enough, one).hatching == ""


def test_a_year_in_which_nothing_varies_has_no_pictures() -> None:
    steady = replace(study().whole_path, varies=False, duration_a=(), week_lowest_a=())
    view = year_view(study(places=(steady,)))
    assert (view.month_map, view.week_map, view.duration) == (None, None, None)
    board = replace(study().whole_path, name="Main board")
    beside = year_view(study(places=(steady, board)))
    assert (beside.month_map, beside.shown_place) == (None, "Main board")
    assert beside.week_map is not None
    assert beside.duration is not None
    assert view.places[0][2] == "always"


def test_the_ways_of_running_stand_beside_each_other() -> None:
    ways = year_view(study()).ways
    requested, fixed, following = (tuple(map(plain, row)) for row in ways)
    assert requested[1:4] == ("32 A", "61.25 h", "520 kWh")
    assert fixed[1:4] == ("24 A", "0 h", "390 kWh")
    assert following[1:4] == ("up to 32 A", "0 h", "516 kWh")
    assert fixed[4] == "195 kWh on 2025-01-14"
    no_day = replace(energy(10.0), worst_day_kwh=None, worst_day=None)
    assert year_view(study(requested=no_day)).ways[0][4] == "–"


@pytest.mark.parametrize("setting", [None, 0.0])
def test_no_fixed_setting_is_drawn_where_there_is_none(setting: float | None) -> None:
    one = study(fixed=replace(study().fixed, setting_a=setting))
    assert duration_picture(one.whole_path, one).fixed_y is None
