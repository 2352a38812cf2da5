"""Every file that is no log is refused with row and column, never guessed at and never an error."""

from __future__ import annotations

import os
import random
import sys
import zipfile
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from feasibility.demand_log import csv_rows, reading, xlsx_rows
from feasibility.demand_log.reading import read_demand_log
from feasibility.demand_log.record import LogProblems

from .files import Form, described, only, problems, read, small, text_of, times, workbook

GOOD = ("2026-01-13 00:00;1;2;3", "2026-01-13 00:15;2;3;4", "2026-01-13 00:30;3;4;5")


def with_row(row: str, place: int = 1) -> str:
    return small(*GOOD[:place], row, *GOOD[place + 1 :])


@pytest.mark.parametrize(
    ("row", "column", "words"),
    [
        ("2026-01-13 00:15;abc;3;4", "L1", "a number such as"),
        ("2026-01-13 00:15;2;n/a;4", "L2", "a number such as"),
        ("2026-01-13 00:15;2;3;nan", "L3", "a number such as"),
        ("2026-01-13 00:15;2;3;inf", "L3", "a number such as"),
        ("2026-01-13 00:15;2;3;1.234,5", "L3", "between thousands"),
        ("2026-01-13 00:15;2;3;1 234", "L3", "a number such as"),
        ("2026-01-13 00:15;2;3;1_0", "L3", "a number such as"),
        ("2026-01-13 00:15;2;3;1e400", "L3", "a finite number"),
        ("2026-01-13 00:15;2;3;-4", "L3", "not below zero"),
        ("2026-01-13 00:15;2;3;7000", "L3", "unit"),
        ("2026-01-13 00:15;2;3", "", "4 cells"),
        ("2026-01-13 00:15;2;3;4;5", "", "4 cells"),
        ('2026-01-13 00:15;2;3;"4', "", "can be read"),
        ("soon;2;3;4", "time", "date and time"),
        (";2;3;4", "time", "date and time"),
        ("2026-01-13;2;3;4", "time", "date and time"),
        ("13.01.2026 00:15;2;3;4", "time", "one way"),
        ("2026-01-13 00:65;2;3;4", "time", "date and time"),
        ("2026-01-13 25:15;2;3;4", "time", "date and time"),
        ("2026-02-30 00:15;2;3;4", "time", "calendar"),
        ("13/01/26 00:15;2;3;4", "time", "four digits"),
        ("2026-01-13 00:00;2;3;4", "time", "the same time again"),
        ("2026-01-12 00:00;2;3;4", "time", "an earlier time"),
        ("2026-01-13 00:02;2;3;4", "time", "900 s apart"),
    ],
)
def test_a_bad_row_is_named(tmp_path: Path, row: str, column: str, words: str) -> None:
    found = problems(tmp_path, with_row(row))[0]
    assert found.row in (3, 4)
    assert found.column == column
    assert words in found.expected


def test_at_most_ten_rows_are_named(tmp_path: Path) -> None:
    rows = [f"2026-01-13 {n:02d}:00;x;2;3" for n in range(24)]
    assert [one.row for one in problems(tmp_path, small(*rows))] == list(range(2, 12))


def test_a_year_that_cannot_be_is_refused(tmp_path: Path) -> None:
    rows = [f"0001-01-13 00:{n * 15:02d};1;2;3" for n in range(4)]
    assert "1990" in only(tmp_path, small(*rows)).expected


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("", "a line of headings"),
        ("\n\n\n", "a line of headings"),
        ("time;L1;L2\n", "a line of headings"),
        (small(), "at least two rows"),
        (small(GOOD[0]), "at least two rows"),
        (
            small(*(f"2026-01-13 00:{n * 15:02d};;2;3" for n in range(4))),
            "at least two rows with a figure",
        ),
        ("time;L1;L1;L2;L3\n", "once only"),
        ("x\n" * 60 + small(*GOOD), "within 50 lines"),
        (b"\xd0\xcf\x11\xe0\x00\x00", "saved as .xlsx"),
        (b"\x89PNG\r\n\x1a\n\x00", "saved as .xlsx"),
        (b"PK\x03\x04 nothing", "can be read"),
    ],
)
def test_a_file_that_is_no_log_is_refused(tmp_path: Path, content: str | bytes, words: str) -> None:
    assert words in only(tmp_path, content).expected


def test_a_wrong_column_is_named_with_those_that_there_are(tmp_path: Path) -> None:
    found = only(tmp_path, small(*GOOD), value_columns={"L1": "I1", "L2": "L2", "L3": "L3"})
    assert found.column == "I1"
    assert '"time", "L1", "L2", "L3"' in found.expected


def test_another_interval_than_stated_is_refused(tmp_path: Path) -> None:
    found = only(tmp_path, small(*GOOD), interval_s=60)
    assert "most are 900 s apart" in found.expected


def test_decimal_commas_between_commas_are_refused(tmp_path: Path) -> None:
    content = "time,L1,L2,L3\n2026-01-13 00:00,1,5,2,5,3,5\n"
    assert "decimal commas" in only(tmp_path, content).expected


def test_decimal_marks_do_not_mix(tmp_path: Path) -> None:
    found = only(tmp_path, with_row("2026-01-13 00:15;2,5;3;4.5"))
    assert (found.row, found.column, found.value) == (3, "L3", "4.5")


@pytest.mark.parametrize("generated", ["-1", "-9"])
def test_generation_of_the_wrong_sign_is_refused(tmp_path: Path, generated: str) -> None:
    content = small(*GOOD).replace("L3\n", "L3;PV\n").replace(";5\n", f";5;{generated}\n")
    content = content.replace(";3\n2026", ";3;0\n2026").replace(";4\n2026", ";4;5\n2026")
    found = only(tmp_path, content, generation_column="PV")
    assert (found.row, found.column) == (4, "PV")


