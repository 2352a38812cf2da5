"""Read the logs that a survey names, and put what is wrong in them among its problems."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from pydantic import ValidationError

from feasibility.demand_log.record import (
    PHASES,
    TOTAL,
    DemandLog,
    LogDescription,
    LoggedValues,
    LogProblem,
    LogProblems,
)
from feasibility.survey.log_consistency import described_logs, log_inconsistencies
from feasibility.survey.measured_log import MeasuredLog
from feasibility.survey.model import ORIGIN
from feasibility.survey.plain_data import KeyPath
from feasibility.survey_io.problems import Problem, field_text, printable, value_text

if TYPE_CHECKING:
    from feasibility.survey.model import Survey
    from feasibility.survey_io.line_index import LineIndex

LONG_INTERVAL_S = 900.0
LARGEST_SHARE_LONG, LARGEST_SHARE = 1.6, 10.0
"""What a log may show as a multiple of the smallest device before it (our own rule): a quarter of
an hour at the conventional current of a fuse, or a start between two shorter samples. Beyond it the
unit or the place of the log is another one."""


@dataclass(slots=True)
class ReadLogs:
    """The logs by their place in the survey (``board[1].demand.log``), and their problems."""

    logs: dict[str, DemandLog] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)


def read_logs(
    data: Mapping[str, object], survey: Survey | None, folder: Path, index: LineIndex
) -> ReadLogs:
    """Read every log that is described without mistakes, relative to the survey's folder.

    ``survey`` is None where other parts of the survey are wrong: then figures are not compared
    with the ratings of the devices before the board.
    """
    read = ReadLogs()
    if not any(True for _ in described_logs(data)):
        return read
    # Only a survey with a log waits for the library behind the reader.
    from feasibility.demand_log.reading import read_demand_log  # noqa: PLC0415

    faulty = {mistake.path[: _depth(mistake.path)] for mistake in log_inconsistencies(data)}
    for path, place, log_table in described_logs(data):
        if path in faulty:
            continue
        try:
            described = MeasuredLog.model_validate(dict(log_table))
        except ValidationError:
            continue  # listed among the mistakes of the survey itself
        try:
            log = read_demand_log(folder / described.file, description_of(described))
            _within_devices(log, described, place, survey)
        except LogProblems as found:
            read.problems.extend(_listed(found, path, described.file, index))
        else:
            read.logs[fact_path(path)] = log
    return read


def _depth(path: KeyPath) -> int:
    return path.index("log") + 1 if "log" in path else len(path)


def fact_path(path: KeyPath) -> str:
    """Return a log's place in the survey as facts name it: ``board[1].demand.log``."""
    if path[0] == "board" and isinstance(path[1], int):
        return f"board[{path[1] + 1}].demand.log"
    return "supply.demand.log"


def description_of(log: MeasuredLog) -> LogDescription:
    """Return what the reader has to know of the file."""
    columns = (log.l1_column, log.l2_column, log.l3_column, log.total_column)
    return LogDescription(
        unit=log.unit,
        time_column=log.time_column,
        value_columns={
            name: column
            for name, column in zip((*PHASES, TOTAL), columns, strict=True)
            if column is not None
        },
        time_zone=log.time_zone,
        interval_s=log.interval_s,
        generation_column=log.generation_column,
        date_order=log.date_order,
        sheet=log.sheet,
    )


def _within_devices(
    log: DemandLog, described: MeasuredLog, place: str, survey: Survey | None
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
