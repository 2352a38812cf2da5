"""The report as HTML: complete, escaped, and in words that promise nothing."""

from __future__ import annotations

import html
import re
import xml.etree.ElementTree as ET

import pytest
from jinja2 import UndefinedError

from feasibility.render import html as html_module
from feasibility.render.finding_out import how_to_find_out
from feasibility.render.html import to_html
from feasibility.render.numbers import message_text
from feasibility.render.precautions import isolation, precautions
from feasibility.render.remarks_view import SCOPE
from feasibility.resources import data_dir
from tests.render import sites

EXAMPLES = sites.names()
MARKUP = re.compile(r"<[^>]*>")


def plain(document: str) -> str:
    """Return the text of a document, without the style sheet."""
    body = document[document.index("<body>") :]
    return html.unescape(MARKUP.sub(" ", body))


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_finding_stands_in_the_report(name: str) -> None:
    assessment = sites.shipped(name)
    text = plain(to_html(assessment))
    for finding in assessment.findings:
        assert finding.question in text
        assert finding.link in text
        assert message_text(finding.reason) in text


@pytest.mark.parametrize("name", EXAMPLES)
def test_all_that_is_not_known_and_not_checked_stands_in_the_report(name: str) -> None:
    assessment = sites.shipped(name)
    text = plain(to_html(assessment))
    for fact in assessment.open_facts:
        assert fact.label in text
        assert how_to_find_out(fact.fact) in text
    for assumption in assessment.assumptions:
        assert assumption.label in text
        assert assumption.reason in text
    survey = assessment.survey
    for sentence in (*assessment.not_checked, *precautions(survey), *isolation(survey), *SCOPE):
        assert sentence in text
    assert assessment.survey_sha256 in text
    assert assessment.code_basis in text


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_report_never_says_that_anything_is_safe(name: str) -> None:
    document = to_html(sites.shipped(name))
    assert not re.findall(r"(?i)(?<!fail-)\bsafe(?:ly)?\b", document)


def test_our_own_words_never_say_that_anything_is_safe() -> None:
    for file in data_dir("templates").rglob("*"):
        if file.is_file():
            assert not re.search(r"(?i)\bsafe(?:ly)?\b", file.read_text(encoding="utf-8")), file


def test_hostile_text_stays_text() -> None:
    document = to_html(sites.assessment_of(sites.hostile_site()))
    assert "<img" not in document
    assert "<b>x</b>" not in document
    assert "{{ 7*7 }}" in document
    assert sites.SHOWN in plain(document)
    assert "&amp;amp;" in document


def test_a_name_that_a_template_misses_is_an_error() -> None:
    template = html_module.environment().from_string("{{ view.nothing }}")
    with pytest.raises(UndefinedError):
        template.render(view={})


def test_templates_escape_whatever_they_are_called() -> None:
    environment = html_module.environment()
    names = environment.list_templates(filter_func=lambda name: name.endswith(".j2"))
    assert len(names) >= 10
    assert environment.autoescape is True
    for name in names:
        assert "|safe" not in environment.loader.get_source(environment, name)[0].replace(" ", "")  # type: ignore[union-attr]


@pytest.mark.parametrize("site", [sites.large_site, sites.unknown_site, sites.hostile_site])
def test_pictures_are_well_formed(site: object) -> None:
    assert callable(site)
    document = to_html(sites.assessment_of(site()))
    pictures = re.findall(r"<svg.*?</svg>", document, flags=re.DOTALL)
    assert len(pictures) >= 2
    for picture in pictures:
        ET.fromstring(picture)  # noqa: S314 - our own output


def test_the_document_is_the_same_each_time() -> None:
    assessment = sites.shipped("river-depot")
    assert to_html(assessment) == to_html(assessment)


def test_the_document_names_no_other_file() -> None:
    document = to_html(sites.shipped("bakery-yard"))
    assert not re.findall(r"(?:href|src)=|url\(|@import", document)
