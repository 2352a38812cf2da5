from __future__ import annotations

import hashlib
import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from feasibility.survey.model import Survey
from feasibility.survey_io.problems import Problem, SurveyProblems, describe
from feasibility.survey_io.toml_file import LARGEST_FILE_BYTES, read_survey

Problems = Callable[[str | bytes], tuple[Problem, ...]]


def problem_of(path: str | Path) -> Problem:
    with pytest.raises(SurveyProblems) as caught:
        read_survey(path)
    (problem,) = caught.value.problems
    assert caught.value.path == Path(path)
    return problem


def test_a_good_file_becomes_a_survey(tmp_path: Path, base_text: str) -> None:
    file = tmp_path / "survey.toml"
    file.write_bytes(base_text.encode())
    loaded = read_survey(file)
    assert isinstance(loaded.survey, Survey)
    assert loaded.survey.circuit[1].cable[0].length_m is not None
    assert loaded.survey.circuit[1].cable[0].length_m.value == 28
    assert loaded.sha256 == hashlib.sha256(base_text.encode()).hexdigest()
    assert loaded.path == file
    assert loaded.content == base_text.encode()
    assert read_survey(str(file)).survey == loaded.survey


def test_byte_order_mark_and_windows_line_ends_are_accepted(tmp_path: Path, base_text: str) -> None:
    file = tmp_path / "survey.toml"
    file.write_bytes(b"\xef\xbb\xbf" + base_text.replace("\n", "\r\n").encode())
    loaded = read_survey(file)
    assert loaded.survey.station.name == "Invented station"
    assert loaded.sha256 == hashlib.sha256(file.read_bytes()).hexdigest()
    assert loaded.content == file.read_bytes()


def test_lines_are_right_with_windows_line_ends(base_text: str, problems_of: Problems) -> None:
    text = base_text.replace("length_m = 28", "length_m = 0")
    (unix,) = problems_of(text)
    (windows,) = problems_of(text.replace("\n", "\r\n"))
    assert unix == windows
    assert unix.line == text[: text.index("length_m = 0\n")].count("\n") + 1


def test_a_missing_file(tmp_path: Path) -> None:
    problem = problem_of(tmp_path / "absent.toml")
    assert problem.expected == "a file that exists"
    assert problem.line is None
    assert describe(problem).startswith('file = "')


