"""Rows of a sheet of a workbook (.xlsx); of a formula the value that was calculated last counts."""

from __future__ import annotations

import re
import struct
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from feasibility.demand_log.csv_rows import (
    LONGEST_PREAMBLE,
    Row,
    listed,
    missing_columns,
    unique_headings,
)
from feasibility.demand_log.record import problem

if TYPE_CHECKING:
    from python_calamine import CalamineSheet

LARGEST_UNPACKED_BYTES = 400_000_000
LARGEST_COLUMNS = 200
LARGEST_CELLS = 8_000_000
"""The library keeps every cell up to the last one in memory."""

_DAMAGED = (
    zipfile.BadZipFile, zlib.error, struct.error, EOFError, NotImplementedError, RuntimeError,
    ValueError,
)  # fmt: skip
_BLOCK = 1 << 20
_OVERLAP = 64
_CELL = re.compile(rb'<(?:[A-Za-z0-9]+:)?c [^>]{0,60}?r="([A-Z]{1,3})([0-9]{1,7})"')
_FORMULA = re.compile(rb"<(?:[A-Za-z0-9]+:)?f[ >/]")
_SHEETS = re.compile(r"xl/worksheets/[^/]+\.xml")


def xlsx_rows(path: Path, sheet: str | None, columns: tuple[str, ...]) -> Iterator[Row]:
    """Yield the number of each row of the sheet and its cells in these columns.

    Raises LogProblems where the workbook cannot be read or has no such sheet or columns.
    """
    try:
        from python_calamine import CalamineError, CalamineWorkbook  # noqa: PLC0415
    except ImportError:
        expected = (
            "a text file (CSV), since the library that reads workbooks is not installed "
            "(pip install 'feasibility[excel]')"
        )
        raise problem(expected) from None
    try:
        with path.open("rb") as file:
            workbook = CalamineWorkbook.from_filelike(file)
            chosen = workbook.get_sheet_by_name(_sheet_name(workbook.sheet_names, sheet))
            yield from _rows(chosen, columns)
    except (CalamineError, zipfile.BadZipFile) as error:
        expected = f"a workbook that can be read ({error})"
        raise problem(expected) from None


def formulas_in(path: Path) -> int:
    """Count the formulas of a workbook, and refuse one that would not fit into memory."""
    formulas = 0
    try:
        with zipfile.ZipFile(path) as archive:
            entries = archive.infolist()
            unpacked = sum(entry.file_size for entry in entries)
            if unpacked > LARGEST_UNPACKED_BYTES:
                most = LARGEST_UNPACKED_BYTES // 1_000_000
                expected = f"a workbook of at most {most} MB unpacked; save the log as CSV"
                raise problem(expected)
            for entry in entries:
                if _SHEETS.fullmatch(entry.filename):
                    formulas += _scanned(archive, entry)
    except _DAMAGED as error:
        expected = f"a workbook that can be read ({error})"
        raise problem(expected) from None
    return formulas


def _scanned(archive: zipfile.ZipFile, entry: zipfile.ZipInfo) -> int:
    """Return the formulas of one sheet; LogProblems where its last cell stands too far out."""
    formulas, last_row, last_column, rest = 0, 0, 0, b""
    with archive.open(entry) as file:
        while block := file.read(_BLOCK):
            text = rest + block
            for letters, digits in _CELL.findall(text):
                last_row = max(last_row, int(digits))
                last_column = max(last_column, _column_number(letters))
            formulas += len(_FORMULA.findall(text)) - len(_FORMULA.findall(rest))
            rest = text[-_OVERLAP:]
    if last_column > LARGEST_COLUMNS or last_row * last_column > LARGEST_CELLS:
        expected = (
            f"sheets of at most {LARGEST_COLUMNS} columns and {LARGEST_CELLS} cells; this one "
            f"reaches to row {last_row}, column {last_column}: save the log as CSV"
        )
        raise problem(expected)
    return formulas


def _column_number(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number


def _sheet_name(names: list[str], wanted: str | None) -> str:
    shown = listed(names)
    if wanted is None and len(names) == 1:
        return names[0]
    if wanted is None:
        expected = f"the sheet's name (sheet = ...), one of {shown}"
        raise problem(expected)
    if wanted not in names:
        expected = f"one of the workbook's sheets: {shown}"
        raise problem(expected, value=wanted)
    return wanted


def _rows(sheet: CalamineSheet, columns: tuple[str, ...]) -> Iterator[Row]:
    places: list[int] = []
    nearest: list[str] = []
    # The library leaves out empty columns before the first cell, but no rows.
    for row, cells in enumerate(sheet.iter_rows(), start=1):
        if places:
            if any(cell != "" for cell in cells):
                yield row, [cells[place] for place in places]
            continue
        texts = [cell.strip() if isinstance(cell, str) else "" for cell in cells]
        if all(column in texts for column in columns):
            places = [unique_headings(texts, columns, row).index(column) for column in columns]
        elif row > LONGEST_PREAMBLE:
            break
        elif sum(map(bool, texts)) > sum(map(bool, nearest)):
            nearest = texts
    if not places:
        raise missing_columns(columns, nearest)
