"""The study of a year against whole assessments of single moments, and against hand counts."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from feasibility.assessment import Assessment
from feasibility.result import Verdict
from feasibility.units import FloatArray
from feasibility.year.finding import CHECK

from ..checks.sites import GONE, Changes, drawing, merged, pick, quick, site_data, third_harmonic
from ..demand_log.logs import MADE_UP
from .sites import FACTOR, PHASES, START, assessed, log_of, quarters_of, study_of

LONG_MAIN = {"circuit[0].cable[0].length_m": 60}
UNSURE = {"board[0].demand.power_factor": GONE}


def carried(assessment: Assessment) -> float:
    """Return what the checks of the largest figures let through, without the study's own."""
    return min(
        one.carries_a
        for one in assessment.findings
        if one.carries_a is not None and one.force.binds and one.check != CHECK
    )


def random_day(seed: int, top: float, *, balanced: bool) -> FloatArray:
    random = np.random.default_rng(seed)
    return top * random.random((96, 1 if balanced else 3)) * np.ones(3) + 0.1


@settings(max_examples=12, deadline=None)
@given(
    seed=st.integers(0, 10**6),
    in_kw=st.booleans(),
    sure=st.booleans(),
    requested=st.floats(6.0, 60.0),
    top=st.floats(0.05, 1.2),
)
def test_alike_phases_leave_what_the_largest_figures_leave(
    seed: int, in_kw: bool, sure: bool, requested: float, top: float
) -> None:
    """A single log of three equal phases: its largest moment is what the assessment judges."""
    figures = random_day(seed, top * (8.0 if in_kw else 40.0), balanced=True)
    changes = merged(
        log_of("alike.csv", figures, unit="kW" if in_kw else "A"),
        LONG_MAIN,
        drawing(requested),
        {} if sure else UNSURE,
    )
    assessment, study = assessed(changes)
    expected = carried(assessment)
    if study.hours_exceeded == 0:
        assert study.fixed.current_a >= requested
        assert expected >= requested - 1e-5
    else:
        assert study.fixed.current_a == pytest.approx(expected, abs=2e-5)
        assert study.fixed.current_a < requested
    assert study.fixed.setting_a == assessment.current_limit_only_a


@settings(max_examples=10, deadline=None)
@given(seed=st.integers(0, 10**6), requested=st.floats(6.0, 40.0), top=st.floats(5.0, 45.0))
def test_unequal_phases_in_amperes_never_leave_less_than_the_largest_figures(
    seed: int, requested: float, top: float
) -> None:
    """Amperes do not depend on the voltage, so that the maxima of all phases bound every moment."""
    assessment, study = assessed(
        log_of("unequal.csv", random_day(seed, top, balanced=False)), UNSURE, drawing(requested)
    )
    assert study.fixed.current_a >= carried(assessment) - 1e-5
    if assessment.verdict is Verdict.CARRIES:
        assert study.hours_exceeded == 0


def moment_of(figures: FloatArray, unit: str) -> Changes:
    """Return the hall whose main board draws these figures all the time, declared not logged."""
    counted = FACTOR * figures
    declared: dict[str, Any] = {"board[0].demand.log": GONE}
    if unit == "A":
        declared |= {
            f"board[0].demand.maximum_{name.lower()}_a": float(one)
            for name, one in zip(PHASES, counted, strict=True)
        }
    else:
        declared["board[0].demand.maximum_kw"] = float(counted.sum())
    return declared


SINGLE_PHASE: Changes = {
    "station.phases": "L2",
    "station.needs_neutral": True,
    "station.full_power_voltage_v": 200,
    "station.minimum_voltage_v": 180,
    "station.maximum_voltage_v": 265,
}
WEAK: Changes = {
    "circuit[0].cable[0].length_m": 150,
    "circuit[1].cable[0].length_m": 60,
    "station.minimum_voltage_v": 350,
    "station.full_power_voltage_v": 352,
}
OWN_TRANSFORMER: Changes = {
    **WEAK,
    "supply.kind": "own transformer",
    "supply.transformer": site_data("quarry-workshop")["supply"]["transformer"],
    "supply.demand": {"maximum_a": 60, "power_factor": 0.85},
}
THIN_NEUTRAL: Changes = merged({"circuit[0].cable[0].neutral_section_mm2": 10}, third_harmonic(38))


