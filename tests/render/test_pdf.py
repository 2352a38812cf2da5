"""The report as PDF, read back by a library that had no part in writing it."""

from __future__ import annotations

import gc
import io
import json
import logging
import socket
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from typing import Any, NoReturn

import pytest
from pypdf import PdfReader
from weasyprint.urls import FatalURLFetchingError

from feasibility.assessment import Assessment
from feasibility.render import pdf as pdf_module
from feasibility.render.html import to_html
from feasibility.render.json_document import to_json
from feasibility.render.numbers import message_text
from feasibility.render.pdf import FetchRefused, own_file, pdf_of, to_pdf
from feasibility.resources import data_dir
from tests.render import sites
from tests.render.figures_of_json import WITH_UNIT, figures_that_differ

A4_POINTS = (595, 842)
STRESS = {"large": sites.large_site, "unknown": sites.unknown_site}
SOON = ("bakery-yard", "cider-press", "unknown")
"""A report that carries, one with its year, one of hardly any fact; the others take their time."""


def marked(*names: str) -> list[Any]:
    """Return the names as parameters; those that take long belong to the campaigns."""
    return [
        name if name in SOON else pytest.param(name, marks=pytest.mark.campaign) for name in names
    ]


SHIPPED = marked(*sites.names())
SITES = marked(*sites.names(), *STRESS)


@cache
def assessed(name: str) -> Assessment:
    return sites.assessment_of(STRESS[name]()) if name in STRESS else sites.shipped(name)


@cache
def raw_pages(name: str) -> list[str]:
    """Return the text of each page as the reader finds it."""
    reader = PdfReader(io.BytesIO(to_pdf(assessed(name))))
    for page in reader.pages:
        assert tuple(round(float(side)) for side in page.mediabox[2:]) == A4_POINTS
    return [page.extract_text() for page in reader.pages]


def pages(name: str) -> list[str]:
    """Return the text of each page, without blanks, which a PDF does not keep."""
    return [squeezed(page) for page in raw_pages(name)]


def squeezed(text: str) -> str:
    return "".join(text.split())


@pytest.mark.parametrize("name", SITES)
def test_every_page_says_what_it_belongs_to(name: str) -> None:
    assessment = assessed(name)
    found = pages(name)
    assert len(found) >= 5
    for number, page in enumerate(found, start=1):
        assert f"page{number}of{len(found)}" in page
        assert f"feasibility{assessment.program_version}" in page
        assert assessment.survey_sha256[:16] in page
        assert f"survey{squeezed(assessment.survey.site.reference)[:20]}" in page


@pytest.mark.parametrize("name", SITES)
def test_the_first_page_gives_the_verdict(name: str) -> None:
    first = pages(name)[0]
    words = {
        "carries": "carriestherequestedcurrentasfound",
        "carries-reduced": "carriesareducedcurrent",
        "upgrade": "mustbeupgraded",
        "undecided": "cannotbedecidedyet",
    }
    assert words[assessed(name).verdict] in first
    assert "Whateachlinkcanstillgive" in first


@pytest.mark.parametrize("name", SHIPPED)
def test_the_request_to_the_network_operator_is_the_last_page_and_one_page(name: str) -> None:
    *before, last = pages(name)
    title = "Figuresfortherequesttothenetworkoperator"
    assert title in last
    assert not [page for page in before if title in page]
    assert "operator'sownformandconditionscomefirst" in last
    for one in assessed(name).operator_request.items:
        assert squeezed(one.label) in last


@pytest.mark.parametrize("name", SHIPPED)
def test_every_finding_and_every_figure_of_the_json_is_printed(name: str) -> None:
    holds_findings_and_figures(name, "\n".join(raw_pages(name)))


@pytest.mark.parametrize("name", sites.names())
def test_every_finding_and_figure_of_the_json_stands_in_what_is_printed(name: str) -> None:
    holds_findings_and_figures(name, "\n".join(Words(to_html(assessed(name))).pieces))


class Words(HTMLParser):
    """The words of an HTML document, piece by piece."""

    def __init__(self, document: str) -> None:
        super().__init__()
        self.pieces: list[str] = []
        self.feed(document[document.index("<body") :])

    def handle_data(self, data: str) -> None:
        self.pieces.append(data)


def holds_findings_and_figures(name: str, raw: str) -> None:
    text = squeezed(raw)
    for finding in assessed(name).findings:
        assert squeezed(message_text(finding.reason)) in text
    assert len(WITH_UNIT.findall(raw)) > 500
    # What stands in the report as surveyed is the survey's, which the report carries as well.
    surveyed = assessed(name).survey.model_dump(mode="json")
    assert figures_that_differ(raw, [json.loads(to_json(assessed(name))), surveyed]) == []


