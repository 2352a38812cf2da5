"""Fault currents move the way conductors and supply do: longer, thicker, stronger."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from feasibility.checks.device_band import band
from feasibility.checks.fault_levels import fault_levels
from feasibility.checks.fault_path import smallest_earth_fault
from feasibility.checks.question import Run
from feasibility.installation.build import build_installation
from feasibility.result import FaultLevel

from ..checks.sites import GONE, Changes, found, site

QUICK = settings(max_examples=25, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
SITES = {"bakery-yard": 2, "river-depot": 3, "camp-site-kiosk": 2}
SECTIONS_MM2 = (2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120, 150)
NO_READINGS: Changes = {"outlet.measured_loop_impedance_ohm": GONE}
ROUNDING = 1 + 1e-12


def run_over(name: str, *changes: Changes) -> Run:
    return Run.over(build_installation(site(name, NO_READINGS, *changes)), favourable=False)


def levels(name: str, *changes: Changes) -> list[FaultLevel]:
    return [one for node in fault_levels(run_over(name, *changes))[0] for one in node.levels]


def never_lower(below: Sequence[FaultLevel], above: Sequence[FaultLevel]) -> None:
    """Each figure that is known on one side is known on the other, and not above it."""
    for low, high in zip(below, above, strict=True):
        assert (low.kind, low.largest_a is None) == (high.kind, high.largest_a is None)
        assert (low.smallest_a is None) == (high.smallest_a is None)
        assert (low.largest_a or 0) <= (high.largest_a or 0) * ROUNDING
        assert (low.smallest_a or 0) <= (high.smallest_a or 0) * ROUNDING


@st.composite
def cables(draw: st.DrawFn) -> tuple[str, str]:
    name = draw(st.sampled_from(sorted(SITES)))
    return name, f"circuit[{draw(st.integers(0, SITES[name] - 1))}].cable[0]"


@QUICK
@given(cables(), st.lists(st.floats(0.5, 500), min_size=2, max_size=2))
def test_a_longer_cable_never_raises_a_fault_current(
    where: tuple[str, str], lengths: list[float]
) -> None:
    name, cable = where
    short, long = sorted(lengths)
    never_lower(
        levels(name, {f"{cable}.length_m": long}), levels(name, {f"{cable}.length_m": short})
    )


@pytest.mark.parametrize("field", ["section_mm2", "protective_section_mm2", "neutral_section_mm2"])
@QUICK
@given(cables(), st.lists(st.sampled_from(SECTIONS_MM2), min_size=2, max_size=2))
def test_a_thicker_conductor_never_lowers_a_fault_current(
    field: str, where: tuple[str, str], sections: list[float]
) -> None:
    name, cable = where
    thin, thick = sorted(sections)
    never_lower(levels(name, {f"{cable}.{field}": thin}), levels(name, {f"{cable}.{field}": thick}))


@QUICK
@given(st.sampled_from(sorted(SITES)), st.lists(st.floats(0.5, 60), min_size=2, max_size=2))
def test_a_stronger_supply_never_lowers_a_largest_fault_current(
    name: str, levels_ka: list[float]
) -> None:
    weak, strong = sorted(levels_ka)
    unknown = {"supply.smallest_fault_current_ka": GONE}
    before = levels(name, unknown, {"supply.prospective_fault_current_ka": weak})
    after = levels(name, unknown, {"supply.prospective_fault_current_ka": strong})
    for low, high in zip(before, after, strict=True):
        assert (low.largest_a or 0) <= (high.largest_a or 0) * ROUNDING


@QUICK
@given(cables(), st.lists(st.floats(0.5, 500), min_size=2, max_size=2))
def test_a_longer_circuit_never_disconnects_faster(
    where: tuple[str, str], lengths: list[float]
) -> None:
    name, cable = where
    tn: Changes = {
        "supply.earthing_system": "TN-C-S",
        "supply.external_loop_impedance_ohm": 0.1,
    }
    times = []
    for length in sorted(lengths):
        run = run_over(name, tn, {f"{cable}.length_m": length})
        final = run.installation.final_circuit
        current = smallest_earth_fault(run, final).value_a
        times.append(band(run, final.device)[0].slowest_time_s(current))
    short_s, long_s = times
    assert long_s is None or (short_s is not None and short_s <= long_s)


READINGS_OHM = st.lists(st.floats(0.3, 3), min_size=2, max_size=2)


@QUICK
@given(READINGS_OHM)
def test_a_higher_loop_reading_never_raises_the_earth_fault_current(ohms: list[float]) -> None:
    low, high = (
        found("disconnection", "'Yard outlet'", "bakery-yard", {LOOP: ohm}).value
        for ohm in sorted(ohms)
    )
    assert low is not None
    assert high is not None
    assert high <= low * ROUNDING


LOOP = "outlet.measured_loop_impedance_ohm"


@QUICK
@given(st.lists(st.floats(0.1, 20), min_size=2, max_size=2))
def test_a_higher_fault_current_reading_never_lowers_the_largest_one(readings: list[float]) -> None:
    between = {"outlet.measured_fault_between": "line-line"}
    low, high = (
        found(
            "breaking-capacity",
            "Yard outlet: device",
            "bakery-yard",
            between,
            {"outlet.measured_fault_current_ka": reading},
        ).value
        for reading in sorted(readings)
    )
    assert low is not None
    assert high is not None
    assert low <= high * ROUNDING
