"""Every kind of wrong field, each with its exact line; all mistakes of a file in one run."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from feasibility.survey_io.problems import Problem, describe

Problems = Callable[[str | bytes], tuple[Problem, ...]]
Edited = Callable[..., str]

NUMBER_LINE = re.compile(r"^([a-z0-9_]+) = ([0-9.]+)$")


def line_of(text: str, marker: str) -> int:
    assert text.count(marker) == 1, marker
    return text[: text.index(marker)].count("\n") + 1


LENGTH = "a number greater than 0 and at most 5000 (m)"


@pytest.mark.parametrize(
    ("written", "field", "value", "expected"),
    [
        ('length_m = "28m"', "length_m", '"28m"', LENGTH),
        ('length_m = "28"', "length_m", '"28"', LENGTH + ", without quotation marks"),
        (
            'length_m = "12,5"',
            "length_m",
            '"12,5"',
            LENGTH + ", with a decimal point and without quotation marks",
        ),
        ('length_m = "not known"', "length_m", '"not known"', LENGTH + ', or "unknown"'),
        ("length_m = { value = 5001 }", "length_m, value", "5001", LENGTH),
        (
            "length_m = { low = 30, high = 28 }",
            "length_m",
            "{ low = 30, high = 28 }",
            "low smaller than high",
        ),
        (
            "length_m = { low = 30 }",
            "length_m",
            "{ low = 30 }",
            "either value, or both low and high, or unknown = true",
        ),
        (
            "length_m = {}",
            "length_m",
            "{}",
            "either value, or both low and high, or unknown = true",
        ),
        (
            'length_m = { value = 28, known = "guessed" }',
            "length_m, known",
            '"guessed"',
            'one of "measured", "read", "told", "assumed"',
        ),
        (
            "length_m = { vlaue = 28 }",
            "length_m, vlaue",
            "28",
            "a known field; the nearest is value",
        ),
        ("lenght_m = 28", "lenght_m", "28", "a known field; the nearest is length_m"),
        ("Length_m = 28", "Length_m", "28", "a known field; the nearest is length_m"),
    ],
)
def test_a_wrong_length(
    edited: Edited, problems_of: Problems, written: str, field: str, value: str, expected: str
) -> None:
    text = edited(("length_m = 28", written))
    line = line_of(edited(), "length_m = 28")
    found = problems_of(text)
    assert found == (Problem(line, None, f"circuit 2, cable 1, {field}", value, expected),)


TEXT = "a text of 1 to 200 characters between quotation marks"
DATE = "a date such as 2026-03-02, without quotation marks"


@pytest.mark.parametrize(
    ("old", "new", "field", "value", "expected"),
    [
        (
            'method = "C"',
            'method = "H"',
            "circuit 2, cable 1, method",
            '"H"',
            'one of "A1", "A2", "B1", "B2", "C", "D1", "D2", "E", "F", "G", or "unknown"',
        ),
        (
            'method = "C"',
            'method = { low = "A1", high = "C" }',
            "circuit 2, cable 1, method",
            '{ low = "A1", high = "C" }',
            "value; low and high are for numbers only",
        ),
        ("frequency_hz = 50", "frequency_hz = 55", "supply, frequency_hz", "55", "one of 50, 60"),
        (
            "clock_position = 6",
            "clock_position = 6.5",
            "outlet, clock_position",
            "6.5",
            "a whole number from 1 to 12",
        ),
        (
            "clock_position = 6",
            "clock_position = 13",
            "outlet, clock_position",
            "13",
            "a whole number from 1 to 12",
        ),
        (
            "other_outlets_none = true",
            'other_outlets_none = "yes"',
            "circuit 3, other_outlets_none",
            '"yes"',
            'true or false, or "unknown"',
        ),
        (
            "other_outlets_none = true",
            "other_outlets_none = 1",
            "circuit 3, other_outlets_none",
            "1",
            "true or false",
        ),
        (
            "date = 2026-03-02\n\n[[surveyor",
            'date = "2 March"\n\n[[surveyor',
            "surveyor, date",
            '"2 March"',
            DATE,
        ),
        (
            "date = 2026-03-02\n\n[[surveyor",
            "date = 2026-03-02T10:00:00\n\n[[surveyor",
            "surveyor, date",
            "2026-03-02T10:00:00",
            DATE,
        ),
        ('reference = "T-001"', "reference = 1", "site, reference", "1", TEXT),
        ('reference = "T-001"', 'reference = " "', "site, reference", '" "', TEXT),
        (
            'reference = "T-001"',
            'reference = "' + "x" * 201 + '"',
            "site, reference",
            '"xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx..."',
            TEXT + "; this one has 201",
        ),
        (
            'kind = "terminal block"',
            'kind = "junction box"',
            "circuit 3, part 1, kind",
            '"junction box"',
            'one of "switch-disconnector", "interlocked switch", "changeover switch", '
            '"contactor", "busbar", "terminal block", "fuse base", "adapter", "other"',
        ),
        ("survey_version = 1", "survey_version = 2", "survey_version", "2", "1"),
        ("survey_version = 1", "survey_version = true", "survey_version", "true", "1"),
        (
            "6, 10, 16,",
            '6, "10", 16,',
            "station, settings_a 2",
            '"10"',
            "a number greater than 0 and at most 1000 (A), without quotation marks",
        ),
        (
            "setting_a = 25",
            "setting_a = [25]",
            "station, setting_a",
            "[25]",
            "a number greater than 0 and at most 6300 (A)",
        ),
        ("[cord]", "[crod]", "crod", "", "a known field; the nearest is cord"),
        ("[cord]", "[[cord]]", "cord", "", "one table [cord], not a list of them"),
        (
            "[[circuit.part]]",
            "[circuit.part]",
            "circuit 3, part",
            "",
            "the header [[circuit.part]] in place of [circuit.part]",
        ),
        (
            "[cord]",
            "[cord]\nrating_a = 5",
            "cord, rating_a",
            "5",
            "a known field; the nearest is plug_rating_a",
        ),
        (
            'type = "B"',
            'type = "B"\nother_outlets_none = true',
            "circuit 3, residual_current_device, other_outlets_none",
            "true",
            "this field in [[circuit]], above the tables inside it",
        ),
        ("code_basis =", "length_m = 3\ncode_basis =", "length_m", "3", "this field in [cord]"),
        (
            "code_basis =",
            "qqqq = 3\ncode_basis =",
            "qqqq",
            "3",
            "a known field; a survey has none of this name",
        ),
        (
            'reference = "T-001"',
            'reference = "T-001"\nzzzz = [1]',
            "site, zzzz",
            "",
            "one of the fields reference, name, address, client, metering_point, "
            "planned_operation, latitude_deg, note",
        ),
        (
            'name = "Invented station"',
            '"na\\u001bme" = "Invented station"\nname = "x"',
            "station, na\\u001bme",
            '"Invented station"',
            "a known field; the nearest is name",
        ),
    ],
)
def test_one_mistake_is_one_problem_on_its_line(
    edited: Edited,
    problems_of: Problems,
    old: str,
    new: str,
    field: str,
    value: str,
    expected: str,
) -> None:
    text = edited((old, new))
    (problem,) = problems_of(text)
    assert problem.field == field
    assert problem.value == value
    assert problem.expected == expected
    changed = [
        number
        for number, (before, after) in enumerate(
            zip(edited().split("\n"), text.split("\n"), strict=False), start=1
        )
        if before != after
    ]
    assert problem.line in (changed[0], changed[0] + new.count("\n"))
    assert describe(problem).isprintable()


@pytest.mark.parametrize(
    ("removed", "missing", "table"),
    [
        ('ends_at = "outlet"\n', "circuit 3, ends_at", '[[circuit]]\nname = "Station"'),
        ('name = "Invented station"\n', "station, name", "[station]"),
        ('kind = "terminal block"\n', "circuit 3, part 1, kind", "[[circuit.part]]"),
        ("survey_version = 1\n", "survey_version", None),
    ],
)
def test_a_missing_field_is_reported_at_its_table(
    edited: Edited, problems_of: Problems, removed: str, missing: str, table: str | None
) -> None:
    text = edited((removed, ""))
    (problem,) = problems_of(text)
    assert problem.field == missing
    assert problem.value == ""
    assert problem.expected.endswith("; it is missing")
    assert problem.line == (None if table is None else line_of(text, table))


def test_a_misspelt_required_field_is_reported_once(edited: Edited, problems_of: Problems) -> None:
    (problem,) = problems_of(edited(('ends_at = "outlet"', 'endsat = "outlet"')))
    assert problem.field == "circuit 3, endsat"
    assert problem.expected == "a known field; the nearest is ends_at"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("circuit = []", "at least one table [[circuit]]"),
        ("circuit = 3", "one or more tables [[circuit]]"),
        ("[circuit]\nname = 'x'", "the header [[circuit]] in place of [circuit]"),
    ],
)
def test_circuits_of_the_wrong_shape(problems_of: Problems, text: str, expected: str) -> None:
    found = [problem for problem in problems_of(text) if problem.field == "circuit"]
    assert [(problem.line, problem.expected) for problem in found] == [(1, expected)]


WRONG_NUMBERS = [
    "nan",
    "inf",
    "-inf",
    "true",
    '"x"',
    "[1]",
    "-1e9",
    "1e9",
    "2026-03-02",
    "07:30:00",
]
BROKEN_NUMBERS = ["12,5", "016", "1_", "1e", "0x", "--1", "5 m", "NaN", "Inf", "5."]


@pytest.mark.parametrize("wrong", WRONG_NUMBERS + BROKEN_NUMBERS)
def test_every_number_of_the_survey_spoilt_in_turn(
    base_text: str, problems_of: Problems, wrong: str
) -> None:
    lines = base_text.split("\n")
    spoilt = 0
    for number, line in enumerate(lines, start=1):
        if match := NUMBER_LINE.match(line):
            changed = [*lines[: number - 1], f"{match[1]} = {wrong}", *lines[number:]]
            (problem,) = problems_of("\n".join(changed))
            assert problem.line == number
            assert problem.field.endswith(match[1])
            spoilt += 1
    assert spoilt > 30


def test_all_numbers_spoilt_at_once_are_all_reported(base_text: str, problems_of: Problems) -> None:
    lines = base_text.split("\n")
    numbers = [number for number, line in enumerate(lines, start=1) if NUMBER_LINE.match(line)]
    wrong = [NUMBER_LINE.sub(r"\1 = -1e9", line) for line in lines]
    assert [problem.line for problem in problems_of("\n".join(wrong))] == numbers
    broken = [NUMBER_LINE.sub(r"\1 = 12,5", line) for line in lines]
    found = problems_of("\n".join(broken))
    assert {problem.line for problem in found} == set(numbers)


def test_a_number_without_end_is_refused_and_shown_short(
    edited: Edited, problems_of: Problems
) -> None:
    for long in ("9" * 4000, "0x" + "f" * 9000):
        (problem,) = problems_of(edited(("length_m = 28", f"length_m = {long}")))
        assert problem.field == "circuit 2, cable 1, length_m"
        assert len(problem.value) == 60
    (problem,) = problems_of(edited(("length_m = 28", f"length_m = {'9' * 5000}")))
    assert problem.expected == "a number with fewer digits"


def test_html_in_a_text_is_text(edited: Edited, problems_of: Problems) -> None:
    html = "<script>alert(1)</script> & <b>"
    assert problems_of(edited(("Invented station", html))) == ()


@pytest.mark.parametrize("code", ["0000", "0007", "001b", "007f", "0085", "009b"])
def test_control_characters_in_a_text_are_refused(
    edited: Edited, problems_of: Problems, code: str
) -> None:
    text = edited(("Invented station", f"Invented\\u{code}station"))
    (problem,) = problems_of(text)
    assert problem.line == line_of(text, f"\\u{code}")
    assert problem.field == "station, name"
    assert problem.value == f'"Invented\\u{code}station"'
    assert problem.expected == "text without control characters"


def test_line_breaks_and_tabs_in_a_text_are_accepted(edited: Edited, problems_of: Problems) -> None:
    assert problems_of(edited(("Invented station", "Invented\\tstation\\r\\nof ours"))) == ()
