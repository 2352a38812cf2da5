"""What the table reader and the lookups refuse."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from feasibility.resources import DamagedData


class TableError(DamagedData):
    """A table file that does not keep its own rules; carries ``file``, ``line`` and ``reason``."""

    def __init__(self, file: Path, line: int, reason: str) -> None:
        super().__init__(f"{file.name}, line {line}: {reason}")
        self.file = file
        self.line = line
        self.reason = reason


class NotTabulated(ValueError):
    """A lookup outside the table; carries ``parameter``, ``value`` and the ``permitted`` values."""

    def __init__(self, parameter: str, value: object, permitted: Iterable[object]) -> None:
        self.parameter = parameter
        self.value = value
        self.permitted = tuple(permitted)
        choices = ", ".join(_plain(choice) for choice in self.permitted) or "none"
        super().__init__(f"{parameter} {_plain(value)} is not tabulated; tabulated: {choices}")


def _plain(value: object) -> str:
    if isinstance(value, float):
        return f"{value:g}"
    return repr(value) if value == "" else str(value)
