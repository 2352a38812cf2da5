"""Numbers of a log's columns, with a decimal point or a decimal comma, never both in one file."""

from __future__ import annotations

import math
import re
from array import array
from dataclasses import dataclass, field

from feasibility.demand_log.record import problem

_NUMBER = re.compile(r"[+-]?[0-9]+(?:([.,])([0-9]+))?(?:[eE][+-]?[0-9]{1,3})?")
_HUNDRED = 100.0
_MOST_KNOWN = 100_000


@dataclass(slots=True)
class Figures:
    """Takes the cells of the value columns; an empty cell is a missing sample (NaN).

    A file in which each fraction has three digits while other figures without one reach a hundred
    may mean thousands by its marks: ``998`` beside ``1,002``. Such a file is refused.
    """

    columns: tuple[str, ...]
    values: tuple[array[float], ...] = ()
    _read_before: dict[str, float] = field(default_factory=dict)
    _first_row_of: dict[str, int] = field(default_factory=dict)
    _three_digits: tuple[int, str, str] | None = None
    _other_digits: bool = False
    _large_without: bool = False

    def __post_init__(self) -> None:
        self.values = tuple(array("d") for _ in self.columns)

    def take(self, row: int, cells: list[object]) -> None:
        """Add one cell per column; LogProblems where one is no number."""
        for column, values, cell in zip(self.columns, self.values, cells, strict=True):
            # Figures repeat: one that was read once is known by its text.
            known = self._read_before.get(cell) if isinstance(cell, str) else None
            if known is None:
                known = self._number(row, column, cell)
                if isinstance(cell, str) and len(self._read_before) < _MOST_KNOWN:
                    self._read_before[cell] = known
            values.append(known)

    def _number(self, row: int, column: str, cell: object) -> float:
        if isinstance(cell, (int, float)) and not isinstance(cell, bool):
            if math.isfinite(cell):
                return float(cell)
            expected = "a finite number"
            raise problem(expected, row=row, column=column, value=cell)
        text = str(cell).strip()
        if not text:
            return math.nan
        match = _NUMBER.fullmatch(text)
        if match is None:
            expected = (
                "a number such as 12.5 or 12,5 without a mark between thousands, or an empty cell "
                "where nothing was logged"
            )
            raise problem(
                expected,
                row=row,
                column=column,
                value=text if isinstance(cell, str) else cell,
            )
        return self._read(row, column, text, match)

    def _read(self, row: int, column: str, text: str, match: re.Match[str]) -> float:
        mark, fraction = match.groups()
        value = float(text.replace(",", ".")) if mark == "," else float(text)
        if not math.isfinite(value):
            expected = "a finite number"
            raise problem(expected, row=row, column=column, value=text)
        if mark is None:
            self._large_without = self._large_without or abs(value) >= _HUNDRED
            return value
        self._first_row_of.setdefault(mark, row)
        if len(self._first_row_of) > 1:
            other = "," if mark == "." else "."
            first = self._first_row_of[other]
            expected = f"one decimal mark in the whole file; row {first} has {other!r}"
            raise problem(expected, row=row, column=column, value=text)
        if len(fraction) != 3:
            self._other_digits = True
        elif self._three_digits is None:
            self._three_digits = (row, column, text)
        return value

    def finish(self) -> None:
        """Refuse a file whose marks may stand between thousands."""
        if self._three_digits and self._large_without and not self._other_digits:
            row, column, text = self._three_digits
            expected = (
                "figures that cannot be mistaken: this mark may be a decimal one or stand between "
                "thousands, since other figures reach a hundred without one; write the file "
                "without marks between thousands and with one or two decimals"
            )
            raise problem(
                expected,
                row=row,
                column=column,
                value=text,
            )
