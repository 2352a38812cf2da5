"""A measured log as the existing demand: what counts of it, and what keeps it from counting."""

from __future__ import annotations

import itertools

import pytest
from demandlib.bdew import ElecSlp
from hypothesis import given, settings
from hypothesis import strategies as st

from feasibility.code_basis import code_basis
from feasibility.demand_log.record import Unit
from feasibility.installation.build import build_installation
from feasibility.installation.model import DemandAt
from feasibility.result import Outcome, Verdict
from feasibility.survey.consistency import inconsistencies

from ..demand_log.logs import logs_of, made_up
from .cases_of_demand_log import HALL, LOG
from .sites import (
    GONE,
    Changes,
    changed,
    found,
    merged,
    pick,
    quick,
    site,
    site_data,
    step_result,
)

BASIS = code_basis("iec-60364")
BY_PHASE = {"L1": 16.0, "L2": 14.0, "L3": 15.0}

# NFPA 70:2023, 220.87: 125 % of the largest quarter-hour mean, data of a year or of 30 days.
PUBLISHED_FACTOR, PUBLISHED_DAYS = 1.25, 30


def demand(*changes: Changes) -> DemandAt:
    survey = site(HALL, *changes)
    (one,) = build_installation(survey, logs_of(survey)).demands
    return one


def with_log(file: str, **changes: object) -> Changes:
    return {f"{LOG}.file": file} | {f"{LOG}.{key}": value for key, value in changes.items()}


def counted(*changes: Changes) -> list[float]:
    facts = demand(*changes).phase_a
    assert facts is not None
    return [fact.options[0] for fact in facts]


def test_a_year_of_quarter_hours_counts_as_published() -> None:
    year = with_log(made_up("year.csv", days=360))
    assert counted(year) == [PUBLISHED_FACTOR * one for one in BY_PHASE.values()]
    finding = found("demand-log", "Main board'", HALL, year)
    assert finding.outcome is Outcome.PASS
    assert step_result(finding, "IL1") == pytest.approx(20.0)
    assert any(one.source == "NFPA70:2023" for one in finding.sources)


def test_thirty_days_are_not_short_but_have_not_seen_every_season() -> None:
    season = BASIS.number("log_unseen_season_factor")
    enough = with_log(made_up("30.csv", days=PUBLISHED_DAYS, seasons=1))
    assert counted(enough)[0] == pytest.approx(16 * PUBLISHED_FACTOR * season)
    short = with_log(made_up("29.csv", days=PUBLISHED_DAYS - 1, seasons=1))
    factor = BASIS.number("log_short_factor")
    assert counted(short)[0] == pytest.approx(16 * PUBLISHED_FACTOR * season * factor)


def test_less_counts_for_more() -> None:
    """Fewer days or longer means never lower what counts of the same maxima."""
    days = [360, 349, 31, 29, 8, 6, 1.01]
    by_days = [counted(with_log(made_up(f"{d}.csv", days=d, seasons=1)))[0] for d in days]
    assert all(a <= b for a, b in itertools.pairwise(by_days))
    intervals = [1, 60, 61, 300, 301, 900, 901, 1800, 1801, 3600]
    by_interval = [
        counted(with_log(made_up(f"i{i}.csv", days=360, interval_s=i)))[0] for i in intervals
    ]
    assert all(a <= b for a, b in itertools.pairwise(by_interval))
    assert by_interval[1] == 16.0
    assert by_interval[2] > 16.0


def test_maxima_of_the_interval_need_no_factor_for_what_a_mean_hides() -> None:
    assert counted(with_log(made_up("max.csv", days=360), each_sample="maximum"))[0] == 16.0
    unknown = with_log(made_up("max.csv", days=360), each_sample="unknown")
    assert counted(unknown)[0] == 16.0 * PUBLISHED_FACTOR


