from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from feasibility.survey_io.problems import (
    LONGEST_VALUE,
    Problem,
    SurveyProblems,
    describe,
    field_text,
    value_text,
)


def test_describe_says_line_field_value_and_what_was_expected() -> None:
    problem = Problem(12, None, "circuit 2, cable 1, length_m", '"28m"', "a number")
    assert describe(problem) == ('line 12: circuit 2, cable 1, length_m = "28m": expected a number')


@pytest.mark.parametrize(
    ("problem", "text"),
    [
        (Problem(3, 7, "a", "12,5", "x"), "line 3, column 7: a = 12,5: expected x"),
        (Problem(None, None, "site", "", "x"), "site: expected x"),
        (Problem(4, None, "", "byte ff", "x"), "line 4: byte ff: expected x"),
        (Problem(4, None, "", "", "x"), "line 4: expected x"),
    ],
)
def test_describe_leaves_out_what_is_not_there(problem: Problem, text: str) -> None:
    assert describe(problem) == text


def test_fields_are_counted_from_one() -> None:
    assert field_text(("circuit", 1, "cable", 0, "length_m")) == "circuit 2, cable 1, length_m"
    assert field_text(("station", "settings_a", 2)) == "station, settings_a 3"
    assert field_text(()) == ""


def test_field_names_from_a_file_are_escaped_and_short() -> None:
    text = field_text(("\x1b[31m" + "k" * 500,))
    assert "\x1b" not in text
    assert len(text) < LONGEST_VALUE


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (True, "true"),
        (False, "false"),
        (28, "28"),
        (12.5, "12.5"),
        (float("nan"), "nan"),
        (float("inf"), "inf"),
        ("28m", '"28m"'),
        ('a "b" \\', '"a \\"b\\" \\\\"'),
        ("<b>&", '"<b>&"'),
        ("a\nb\x00\u202e", '"a\\nb\\u0000\\u202e"'),
        (dt.date(2026, 3, 2), "2026-03-02"),
        (dt.time(7, 30), "07:30:00"),
        ([1, "x"], '[1, "x"]'),
        ({"low": 1, "high": 2}, "{ low = 1, high = 2 }"),
        ({}, "{}"),
        ([[[[[[]]]]]], "[[[...]]]"),
    ],
)
def test_values_are_shown_as_the_file_writes_them(value: object, text: str) -> None:
    assert value_text(value) == text


_scalars = st.text() | st.integers() | st.floats() | st.booleans() | st.dates() | st.binary()
_values = st.recursive(
    _scalars, lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner), max_leaves=20
)


@given(_values)
def test_any_value_is_shown_on_one_short_line(value: object) -> None:
    text = value_text(value)
    assert text.isprintable()
    assert len(text) <= LONGEST_VALUE


@pytest.mark.parametrize("value", [10**400, -(10**4999), 1 << 2_000_000], ids=range(3))
def test_a_very_long_integer_can_be_shown(value: int) -> None:
    assert len(value_text(value)) == LONGEST_VALUE


def test_the_exception_shows_every_problem() -> None:
    problems = [Problem(1, None, "a", "1", "x"), Problem(2, None, "b", "2", "y")]
    error = SurveyProblems(Path("s.toml"), problems)
    assert str(error) == "line 1: a = 1: expected x\nline 2: b = 2: expected y"
    assert error.problems == tuple(problems)
    assert error.path == Path("s.toml")
