"""A commissioning record is read like a survey: mistakes with line, field, value, expectation."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from feasibility.commissioning.compare import known_to
from feasibility.commissioning.record import CommissioningRecord
from feasibility.examples import example_companions
from feasibility.survey_io.problems import SurveyProblems, describe
from feasibility.survey_io.record_file import parse_record, read_record

from .records import bakery

TEXT = example_companions("bakery-yard")["bakery-yard-record.toml"].decode()
PLACE = Path("record.toml")


def problems_of(text: str) -> list[str]:
    with pytest.raises(SurveyProblems) as caught:
        parse_record(text.encode(), PLACE, known_to(bakery()))
    return [describe(one) for one in caught.value.problems]


def changed(old: str, new: str, *, text: str = TEXT) -> tuple[str, int]:
    """Return the record with a line replaced, and the number of that line."""
    assert text.count(old) >= 1
    place = text.index(old)
    return text.replace(old, new, 1), text.count("\n", 0, place) + 1


def test_the_shipped_record_is_read() -> None:
    record = parse_record(TEXT.encode(), PLACE, known_to(bakery()))
    assert isinstance(record, CommissioningRecord)
    assert [one.name for one in record.node] == ["origin", "Main board", "outlet", "station"]
    assert record.voltmeter is not None
    assert record.voltmeter.resolution_v == 0.01


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("percent = 0.5", 'percent = "0.5"', 'voltmeter, percent = "0.5": expected a number'),
        ("l1_a = 24.2", "l1_a = -1", "load, l1_a = -1: expected a number from 0 to 1000 (A)"),
        ("l1_a = 24.2", "l1_a = 0", "load, l1_a = 0: expected a current above 0"),
        ("l1_a = 24.2", "l1_A = 24.2", "load, l1_A = 24.2: expected a known field; the nearest is"),
        ("minutes = 95", "minuten = 95", "the nearest is minutes"),
        ('name = "origin"', 'name = "cellar"', 'node 1, name = "cellar": expected a node of the'),
        ('name = "Main board"', 'name = "origin"', "expected each node only once"),
        ("loop_l1_ohm = 0.281", "loop_l1_ohm = 0", "node 1, loop_l1_ohm = 0: expected a number"),
        ("temperature_c = 41", "temperature_c = 1e3", "temperature 1, temperature_c = 1000"),
        ('link = "outlet"', 'link = "socket"', 'temperature 2, link = "socket": expected a link'),
        (
            'part = "what is held in the hand"',
            'part = "pins"',
            'temperature 5, part = "pins": expected a part of this link: "terminals and contacts"',
        ),
        ('conductor = "L1"', 'conductor = "R"', 'expected one of "L1", "L2", "L3", "N", "PE"'),
        ('"EX-01"', '"EX-02"', 'survey_reference = "EX-02": expected the reference of the survey'),
        ("record_version = 1", "record_version = 2", "record_version = 2: expected 1"),
        ("date = 2026-06-04", "date = 4.6.2026", "expected a date such as 2026-03-02"),
        (
            "without_station = { l1_n_v = 231.20, l2",
            "without_station = { l2",
            "with_station, l1_n_v = 230.02: expected without_station, l1_n_v as well",
        ),
        ("resolution_v = 0.01", "resolution_mv = 10", "the nearest is resolution_v"),
    ],
)
def test_a_mistake_is_named_with_its_line(old: str, new: str, expected: str) -> None:
    text, line = changed(old, new)
    problems = problems_of(text)
    found = [one for one in problems if expected in one]
    assert found, problems
    number = re.match(r"line (\d+)", found[0])
    assert number is not None
    assert abs(int(number[1]) - line) <= 1


@pytest.mark.parametrize(
    ("table", "expected"),
    [
        ("voltmeter", "voltmeter: expected a table [voltmeter] with its accuracy, since voltages"),
        ("clamp", "clamp: expected a table [clamp] with its accuracy, since currents were read"),
        ("loop_tester", "expected a table [loop_tester] with its accuracy, since loop impedances"),
        ("thermometer", "expected a table [thermometer] with its accuracy, since temperatures"),
        ("load", "load, l1_a: expected the current of the station in L1 while the readings"),
    ],
)
def test_readings_without_their_instrument_are_refused(table: str, expected: str) -> None:
    without = re.sub(rf"(?ms)^\[{table}\]\n.*?(?=^\[|^#)", "", TEXT)
    assert any(expected in one for one in problems_of(without))


def test_temperatures_need_air_and_time() -> None:
    text, _ = changed("ambient_c = 18\n", "")
    text, _ = changed("minutes = 95\n", "", text=text)
    problems = problems_of(text)
    assert any("load, minutes: expected how long it had flowed" in one for one in problems)
    assert any("load, ambient_c: expected the air there" in one for one in problems)


def test_every_mistake_is_listed_at_once() -> None:
    text, _ = changed("l1_a = 24.2", "l1_a = -1")
    text, _ = changed('name = "origin"', 'name = "cellar"', text=text)
    text, _ = changed("date = 2026-06-04", "", text=text)
    problems = problems_of(text)
    assert len(problems) == 3
    assert any("date: expected a date such as 2026-03-02" in one for one in problems)


def test_a_field_of_another_table_is_said_to_belong_there() -> None:
    text, _ = changed("record_version = 1", "record_version = 1\nminutes = 95")
    assert any("minutes = 95: expected this field in [load]" in one for one in problems_of(text))


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (b"", "a commissioning record; the file is empty"),
        (b"\xff\xfe", "text saved as UTF-8"),
        (b"record_version = \n", "a value after the equals sign"),
        (b"[[[[", "expected"),
        (b"node = 5\ntemperature = 5\nload = 5\n", "expected"),
        (b'node = [5]\ntemperature = ["a"]\nvoltmeter = []\n', "expected"),
    ],
)
def test_any_file_is_answered_with_problems(content: bytes, expected: str) -> None:
    with pytest.raises(SurveyProblems) as caught:
        parse_record(content, PLACE, known_to(bakery()))
    assert expected in str(caught.value)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(SurveyProblems, match="a file that exists"):
        read_record(tmp_path / "none.toml", known_to(bakery()))
