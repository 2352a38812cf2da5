"""A site of twelve nodes whose boards each have a log of a year, for the study's ratios."""

from __future__ import annotations

import copy
import datetime as dt
import tomllib
from typing import Any

import numpy as np

from feasibility.demand_log.quarters import QuarterHours
from feasibility.demand_log.record import DemandLog, LoggedValues
from feasibility.examples import example_text
from feasibility.survey.consistency import inconsistencies
from feasibility.survey.model import Survey
from feasibility.units import FloatArray

QUARTERS = 35_040
BOARDS = 10
"""With the origin and the station's terminals twelve nodes; the outlet is where the cord begins."""
START = dt.datetime(2025, 1, 1, tzinfo=dt.UTC)
PHASES = ("L1", "L2", "L3")


def year_site(*, balanced: bool, boards: int = BOARDS, quarters: int = QUARTERS) -> Any:
    """Return survey and logs of a row of boards, each with a demand in kW that changes."""
    data = tomllib.loads(example_text("market-hall"))
    board, main, outlet = data["board"][0], data["circuit"][0], data["circuit"][1]
    del data["cord"]
    data["outlet"] |= {"kind": "fixed connection"}
    names = [f"Board {number}" for number in range(1, boards + 1)]
    data["board"] = [_copy(board, name=name) for name in names]
    for one in data["board"]:
        one["demand"]["log"]["measured_at"] = one["name"]
    ends = ["origin", *names]
    data["circuit"] = [
        _copy(main, name=f"Cable {name}", starts_at=before, ends_at=name)
        for before, name in zip(ends, names, strict=False)
    ]
    data["circuit"].append(_copy(outlet, starts_at=names[-1]))
    assert inconsistencies(data) == []
    logs = {
        f"board[{number}].demand.log": _log(number, balanced=balanced, quarters=quarters)
        for number in range(1, boards + 1)
    }
    return Survey.model_validate(data), logs


def _copy(table: dict[str, Any], **changes: Any) -> dict[str, Any]:
    return copy.deepcopy(table) | changes


def _log(seed: int, *, balanced: bool, quarters: int) -> DemandLog:
    random = np.random.default_rng(seed)
    figures: FloatArray = 0.1 + 0.5 * random.random((quarters, 1 if balanced else 3)) * np.ones(3)
    columns = {name: figures[:, number].copy() for number, name in enumerate(PHASES)}
    days = quarters / 96
    return DemandLog(
        file="log.csv",
        sha256="0" * 64,
        unit="kW",
        interval_s=900,
        start=START,
        end=START + dt.timedelta(days=days),
        samples=quarters,
        gap_count=0,
        longest_gap_s=0,
        gaps_total_s=0,
        season_days=(days / 4,) * 4,
        values=tuple(
            LoggedValues(
                name=name,
                maximum=float(column.max()),
                maximum_at=START,
                mean=float(column.mean()),
                lowest=float(column.min()),
            )
            for name, column in columns.items()
        ),
        quarter_hours=QuarterHours(
            first_ms=round(START.timestamp() * 1000), largest=columns, years_laid_over=1
        ),
    )
