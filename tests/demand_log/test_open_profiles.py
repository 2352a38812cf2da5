"""A year of quarter-hours of real customers, from open data, through the reader of logs.

SimBench, version 1.6.3 (Open Database License 1.0): load profiles of 2016 in shares of their
largest value, after measurements at German customers; the clock follows daylight saving. H0 are
single households, G0 to G6 trade, L1 a farm; behind the dash single customers of that kind.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from importlib.util import find_spec
from pathlib import Path
from typing import NamedTuple
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from feasibility.code_basis import code_basis
from feasibility.demand_evidence import demand_evidence
from feasibility.installation.build import build_installation
from feasibility.load_profile.profiles import profile_kw
from feasibility.load_profile.record import ProfileName
from feasibility.units import FloatArray

from ..checks.cases_of_demand_log import HALL, LOG
from ..checks.sites import found, site
from .files import read
from .logs import MADE_UP, logs_of

BERLIN = ZoneInfo("Europe/Berlin")
HOUSEHOLDS = ("H0-A", "H0-B", "H0-C")
TRADES: dict[str, ProfileName] = {
    "G0-A": "G0",
    "G1-A": "G1",
    "G4-A": "G4",
    "G5-A": "G5",
    "L1-A": "L1",
}
RATED_A = 25.0
DAY = 96


class Year(NamedTuple):
    """Times as printed, and each customer's quarter-hours as shares of the largest."""

    times: list[str]
    shares: dict[str, FloatArray]


@pytest.fixture(scope="module")
def year() -> Year:
    spec = find_spec("simbench")
    assert spec is not None, "the package simbench is part of the extra 'dev'"
    assert spec.origin is not None
    folder = Path(spec.origin).parent / "networks" / "1-complete_data-mixed-all-0-sw"
    with (folder / "LoadProfile.csv").open(encoding="utf-8") as file:
        headings = file.readline().rstrip("\n").split(";")
        places = {name: headings.index(f"{name}_pload") for name in (*HOUSEHOLDS, *TRADES)}
        last = max(places.values()) + 1
        rows = [line.split(";", last) for line in file]
    return Year(
        times=[row[0] for row in rows],
        shares={
            name: np.array([float(row[place]) for row in rows]) for name, place in places.items()
        },
    )


def log_file(year: Year, names: Sequence[str], lost: range = range(0)) -> str:
    """What a logger with decimal commas would have written in the customers' mains, of 25 A."""
    figures = np.column_stack([year.shares[name] * RATED_A for name in names])
    lines = [
        ";".join([time, *(f"{one:.4f}".replace(".", ",") for one in row)])
        for number, (time, row) in enumerate(zip(year.times, figures, strict=True))
        if number not in lost
    ]
    return "\n".join(["time;L1;L2;L3", *lines]) + "\n"


def printed(moment: dt.datetime) -> str:
    return f"{moment.astimezone(BERLIN):%d.%m.%Y %H:%M}"


def test_a_year_of_three_households(year: Year, tmp_path: Path) -> None:
    log = read(tmp_path, log_file(year, HOUSEHOLDS), time_zone="Europe/Berlin")
    # 2016 was a leap year: 366 days of 96 quarter-hours, 91 of them in winter.
    assert (log.samples, log.gap_count, log.covered_days) == (366 * DAY, 0, 366)
    assert log.season_days == pytest.approx((91, 92, 92, 91), abs=0.1)
    assert (printed(log.start), printed(log.end)) == ("01.01.2016 00:00", "31.12.2016 23:45")
    for values, name in zip(log.values, HOUSEHOLDS, strict=True):
        shares = year.shares[name]
        assert values.maximum == RATED_A
        assert printed(values.maximum_at) == year.times[int(np.argmax(shares))]
        assert values.mean == pytest.approx(RATED_A * shares.mean(), abs=1e-4)
        assert values.lowest == pytest.approx(RATED_A * shares.min(), abs=1e-4)


def test_the_logger_unplugged_for_five_hours_at_the_peak(year: Year, tmp_path: Path) -> None:
    shares = year.shares["H0-A"]
    peak = int(np.argmax(shares))
    lost = range(peak - 10, peak + 10)
    log = read(tmp_path, log_file(year, HOUSEHOLDS, lost), time_zone="Europe/Berlin")
    assert (log.samples, log.gap_count) == (366 * DAY - 20, 1)
    assert log.gaps_total_h == log.longest_gap_h == 5
    first = log.of("L1")
    assert first is not None
    assert first.maximum == pytest.approx(RATED_A * np.delete(shares, lost).max(), abs=1e-4)
    assert first.maximum < RATED_A


def test_evidence_of_a_whole_year(year: Year, tmp_path: Path) -> None:
    # A year needs no factor but that for the peaks in a quarter-hour: NFPA 70:2023, 220.87, 125 %.
    log = read(tmp_path, log_file(year, HOUSEHOLDS), time_zone="Europe/Berlin")
    MADE_UP["year-of-households.csv"] = log
    change = {f"{LOG}.file": "year-of-households.csv"}
    survey = site(HALL, change)
    (evidence,) = demand_evidence(build_installation(survey, logs_of(survey)))
    assert (evidence.lacking, evidence.factor) == ("", 1.25)
    assert evidence.counted == dict.fromkeys(("L1", "L2", "L3"), 1.25 * RATED_A)
    assert found("demand-log", "Main board'", HALL, change).outcome == "pass"


@pytest.mark.parametrize(("name", "least"), [("H0-A", 3.0), ("H0-B", 4.5), ("H0-C", 3.5)])
def test_a_standard_profile_is_no_evidence_of_a_household_s_peak(
    year: Year, name: str, least: float
) -> None:
    # The standard profile of the same kind and energy (VDEW M-32/99) stays far below the customer.
    assert peak_over_standard_profile(year, name, "H0") > least


@pytest.mark.parametrize(("name", "kind"), TRADES.items())
def test_a_standard_profile_is_no_evidence_of_a_trade_s_peak(
    year: Year, name: str, kind: ProfileName
) -> None:
    assert peak_over_standard_profile(year, name, kind) > 1.35


def peak_over_standard_profile(year: Year, name: str, kind: ProfileName) -> float:
    shares = year.shares[name]
    return float(shares.max() / profile_kw(kind, shares.sum() / 4, 2016).max())


@pytest.mark.parametrize("name", ["G0-A", "G1-A", "G4-A", "G5-A"])
def test_factors_of_a_log_of_thirty_days(year: Year, name: str) -> None:
    # Whichever 30 days of the year were logged: times the factors for what a mean hides and for
    # unseen seasons (in whose place NFPA 70:2023, 220.87, has 125 % alone) the largest
    # quarter-hour of the year is met, for which 1.25 alone would not suffice. It does not hold for
    # single households, nor for a farm.
    basis = code_basis("iec-60364")
    peak_factor = basis.number("log_peak_factor_up_to_900_s")
    factor = peak_factor * basis.number("log_unseen_season_factor")
    days = year.shares[name].reshape(-1, DAY).max(axis=1)
    months = np.lib.stride_tricks.sliding_window_view(days, 30).max(axis=1)
    assert np.all(factor * months >= days.max())
    assert not np.all(peak_factor * months >= days.max())
