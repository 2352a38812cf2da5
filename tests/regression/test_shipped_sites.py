"""What must hold for every shipped site: each working can be re-derived, each source is listed.

The formulas are evaluated by an evaluator of the tests, which shares no code with the program.
"""

from __future__ import annotations

import hashlib
import math
import tomllib
from collections.abc import Iterator
from functools import cache

import pytest

from feasibility.assessment import Assessment, assess
from feasibility.citation import Citation
from feasibility.examples import example_names, example_text
from feasibility.result import Quantity, Step
from feasibility.survey.model import Survey

from ..demand_log.logs import logs_of
from ..formulas import NotArithmetic, beside_the_formula, evaluate, faults_of

COMPARISON_RELATIVE = 0.02
"""A linear drop formula against the phasor difference: the second-order part is below this."""


def comparisons_off(step: Step) -> Iterator[str]:
    """Say which value that stands beside a formula for comparison does not compare."""
    for one in beside_the_formula(step):
        if not math.isclose(one.value, step.result, rel_tol=COMPARISON_RELATIVE):
            yield f"{one.symbol} = {one.value!r} is far from {step.result!r}"


@cache
def assessment_of(name: str) -> Assessment:
    text = example_text(name)
    survey = Survey.model_validate(tomllib.loads(text))
    digest = hashlib.sha256(text.encode()).hexdigest()
    return assess(survey, sha256=digest, demand_logs=logs_of(survey))


def steps_of(assessment: Assessment) -> Iterator[tuple[str, Step]]:
    for step in assessment.requested_working:
        yield "requested current", step
    for finding in assessment.findings:
        for step in finding.working:
            yield f"{finding.check} of {finding.link!r}", step


def cited_in(assessment: Assessment) -> Iterator[tuple[str, Citation]]:
    for limit in assessment.expected_readings.temperatures:
        for citation in limit.sources:
            yield f"{limit.part} of {limit.link!r}", citation
    for test in assessment.expected_readings.tests:
        yield test.test, test.citation
        for quantity in test.limits:
            for citation in quantity.sources:
                yield test.test, citation
    for finding in assessment.findings:
        for citation in finding.sources:
            yield f"{finding.check} of {finding.link!r}", citation
    for where, step in steps_of(assessment):
        for citation in (*step.sources, *(c for one in step.inputs for c in one.sources)):
            yield f"{where}, {step.symbol}", citation


@pytest.mark.parametrize("name", example_names())
def test_every_step_of_every_working_can_be_re_derived(name: str) -> None:
    steps = list(steps_of(assessment_of(name)))
    assert steps
    found = [
        f"{where}: {step.symbol} = {step.formula}: {fault}"
        for where, step in steps
        for fault in faults_of(step)
    ]
    assert not found, "\n".join(found)


@pytest.mark.parametrize("name", example_names())
def test_what_a_working_names_for_comparison_agrees_with_its_result(name: str) -> None:
    steps = list(steps_of(assessment_of(name)))
    found = [
        f"{where}: {step.symbol}, {step.meaning}: {fault}"
        for where, step in steps
        for fault in comparisons_off(step)
    ]
    assert not found, "\n".join(found)


@pytest.mark.parametrize("name", example_names())
def test_every_cited_source_is_listed_with_its_title(name: str) -> None:
    assessment = assessment_of(name)
    cited = list(cited_in(assessment))
    assert cited
    missing = [f"{where}: {one}" for where, one in cited if not assessment.sources.get(one.source)]
    assert not missing, "\n".join(missing)


@pytest.mark.parametrize("name", example_names())
def test_nothing_is_listed_as_a_source_that_is_not_cited(name: str) -> None:
    assessment = assessment_of(name)
    assert set(assessment.sources) == {one.source for _, one in cited_in(assessment)}


def quantity(symbol: str, value: float, meaning: str = "") -> Quantity:
    return Quantity(value=value, unit="A", symbol=symbol, meaning=meaning)


def step_with(formula: str, result: float, *inputs: Quantity) -> Step:
    return Step(symbol="x", meaning="", formula=formula, inputs=inputs, result=result, unit="A")


@pytest.mark.parametrize(
    "step",
    [
        step_with("a * b", 6.0, quantity("a", 2.0), quantity("b", 3.0)),
        step_with("sqrt(3) * a", 3.4641016151377544, quantity("a", 2.0)),
        step_with("min(a, b) ** 2 + max(a - b, 0)", 4.0, quantity("a", 2.0), quantity("b", 3.0)),
        step_with("a", 2.0, quantity("a", 2.0), quantity("d", 2.01, "for comparison: by flow")),
    ],
)
def test_a_sound_step_has_no_fault(step: Step) -> None:
    assert list(faults_of(step)) == []
    assert list(comparisons_off(step)) == []


@pytest.mark.parametrize(
    "step",
    [
        step_with("a * b", 6.00000001, quantity("a", 2.0), quantity("b", 3.0)),
        step_with("a * b", math.nan, quantity("a", 2.0), quantity("b", 3.0)),
        step_with("a", math.inf, quantity("a", math.inf)),
        step_with("a", 2.0, quantity("a", 2.0), quantity("b", 3.0)),
        step_with("a * b", 6.0, quantity("a", 2.0)),
        step_with("a", 2.0, quantity("A", 2.0)),
        step_with("a", 2.0, quantity("a", 2.0), quantity("a", 2.0)),
        step_with("a / b", 2.0, quantity("a", 2.0), quantity("b", 0.0)),
        step_with("sqrt(a)", 2.0, quantity("a", -4.0)),
        step_with("a if a else 1", 2.0, quantity("a", 2.0)),
    ],
)
def test_a_step_that_cannot_be_re_derived_is_noticed(step: Step) -> None:
    assert len(list(faults_of(step))) == 1


@pytest.mark.parametrize("value", [1.9, 2.1, -2.0, math.nan])
def test_a_comparison_that_is_off_is_noticed(value: float) -> None:
    step = step_with("a", 2.0, quantity("a", 2.0), quantity("d", value, "for comparison: by flow"))
    assert len(list(comparisons_off(step))) == 1


@pytest.mark.parametrize("formula", ["exp(a)", "a.real", "a if a else 1", "True", "min(a, key=a)"])
def test_a_formula_beyond_a_pocket_calculator_is_refused(formula: str) -> None:
    with pytest.raises(NotArithmetic):
        evaluate(formula, {"a": 2.0})