@pytest.mark.parametrize(
    ("unit", "changes", "requested", "warm"),
    [
        pytest.param("A", UNSURE, 32.0, 1e-5, id="amperes added arithmetically"),
        pytest.param("A", {}, 32.0, 3e-3, id="amperes added as phasors"),
        pytest.param("kW", LONG_MAIN, 32.0, 0.02, id="power over a long cable"),
        pytest.param("A", {"station.power_factor": GONE}, 32.0, 1e-5, id="power factor not known"),
        pytest.param("A", SINGLE_PHASE, 30.0, 3e-3, id="single-phase station"),
        pytest.param("kW", WEAK, 24.0, 0.9, id="held by the voltage"),
        pytest.param("kW", OWN_TRANSFORMER, 24.0, 0.9, id="behind an own transformer"),
        pytest.param("A", THIN_NEUTRAL, 30.0, 1e-5, id="held by the neutral"),
    ],
)
def test_each_moment_is_what_an_assessment_of_that_moment_finds(
    unit: Any, changes: Changes, requested: float, warm: float
) -> None:
    """Sampled quarter-hours, each declared as a steady demand and assessed by itself.

    The largest moment agrees; a smaller one may come out lower by ``warm`` and never higher: its
    conductors count as warm as the largest demand makes them.
    """
    figures = random_day(5, 9.0 if unit == "kW" else 44.0, balanced=unit == "kW")
    site = merged(changes, drawing(requested))
    order = np.argsort(figures.max(axis=1))
    for place in order[[40, 95]]:
        alone = quick("market-hall", site, moment_of(figures[place], unit))
        wanted = carried(alone)
        rows = np.array([figures[place], 0.5 * figures[place]])
        largest = study_of(site, log_of("largest.csv", np.repeat(rows, 48, axis=0), unit=unit))
        assert largest.whole_path.lowest_a == pytest.approx(wanted, abs=3e-5)
        fails = any(one.outcome == "fail" and one.depends_on_current for one in alone.findings)
        assert (largest.hours_exceeded > 0) == fails
        rows[1] = np.maximum(figures.max(axis=0), 1.0001 * rows[0])
        smaller = study_of(site, log_of("smaller.csv", np.repeat(rows, 48, axis=0), unit=unit))
        free = smaller.whole_path.highest_a
        assert (1 - warm) * wanted - 1e-5 <= free <= wanted * 1.0001 + 1e-5


def test_hours_exceeded_by_hand() -> None:
    """Arithmetic sum of amperes against the contract of 63 A: 1.25 times the figure plus 32 A."""
    figures = random_day(9, 40.0, balanced=False)
    study = study_of(log_of("hand.csv", figures), UNSURE, drawing(30.0))
    over = (FACTOR * figures.max(axis=1) + 30.0 > 63.0).sum()
    assert 0 < over < 96
    assert study.hours_exceeded == over / 4
    assert study.exceeded_only_sometimes
    free = np.minimum(63.0 - FACTOR * figures.max(axis=1), 32.0)
    path = study.whole_path
    assert path.lowest_a == pytest.approx(free.min(), abs=1e-6)
    assert path.highest_a == pytest.approx(32.0)
    assert path.held_by == "contracted capacity"
    rising = np.sort(63.0 - FACTOR * figures.max(axis=1))
    (contract,) = [one for one in study.places if one.name == "contracted capacity"]
    for percent in (1, 25, 50, 99, 100):
        free_for = (rising >= contract.duration_a[percent] - 1e-6).mean()
        assert free_for >= percent / 100 - 1e-12
    assert study.settings[-1].hours_exceeded == study.hours_exceeded
    for row in study.settings:
        assert row.hours_exceeded == (row.drawn_a > free + 1e-6).sum() / 4


def test_one_per_cent_around_the_limit() -> None:
    """63 A contracted, 20 A logged times 1.25: 38 A fit, 38.3 A do not, for that one moment."""
    figures = np.full((96, 3), 10.0)
    figures[40] = 20.0
    outlet: Changes = {
        "outlet.rating_a": 63,
        "cord.plug_rating_a": 63,
        "cord.section_mm2": 16,
        "circuit[1].device.rating_a": 63,
        "circuit[1].cable[0].section_mm2": 25,
        "circuit[1].residual_current_device.rating_a": 63,
        "board[0].rated_diversity_factor": GONE,
    }
    base = merged(log_of("edge.csv", figures), UNSURE, outlet)
    assert study_of(base, drawing(37.6)).hours_exceeded == 0
    within, study = assessed(base, drawing(38.0))
    assert study.hours_exceeded == 0
    assert pick(within, CHECK).outcome == "pass"
    beyond, study = assessed(base, drawing(38.4))
    assert study.hours_exceeded == 0.25
    assert pick(beyond, CHECK).outcome == "fail"
    assert pick(beyond, CHECK).carries_a == pytest.approx(38.0, abs=1e-5)


