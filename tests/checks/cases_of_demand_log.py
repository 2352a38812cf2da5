"""Cases of the measured log: what it covers against a year, and what it may hide."""

from __future__ import annotations

from feasibility.result import Outcome

from ..demand_log.logs import made_up
from .case import About
from .sites import Changes

HALL = "market-hall"
LOG = "board[0].demand.log"
NEC = "NFPA 70:2023, 220.87: maximum demand data of one year; two weeks of gaps are our own rule"

COVERS = About(check="demand-log", site=HALL, breach=Outcome.CAUTION)


def log_of(days: float) -> Changes:
    return {f"{LOG}.file": made_up(f"covers-{days:g}-days.csv", days=days)}


CASES = (
    *COVERS.around("days covered", log_of(353.5), log_of(346.5), NEC, 350),
    COVERS.unknown(
        "board[1].demand.log.generation_behind_meter",
        {f"{LOG}.generation_behind_meter": "unknown"},
    ),
    COVERS.unknown(
        "board[1].demand.log.generation_behind_meter",
        {f"{LOG}.generation_behind_meter": "storage"},
    ),
    COVERS.unknown(
        "board[1].demand.log.generation_column",
        {f"{LOG}.generation_behind_meter": "photovoltaic"},
    ),
)