def test_the_origin_names_file_and_days() -> None:
    facts = demand().phase_a
    assert facts is not None
    expected = "measured log market-hall-demand.csv from 2026-03-02 to 2026-04-06"
    assert facts[0].origin == expected
    assert facts[0].path == f"{LOG.replace('[0]', '[1]')}.l1_column"


LACKING: dict[str, tuple[Changes, str]] = {
    "unknown generation": ({f"{LOG}.generation_behind_meter": "unknown"}, "generation_behind"),
    "nobody asked": ({f"{LOG}.generation_behind_meter": GONE}, "generation_behind"),
    "storage": ({f"{LOG}.generation_behind_meter": "storage"}, "generation_behind"),
    "photovoltaic": ({f"{LOG}.generation_behind_meter": "photovoltaic"}, "generation_column"),
    "hours only": (with_log(made_up("hours.csv", days=0.99)), "file"),
    "a phase without a column": (
        with_log(made_up("two.csv", days=360, maxima={"L1": 16.0, "L2": 14.0}), l3_column=GONE),
        "l3_column",
    ),
    "a phase that never moves": (
        with_log(made_up("flat.csv", days=360, maxima=BY_PHASE | {"L2": 0.0})),
        "l2_column",
    ),
}


@pytest.mark.parametrize("name", LACKING)
def test_what_a_log_may_hide_leaves_the_demand_open(name: str) -> None:
    changes, fact = LACKING[name]
    result = quick(HALL, changes)
    assert result.verdict is Verdict.UNDECIDED
    named = {one.fact for one in result.open_facts}
    assert any(one.startswith(f"board[1].demand.log.{fact}") for one in named)
    assert pick(result, "device-rating", "service device").outcome is Outcome.OPEN


def test_generation_that_was_added_back_lets_a_log_count() -> None:
    file = made_up("pv.csv", days=360, generation_added=True)
    changes = with_log(file, generation_behind_meter="photovoltaic", generation_column="PV")
    assert counted(changes) == [PUBLISHED_FACTOR * one for one in BY_PHASE.values()]


ROOF = {
    "board[0].other_sources_none": GONE,
    "board[0].source": [
        {
            "name": "roof",
            "kind": "photovoltaic",
            "rated_current_a": 10,
            "phases": "L1L2L3",
            "changeover": False,
            "islanding": False,
        }
    ],
}


def test_a_log_with_the_generation_added_back_hides_nothing_of_a_listed_source() -> None:
    file = made_up("roof.csv", days=360, generation_added=True)
    known = with_log(file, generation_behind_meter="photovoltaic", generation_column="PV")
    name = "demand-without-generation"
    assert found(name, "board 'Main board'", HALL, ROOF, known).outcome is Outcome.PASS
    hidden = with_log(made_up("net.csv", days=360), generation_behind_meter="photovoltaic")
    finding = found(name, "board 'Main board'", HALL, ROOF, hidden)
    assert finding.outcome is Outcome.OPEN
    assert finding.facts == ("board[1].demand.log.generation_column",)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({f"{LOG}.generation_behind_meter": "none"}, "generation_behind_meter"),
        (
            {
                f"{LOG}.generation_behind_meter": "photovoltaic",
                "board[0].source[0].kind": "battery",
            },
            "generation_behind_meter",
        ),
        (
            {
                f"{LOG}.generation_behind_meter": "photovoltaic",
                "board[0].demand.net_of_generation": False,
            },
            "net_of_generation",
        ),
    ],
)
def test_a_log_that_contradicts_the_listed_sources_is_refused(changes: Changes, field: str) -> None:
    data = changed(site_data(HALL), merged(ROOF, changes))
    (mistake,) = inconsistencies(data)
    assert mistake.path[-1] == field


