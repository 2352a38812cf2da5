"""The logs that a test's survey names: those of the shipped sites, or made up for the test."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from functools import cache
from typing import Any

from feasibility.demand_log.reading import read_demand_log
from feasibility.demand_log.record import DemandLog, LogDescription, LoggedValues, Unit
from feasibility.examples import example_path
from feasibility.survey.changes import written
from feasibility.survey.measured_log import MeasuredLog
from feasibility.survey.model import Survey
from feasibility.survey.source_consistency import described_files
from feasibility.survey_io.demand_logs import description_of

MADE_UP: dict[str, DemandLog] = {}
"""Logs by their file name, as a test put them here with ``made_up``."""

_FIRST = dt.datetime(2025, 1, 1, tzinfo=dt.UTC)


def logs_of(survey: Survey) -> Mapping[str, DemandLog]:
    """Return every log that the survey names, by its place in it."""
    found = {}
    for path, table in described_files(survey.model_dump()):
        made = MADE_UP.get(str(table["file"]))
        found[written(path)] = made or _read(
            MeasuredLog.model_validate(dict(table)).model_dump_json()
        )
    return found


@cache
def _read(described: str) -> DemandLog:
    log = MeasuredLog.model_validate_json(described)
    description: LogDescription = description_of(log)
    return read_demand_log(example_path("market-hall").with_name(log.file), description)


def made_up(
    file: str,
    *,
    days: float,
    maxima: Mapping[str, float] | None = None,
    interval_s: float = 900.0,
    unit: Unit = "A",
    seasons: int = 4,
    **changes: Any,
) -> str:
    """Make a log of so many days over so many seasons, and return its file name."""
    samples = round(days * 86_400 / interval_s)
    values = tuple(
        LoggedValues(name=name, maximum=value, maximum_at=_FIRST, mean=value / 2, lowest=0.0)
        for name, value in (maxima or {"L1": 16.0, "L2": 14.0, "L3": 15.0}).items()
    )
    spread = tuple(days / seasons if place < seasons else 0.0 for place in range(4))
    fields: dict[str, Any] = {
        "file": file,
        "sha256": "0" * 64,
        "unit": unit,
        "interval_s": interval_s,
        "start": _FIRST,
        "end": _FIRST + dt.timedelta(days=days),
        "samples": samples,
        "gap_count": 0,
        "longest_gap_s": 0.0,
        "gaps_total_s": 0.0,
        "season_days": spread,
        "values": values,
    }
    MADE_UP[file] = DemandLog(**(fields | changes))
    return file
