"""Cases of the measured log: what it covers against a year, and what it may hide."""

from __future__ import annotations

from feasibility.demand_log.record import Unit
from feasibility.result import Outcome

from ..demand_log.logs import made_up
from .case import About
from .sites import Changes

HALL = "market-hall"
LOG = "board[0].demand.log"
NEC = "NFPA 70:2023, 220.87: maximum demand data of one year; two weeks of gaps are our own rule"

COVERS = About(check="demand-log", site=HALL, breach=Outcome.CAUTION)


PROFILE = (
    "VDEW M-32/99: every profile is made for 1000 kWh a year of 365 or 366 days, so a whole year "
    "holds the meter's energy whatever the profile; 90 % is our own rule"
)
ENERGY = About(
    check="demand-log-energy",
    site=HALL,
    breach=Outcome.CAUTION,
    lacking_facts=Outcome.CAUTION,
)


def year_of(kwh: object, unit: Unit = "kW") -> Changes:
    """A log of 2025, 5, 4 and 3 on average: 8760 h x 12 kW = 105 120 kWh.

    In amperes at 400 V and the hall's power factor: 8760 h x 12 A x 230.94 V x 0.92 = 22 335 kWh.
    """
    maxima = {"L1": 10.0, "L2": 8.0, "L3": 6.0}
    return {
        f"{LOG}.file": made_up(f"2025-in-{unit}.csv", days=365, maxima=maxima, unit=unit),
        f"{LOG}.unit": unit,
        "board[0].demand.annual_energy_kwh": kwh,
        "board[0].demand.load_profile": "G0",
    }


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
    *ENERGY.around(
        "energy of the logged time",
        year_of(0.99 * 105_120 / 0.9),
        year_of(1.01 * 105_120 / 0.9),
        PROFILE,
        90,
    ),
    *ENERGY.around(
        "energy of a log in amperes",
        year_of(0.99 * 22_335 / 0.9, "A"),
        year_of(1.01 * 22_335 / 0.9, "A"),
        PROFILE,
        90,
    ),
    ENERGY.unknown("board[1].demand.annual_energy_kwh", year_of("unknown")),
    COVERS.unknown(
        "board[1].demand.log.generation_column",
        {f"{LOG}.generation_behind_meter": "photovoltaic"},
    ),
)
