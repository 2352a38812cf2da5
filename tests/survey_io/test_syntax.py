"""Mistakes of TOML 1.0 itself; tomllib decides what is one, the tests what is said about it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from feasibility.survey_io.problems import describe
from feasibility.survey_io.syntax import parse_toml


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("a = 12,5", "a decimal point in place of the comma"),
        ("a = { value = 12,5 }", "a decimal point in place of the comma"),
        ("a = 016", "a number without leading zeros"),
        ("a = 05.5", "a number without leading zeros"),
        ("a = 1 000", "a number without a blank in it"),
        ("a = 28 m", "the number alone, without its unit"),
        ("a = 28m", "the number alone, without its unit"),
        ("a = 30°C # warm", "the number alone, without its unit"),
        ("a = .5", "digits on both sides of the decimal point"),
        ("a = 5.", "digits on both sides of the decimal point"),
        ("a = 2.3.2026", "a date such as 2026-03-02"),
        ("a = 2026-02-30", "a date that exists"),
        ("a = copper", "text between quotation marks"),
        ("a = Main board", "text between quotation marks"),
        ("a = “copper”", "text between straight quotation marks"),
        ('a = "copper', "a quotation mark at the end of the text"),
        ("a = 'copper", "a quotation mark at the end of the text"),
        ('a = "C:\\q"', "each backslash written twice"),
        ('a = "copper";', "no semicolon"),
        ("a = 5;", "no semicolon"),
        ("a = True", "true or false, in small letters"),
        ("a = yes", "true or false, in small letters"),
        ("a = ", "a value after the equals sign"),
        ('a = "x" "y"', "nothing more on this line"),
        ("a = +-3", "a number, true, false, a date"),
        ('a = "\x01"', "text without control characters"),
        ("a = { b = 1, }", "no comma behind the last"),
        ("a = { b = 1, b = 2 }", "each field only once"),
        ("a = [1, 2 3]", "a ] that closes the list"),
        ("a = 1" + "0" * 5000, "a number with fewer digits"),
        ("a: 5", "field = value"),
        ("a b = 5", "field = value"),
        ("ä = 5", "field = value"),
        ("just words", "field = value"),
        ("first = 2", "this field only once; it already stands in line 2"),
    ],
)
def test_a_broken_line_is_named_and_the_rest_is_read(line: str, expected: str) -> None:
    parsed = parse_toml(f"# remark\nfirst = 1\n{line}\nlast = 9\n[table]\nx = 1\n")
    (problem,) = parsed.problems
    assert problem.line == 3
    assert expected in problem.expected
    assert parsed.data == {"first": 1, "last": 9, "table": {"x": 1}}


@pytest.mark.parametrize(
    ("text", "line", "expected"),
    [
        ("a = 1\nb = [1, 2\n[c]\nd = 1\n", 2, "a ] that closes the list"),
        ("a = 1\nb = [\n1,\n2", 2, "a ] that closes the list"),
        ("a = 1\nb = { c = 1\nd = 2", 2, "a } that closes the table"),
        ('a = 1\nb = """text\nc = 1\n', 2, "quotation marks at the end"),
        ("a = 1\nb = '''text\nc = 1\n", 2, "a quotation mark at the end"),
        ("a = 1\n[[b]\nc = 1", 2, "a table name between double brackets"),
        ("a = 1\n[b\nc = 1", 2, "a table name between brackets"),
        ("[a]\nb = 1\n[a]\nc = 1", 3, "this table only once; it already stands in line 1"),
        ("[[a]]\nb = 1\n[a]\nc = 1", 3, "each table once"),
        ("a = 1\n[a.b]\nc = 1", 2, "each name for one thing only"),
        ("a = 1\n[b]]\nc = 1", 2, "nothing more on this line"),
    ],
)
def test_where_reading_cannot_go_on_it_says_so(text: str, line: int, expected: str) -> None:
    parsed = parse_toml(text)
    (problem,) = parsed.problems
    assert problem.line == line
    assert expected in problem.expected
    assert problem.expected.endswith("; what follows is checked once this is right")
    assert parsed.data is None


def test_line_and_column_of_the_reader_are_kept() -> None:
    (problem,) = parse_toml("[a]\n  length_m = 12,5 # long\n").problems
    assert (problem.line, problem.column) == (2, 16)
    assert describe(problem).startswith("line 2, column 16: a, length_m = 12,5 # long: expected ")


def test_every_broken_line_is_reported_in_one_run() -> None:
    parsed = parse_toml("a = 1,5\nb = 2\nc = 03\n[t]\nd = x\ne = [\n 1,\n 2,\n]\ne = 3\n")
    assert [problem.line for problem in parsed.problems] == [1, 3, 5, 10]
    assert parsed.data == {"b": 2, "t": {"e": [1, 2]}}
    assert parsed.lost == {("a",), ("c",), ("t", "d"), ("t", "e")}


def test_a_repeated_list_over_several_lines_is_taken_out_whole() -> None:
    parsed = parse_toml("a = 1\na = [\n1,\n2,\n]\nb = 2")
    assert [problem.line for problem in parsed.problems] == [2]
    assert parsed.data == {"a": 1, "b": 2}


def test_the_number_of_attempts_is_limited_and_said() -> None:
    parsed = parse_toml("a = 1,5\n" * 500)
    assert parsed.data is None
    assert 1 < len(parsed.problems) < 100
    assert parsed.problems[-1].expected.endswith("what follows is checked once this is right")


@pytest.mark.parametrize(
    "text",
    ["a = " + "[" * 100_000, "a.b" * 100_000 + " = 1", "[" + "a." * 100_000 + "b]", "a={" * 9999],
    ids=["lists", "dotted", "header", "inline"],
)
def test_deep_nesting_is_refused(text: str) -> None:
    (problem,) = parse_toml("\n" + text).problems
    assert problem.line == 2
    assert "nested at most" in problem.expected


@given(st.text(st.sampled_from(list("ab1.=[]{}#\"',\\\n 0-:é\r\t"))))
def test_any_text_is_read_or_explained(text: str) -> None:
    parsed = parse_toml(text)
    assert (parsed.data is not None) or parsed.problems
    last = text.count("\n") + 1
    for problem in parsed.problems:
        assert problem.line is not None
        assert 1 <= problem.line <= last
        assert describe(problem).isprintable()
