"""The JSON of all shipped sites against its schema, and the schema against faulty documents."""

from __future__ import annotations

import hashlib
import json
import re
import tomllib
from collections.abc import Iterator
from copy import deepcopy
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from feasibility.assessment import SCHEMA_VERSION, Assessment, Assumption, assess
from feasibility.examples import example_names, example_text
from feasibility.installation.model import LinkKind
from feasibility.render import json_document
from feasibility.render.json_document import to_json
from feasibility.render.text import verdict_in_words
from feasibility.result import Force, Outcome, Sense, Verdict
from feasibility.survey.model import Survey

from ..demand_log.logs import logs_of

SCHEMA = json.loads(
    Path(json_document.__file__).with_name("assessment.schema.json").read_text(encoding="utf-8")
)
VALIDATOR = Draft202012Validator(SCHEMA)
DIGITS = 6


@cache
def assessment_of(name: str) -> Assessment:
    text = example_text(name)
    survey = Survey.model_validate(tomllib.loads(text))
    digest = hashlib.sha256(text.encode()).hexdigest()
    return assess(survey, sha256=digest, demand_logs=logs_of(survey))


@cache
def json_of(name: str) -> str:
    return to_json(assessment_of(name))


def document_of(name: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(json_of(name))
    return found


def faults_of(document: object) -> list[str]:
    return [f"{error.json_path}: {error.message}" for error in VALIDATOR.iter_errors(document)]


def numbers_in(node: object) -> Iterator[float]:
    if isinstance(node, float):
        yield node
    elif isinstance(node, dict | list):
        for one in node.values() if isinstance(node, dict) else node:
            yield from numbers_in(one)


def objects_in(node: object) -> Iterator[dict[str, Any]]:
    """Return every object whose keys the schema names."""
    if isinstance(node, list):
        for one in node:
            yield from objects_in(one)
    elif isinstance(node, dict):
        yield node
        for key, one in node.items():
            if not (key == "sources" and isinstance(one, dict)):
                yield from objects_in(one)


def test_the_schema_is_one_of_its_own_kind() -> None:
    Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("name", example_names())
def test_every_shipped_site_keeps_to_the_schema(name: str) -> None:
    assert faults_of(document_of(name)) == []


def test_the_schema_knows_the_words_that_the_program_uses() -> None:
    defined = SCHEMA["$defs"]
    assert set(SCHEMA["properties"]["verdict"]["enum"]) == set(Verdict)
    assert set(defined["outcome"]["enum"]) == set(Outcome)
    assert set(defined["force"]["enum"]) == set(Force)
    assert set(defined["finding"]["properties"]["sense"]["enum"]) == set(Sense)
    assert set(defined["link_kind"]["enum"]) == set(LinkKind)
    binding = defined["finding"]["then"]["properties"]["force"]["enum"]
    assert set(binding) == {one for one in Force if one.binds}
    assert SCHEMA["properties"]["schema_version"]["const"] == SCHEMA_VERSION


def test_every_object_of_the_schema_is_closed_and_asks_for_all_its_keys() -> None:
    objects = [one for one in all_nodes(SCHEMA) if "required" in one]
    assert len(objects) > 10
    for one in objects:
        assert one["additionalProperties"] is False
        assert set(one["required"]) == set(one["properties"])


def all_nodes(node: object) -> Iterator[dict[str, Any]]:
    if isinstance(node, dict):
        yield node
    if isinstance(node, dict | list):
        for one in node.values() if isinstance(node, dict) else node:
            yield from all_nodes(one)


@given(st.data())
def test_a_document_with_a_fault_is_refused(data: st.DataObject) -> None:
    document = deepcopy(document_of(data.draw(st.sampled_from(["bakery-yard", "cider-press"]))))
    objects = list(objects_in(document))
    faulty = data.draw(st.sampled_from(objects))
    key = data.draw(st.sampled_from(sorted(faulty)))
    fault = data.draw(st.sampled_from(["left out", "unknown", "of another type"]))
    if fault == "left out":
        del faulty[key]
    elif fault == "unknown":
        faulty[f"{key}x"] = faulty[key]
    else:
        faulty[key] = [{"other": 1}]
    assert not VALIDATOR.is_valid(document)


WORDS = {
    "verdict": "safe",
    "outcome": "ok",
    "force": "law",
    "sense": "equal",
    "kind": "wire",
    "by": "nobody",
    "check": "Two Words",
    "symbol": "a b",
    "sha256": "00",
    "date": "yesterday",
    "schema_version": "2.0",
    "carries_a": -0.5,
    "requested_current_a": -1,
    "name": "",
}


@pytest.mark.parametrize("key", WORDS)
def test_a_word_or_figure_outside_the_permitted_ones_is_refused(key: str) -> None:
    document = deepcopy(document_of("old-mill"))
    faulty = next(one for one in objects_in(document) if key in one)
    faulty[key] = WORDS[key]
    assert len(faults_of(document)) == 1


def test_a_recommendation_cannot_make_a_finding_fail() -> None:
    document = deepcopy(document_of("bakery-yard"))
    document["findings"][0] |= {"outcome": "fail", "force": "recommendation"}
    assert len(faults_of(document)) == 1


@pytest.mark.parametrize("name", example_names())
def test_the_document_says_what_the_assessment_says(name: str) -> None:
    assessment, document = assessment_of(name), document_of(name)
    assert document["verdict"] == assessment.verdict
    assert document["verdict_in_words"] == verdict_in_words(assessment)
    assert document["carryable_current_a"] == assessment.carryable_current_a
    assert document["current_limit_only_a"] == assessment.current_limit_only_a
    assert document["advised_current_a"] == assessment.advised_current_a
    assert document["weakest_link"] == assessment.weakest_link
    assert document["survey"]["reference"] == assessment.survey.site.reference
    assert document["survey"]["date"] == assessment.survey.surveyor.date.isoformat()
    assert document["survey"]["sha256"] == assessment.survey_sha256
    found = [(one["check"], one["link"], one["outcome"]) for one in document["findings"]]
    assert found == [(one.check, one.link, one.outcome) for one in assessment.findings]
    assert [one["name"] for one in document["chain"]] == [one.name for one in assessment.chain]
    assert [one["fact"] for one in document["open_facts"]] == [
        one.fact for one in assessment.open_facts
    ]
    assert set(document["sources"]) == set(assessment.sources)


@pytest.mark.parametrize("name", example_names())
def test_figures_have_no_more_digits_than_mean_something(name: str) -> None:
    figures = list(numbers_in(document_of(name)))
    assert len(figures) > 100
    long = [one for one in figures if one != float(f"{one:.{DIGITS}g}")]
    assert not long
    assert not [one for one in figures if one != round(one, 12)]


@pytest.mark.parametrize("name", example_names())
def test_it_ends_with_one_line_end_and_is_indented_by_two(name: str) -> None:
    text = json_of(name)
    version = f'"schema_version": "{SCHEMA_VERSION}"'
    assert text.startswith(f'{{\n  {version},\n  "program_version": ')
    assert text.endswith("}\n")
    assert not text.endswith("\n\n")


def test_characters_of_the_trade_stand_as_themselves() -> None:
    assert '"unit": "Ω"' in json_of("bakery-yard")
    assert '"unit": "mm²"' in json_of("bakery-yard")


def test_assumptions_give_bounds_where_they_hold_numbers_and_nothing_else() -> None:
    assumption = Assumption(
        fact="f", label="l", options=(35.0, 0.0, 20.0), unit="C", reason="r", by_surveyor=True
    )
    words = replace(assumption, options=("B", "C"), by_surveyor=False)
    flags = replace(assumption, options=(True, False))
    assessment = replace(assessment_of("bakery-yard"), assumptions=(assumption, words, flags))
    document = json.loads(to_json(assessment))
    assert faults_of(document) == []
    told = [(one["low"], one["high"], one["options"], one["by"]) for one in document["assumptions"]]
    assert told == [
        (0.0, 35.0, [35.0, 0.0, 20.0], "surveyor"),
        (None, None, ["B", "C"], "code basis"),
        (None, None, [True, False], "surveyor"),
    ]
    assert document["assumptions"][0]["unit"] == "°C"


@pytest.mark.parametrize("name", example_names())
def test_citations_read_as_standard_and_clause(name: str) -> None:
    cited = [source for one in document_of(name)["findings"] for source in one["sources"]]
    assert any(re.match(r"IEC 60364-4-43:2008, 433\.1", one) for one in cited)
