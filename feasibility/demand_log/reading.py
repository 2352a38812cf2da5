"""Read a log: every row judged, maxima, mean and gaps found, or the mistakes named."""

from __future__ import annotations

import datetime as dt
import stat
from array import array
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from feasibility.demand_log.csv_rows import LARGEST_ROWS, Row, csv_rows, survey_content
from feasibility.demand_log.figures import Figures
from feasibility.demand_log.quarters import quarter_hours
from feasibility.demand_log.record import (
    OUTPUT,
    DemandLog,
    LogDescription,
    LoggedValues,
    LogProblem,
    LogProblems,
    problem,
)
from feasibility.demand_log.times import Stamps, zone_of
from feasibility.demand_log.xlsx_rows import formulas_in, xlsx_rows

LONGEST_GAP_DAYS = 7.0
"""A longer gap cuts a log in two pieces (our own rule): nobody knows what was drawn in it."""

LARGEST_VALUE = {"A": 6300.0, "kW": 4000.0}
"""No low-voltage board draws more: the unit is another one (as the survey's own bounds)."""

_MOST_PROBLEMS = 10
_GAP_FROM, _TOO_SOON, _INTERVAL_OFF = 1.5, 0.5, 0.1
_NEGATIVE_SHARE = 0.02
"""What a generator's meter may show below zero at night, of its largest value (our own rule)."""

Numbers = NDArray[np.float64]
Rows = NDArray[np.int64]


def read_demand_log(path: Path, description: LogDescription) -> DemandLog:
    """Read a log (CSV or .xlsx) that is laid out as described.

    Raises LogProblems, and nothing else, whatever the file holds. At most ``LARGEST_ROWS`` rows.
    """
    zone_of(description.time_zone)
    _ordinary_file(path)
    try:
        content = survey_content(path)
        is_sheet = content.first.startswith(b"PK")
        formulas = formulas_in(path) if is_sheet else 0
        if not is_sheet and description.sheet is not None:
            expected = "no sheet; a text file has none"
            raise problem(expected, value=description.sheet)
        rows = (
            xlsx_rows(path, description.sheet, description.columns)
            if is_sheet
            else csv_rows(path, content, description.columns)
        )
        table = _table(rows, description)
    except OSError as error:
        expected = f"a file that can be read ({error.strerror})"
        raise problem(expected) from None
    return _log(table, description, path.name, content.sha256, formulas)


def _ordinary_file(path: Path) -> None:
    try:
        mode = path.stat().st_mode
    except (FileNotFoundError, NotADirectoryError):
        expected = "a file that exists, beside the survey"
        raise problem(expected) from None
    except (OSError, ValueError) as error:
        expected = f"a file that can be read ({error})"
        raise problem(expected) from None
    if not stat.S_ISREG(mode):
        expected = "an ordinary file"
        raise problem(expected)


@dataclass(frozen=True, slots=True)
class _Table:
    """The columns of the file: rows, UTC milliseconds, months of the file's clock, values."""

    rows: Rows
    time_ms: NDArray[np.int64]
    months: NDArray[np.int64]
    values: tuple[Numbers, ...]


def _table(rows: Iterator[Row], description: LogDescription) -> _Table:
    stamps = Stamps(description.time_column, description.date_order)
    figures = Figures(description.columns[1:])
    numbers = array("i")
    problems: list[LogProblem] = []
    for row, (time, *cells) in rows:
        try:
            figures.take(row, cells)
            stamps.take(row, time)
        except LogProblems as found:
            problems.extend(found.problems)
            if len(problems) >= _MOST_PROBLEMS:
                break
        numbers.append(row)
        if len(numbers) > LARGEST_ROWS:
            expected = f"at most {LARGEST_ROWS} rows"
            raise problem(expected)
    if problems:
        raise LogProblems(problems)
    if len(numbers) < 2:
        expected = f"at least two rows below the headings; there are {len(numbers)}"
        raise problem(expected)
    figures.finish()
    lines = np.array(numbers, dtype=np.int64)
    return _Table(
        rows=lines,
        time_ms=stamps.utc_ms(description.time_zone, lines),
        months=stamps.months(),
        values=tuple(np.frombuffer(one, dtype=np.float64) for one in figures.values),
    )


