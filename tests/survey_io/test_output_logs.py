"""The log of what a second source delivered: read like that of a demand, held to its rating."""

from __future__ import annotations

from pathlib import Path

import pytest

from feasibility.archive import log_contents
from feasibility.examples import example_path
from feasibility.survey_io.problems import SurveyProblems, describe
from feasibility.survey_io.set_values import SetProblems, with_values
from feasibility.survey_io.toml_file import read_survey

OUTPUT = """
[board.source.output]
file = "roof.csv"
unit = "kW"
time_column = "time"
output_column = "out"
time_zone = "+01:00"
interval_s = 900
"""
PROFILE = 'output_profile = "clear sky"\n'
LOG = "time;out\n2025-06-01 11:45;14,2\n2025-06-01 12:00;16,4\n2025-06-01 12:15;-0,1\n"


@pytest.fixture
def survey(tmp_path: Path) -> Path:
    """The shipped joinery, whose generator of 15 kW has a log in place of its profile."""
    text = example_path("joinery-hall").read_text(encoding="utf-8")
    assert PROFILE in text
    path = tmp_path / "joinery-hall.toml"
    path.write_text(text.replace(PROFILE, OUTPUT), encoding="utf-8")
    path.with_name("roof.csv").write_text(LOG, encoding="utf-8")
    return path


def edit(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def only(path: Path) -> str:
    with pytest.raises(SurveyProblems) as found:
        read_survey(path)
    (problem,) = found.value.problems
    return describe(problem)


def test_it_comes_with_the_survey_and_goes_into_its_report(survey: Path) -> None:
    logs = read_survey(survey).demand_logs
    assert list(logs) == ["board[1].source[1].output"]
    (values,) = logs["board[1].source[1].output"].values
    # A little below zero at night is the meter's own draw.
    assert (values.name, values.maximum, values.lowest) == ("output", 16.4, 0.0)
    checksums = {one.file: one.sha256 for one in logs.values()}
    assert log_contents(survey.parent, checksums) == {"roof.csv": LOG.encode()}


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("16,4", "x", 'row 3, column "out"'),
        # 15 kW and a tenth are 16.5 kW.
        ("16,4", "16,6", "at most 16.5 kW, a tenth above the rating of the source"),
        ("-0,1", "-0,5", "a figure not below zero of what is generated"),
        ("12:00", "11:45", "times that rise from row to row"),
    ],
)
def test_mistakes_in_the_file_are_named(survey: Path, old: str, new: str, words: str) -> None:
    edit(survey.with_name("roof.csv"), old, new)
    problem = only(survey)
    assert 'board 1, source 1, output, file "roof.csv"' in problem
    assert words in problem


@pytest.mark.parametrize(
    ("rating", "unit", "words"),
    # 22 A in three phases at 400 V are 15.24 kW, and 9 kW there 12.99 A: times 1.1.
    [
        ("rated_current_a = 22", "kW", ""),
        ("rated_current_a = 21", "kW", "at most 16 kW"),
        ("rated_power_kw = 9", "A", "at most 14.29 A"),
        ("", "A", ""),
    ],
)
def test_the_rating_in_the_other_unit_counts_where_it_is_the_only_one(
    survey: Path, rating: str, unit: str, words: str
) -> None:
    edit(survey, 'rated_current_a = { value = 22, known = "read" }\n', f"{rating}\n")
    edit(survey, 'rated_power_kw = { value = 15, known = "read" }\n', "")
    edit(survey, 'unit = "kW"', f'unit = "{unit}"')
    if words:
        assert words in only(survey)
    else:
        assert len(read_survey(survey).demand_logs) == 1


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('kind = "photovoltaic"', 'kind = "photovoltaic"\n' + PROFILE, "in one way only"),
        ('"roof.csv"', '"../roof.csv"', "a file beside the survey"),
        ('output_column = "out"', 'output_column = "time"', "a column of its own"),
    ],
)
def test_contradictions(survey: Path, old: str, new: str, words: str) -> None:
    edit(survey, old, new)
    assert words in only(survey)


def test_the_sun_drives_no_generator(survey: Path) -> None:
    edit(survey, OUTPUT, PROFILE)
    edit(survey, 'kind = "photovoltaic"', 'kind = "generator"')
    assert "nothing here: the sun drives no source of kind generator" in only(survey)


def test_another_file_that_is_put_in_is_read(survey: Path) -> None:
    place = "board[1].source[1].output.file"
    survey.with_name("other.csv").write_text(LOG.replace("16,4", "3"), encoding="utf-8")
    changed = with_values(read_survey(survey), [f"{place}=other.csv"])
    (values,) = changed.demand_logs["board[1].source[1].output"].values
    assert values.maximum == 14.2
    with pytest.raises(SetProblems, match="a file that exists"):
        with_values(read_survey(survey), [f"{place}=absent.csv"])