def test_a_figure_that_is_not_in_the_json_is_noticed() -> None:
    document = {"value": 29.4739, "texts": ["up to 62\u202f000 A²s"]}
    assert figures_that_differ("29.4 A, 29.5 A, 29.47 A, 62\u202f000\u202fA²s", document) == []
    assert figures_that_differ("29.6 A and 29.3 A or 61\u202f000 A²s", document) == [
        "29.6 A",
        "29.3 A",
        "61\u202f000 A²s",
    ]


@pytest.mark.parametrize("name", SITES)
def test_the_full_hash_and_the_signatures_are_printed(name: str) -> None:
    text = "".join(pages(name))
    assert assessed(name).survey_sha256 in text
    assert "Numberofthelicence" in text
    assert text.count("Signature") >= 2


@pytest.mark.campaign
def test_long_names_in_other_alphabets_are_printed_in_full() -> None:
    text = "".join(pages("large"))
    survey = assessed("large").survey
    for name in (survey.site.name, survey.site.client or "", survey.board[1].name):
        assert squeezed(name) in text
    assert survey.circuit[2].name in text


def test_hostile_text_is_printed_and_fetches_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []

    def refuse(address: str) -> NoReturn:
        asked.append(address)
        raise FetchRefused(address)

    def no_network(*_: Any, **__: Any) -> NoReturn:
        asked.append("network")
        raise OSError

    monkeypatch.setattr(pdf_module, "own_file", refuse)
    monkeypatch.setattr(socket, "create_connection", no_network)
    written = to_pdf(sites.assessment_of(sites.hostile_site()))
    assert asked == []
    read = (squeezed(page.extract_text()) for page in PdfReader(io.BytesIO(written)).pages)
    assert any(squeezed(sites.SHOWN) in text for text in read)


def test_a_link_to_a_file_stops_the_writing(tmp_path: Path) -> None:
    secret = tmp_path / "secret.css"
    secret.write_text("body { color: red }")
    for document in (
        f'<link rel="stylesheet" href="{secret.as_uri()}">',
        f'<img src="{secret.as_uri()}">',
        f'<style>@import url("{secret.as_uri()}");</style>',
        '<img src="http://example.org/x.png">',
    ):
        with pytest.raises(FatalURLFetchingError, match="is not a file of the templates"):
            pdf_of(document)


@pytest.mark.parametrize("running", [True, False])
def test_the_garbage_collector_is_left_as_it_was(running: bool) -> None:
    was_running = gc.isenabled()
    try:
        (gc.enable if running else gc.disable)()
        pdf_of("<p>x</p>")
        assert gc.isenabled() is running
        with pytest.raises(FatalURLFetchingError):
            pdf_of('<img src="file:///x.png">')
        assert gc.isenabled() is running
    finally:
        (gc.enable if was_running else gc.disable)()


def test_only_files_of_the_templates_are_ours(tmp_path: Path) -> None:
    style = data_dir("templates") / "css" / "report.css"
    assert own_file(style.as_uri()) == style.resolve()
    other = tmp_path / "x.css"
    other.write_text("")
    inside = data_dir("templates").as_uri()
    for address in (
        other.as_uri(),
        f"{inside}/../README.md",
        f"{inside}/css/%2e%2e/%2e%2e/README.md",
        f"{inside}/css",
        f"{inside}/css/nothing.css",
        style.as_uri().replace("file://", "file://elsewhere"),
        style.as_uri().replace("file:", "http:"),
        "data:text/plain,x",
        str(style),
        "",
    ):
        with pytest.raises(FetchRefused):
            own_file(address)


def test_the_style_sheet_says_nothing_that_the_renderer_does_not_know(
    caplog: pytest.LogCaptureFixture,
) -> None:
    with caplog.at_level(logging.WARNING, logger="weasyprint"):
        to_pdf(assessed("old-mill"))
    assert [record.getMessage() for record in caplog.records] == []


def test_the_same_assessment_gives_the_same_bytes() -> None:
    assert to_pdf(assessed("unknown")) == to_pdf(assessed("unknown"))


@pytest.mark.campaign
def test_head_rows_repeat_on_every_page_of_the_findings() -> None:
    found = pages("large")
    first = next(n for n, page in enumerate(found) if "4Findings" in page)
    last = next(n for n, page in enumerate(found) if "5Whatwouldbeenough" in page)
    assert last > first + 1
    for page in found[first:last]:
        assert "Linkandfinding" in page
        assert "Margin" in page