def test_a_load_on_one_phase_alone_lowers_its_own_voltage_more() -> None:
    """By hand: the return current doubles the drop, so a power draws more than three alike would.

    230.9 V * 0.9 at the origin, 60 m of 16 mm2 warm (1.21 mohm/m warmed to about 70 C): with a line
    and a neutral of about 0.07 ohm each, 10 kW on one phase sink the voltage by twice I R.
    """
    figures = np.full((96, 3), 0.2)
    for phase in range(3):
        figures[10 + phase, phase] = 8.0
    assessment, study = assessed(log_of("alone.csv", figures, unit="kW"), LONG_MAIN, drawing(10.0))
    assert study.fixed.current_a < carried(assessment) - 0.2
    assert assessment.current_limit_only_a is not None
    assert assessment.current_limit_only_a <= study.fixed.current_a


def test_collapse_is_an_answer() -> None:
    """60 kW per phase over 2 km of 16 mm2 (1.15 ohm/km: E^2 / 4R = 4.7 kW) cannot be supplied."""
    figures = np.full((96, 3), 0.1)
    figures[50:52] = 40.0
    assessment, study = assessed(
        log_of("dark.csv", figures, unit="kW"),
        {"circuit[0].cable[0].length_m": 2000},
        drawing(6.0),
    )
    assert study.hours_not_supplied == 0.5
    assert study.hours_exceeded >= 0.5
    assert study.fixed.current_a == 0.0
    assert assessment.verdict is not Verdict.CARRIES


def test_a_station_that_cannot_be_supplied_at_all_is_an_answer() -> None:
    """By hand: 5 km of 6 mm2 (3.08 ohm/km) leave E / R = 207 / 15.4 = 13.4 A at a short circuit."""
    figures = np.full((96, 3), 0.1)
    far: Changes = {"circuit[1].cable[0].length_m": 5000}
    study = study_of(log_of("far.csv", figures), far, drawing(100.0))
    assert study.hours_not_supplied == study.hours_exceeded == 24
    assert study.fixed.current_a < 13.4


def test_a_neutral_that_the_site_alone_loads_is_full_or_not() -> None:
    """IEC 60364-5-52, Table B.52.4, method C: 4 mm2 copper carry 32 A, 1.25 times 25.6 A."""
    figures = np.full((96, 3), 10.0)
    figures[:8, 1], figures[8:10, 1] = 25.6, 25.7
    neutral: Changes = {
        "circuit[0].cable[0].neutral_section_mm2": 4,
        "station.needs_neutral": False,
        **third_harmonic(0),
    }
    study = study_of(log_of("neutral.csv", figures), UNSURE, neutral, drawing(20.0))
    assert study.hours_exceeded == 2 / 4
    assert (study.whole_path.lowest_a, study.whole_path.held_by) == (0, "Main cable: cable 1")


def test_what_a_range_decides_is_open_and_not_a_failure() -> None:
    """A log of the total: what fits beside a third of it in each phase may not beside all of it."""
    figures = random_day(4, 11.0, balanced=True)
    columns = {f"board[0].demand.log.l{phase}_column": GONE for phase in (1, 2, 3)}
    total = merged(
        log_of("total.csv", figures, unit="kW"),
        columns,
        {"board[0].demand.log.total_column": "sum"},
    )
    one = MADE_UP["total.csv"]
    assert one.quarter_hours is not None
    MADE_UP["total.csv"] = replace(
        one,
        values=(replace(one.values[0], name="total"),),
        quarter_hours=quarters_of({"total": one.quarter_hours.largest["L1"]}, START),
    )
    assessment, study = assessed(total, drawing(30.0))
    assert study.hours_exceeded > 0
    assert assessment.verdict is Verdict.UNDECIDED
    finding = pick(assessment, CHECK)
    assert finding.outcome == "open"
    assert finding.facts == ("board[1].demand.log.total_column",)


def test_no_study_where_nothing_changes_or_a_fact_is_open() -> None:
    assert quick("bakery-yard").year is None
    assert quick("market-hall", {"circuit[0].cable[0].section_mm2": GONE}).year is None
    assert quick("market-hall", {"board[0].demand.log.generation_behind_meter": GONE}).year is None


def test_an_open_limit_leaves_the_fixed_setting_open() -> None:
    study = study_of({"circuit[1].cable[0].method": "unknown"}, {"outlet.rating_a": GONE})
    assert not study.complete
    assert study.missing == ("link-rating (outlet)",)
    assert study.fixed.setting_a is None
    assert not study.controlled.helps
    assert math.isfinite(study.fixed.current_a)
