"""The survey sheet: no field of the model is missing from it, and it walks the feed path."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner
from pypdf import PdfReader

from feasibility.cli import main
from feasibility.examples import example_path
from feasibility.importance import Importance, importance_of
from feasibility.page.sheet import (
    MARKS,
    Sheet,
    empty_sheet,
    empty_sheet_pdf,
    open_sheet,
    sheet_html,
)
from feasibility.page.sheet_text import sheet_text
from feasibility.survey_io.wording import field_type, fields_of

from ..checks.sites import quick, site_data
from ..hostile import HOSTILE
from ..render.sites import assessment_of, hostile_site


def fields_of_the_model(path: tuple[str | int, ...] = ()) -> Iterator[str]:
    """Yield every field of the survey model that holds a value, tables in lists included."""
    around = field_type(path)
    assert around is not None
    for name, field in fields_of(around.record).items():
        inner = (*path, name)
        kind = (field.item or field).record
        if kind is None or field.stated:
            yield ".".join(str(part) for part in inner if isinstance(part, str))
        else:
            yield from fields_of_the_model(inner if field.item is None else (*inner, 0))


def asked_on(sheet: Sheet) -> list[str]:
    return [line.field for part in sheet.parts for line in part.lines]


def test_every_field_of_the_model_is_on_the_sheet() -> None:
    model = set(fields_of_the_model())
    assert len(model) > 250
    assert model - set(asked_on(empty_sheet())) == {"survey_version"}


def test_the_walk_leads_from_the_service_to_the_outlet() -> None:
    titles = [part.title for part in empty_sheet().parts]
    order = (
        "Supply at the origin",
        "Service device",
        "Circuit: Main cable",
        "Board: Main board",
        "Circuit: Outlet circuit",
        "Outlet circuit: cable 1",
        "Outlet",
        "Cord and plug",
        "Station",
        "Site and surveyor",
    )
    places = [titles.index(one) for one in order]
    assert places == sorted(places)


def test_what_is_never_filled_in_is_marked_as_deciding() -> None:
    """The design's list: earthing system, section, kind and rating of a device, and so on."""
    for field in (
        "supply.earthing_system",
        "circuit.cable.section_mm2",
        "circuit.cable.protective_section_mm2",
        "circuit.device.kind",
        "circuit.device.rating_a",
        "circuit.residual_current_device.present",
        "board.demand.maximum_l1_a",
        "circuit.cable.length_m",
    ):
        assert importance_of(field) is Importance.DECIDES, field
    for field in ("circuit.cable.ambient_c", "cord.grade", "supply.frequency_hz"):
        assert importance_of(field) is Importance.NARROWS, field
    assert importance_of("site.note") is Importance.WHERE_IT_APPLIES
    marks = {line.field: line.mark for part in empty_sheet().parts for line in part.lines}
    assert marks["circuit.cable.section_mm2"] == MARKS[Importance.DECIDES]
    assert marks["site.reference"] == MARKS[Importance.DECIDES]
    assert marks["circuit.source.name"] == ""


def test_a_choice_has_a_box_for_each_word_and_a_figure_its_unit() -> None:
    lines = {line.field: line for part in empty_sheet().parts for line in part.lines}
    assert lines["supply.earthing_system"].choices == ("TN-S", "TN-C-S", "TN-C", "TT", "IT")
    assert lines["circuit.cable.section_mm2"].unit == "mm²"
    assert lines["circuit.fire_risk"].choices == ("yes", "no")


def test_the_sheet_of_a_survey_asks_for_what_it_leaves_open() -> None:
    assessment = quick("old-mill")
    sheet = open_sheet(site_data("old-mill"), assessment)
    decides = {
        line.field
        for part in sheet.parts
        for line in part.lines
        if line.mark == MARKS[Importance.DECIDES]
    }
    facts = {one.fact for one in assessment.open_facts}
    assert len(facts) > 5
    lines = [line for part in sheet.parts for line in part.lines]
    assert sum(line.mark == MARKS[Importance.DECIDES] for line in lines) == len(facts)
    assert "supply.external_loop_impedance_ohm" in decides
    assert "site.name" not in asked_on(sheet)
    titles = [part.title for part in sheet.parts]
    assert titles.index("Supply at the origin") == 0
    assert "Elsewhere" not in titles


def test_a_survey_that_leaves_nothing_open_says_so() -> None:
    assessment = quick("bakery-yard")
    sheet = open_sheet(site_data("bakery-yard"), assessment)
    assert all(line.mark == MARKS[Importance.NARROWS] for p in sheet.parts for line in p.lines)


def test_the_text_fits_a_terminal_and_holds_every_line() -> None:
    sheet = empty_sheet()
    text = sheet_text(sheet)
    assert all(len(line) <= 80 for line in text.splitlines())
    assert text.count("____________") == sum(
        not line.choices for part in sheet.parts for line in part.lines
    )


def test_names_of_a_survey_are_never_markup() -> None:
    document = sheet_html(open_sheet(hostile_site(), assessment_of(hostile_site())))
    assert HOSTILE not in document
    assert "<img" not in document


@pytest.fixture(scope="module")
def pdf_text() -> str:
    pages = PdfReader(io.BytesIO(empty_sheet_pdf())).pages
    assert 3 <= len(pages) <= 8
    return " ".join(page.extract_text() for page in pages)


def test_the_pdf_has_marks_boxes_and_explanations(pdf_text: str) -> None:
    asked = ("Service device", "clock position", "section of a line conductor", "mm²")
    for words in ("●", "○", "☐ TN-S", "Ω", "decides", "Not known", *asked):
        assert words in pdf_text


def test_the_command_writes_a_pdf_and_leaves_other_files_alone(tmp_path: Path) -> None:
    place = tmp_path / "sheet.pdf"
    survey = str(example_path("old-mill"))
    result = CliRunner().invoke(main, ["sheet", "--for", survey, "--output", str(place)])
    assert result.exit_code == 0, result.output
    assert place.read_bytes().startswith(b"%PDF")
    other = tmp_path / "notes.pdf"
    other.write_text("not a PDF", encoding="utf-8")
    refused = CliRunner().invoke(main, ["sheet", "--output", str(other)])
    assert refused.exit_code == 2
    assert other.read_text(encoding="utf-8") == "not a PDF"


def test_the_command_prints_text() -> None:
    result = CliRunner().invoke(main, ["sheet", "--text"])
    assert result.exit_code == 0
    assert "earthing system: [ ] TN-S" in result.stdout
