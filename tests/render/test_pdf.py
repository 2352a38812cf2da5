"""The report as a person holds it: text of every page, hostile names, nothing fetched."""

from __future__ import annotations

import io
import re
import tomllib
from functools import cache

import pytest
from pypdf import PdfReader

from feasibility.assessment import Assessment, assess
from feasibility.examples import example_names, example_text
from feasibility.render.html import to_html
from feasibility.render.pdf import to_pdf
from feasibility.survey.model import Survey

DIGEST = "0123456789abcdef" * 4
HOSTILE = "<img src='file:///etc/passwd'> {{ 7*7 }} <script>x</script> & Ω ü"


def assessed(name: str, site_name: str = "") -> Assessment:
    data = tomllib.loads(example_text(name))
    if site_name:
        data["site"]["name"] = site_name
    return assess(Survey.model_validate(data), sha256=DIGEST)


@cache
def pages(name: str) -> tuple[str, ...]:
    reader = PdfReader(io.BytesIO(to_pdf(assessed(name))))
    return tuple(page.extract_text() for page in reader.pages)


@pytest.mark.parametrize("name", ["bakery-yard", "old-mill"])
def test_every_page_says_which_page_survey_program_and_file_it_belongs_to(name: str) -> None:
    found = pages(name)
    reference = assessed(name).survey.site.reference
    for number, text in enumerate(found, start=1):
        assert f"page {number} of {len(found)}" in text
        assert reference in text
        assert DIGEST[:16] in text
        assert "feasibility 0." in text


def test_the_report_defers_and_never_calls_anything_safe() -> None:
    whole = " ".join(pages("bakery-yard"))
    assert not re.search(r"\bsafe(ly)?\b", whole, re.IGNORECASE)
    assert "licensed electrician" in whole
    assert re.search(r"signature", whole, re.IGNORECASE)
    assert re.search(r"isolat", whole, re.IGNORECASE)


@pytest.mark.parametrize("name", example_names())
def test_every_finding_and_every_unchecked_question_stands_in_the_report(name: str) -> None:
    assessment = assessed(name)
    html = to_html(assessment)
    plain = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html)).replace("&#39;", "'")
    for finding in assessment.findings:
        assert finding.question in plain
    for question in assessment.not_checked:
        assert question in plain


def test_hostile_text_is_printed_as_text() -> None:
    html = to_html(assessed("bakery-yard", HOSTILE))
    assert "<script>x" not in html
    assert "<img src='file" not in html
    assert "{{ 7*7 }}" in html.replace("&#123;", "{").replace("&#125;", "}")


def test_hostile_text_fetches_nothing_and_still_gives_a_report() -> None:
    reader = PdfReader(io.BytesIO(to_pdf(assessed("bakery-yard", HOSTILE))))
    text = reader.pages[0].extract_text()
    assert "file:///etc/passwd" in text
    assert "root:" not in text