@pytest.mark.parametrize("place", ["circuit[0]", "circuit[1]", "supply"])
def test_only_a_source_behind_the_place_of_the_log_contradicts_it(place: str) -> None:
    """The main cable ends at the board and the outlet's circuit starts there."""
    source = ROOF["board[0].source"]
    changes = {f"{place}.source": source, "supply.other_sources_none": GONE}
    found_there = inconsistencies(changed(site_data(HALL), changes))
    contradicted = "generation_behind_meter" in [one.path[-1] for one in found_there]
    assert contradicted == (place == "circuit[1]")


def test_a_log_that_was_not_handed_over_leaves_the_demand_open() -> None:
    (one,) = build_installation(site(HALL)).demands
    assert one.phase_a is not None
    assert [fact.path for fact in one.phase_a] == ["board[1].demand.log.file"] * 3


def in_kilowatts(**maxima: float) -> Changes:
    file = made_up(f"kw{maxima}.csv", days=360, unit="kW", maxima=maxima)
    columns = {f"{name.lower()}_column": name for name in maxima}
    left_out = {
        name: GONE for name in ("l1_column", "l2_column", "l3_column") if name not in columns
    }
    return with_log(file, unit="kW", **columns, **left_out)


def test_kilowatts_per_phase_count_at_the_power_factor_and_the_voltage_there() -> None:
    """By hand: 3 kW on L1, times 1.25, at 230.9 V less what is allowed and a factor of 0.92."""
    changes = {**in_kilowatts(L1=3.0, L2=2.0, L3=1.0), "supply.tolerance_low_percent": 0}
    facts = demand(changes).phase_kw
    assert facts is not None
    assert [fact.options[0] for fact in facts] == pytest.approx([3.75, 2.5, 1.25])
    finding = found("device-rating", "service device", HALL, changes)
    by_hand = 24.48 + 3750 / 230.94 / 0.92
    assert finding.value == pytest.approx(by_hand, rel=0.02)
    log = found("demand-log", "", HALL, changes)
    assert step_result(log, "PL1") == pytest.approx(3.75)


def test_a_total_may_hang_on_one_phase_and_decides_where_that_matters() -> None:
    """24 kW in all are 38 A in each of three phases or 113 A in one, at cos phi 0.92."""
    small, large = quick(HALL, in_kilowatts(total=3.0)), quick(HALL, in_kilowatts(total=12.0))
    assert small.verdict is Verdict.CARRIES
    assert large.verdict is Verdict.UNDECIDED
    assert "board[1].demand.log.total_column" in {one.fact for one in large.assumptions}
    assert any("demand" in one.label for one in large.open_facts)


@settings(max_examples=25, deadline=None)
@given(
    maxima=st.tuples(*[st.floats(0.1, 25)] * 3),
    place=st.integers(0, 2),
    more=st.floats(0, 60),
    days=st.floats(1, 400),
)
def test_a_higher_sample_never_lowers_what_flows(
    maxima: tuple[float, float, float], place: int, more: float, days: float
) -> None:
    def logged(values: tuple[float, ...]) -> Changes:
        file = made_up("a.csv", days=days, maxima=dict(zip(BY_PHASE, values, strict=True)))
        return with_log(file)

    def flowing(values: tuple[float, ...]) -> float:
        value = found("device-rating", "service device", HALL, logged(values)).value
        assert value is not None
        return value

    higher = tuple(one + more * (n == place) for n, one in enumerate(maxima))
    pairs = zip(counted(logged(maxima)), counted(logged(higher)), strict=True)
    assert all(after >= before for before, after in pairs)
    # More on one phase turns the voltages of the others by a hair.
    assert flowing(higher) >= flowing(maxima) * (1 - 1e-4)


def test_the_shipped_site_carries_with_a_caution_that_names_the_factors() -> None:
    result = quick(HALL)
    assert result.verdict is Verdict.CARRIES
    finding = pick(result, "demand-log")
    assert finding.outcome is Outcome.CAUTION
    assert step_result(finding, "IL1") == pytest.approx(16.9 * 1.25 * 1.5)
    (evidence,) = result.demand_logs
    assert evidence.factor == pytest.approx(1.25 * 1.5)
    assert evidence.counted["L1"] == pytest.approx(16.9 * 1.25 * 1.5)


