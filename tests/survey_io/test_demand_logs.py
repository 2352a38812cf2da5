"""What is wrong with a log that a survey names stands among the survey's own problems."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from feasibility.cli import main
from feasibility.examples import example_path
from feasibility.survey_io.problems import SurveyProblems, describe
from feasibility.survey_io.toml_file import LoadedSurvey, parse_survey, read_survey

LOG = "market-hall-demand.csv"


@pytest.fixture
def survey(tmp_path: Path) -> Path:
    """The shipped market hall with its log, in a folder of its own."""
    for name in ("market-hall.toml", LOG):
        shutil.copy(example_path("market-hall").with_name(name), tmp_path / name)
    return tmp_path / "market-hall.toml"


def edit(path: Path, *changes: tuple[str, str]) -> None:
    text = path.read_bytes().decode("utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    path.write_bytes(text.encode())


def problems(path: Path) -> list[str]:
    with pytest.raises(SurveyProblems) as found:
        read_survey(path)
    return [describe(one) for one in found.value.problems]


def line_of(path: Path, start: str) -> int:
    lines = path.read_text(encoding="utf-8").splitlines()
    return 1 + next(n for n, line in enumerate(lines) if line.startswith(start))


def test_the_log_comes_with_the_survey(survey: Path) -> None:
    loaded: LoadedSurvey = read_survey(survey)
    (path,) = loaded.demand_logs
    assert path == "board[1].demand.log"
    assert loaded.demand_logs[path].samples == 3351


Change = tuple[str, str]


@pytest.mark.parametrize(
    ("in_survey", "in_log", "words"),
    [
        ((), (("12:15;", "12:15;x"),), 'row 53, column "I L1 (A)"'),
        (
            (('"market-hall-demand.csv"', '"other.csv"'),),
            (),
            'file "other.csv": expected a file that exists',
        ),
        ((('"I L2 (A)"', '"I L4 (A)"'),), (), 'column "I L4 (A)": expected a line of headings'),
        ((("interval_s = 900", "interval_s = 60"),), (), "most are 900 s apart"),
        ((('"Europe/Vienna"', '"Europe/Vienne"'),), (), "expected a time zone"),
        (
            (('unit = "A"', 'unit = "kW"'),),
            (("12:45;16,9", "12:45;30,9"),),
            "is the unit or the place of the log another one?",
        ),
        ((), (("12:45;16,9", "12:45;4000"),), "at most 100.8 A; is the unit or the place"),
    ],
)
def test_a_faulty_log_is_named_at_the_line_that_names_it(
    survey: Path, in_survey: tuple[Change, ...], in_log: tuple[Change, ...], words: str
) -> None:
    edit(survey, *in_survey)
    edit(survey.with_name(LOG), *in_log)
    found = problems(survey)
    assert found
    at = line_of(survey, "file = ")
    assert all(one.startswith(f"line {at}: board 1, demand, log, file") for one in found)
    assert words in found[0]


def test_a_faulty_log_and_a_faulty_survey_are_listed_together(survey: Path) -> None:
    edit(survey, ("nominal_voltage_v = 400", "nominal_voltage_v = 40"))
    edit(survey.with_name(LOG), ("12:15;", "12:15;x"))
    found = problems(survey)
    assert len(found) == 2
    assert "nominal_voltage_v" in found[0]
    assert "row 53" in found[1]


CONTRADICTIONS: dict[str, tuple[Change, str, str]] = {
    "two ways": (
        ("[board.demand]\n", "[board.demand]\nmaximum_a = 20\n"),
        "log",
        "maximum_a already gives it",
    ),
    "measured elsewhere": (
        ('measured_at = "Main board"', 'measured_at = "origin"'),
        "measured_at",
        '"Main board"',
    ),
    "outside": (('"market-hall-demand.csv"', '"../other.csv"'), "file", "beside the survey"),
    "absolute": (('"market-hall-demand.csv"', '"/etc/other.csv"'), "file", "beside the survey"),
    "drive": (('"market-hall-demand.csv"', '"C:/other.csv"'), "file", "beside the survey"),
    "column twice": (('l2_column = "I L2 (A)"', 'l2_column = "I L1 (A)"'), "l2_column", "its own"),
    "total in amperes": (
        (
            'l1_column = "I L1 (A)"\nl2_column = "I L2 (A)"\nl3_column = "I L3 (A)"\n',
            'total_column = "I L1 (A)"\n',
        ),
        "unit",
        "per phase",
    ),
    "total and phases": (
        ('time_column = "Time"', 'time_column = "Time"\ntotal_column = "P"'),
        "total_column",
        "l1_column already gives it",
    ),
    "no column": (
        ('l1_column = "I L1 (A)"\nl2_column = "I L2 (A)"\nl3_column = "I L3 (A)"\n', ""),
        "log",
        "a column per phase",
    ),
    "generation that there is not": (
        ('time_column = "Time"', 'time_column = "Time"\ngeneration_column = "PV"'),
        "generation_column",
        "nothing here",
    ),
    "interval": (("interval_s = 900", "interval_s = 7200"), "interval_s", "3600"),
}


@pytest.mark.parametrize("name", CONTRADICTIONS)
def test_contradictions_in_the_description(survey: Path, name: str) -> None:
    change, field, words = CONTRADICTIONS[name]
    edit(survey, change)
    found = [one for one in problems(survey) if words in one]
    assert found
    assert field in found[0]


def test_a_survey_without_a_log_needs_no_file(base_text: str) -> None:
    assert parse_survey(base_text.encode(), Path("survey.toml")).demand_logs == {}


def test_the_program_ends_with_2_and_names_the_row(survey: Path) -> None:
    edit(survey.with_name(LOG), ("12:15;", "12:15;x"))
    result = CliRunner().invoke(main, ["check", str(survey)])
    assert result.exit_code == 2
    assert 'row 53, column "I L1 (A)"' in result.stderr
    assert "Traceback" not in result.output
