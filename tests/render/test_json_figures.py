"""Figures are rounded for machines without hiding a breach and without promising a current."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from feasibility.render.json_figures import (
    current_down,
    margin_of,
    rounded,
    told_apart,
    utilisation_of,
    value_and_limit,
)
from feasibility.result import Finding, Message, Outcome, Sense

SENSIBLE = st.floats(1e-6, 1e7)
NOT_FINITE = (None, math.nan, math.inf, -math.inf)


def finding_with(
    value: float | None, limit: float | None, outcome: Outcome, sense: Sense = Sense.AT_MOST
) -> Finding:
    return Finding(
        check="c",
        question="q",
        outcome=outcome,
        reason=Message(template="r"),
        value=value,
        limit=limit,
        sense=sense,
    )


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (45.09078250516088, 45.0908),
        (0.0385923511, 0.0385924),
        (2109.4567, 2109.46),
        (1234567.0, 1234570.0),
        (359.99999999968935, 360.0),
        (1.4e-14, 0.0),
        (-1.4e-14, 0.0),
        (3.87885792e-09, 3.879e-09),
        (-3.1415926535, -3.14159),
    ],
)
def test_six_digits_mean_something(value: float, shown: float) -> None:
    found = rounded(value)
    assert found == shown
    assert math.copysign(1, found) == math.copysign(1, shown)


@pytest.mark.parametrize("value", NOT_FINITE)
def test_what_is_not_a_number_is_none(value: float | None) -> None:
    assert rounded(value) is None
    assert current_down(value) is None
    assert told_apart(value, [1.0]) is None
    assert margin_of(finding_with(value, 1.0, Outcome.FAIL)) is None
    assert value_and_limit(finding_with(value, 1.0, Outcome.FAIL)) == (None, 1.0)
    assert utilisation_of(finding_with(value, 1.0, Outcome.FAIL)) is None
    assert utilisation_of(finding_with(1.0, value, Outcome.FAIL, Sense.AT_LEAST)) is None


@pytest.mark.parametrize(
    ("current_a", "shown"),
    [
        (42.48878357, 42.488),
        (29.9999, 29.999),
        (32.0, 32.0),
        (0.8 * 32, 25.6),
        (25.599999999999998, 25.6),
        (35.99999999999999, 36.0),
        (0.0, 0.0),
    ],
)
def test_a_carried_current_goes_down(current_a: float, shown: float) -> None:
    assert current_down(current_a) == shown


@given(st.floats(0, 1e5))
def test_a_carried_current_is_never_more_than_there_is(current_a: float) -> None:
    shown = current_down(current_a)
    assert shown is not None
    assert shown <= current_a + 1e-9
    assert shown > current_a - 0.001 - 1e-9


@given(SENSIBLE, st.floats(-0.01, 0.01), st.sampled_from(Sense), st.booleans())
def test_a_breach_stays_a_breach_and_a_pass_a_pass(
    limit: float, apart: float, sense: Sense, tiny: bool
) -> None:
    value = limit * (1 + (apart * 1e-9 if tiny else apart))
    breached = value > limit if sense is Sense.AT_MOST else value < limit
    finding = finding_with(value, limit, Outcome.FAIL if breached else Outcome.PASS, sense)
    shown, bound = value_and_limit(finding)
    margin, share = margin_of(finding), utilisation_of(finding)
    assert shown is not None
    assert bound is not None
    assert margin is not None
    assert share is not None
    assert (shown > bound if sense is Sense.AT_MOST else shown < bound) == breached
    assert (margin < 0) == breached
    if finding.utilisation != 1:  # the quotient of two neighbours can be 1
        assert (share > 1) == breached


def test_noise_on_a_limit_that_is_kept_is_not_shown() -> None:
    finding = finding_with(440.00000000000006, 440.0, Outcome.PASS)
    assert value_and_limit(finding) == (440.0, 440.0)
    assert margin_of(finding) == 0.0
    assert utilisation_of(finding) == 1.0
    value, limit = value_and_limit(replace(finding, outcome=Outcome.FAIL))
    assert value is not None
    assert value > 440.0 == limit


def test_the_margin_has_the_digits_of_value_and_limit() -> None:
    assert margin_of(finding_with(59.449999999999996, 63.123456789, Outcome.PASS)) == 3.6735
    assert margin_of(finding_with(0.0, 0.0, Outcome.PASS)) == 0.0


@given(st.floats(0.001, 1e4), st.lists(st.floats(0.001, 1e4)), st.floats(0, 1e-6))
def test_the_requested_current_stays_above_what_it_exceeds(
    requested_a: float, carried_a: list[float], apart: float
) -> None:
    carried_a = [*carried_a, requested_a, max(requested_a - apart, 0.0)]
    shown = told_apart(requested_a, carried_a)
    assert shown is not None
    assert abs(shown - requested_a) <= 0.001 + 1e-9
    exceeded = [one for one in carried_a if one < requested_a - 1e-9]
    assert all(shown > (current_down(one) or 0.0) for one in exceeded)


@given(st.floats(0.001, 1e4), st.lists(st.floats(0, 1e4)))
def test_the_requested_current_does_not_exceed_what_carries_it(
    requested_a: float, more_a: list[float]
) -> None:
    carried_a = [requested_a, *(requested_a + one for one in more_a)]
    shown = told_apart(requested_a, carried_a)
    assert shown is not None
    assert all(shown <= (current_down(one) or 0.0) for one in carried_a)
