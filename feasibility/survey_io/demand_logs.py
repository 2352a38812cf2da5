"""Read the logs that a survey names, and put what is wrong in them among its problems."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from pydantic import ValidationError

from feasibility.demand_log.record import (
    OUTPUT,
    PHASES,
    TOTAL,
    DemandLog,
    LogDescription,
    LoggedValues,
    LogProblem,
    LogProblems,
)
from feasibility.survey.changes import written
from feasibility.survey.log_consistency import described_logs, log_inconsistencies
from feasibility.survey.measured_log import LogFile, MeasuredLog, OutputLog
from feasibility.survey.model import ORIGIN
from feasibility.survey.plain_data import KeyPath, Table, number, table, text
from feasibility.survey.source_consistency import described_outputs, source_inconsistencies
from feasibility.survey_io.problems import Problem, field_text, printable, value_text

if TYPE_CHECKING:
    from feasibility.survey.model import Survey
    from feasibility.survey_io.line_index import LineIndex

LogReader = Callable[[Path, LogDescription], DemandLog]
"""Reads a log that is laid out as described; raises LogProblems and nothing else."""

LONG_INTERVAL_S = 900.0
LARGEST_SHARE_LONG, LARGEST_SHARE = 1.6, 10.0
"""What a log may show as a multiple of the smallest device before it (our own rule): a quarter of
an hour at the conventional current of a fuse, or a start between two shorter samples. Beyond it the
unit or the place of the log is another one."""


_ALL_PHASES = "L1L2L3"
OUTPUT_MARGIN = 1.1
"""What a source may show as a multiple of its rating (our own rule): makers' tolerances, and a
voltage or an instrument that is off. Beyond it the unit, the column or the source is another."""


@dataclass(slots=True)
class ReadLogs:
    """The logs by their place in the survey (``board[1].demand.log``), and their problems."""

    logs: dict[str, DemandLog] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Named:
    """A log that a survey names: where, its table, what describes it, and what it has to obey."""

    path: KeyPath
    table: Table
    record: type[LogFile]
    obeys: Callable[[DemandLog, LogFile], None]


def read_logs(
    data: Mapping[str, object],
    survey: Survey | None,
    folder: Path,
    index: LineIndex,
    reader: LogReader | None = None,
) -> ReadLogs:
    """Read every log that is described without mistakes, relative to the survey's folder.

    ``survey`` is None where other parts of the survey are wrong: then figures are not compared
    with the ratings of the devices before the board. ``reader`` may remember what it read; by
    default every log is read.
    """
    read = ReadLogs()
    named = list(_named(data, survey))
    if not named:
        return read
    read_one = reader or _reader()
    mistakes = (*log_inconsistencies(data), *source_inconsistencies(data))
    for one in named:
        if any(mistake.path[: len(one.path)] == one.path for mistake in mistakes):
            continue
        try:
            described = one.record.model_validate(dict(one.table))
        except ValidationError:
            continue  # listed among the mistakes of the survey itself
        try:
            log = read_one(folder / described.file, description_of(described))
            one.obeys(log, described)
        except LogProblems as found:
            read.problems.extend(_listed(found, one.path, described.file, index))
        else:
            read.logs[written(one.path)] = log
    return read


def _named(data: Mapping[str, object], survey: Survey | None) -> Iterator[_Named]:
    for path, place, log in described_logs(data):
        before = partial(_within_devices, place=place, survey=survey)
        yield _Named(path, log, MeasuredLog, before)
    nominal_v = number(table(data, "supply"), "nominal_voltage_v")
    for path, source, output in described_outputs(data):
        rated = partial(_within_rating, source=source, nominal_v=nominal_v)
        yield _Named(path, output, OutputLog, rated)


def _reader() -> LogReader:
    """Return the reader itself; only a survey with a log waits for the library behind it."""
    from feasibility.demand_log.reading import read_demand_log  # noqa: PLC0415

    return read_demand_log


def description_of(log: LogFile) -> LogDescription:
    """Return what the reader has to know of the file."""
    return LogDescription(
        unit=log.unit,
        time_column=log.time_column,
        value_columns={name: column for name, column in _columns(log) if column is not None},
        time_zone=log.time_zone,
        interval_s=log.interval_s,
        generation_column=log.generation_column if isinstance(log, MeasuredLog) else None,
        date_order=log.date_order,
        sheet=log.sheet,
    )


def _columns(log: LogFile) -> Iterator[tuple[str, str | None]]:
    if isinstance(log, OutputLog):
        yield OUTPUT, log.output_column
    if isinstance(log, MeasuredLog):
        columns = (log.l1_column, log.l2_column, log.l3_column, log.total_column)
        yield from zip((*PHASES, TOTAL), columns, strict=True)


def _within_rating(
    log: DemandLog, described: LogFile, *, source: Table, nominal_v: float | None
) -> None:
    """Refuse an output that the source cannot deliver by its rating, where that is known."""
    (values,) = log.values
    rated = _rating_in(log.unit, source, nominal_v)
    if rated is not None and values.maximum > OUTPUT_MARGIN * rated:
        shown = f"{values.maximum:g} {log.unit} at {values.maximum_at.isoformat(' ')}"
        expected = (
            f"at most {OUTPUT_MARGIN * rated:.4g} {log.unit}, a tenth above the rating of the "
            "source; is the unit, the column or the source another one?"
        )
        column = description_of(described).value_columns[OUTPUT]
        raise LogProblems([LogProblem(expected=expected, column=column, value=shown)])


def _rating_in(unit: str, source: Table, nominal_v: float | None) -> float | None:
    """Return the rating of a source in the unit of its log: as stated, else by the other one."""
    rated_a, rated_kw = number(source, "rated_current_a"), number(source, "rated_power_kw")
    stated, other = (rated_a, rated_kw) if unit == "A" else (rated_kw, rated_a)
    phases = text(source, "phases")
    if stated is not None or other is None or phases is None or nominal_v is None:
        return stated
    kw_of_each_a = (3 if phases == _ALL_PHASES else 1) * nominal_v / math.sqrt(3) / 1000
    return other / kw_of_each_a if unit == "A" else other * kw_of_each_a


def _within_devices(
    log: DemandLog, described: LogFile, *, place: str, survey: Survey | None
) -> None:
    """Refuse figures that the devices before the board would not have let through."""
    ratings_a = [] if survey is None else list(_ratings_before(survey, place))
    nominal = None if survey is None else survey.supply.nominal_voltage_v
    if not ratings_a:
        return
    share = LARGEST_SHARE_LONG if log.interval_s >= LONG_INTERVAL_S else LARGEST_SHARE
    bound_a = share * min(ratings_a)
    for values in log.values:
        current_a = _least_current_a(values, log, None if nominal is None else nominal.value)
        if current_a is not None and current_a > bound_a:
            shown = f"{values.maximum:g} {log.unit} at {values.maximum_at.isoformat(' ')}"
            expected = (
                f"a maximum that the {min(ratings_a):g} A before it would let through, at most "
                f"{bound_a:g} A; is the unit or the place of the log another one?"
            )
            column = description_of(described).value_columns[values.name]
            raise LogProblems([LogProblem(expected=expected, column=column, value=shown)])


def _least_current_a(values: LoggedValues, log: DemandLog, nominal_v: float | None) -> float | None:
    """Return the smallest current that the maximum can mean, in A: at a power factor of 1."""
    if log.unit == "A":
        return values.maximum
    if nominal_v is None:
        return None
    phases = 3 if values.name == TOTAL else 1
    return 1000 * values.maximum / phases / (nominal_v / math.sqrt(3))


def _ratings_before(survey: Survey, place: str) -> Iterator[float]:
    """Yield the known ratings of the devices between the origin and a board."""
    before = {circuit.ends_at: circuit for circuit in survey.circuit}
    devices = [survey.supply.service_device]
    while place != ORIGIN:
        circuit = before[place]
        devices.append(circuit.device)
        place = circuit.starts_at
    for device in devices:
        rating = None if device is None else device.rating_a
        if rating is not None and rating.value is not None:
            yield rating.value


def _listed(found: LogProblems, path: KeyPath, file: str, index: LineIndex) -> Iterator[Problem]:
    line = index.nearest((*path, "file"))
    for one in found.problems:
        where = [f"{field_text((*path, 'file'))} {value_text(file)}"]
        where += [f"row {one.row}"] if one.row is not None else []
        where += [f"column {value_text(one.column)}"] if one.column else []
        shown = "" if one.value is None else value_text(one.value)
        yield Problem(line, None, ", ".join(where), shown, printable(one.expected))
