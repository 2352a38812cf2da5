"""A file that breaks the rules of the folder is refused with its name, its line and the reason."""

from __future__ import annotations

from pathlib import Path

import pytest

from feasibility.tables import NotTabulated, TableError, table
from feasibility.tables.loader import read_sources, read_table

GOOD = """\
# title: Example
# source: A
# clause: Table 1
# edition: first
# value: current_a
# unit: A
# key: conductor, section_mm2
# reference: 30 C
conductor,section_mm2,current_a,source_ids,confirmed_by,note
copper,1.5,15,A;B,second-source,
copper,2.5,21,A,one-source,
"""
FIRST_ROW = 10
SECOND_ROW = 11


def written(folder: Path, text: str) -> Path:
    file = folder / "example.csv"
    file.write_text(text, encoding="utf-8")
    return file


def test_the_example_itself_is_read(tmp_path: Path) -> None:
    found = read_table(written(tmp_path, GOOD), ("A", "B"))
    assert [row.number("current_a") for row in found.rows] == [15, 21]
    assert [row.line for row in found.rows] == [FIRST_ROW, SECOND_ROW]
    assert found.header.units == {"current_a": "A"}


@pytest.mark.parametrize(
    ("old", "new", "line", "reason"),
    [
        ("A,one-source", "C,one-source", SECOND_ROW, "unknown source 'C'"),
        ("A,one-source", ",one-source", SECOND_ROW, "source_ids is blank"),
        ("A;B,second", "A;,second", FIRST_ROW, "unknown source ''"),
        ("2.5,21", "2.5,", SECOND_ROW, "current_a is blank"),
        ("2.5,21", "2.5,nan", SECOND_ROW, "current_a 'nan' is not a positive number"),
        ("2.5,21", "2.5,inf", SECOND_ROW, "current_a 'inf' is not a positive number"),
        ("2.5,21", "2.5,1e999", SECOND_ROW, "is not a positive number"),
        ("2.5,21", "2.5,-21", SECOND_ROW, "current_a '-21' is not a positive number"),
        ("2.5,21", "2.5,0", SECOND_ROW, "current_a '0' is not a positive number"),
        ("2.5,21", "2.5,2l", SECOND_ROW, "current_a '2l' is not a positive number"),
        ("2.5,21", "2.5,2_1", SECOND_ROW, "is not a positive number"),
        ("copper,2.5", "copper,1.5", SECOND_ROW, "repeats the key of line 10"),
        ("2.5,21,A", "2.5,21;A", SECOND_ROW, "5 cells instead of 6"),
        ("copper,2.5", "\ncopper,2.5", SECOND_ROW, "0 cells instead of 6"),
        ("one-source", "certain", SECOND_ROW, "confirmed_by 'certain' is none of"),
        ("# key", "# across: section_mm2, current_a\n# key", FIRST_ROW, "'across' needs"),
        ("copper,2.5", '"copper,2.5', 9, "no plain CSV"),
        ("# unit: A\n", "# unit: mA\n", 9, "unit 'mA' contradicts the column 'current_a'"),
        ("# unit: A\n", "# unit: A, A\n", 9, "1 value columns but 2 units"),
        ("# unit: A\n", "# unit: per row\n", 9, "a unit per row needs"),
        ("# unit: A\n", "", 7, "header key 'unit' is missing or blank"),
        ("# source: A\n", "# source: C\n", 9, "unknown source 'C' in the header"),
        ("# source: A\n", "# source:\n", 8, "header key 'source' is missing or blank"),
        ("# title: Example", "# titel: Example", 1, "unknown or repeated header key 'titel'"),
        ("# source: A\n", "# title: Again\n", 2, "unknown or repeated header key 'title'"),
        ("section_mm2,current_a", "section,current_a", 9, "column 'section_mm2' is missing"),
        ("note\n", "width\n", 9, "column 'width' names no known unit"),
        ("note\n", "conductor\n", 9, "a column is named twice"),
        ("copper,1.5,15,A;B,second-source,\ncopper,2.5,21,A,one-source,\n", "", 9, "no row"),
    ],
)
def test_a_broken_file_is_refused(
    tmp_path: Path, old: str, new: str, line: int, reason: str
) -> None:
    assert GOOD.count(old) == 1
    file = written(tmp_path, GOOD.replace(old, new))
    with pytest.raises(TableError) as refusal:
        read_table(file, ("A", "B"))
    assert refusal.value.file == file
    assert refusal.value.line == line
    assert reason in refusal.value.reason
    assert str(refusal.value) == f"example.csv, line {line}: {refusal.value.reason}"


def test_a_count_has_to_be_a_whole_number(tmp_path: Path) -> None:
    text = GOOD.replace("conductor", "loaded").replace("copper,2.5", "2.5,2.5")
    with pytest.raises(TableError, match="line 10: loaded 'copper' is not a count"):
        read_table(written(tmp_path, text), ("A", "B"))


def test_a_standard_of_a_row_has_to_be_listed(tmp_path: Path) -> None:
    text = GOOD.replace("note\n", "standard_id\n").replace("second-source,", "second-source,A")
    text = text.replace("one-source,", "one-source,Z")
    with pytest.raises(TableError, match="line 11: unknown source 'Z'"):
        read_table(written(tmp_path, text), ("A", "B"))


@pytest.mark.parametrize(
    ("text", "line", "reason"),
    [
        ("id,title\n", 1, "columns must be"),
        ("id,title,publisher,edition,opened,note\nA,a,,,,\nA,b,,,,\n", 3, "listed twice"),
        ("id,title,publisher,edition,opened,note\nA,,,,,\n", 2, "id or title is blank"),
        ("id,title,publisher,edition,opened,note\nA,a\n", 2, "2 cells instead of 6"),
    ],
)
def test_a_broken_source_list_is_refused(tmp_path: Path, text: str, line: int, reason: str) -> None:
    with pytest.raises(TableError) as refusal:
        read_sources(written(tmp_path, text))
    assert refusal.value.line == line
    assert reason in refusal.value.reason


def test_an_unknown_table_is_refused() -> None:
    with pytest.raises(NotTabulated, match="table b52_99 is not tabulated"):
        table("b52_99")
