"""A table as frozen records: what its header says and what its rows hold."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

Cell = str | float | int | None


class Confirmation(StrEnum):
    """How a tabulated value is confirmed, strongest first."""

    FORMULA = "formula"
    SECOND_SOURCE = "second-source"
    ONE_SOURCE = "one-source"
    MEMORY = "memory"

    @property
    def weak(self) -> bool:
        """Whether a reader must be told beside the value."""
        return self in (Confirmation.ONE_SOURCE, Confirmation.MEMORY)


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """One line of ``sources.csv``: a standard, or a document in which values were seen."""

    id: str
    title: str
    publisher: str
    edition: str
    opened: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Header:
    """What a table says of itself; ``units`` maps each value column to its unit (``""``: none).

    ``across`` names the columns of the key that the printed table has across the page.
    """

    title: str
    source: str
    clause: str
    edition: str
    units: Mapping[str, str]
    key: tuple[str, ...]
    optional: tuple[str, ...]
    across: tuple[str, ...]
    reference: str
    remarks: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row: its table, its line in the file and its cells, blank ones None."""

    table: str
    line: int
    cells: Mapping[str, Cell]
    source_ids: tuple[str, ...]
    confirmed_by: Confirmation

    def text(self, column: str) -> str:
        """Return a text cell; a blank one is an empty string."""
        value = self.cells.get(column)
        return "" if value is None else str(value)

    def number(self, column: str) -> float:
        """Return a number cell that must not be blank."""
        value = self.optional_number(column)
        if value is None:
            message = f"{column} is blank in line {self.line}"
            raise ValueError(message)
        return value

    def optional_number(self, column: str) -> float | None:
        """Return a number cell, or None where it is blank."""
        value = self.cells[column]
        if isinstance(value, str):
            message = f"{column} holds text"
            raise TypeError(message)
        return value


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A whole table, ready for lookup and for printing."""

    name: str
    header: Header
    columns: tuple[str, ...]
    rows: tuple[Row, ...]
