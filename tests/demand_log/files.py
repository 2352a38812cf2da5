"""Write a log in one of the formats that loggers use, and read it back."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import xlsxwriter

from feasibility.demand_log.reading import read_demand_log
from feasibility.demand_log.record import DemandLog, LogDescription, LogProblem, LogProblems

START = dt.datetime(2026, 1, 13)  # noqa: DTZ001 - the clock of the logger
COLUMNS = ("L1", "L2", "L3")
QUARTER_S = 900

STAMPS = {
    "ISO": "%Y-%m-%d %H:%M",
    "ISO with T and seconds": "%Y-%m-%dT%H:%M:%S",
    "year with slashes": "%Y/%m/%d %H:%M",
    "dots": "%d.%m.%Y %H:%M",
    "dots, short year": "%d.%m.%y %H:%M",
    "day first": "%d/%m/%Y %H:%M",
    "month first": "%m/%d/%Y %I:%M:%S %p",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """How a file is written."""

    separator: str = ";"
    decimal: str = ","
    stamp: str = "%d.%m.%Y %H:%M"
    encoding: str = "utf-8"
    line_end: str = "\n"
    preamble: tuple[str, ...] = ()
    quoted: bool = False


def times(count: int, interval_s: float = QUARTER_S) -> list[dt.datetime]:
    return [START + dt.timedelta(seconds=interval_s * number) for number in range(count)]


def figure(value: float | None, form: Form) -> str:
    text = "" if value is None else repr(value).replace(".", form.decimal)
    return f'"{text}"' if form.quoted else text


def text_of(
    stamps: Sequence[dt.datetime],
    rows: Sequence[Sequence[float | None]],
    form: Form,
    columns: Sequence[str] = COLUMNS,
) -> bytes:
    lines = [*form.preamble, form.separator.join(["time", *columns])]
    lines += [
        form.separator.join([f"{stamp:{form.stamp}}", *(figure(one, form) for one in row)])
        for stamp, row in zip(stamps, rows, strict=True)
    ]
    return (form.line_end.join(lines) + form.line_end).encode(form.encoding)


def described(**changes: Any) -> LogDescription:
    fields: dict[str, Any] = {
        "unit": "A",
        "time_column": "time",
        "value_columns": dict(zip(COLUMNS, COLUMNS, strict=True)),
        "time_zone": "+01:00",
        "interval_s": QUARTER_S,
    }
    return LogDescription(**(fields | changes))


def read(folder: Path, content: bytes | str, **changes: Any) -> DemandLog:
    path = folder / "log.csv"
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return read_demand_log(path, described(**changes))


def problems(folder: Path, content: bytes | str, **changes: Any) -> tuple[LogProblem, ...]:
    """Return what is wrong with such a file; a file that is read is the test's own mistake."""
    try:
        log = read(folder, content, **changes)
    except LogProblems as found:
        return found.problems
    raise AssertionError(log)


def only(folder: Path, content: bytes | str, **changes: Any) -> LogProblem:
    (problem,) = problems(folder, content, **changes)
    return problem


def small(*lines: str) -> str:
    """A file of three phases in ISO dates from these rows."""
    return "\n".join(["time;L1;L2;L3", *lines]) + "\n"


def workbook(
    path: Path,
    stamps: Sequence[dt.datetime],
    rows: Sequence[Sequence[Any]],
    *,
    sheets: Mapping[str, bool] | None = None,
    at: tuple[int, int] = (0, 0),
) -> Path:
    """Write a workbook; ``sheets`` names its sheets and which of them holds the log.

    A figure that is a text starting with ``=`` becomes a formula without a calculated value; a pair
    of text and number one with that value.
    """
    with xlsxwriter.Workbook(path) as book:
        dates = book.add_format({"num_format": "yyyy-mm-dd hh:mm"})
        top, left = at
        for name, holds in (sheets or {"Log": True}).items():
            sheet = book.add_worksheet(name)
            if not holds:
                continue
            for place, heading in enumerate(["time", *COLUMNS]):
                sheet.write(top, left + place, heading)
            for number, (stamp, row) in enumerate(zip(stamps, rows, strict=True), start=top + 1):
                sheet.write_datetime(number, left, stamp, dates)
                for place, value in enumerate(row, start=left + 1):
                    if isinstance(value, tuple):
                        sheet.write_formula(number, place, value[0], None, value[1])
                    elif isinstance(value, str) and value.startswith("="):
                        sheet.write_formula(number, place, value, None, "")
                    elif value is not None:
                        sheet.write(number, place, value)
    return path
