"""Rows of a text file: comma, semicolon or tab between columns, UTF-8, UTF-16 or Windows text."""

from __future__ import annotations

import codecs
import csv
import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from feasibility.demand_log.record import problem

LONGEST_PREAMBLE = 50
"""So many lines may stand before the headings."""

LARGEST_BYTES = 500_000_000
LARGEST_ROWS = 3_000_000
"""A month of one-second samples has 2.7 million rows."""

_BLOCK = 1 << 20
_LONGEST_SHOWN = 60
_SEPARATORS = (";", "\t", ",")
_WINDOWS = "cp1252"
_MARKS = ((codecs.BOM_UTF8, "utf-8-sig"), (codecs.BOM_UTF16_LE, "utf-16"),
          (codecs.BOM_UTF16_BE, "utf-16"))  # fmt: skip

Row = tuple[int, list[object]]


@dataclass(frozen=True, slots=True)
class Content:
    """What one pass over the bytes of the file tells."""

    sha256: str
    first: bytes
    encoding: str


def survey_content(path: Path) -> Content:
    """Read the file once: digest, encoding, and whether it is within the bounds."""
    size = path.stat().st_size
    if size > LARGEST_BYTES:
        expected = f"at most {LARGEST_BYTES // 1_000_000} MB; this file has {size / 1e6:.0f} MB"
        raise problem(expected)
    digest, lines, first = hashlib.sha256(), 0, b""
    decoder, sound = codecs.getincrementaldecoder("utf-8")(), True
    with path.open("rb") as file:
        while block := file.read(_BLOCK):
            first = first or block
            digest.update(block)
            lines += block.count(b"\n")
            if sound:
                try:
                    decoder.decode(block)
                except UnicodeDecodeError:
                    sound = False
    is_sheet = first.startswith(b"PK")
    if lines > LARGEST_ROWS + LONGEST_PREAMBLE and not is_sheet:
        expected = f"at most {LARGEST_ROWS} rows; this file has {lines}"
        raise problem(expected)
    marked = next((name for mark, name in _MARKS if first.startswith(mark)), None)
    encoding = marked or ("utf-8" if sound else _WINDOWS)
    return Content(digest.hexdigest(), first[:_BLOCK], encoding)


def csv_rows(path: Path, content: Content, columns: tuple[str, ...]) -> Iterator[Row]:
    """Yield the number of each row and its cells in these columns.

    The headings may follow a few lines about the logger. Raises LogProblems where the file has no
    such columns, a row has more or fewer cells than the headings, or the file is no text.
    """
    if not content.encoding.startswith("utf-16") and b"\x00" in content.first:
        expected = "a text file (CSV) or a workbook saved as .xlsx"
        raise problem(expected)
    # What stands in the columns asked for is plain; other text may have any character in it.
    with path.open(encoding=content.encoding, errors="replace", newline="") as file:
        head, separator, headings = _headings(file, columns)
        places = [headings.index(column) for column in columns]
        reader = csv.reader(file, delimiter=separator, strict=True)
        row = head
        try:
            for cells in reader:
                row = head + reader.line_num
                if not any(cell.strip() for cell in cells):
                    continue
                if len(cells) != len(headings):
                    _same_width(row, cells, headings)
                yield row, [cells[place] for place in places]
        except csv.Error as error:
            expected = f"a row that can be read ({error})"
            raise problem(expected, row=row + 1) from None


def _same_width(row: int, cells: list[str], headings: list[str]) -> None:
    while len(cells) > len(headings) and not cells[-1].strip():
        cells.pop()
    if len(cells) != len(headings):
        expected = (
            f"{len(headings)} cells as in the headings; this row has {len(cells)} (decimal commas "
            "need another separator between columns, or quotation marks)"
        )
        raise problem(expected, row=row)


def _headings(file: Iterator[str], columns: tuple[str, ...]) -> tuple[int, str, list[str]]:
    """Return the line of the headings, the separator, and the headings."""
    nearest: list[str] = []
    for number, line in enumerate(file, start=1):
        if number > LONGEST_PREAMBLE:
            break
        for separator in _SEPARATORS:
            cells = _cells(line, separator)
            if all(column in cells for column in columns):
                return number, separator, unique_headings(cells, columns, number)
            if len(cells) > len(nearest):
                nearest = cells
    raise missing_columns(columns, nearest)


def _cells(line: str, separator: str) -> list[str]:
    try:
        cells = next(csv.reader([line], delimiter=separator), [])
    except csv.Error:
        return []
    cells = [cell.strip() for cell in cells]
    while cells and not cells[-1]:
        cells.pop()
    return cells


def unique_headings(cells: list[str], columns: tuple[str, ...], row: int) -> list[str]:
    """Return the headings unless one that is asked for occurs twice."""
    for column in columns:
        if cells.count(column) > 1:
            expected = "this heading once only"
            raise problem(expected, row=row, column=column)
    return cells


def listed(names: Iterable[str]) -> str:
    """Return the first twelve names between quotation marks, long ones cut off."""
    shown = (
        name if len(name) <= _LONGEST_SHOWN else f"{name[: _LONGEST_SHOWN - 3]}..."
        for name in islice(names, 12)
    )
    return ", ".join(f'"{name}"' for name in shown)


def missing_columns(columns: tuple[str, ...], nearest: list[str]) -> Exception:
    """Return the problem that no line has the headings; ``nearest`` is the one with most cells."""
    lost = [column for column in columns if column not in nearest]
    there = listed(cell for cell in nearest if cell)
    found = f"; found were {there}" if there else ""
    expected = f"a line of headings with {', '.join(columns)}, within {LONGEST_PREAMBLE} lines"
    return problem(expected + found, column=lost[0] if lost else "")