def _log(
    table: _Table, description: LogDescription, file: str, sha256: str, formulas: int
) -> DemandLog:
    _in_order(table, description)
    values = _with_generation(table, description)
    logged = np.flatnonzero(~np.isnan(np.sum(values, axis=0)))
    if logged.size < 2:
        raise problem(_nothing(int(logged.size), formulas), column=description.columns[1])
    for (name, column), one in zip(description.value_columns.items(), values, strict=True):
        _plausible(name, column, one, table.rows, description)
    time_ms = table.time_ms[logged]
    steps_s = np.diff(time_ms) / 1000
    gaps = np.flatnonzero(steps_s > _GAP_FROM * description.interval_s)
    _no_long_gap(steps_s, gaps, table.rows[logged], description)
    seasons = np.bincount(table.months[logged] % 12 // 3, minlength=4)
    days = [float(count) * description.interval_s / 86_400 for count in seasons]
    return DemandLog(
        file=file,
        sha256=sha256,
        unit=description.unit,
        interval_s=description.interval_s,
        start=_moment(time_ms[0], description),
        end=_moment(time_ms[-1], description),
        samples=int(logged.size),
        gap_count=int(gaps.size),
        longest_gap_s=float(np.max(steps_s[gaps] - description.interval_s, initial=0.0)),
        gaps_total_s=float(np.sum(steps_s[gaps] - description.interval_s)),
        season_days=(days[0], days[1], days[2], days[3]),
        values=tuple(
            _logged(name, one[logged], time_ms, description)
            for name, one in zip(description.value_columns, values, strict=True)
        ),
        generation_added=description.generation_column is not None,
        formulas=formulas,
        quarter_hours=quarter_hours(
            time_ms,
            {n: one[logged] for n, one in zip(description.value_columns, values, strict=True)},
            interval_s=description.interval_s,
            gap_from_s=_GAP_FROM * description.interval_s,
        ),
    )


def _nothing(count: int, formulas: int) -> str:
    expected = f"at least two rows with a figure in every column; there are {count}"
    if formulas:
        expected += (
            f" (the workbook has {formulas} formulas, and of a formula only the value counts that "
            "was calculated and saved last)"
        )
    return expected


def _in_order(table: _Table, description: LogDescription) -> None:
    """Refuse times that repeat or go back, or that stand at another interval than stated."""
    steps_s = np.diff(table.time_ms) / 1000
    column, interval_s = description.time_column, description.interval_s
    wrong = np.flatnonzero(steps_s <= 0)
    problems = []
    for place in wrong[:_MOST_PROBLEMS]:
        row, before = int(table.rows[place + 1]), int(table.rows[place])
        repeats = steps_s[place] == 0
        words = "the same time again" if repeats else "an earlier time"
        expected = f"times that rise from row to row; this is {words} after row {before}" + (
            " (a clock that is put back in autumn needs the name of its time zone)"
            if repeats or steps_s[place] >= -3600
            else ""
        )
        shown = _moment(table.time_ms[place + 1], description).isoformat(" ")
        problems.append(LogProblem(expected=expected, row=row, column=column, value=shown))
    if problems:
        raise LogProblems(problems)
    usual_s = float(np.median(steps_s))
    if abs(usual_s - interval_s) > _INTERVAL_OFF * interval_s:
        expected = f"rows {interval_s:g} s apart, as interval_s says; most are {usual_s:g} s apart"
        raise problem(expected, column=column)
    soon = np.flatnonzero(steps_s < _TOO_SOON * interval_s)
    if soon.size:
        expected = (
            f"rows {interval_s:g} s apart, as interval_s says; this one stands "
            f"{steps_s[soon[0]]:g} s after the row before"
        )
        raise problem(expected, row=int(table.rows[soon[0] + 1]), column=column)


def _no_long_gap(steps_s: Numbers, gaps: Rows, rows: Rows, description: LogDescription) -> None:
    """Refuse a log of which a long piece is missing."""
    for place in gaps:
        days = steps_s[place] / 86_400
        if days > LONGEST_GAP_DAYS:
            expected = (
                f"no gap longer than {LONGEST_GAP_DAYS:g} days; nothing was logged for "
                f"{days:.1f} days after row {rows[place]} (give the longer piece alone)"
            )
            raise problem(expected, row=int(rows[place + 1]), column=description.time_column)


def _with_generation(table: _Table, description: LogDescription) -> tuple[Numbers, ...]:
    """Return the value columns, with what the generator delivered added in full to each.

    Of a second source's own log: what it delivered.
    """
    columns = tuple(description.value_columns.values())
    if OUTPUT in description.value_columns:
        return (_delivered(columns[0], table.values[0], table.rows),)
    if description.generation_column is None:
        for column, values in zip(columns, table.values, strict=True):
            hint = "; a negative one is fed back or a transformer the wrong way round"
            _not_negative(column, values, table.rows, 0.0, hint)
        return table.values
    *net, generated = table.values
    name = description.generation_column
    added = _delivered(name, generated, table.rows)
    gross = tuple(one + added for one in net)
    for column, values in zip(columns, gross, strict=True):
        hint = f" together with {name}; clocks or signs of the two meters differ"
        below = _NEGATIVE_SHARE * float(np.nanmax(generated, initial=0.0))
        _not_negative(column, values, table.rows, below, hint)
    return gross


def _delivered(column: str, generated: Numbers, rows: Rows) -> Numbers:
    """Return what a generator delivered: nothing where its meter shows a little below zero."""
    largest = float(np.nanmax(generated, initial=0.0))
    _not_negative(column, generated, rows, _NEGATIVE_SHARE * largest, " of what is generated")
    return np.maximum(generated, 0.0)


def _not_negative(column: str, values: Numbers, rows: Rows, below: float, hint: str) -> None:
    wrong = np.flatnonzero(values < -below)
    if wrong.size:
        shown, row = float(values[wrong[0]]), int(rows[wrong[0]])
        expected = f"a figure not below zero{hint}"
        raise problem(expected, row=row, column=column, value=shown)


def _plausible(
    name: str, column: str, values: Numbers, rows: Rows, description: LogDescription
) -> None:
    bound = LARGEST_VALUE[description.unit]
    place = int(np.nanargmax(values))
    if values[place] > bound:
        expected = f"at most {bound:g} {description.unit} on {name}; is the unit another one?"
        shown = float(values[place])
        raise problem(expected, row=int(rows[place]), column=column, value=shown)


def _logged(
    name: str, values: Numbers, time_ms: NDArray[np.int64], description: LogDescription
) -> LoggedValues:
    place = int(np.argmax(values))
    return LoggedValues(
        name=name,
        maximum=float(values[place]),
        maximum_at=_moment(time_ms[place], description),
        mean=float(np.mean(values)),
        lowest=float(np.min(values)),
    )


def _moment(time_ms: np.int64 | int, description: LogDescription) -> dt.datetime:
    moment = dt.datetime.fromtimestamp(int(time_ms) / 1000, tz=dt.UTC)
    return moment.astimezone(zone_of(description.time_zone))