def test_a_site_without_a_log_is_not_asked() -> None:
    result = quick("bakery-yard")
    assert "demand-log" not in {one.check for one in result.findings}
    assert result.demand_logs == ()


def test_half_a_year_is_held_to_the_part_that_the_profile_puts_there() -> None:
    """G0 from 1 January to 30 June 2025 by demandlib itself; the log drew 12 kW on average."""
    hours = 181 * 24
    series = ElecSlp(2025).get_profiles()["g0"]
    part = float(series[: hours * 4].sum() / series.sum())
    file = made_up(
        "half-of-2025.csv", days=181, unit="kW", maxima={"L1": 10.0, "L2": 8.0, "L3": 6.0}
    )
    usual = {
        **with_log(file, unit="kW", time_zone="+00:00"),
        "board[0].demand.annual_energy_kwh": 12 * hours / part,
        "board[0].demand.load_profile": "G0",
    }
    finding = found("demand-log-energy", "", HALL, usual)
    assert finding.value == pytest.approx(100, rel=1e-9)
    assert 0.4 < part < 0.6
    lacking = {f"{LOG}.generation_behind_meter": "unknown"}
    finding = found("demand-log-energy", "", HALL, usual, lacking)
    assert finding.outcome is Outcome.CAUTION
    assert finding.facts == ("board[1].demand.log.generation_behind_meter",)


def test_a_power_factor_within_bounds_leaves_the_drawn_energy_at_its_greatest() -> None:
    """8760 h x 12 A x 230.94 V = 24 277 kWh: a quiet time is only called so if it was one."""
    file = made_up(
        "bounds-of-power-factor.csv", days=365, maxima={"L1": 10.0, "L2": 8.0, "L3": 6.0}
    )
    changes = {
        **with_log(file),
        "board[0].demand.power_factor": {"low": 0.8, "high": 0.95},
        "board[0].demand.annual_energy_kwh": 24_277,
        "board[0].demand.load_profile": "G0",
    }
    assert found("demand-log-energy", "", HALL, changes).value == pytest.approx(100, abs=0.01)


@pytest.mark.parametrize(
    ("unit", "maxima", "most_kwh"),
    [
        # 1.25 x 24 A of up to 440 V over the square root of 3 for 8784 h (by hand).
        ("A", {"L1": 10.0, "L2": 8.0, "L3": 6.0}, 66_944),
        ("kW", {"L1": 3.0, "L2": 1.0, "L3": 1.0}, 54_900),
        ("kW", {"total": 4.0}, 43_920),
    ],
)
def test_a_log_that_leaves_less_than_the_meter_counts_is_no_evidence(
    unit: Unit, maxima: dict[str, float], most_kwh: float
) -> None:
    """A mean is never above its maximum, whatever the load profile says of the logged time."""
    file = made_up(f"quiet-{unit}-{len(maxima)}.csv", days=365, maxima=maxima, unit=unit)
    stated: dict[str, object] = {**with_log(file, unit=unit), "board[0].demand.load_profile": "G0"}
    if "total" in maxima:
        stated |= {f"{LOG}.l{number}_column": GONE for number in (1, 2, 3)}
        stated[f"{LOG}.total_column"] = "total"
    energy = "board[0].demand.annual_energy_kwh"
    usual = found("demand-log", "", HALL, stated, {energy: 0.999 * most_kwh})
    assert usual.outcome is Outcome.PASS
    more = {energy: {"low": 0.9 * most_kwh, "high": 1.001 * most_kwh}}
    for check in ("demand-log", "contracted-capacity"):
        finding = found(check, "", HALL, stated, more)
        assert finding.outcome is Outcome.OPEN
        assert finding.facts == ("board[1].demand.log.file",)
