"""What is said of second sources over the year: assumptions, figures, and that it is no relief."""

from __future__ import annotations

from dataclasses import replace

from feasibility.render.generation_text import NO_RELIEF, WHAT_HELPS, generation_sentences
from feasibility.render.generation_view import generation_view
from feasibility.render.html import to_html
from feasibility.year.generation_record import GenerationStudy, OverTheYear

from . import sites


def plain(text: str) -> str:
    """Return the text with ordinary blanks."""
    return text.replace("\u202f", " ")


def over() -> OverTheYear:
    study = sites.shipped("joinery-hall").generation
    assert study is not None
    assert study.over_year is not None
    return study.over_year


def said(**changes: object) -> str:
    study = GenerationStudy(missing=(), over_year=replace(over(), **changes))  # type: ignore[arg-type]
    return plain(" ".join(generation_sentences(study)))


def test_the_assumption_comes_first_and_the_last_word_is_that_it_is_no_relief() -> None:
    sentences = generation_sentences(GenerationStudy(missing=(), over_year=over()))
    assert "without a cloud" in sentences[0]
    assert "48° north" in plain(sentences[0])
    assert "no forecast" in sentences[0]
    assert sentences[-1] == NO_RELIEF


def test_hours_and_what_helps_are_said_where_a_limit_is_exceeded() -> None:
    words = said()
    assert "the advised 2 % is never exceeded" in words
    # The finding of this site: 110.1 % at full infeed; 440 V are 110 %.
    assert "up to 110.1 % of the nominal voltage with the supply at its highest, 440 V" in words
    assert "at most 4472 of the 8760 hours of the year if it stayed there" in words
    assert "in none as long as it stays at or below 439 V" in words
    assert WHAT_HELPS in words
    calm = tuple(replace(one, hours_exceeded=0.0) for one in over().voltages)
    assert WHAT_HELPS not in said(voltages=calm)


def test_hours_of_a_short_log_are_no_figure_of_a_year() -> None:
    words = said(latitude_deg=None, whole_year=False, hours=96.0, hours_left_out=2.5)
    assert "4472 of the 96 hours studied" in words
    assert "For 2.5 h a log has no figure" in words
    assert "no figure of a year" in words


def test_what_is_missing_is_named() -> None:
    study = GenerationStudy(missing=("the latitude of the site",), over_year=None)
    view = generation_view(study)
    assert view is not None
    assert view.heading == "not studied"
    assert view.sentences[0] == "Not known: the latitude of the site."
    assert view.energy == ()


def test_the_report_shows_the_energy_of_every_month() -> None:
    view = generation_view(sites.shipped("joinery-hall").generation)
    assert view is not None
    assert view.months[0] == "Jan 2026"
    (row,) = view.energy
    assert len(row) == 13
    document = to_html(sites.shipped("joinery-hall"))
    assert "Second sources over the year" in document
    assert all(cell in document for cell in row)
    assert "Second sources over the year" not in to_html(sites.shipped("bakery-yard"))