def test_a_folder(tmp_path: Path) -> None:
    assert problem_of(tmp_path).expected == "a file, not a folder"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_that_nobody_writes_to(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    assert problem_of(tmp_path / "pipe").expected == "an ordinary file"


def test_a_file_that_may_not_be_read(
    tmp_path: Path, base_text: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Permissions do not bind an administrator, so the refusal is played.
    def refuse(*_args: object, **_kwargs: object) -> None:
        raise PermissionError(13, "Permission denied")

    file = tmp_path / "survey.toml"
    file.write_text(base_text, encoding="utf-8")
    monkeypatch.setattr(Path, "open", refuse)
    assert problem_of(file).expected == "a file that may be read"


@pytest.mark.parametrize("name", ["a\x00b", "x" * 5000, "a/\udcff/b"])
def test_a_name_that_no_file_can_have(name: str) -> None:
    assert describe(problem_of(name)).isprintable()


def test_a_file_too_large_is_refused_by_its_size(tmp_path: Path) -> None:
    file = tmp_path / "large.toml"
    with file.open("wb") as large:
        large.truncate(50_000_000)
    begun = time.perf_counter()
    problem = problem_of(file)
    assert time.perf_counter() - begun < 0.25
    assert problem.expected == "at most 2 MB; this file has 50.00 MB"


def test_the_largest_size_is_still_read(tmp_path: Path, base_text: str) -> None:
    file = tmp_path / "survey.toml"
    filler = "#" * (LARGEST_FILE_BYTES - len(base_text.encode()) - 1) + "\n"
    file.write_text(filler + base_text, encoding="utf-8")
    assert file.stat().st_size == LARGEST_FILE_BYTES
    assert read_survey(file).survey.survey_version == 1
    file.write_text("#" + filler + base_text, encoding="utf-8")
    assert problem_of(file).expected.startswith("at most 2 MB")


@pytest.mark.parametrize("content", [b"", b"\xef\xbb\xbf", b" \n\t\r\n"])
def test_an_empty_file(tmp_path: Path, content: bytes) -> None:
    file = tmp_path / "survey.toml"
    file.write_bytes(content)
    assert problem_of(file).expected == "a survey; the file is empty"


@pytest.mark.parametrize(
    ("content", "line", "value"),
    [
        (b"\x7fELF\x02\x01\x01\x00\xff\xfe", 1, "byte ff"),
        (b"a = 1\n\x00\x01\x02", 2, "byte 00"),
        ("a = 1\nname = 'Küche'\n".encode("latin-1"), 2, "byte fc"),
        ("a = 1\n".encode("utf-16"), 1, "byte ff"),
        ("a = 1\n".encode("utf-16-le"), 1, "byte 00"),
    ],
)
def test_a_file_that_is_no_text(
    content: bytes, line: int, value: str, problems_of: Problems
) -> None:
    (problem,) = problems_of(content)
    assert problem == Problem(line, None, "", value, "text saved as UTF-8")


def test_a_file_of_remarks_alone_lacks_every_table(problems_of: Problems) -> None:
    assert [describe(problem) for problem in problems_of("# nothing\n")] == [
        "survey_version: expected 1; it is missing",
        "site: expected a table [site]; it is missing",
        "surveyor: expected a table [surveyor]; it is missing",
        "supply: expected a table [supply]; it is missing",
        "circuit: expected one or more tables [[circuit]]; it is missing",
        "outlet: expected a table [outlet]; it is missing",
        "station: expected a table [station]; it is missing",
    ]


def test_broken_lines_wrong_values_and_contradictions_come_together(
    edited: Callable[..., str], problems_of: Problems
) -> None:
    text = edited(
        ("length_m = 28", "length_m = 12,5"),
        ("rating_a = 63", "rating_a = 0"),
        ('starts_at = "Main board"', 'starts_at = "Workshop board"'),
        ("clock_position = 6", "clock_position = 16"),
        ("[cord]", "[cord]\nlenght_m = 3"),
    )
    found = problems_of(text)
    assert [(problem.field, problem.value) for problem in found] == [
        ("circuit 2, ends_at", '"Workshop board"'),
        ("circuit 2, device, rating_a", "0"),
        ("circuit 2, cable 1, length_m", "12,5"),
        ("outlet, clock_position", "16"),
        ("cord, lenght_m", "3"),
    ]
    lines = [problem.line for problem in found]
    assert lines == sorted(lines, key=lambda line: line or 0)
    for problem in found:
        assert problem.line is not None
        assert problem.value in text.split("\n")[problem.line - 1]


def test_a_required_field_whose_line_is_broken_is_not_called_missing(
    edited: Callable[..., str], problems_of: Problems
) -> None:
    (problem,) = problems_of(edited(('ends_at = "outlet"', "ends_at = outlet")))
    assert problem.field == "circuit 3, ends_at"
    (problem,) = problems_of(edited(('name = "Workshop board"', "name = Workshop board")))
    assert problem.field == "board 2, name"
    boards = 'board = [{name = "Main"}, {name = "Sub" "x"}]\n'
    begin, end = '[[board]]\nname = "Main board"', '[[circuit]]\nname = "Main"'
    text = edited()
    text = boards + text[: text.index(begin)] + text[text.index(end) :]
    (problem,) = problems_of(text)
    assert (problem.line, problem.field) == (1, "board")


CHILD = """
import sys
from feasibility.survey_io.problems import SurveyProblems
from feasibility.survey_io.toml_file import read_survey
try:
    read_survey(sys.argv[1])
except SurveyProblems as found:
    print(found)
heavy = {"numpy", "pandas", "pandapower", "scipy", "jinja2", "weasyprint", "power_grid_model"}
print(sorted(heavy & set(sys.modules)), "pydantic" in sys.modules)
"""


@pytest.mark.parametrize(("old", "new"), [("length_m = 28", "length_m = 0"), ("[cord]", "[cord")])
def test_no_heavy_library_is_loaded_to_report_a_mistake(
    tmp_path: Path, edited: Callable[..., str], old: str, new: str
) -> None:
    file = tmp_path / "survey.toml"
    file.write_text(edited((old, new)), encoding="utf-8")
    environment = dict(os.environ, PYTHONPATH=os.pathsep.join(sys.path))
    run = subprocess.run(
        [sys.executable, "-c", CHILD, str(file)],
        capture_output=True,
        text=True,
        check=True,
        env=environment,
    )
    first, last = run.stdout.splitlines()
    assert first.startswith("line ")
    assert last == f"[] {old != '[cord]'}"
