"""Sites for the study of a year: the shipped market hall with a log that a test makes up."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import numpy as np

from feasibility.assessment import Assessment
from feasibility.demand_log.quarters import QuarterHours
from feasibility.demand_log.record import Unit
from feasibility.units import FloatArray
from feasibility.year.record import YearStudy

from ..checks.sites import Changes, quick
from ..demand_log.logs import made_up

HALL = "market-hall"
LOG = "board[0].demand.log"
START = dt.datetime(2025, 1, 1, tzinfo=dt.UTC)
FACTOR = 1.25
"""NFPA 70:2023, 220.87: what the maxima of a year of quarter-hour means are multiplied by."""

PHASES = ("L1", "L2", "L3")


def log_of(
    file: str,
    figures: FloatArray,
    *,
    unit: Unit = "A",
    start: dt.datetime = START,
    days: float | None = None,
    place: str = LOG,
) -> Changes:
    """Return the changes after which a board's log has these figures: quarter-hour, phase.

    ``days`` is what it claims to cover, so that a test of one day need not count as a short log.
    """
    columns = {name: figures[:, number] for number, name in enumerate(PHASES)}
    maxima = {name: float(np.nanmax(column)) for name, column in columns.items()}
    made_up(
        file,
        days=days or 366.0,
        maxima=maxima,
        unit=unit,
        start=start,
        quarter_hours=quarters_of(columns, start),
    )
    return {f"{place}.file": file, f"{place}.unit": unit}


def quarters_of(columns: Mapping[str, FloatArray], start: dt.datetime) -> QuarterHours:
    """Return figures as a log keeps them."""
    first_ms = round(start.timestamp() * 1000)
    return QuarterHours(first_ms=first_ms, largest=dict(columns), years_laid_over=1)


def study_of(*changes: Changes, name: str = HALL) -> YearStudy:
    """Assess a changed site without the second solver and return its study."""
    return assessed(*changes, name=name)[1]


def assessed(*changes: Changes, name: str = HALL) -> tuple[Assessment, YearStudy]:
    """Return the assessment of a changed site, and the study in it."""
    assessment = quick(name, *changes)
    assert assessment.year is not None
    return assessment, assessment.year