def test_more_generation_than_net_demand_explains_is_refused(tmp_path: Path) -> None:
    rows = [[-5.0, 1.0, 1.0, 3.0], [1.0, 1.0, 1.0, 3.0]]
    content = text_of(times(2), rows, Form(), ("L1", "L2", "L3", "PV"))
    found = only(tmp_path, content, generation_column="PV")
    assert (found.row, found.column) == (2, "L1")
    assert "clocks or signs" in found.expected


def test_a_file_that_is_not_there_or_no_file_is_refused(tmp_path: Path) -> None:
    for path, words in (
        (tmp_path / "nowhere.csv", "exists"),
        (tmp_path, "ordinary file"),
        (Path("/dev/null"), "ordinary file"),
        (tmp_path / ("x" * 300), "can be read"),
    ):
        with pytest.raises(LogProblems, match=words):
            read_demand_log(path, described())


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may read every file")
def test_a_file_that_may_not_be_read_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(small(*GOOD), encoding="utf-8")
    path.chmod(0)
    with pytest.raises(LogProblems, match="can be read"):
        read_demand_log(path, described())


def test_too_many_rows_are_refused_at_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(csv_rows, "LARGEST_ROWS", 1000)
    content = small(*(f"{stamp:%Y-%m-%d %H:%M};1;2;3" for stamp in times(1100)))
    assert "at most 1000 rows" in only(tmp_path, content).expected
    monkeypatch.setattr(csv_rows, "LARGEST_BYTES", 1000)
    assert "MB" in only(tmp_path, content).expected


def test_too_many_rows_of_a_workbook_are_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(reading, "LARGEST_ROWS", 10)
    path = workbook(tmp_path / "log.xlsx", times(20), [[1.0, 2.0, 3.0]] * 20)
    with pytest.raises(LogProblems, match="at most 10 rows"):
        read_demand_log(path, described())


def test_a_cell_far_out_is_refused_before_the_library_takes_the_memory(tmp_path: Path) -> None:
    plain, far = tmp_path / "log.xlsx", tmp_path / "far.xlsx"
    workbook(plain, times(4), [[1.0, 2.0, 3.0]] * 4)
    cell = b'<row r="1048576"><c r="XFD1048576"><v>1</v></c></row></sheetData>'
    with zipfile.ZipFile(plain) as source, zipfile.ZipFile(far, "w") as target:
        for entry in source.infolist():
            content = source.read(entry)
            if entry.filename == "xl/worksheets/sheet1.xml":
                content = content.replace(b"</sheetData>", cell)
            target.writestr(entry.filename, content)
    with pytest.raises(LogProblems, match="row 1048576, column 16384"):
        read_demand_log(far, described())


def test_a_workbook_that_unpacks_to_too_much_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(xlsx_rows, "LARGEST_UNPACKED_BYTES", 1000)
    path = workbook(tmp_path / "log.xlsx", times(4), [[1.0, 2.0, 3.0]] * 4)
    with pytest.raises(LogProblems, match="unpacked"):
        read_demand_log(path, described())


def test_a_workbook_without_its_library_says_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "python_calamine", None)
    path = workbook(tmp_path / "log.xlsx", times(4), [[1.0, 2.0, 3.0]] * 4)
    with pytest.raises(LogProblems, match=r"feasibility\[excel\]"):
        read_demand_log(path, described())


def test_a_sheet_is_nothing_for_a_text_file(tmp_path: Path) -> None:
    assert only(tmp_path, small(*GOOD), sheet="Log").value == "Log"


def test_a_text_in_a_number_column_of_a_workbook_is_named(tmp_path: Path) -> None:
    rows: list[list[object]] = [
        [1.0, 2.0, 3.0],
        [1.0, "off", 3.0],
        [True, 2.0, 3.0],
        [1.0, 2.0, 3.0],
    ]
    path = workbook(tmp_path / "log.xlsx", times(4), rows, at=(2, 1))
    with pytest.raises(LogProblems) as raised:
        read_demand_log(path, described())
    found = [(one.row, one.column, one.value) for one in raised.value.problems]
    assert found == [(5, "L2", "off"), (6, "L1", True)]


@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(content=st.one_of(st.binary(max_size=300), st.text(max_size=300).map(str.encode)))
def test_any_bytes_are_a_log_or_a_problem(tmp_path: Path, content: bytes) -> None:
    with suppress(LogProblems):
        assert read(tmp_path, b"time;L1;L2;L3\n" + content).samples > 1


def test_a_workbook_with_any_byte_changed_is_a_log_or_a_problem(tmp_path: Path) -> None:
    path = workbook(tmp_path / "log.xlsx", times(4), [[1.0, 2.0, 3.0]] * 4)
    sound = path.read_bytes()
    chance = random.Random(7)  # noqa: S311
    for _ in range(300):
        place = chance.randrange(len(sound))
        changed = bytes([chance.randrange(256)])
        path.write_bytes(sound[:place] + changed + sound[place + 1 :])
        with suppress(LogProblems):
            assert read_demand_log(path, described()).samples > 1


@pytest.mark.campaign
def test_a_month_of_seconds_stays_below_a_gibibyte(tmp_path: Path) -> None:
    import resource

    path = tmp_path / "log.csv"
    with path.open("w", encoding="utf-8") as file:
        file.write("time;L1;L2;L3\n")
        for number, stamp in enumerate(times(2_900_000, 1)):
            file.write(f"{stamp};{number % 37},{number % 10};{number % 11},5;7,25\n")
    log = read_demand_log(path, described(interval_s=1))
    assert log.samples == 2_900_000
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss < 1024 * 1024
