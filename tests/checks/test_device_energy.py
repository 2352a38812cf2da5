"""What devices let through, by maker, class or standard: against the printed figures."""

from __future__ import annotations

import pytest

from feasibility.checks.device_energy import (
    deciding_facts,
    passage_of,
    passages_before,
    residual_passage,
)
from feasibility.checks.let_through import Passage
from feasibility.checks.question import Run
from feasibility.installation.build import build_installation
from feasibility.installation.model import PathCircuit

from .sites import GONE, SINGLE, Changes, merged, site

DEVICE = "circuit[0].device"
RESIDUAL = "circuit[0].residual_current_device"
CLASSED: Changes = {
    DEVICE: {
        "kind": "IEC 60898-1 circuit-breaker",
        "characteristic": "B",
        "rating_a": 32,
        "breaking_capacity_ka": 6,
        "energy_limiting_class": 3,
    }
}


def run_over(*changes: Changes, favourable: bool = False, name: str = SINGLE) -> Run:
    return Run.over(build_installation(site(name, *changes)), favourable=favourable)


def own(*changes: Changes, favourable: bool = False) -> Passage:
    run = run_over(*changes, favourable=favourable)
    return passage_of(run, run.installation.final_circuit.device)


def residual(*changes: Changes, favourable: bool = False) -> Passage | None:
    run = run_over(*changes, favourable=favourable)
    return residual_passage(run, run.installation.final_circuit.residual_current_device)


# -- Residual-current devices ----------------------------------------------------------------------


# IEC 61008-1, Table 1: general type 0.3 s at IdN and 0.04 s at 5 IdN; type S 0.5 s and 0.15 s.
GENERAL, SELECTIVE = [(0.03, 0.3), (0.15, 0.04)], [(0.03, 0.5), (0.15, 0.15)]


@pytest.mark.parametrize(
    ("delay", "favourable", "points"),
    [
        ("none", False, GENERAL),
        ("S", False, SELECTIVE),
        # Nobody looked: the slower one counts, and the quicker one at the favourable end.
        (GONE, False, SELECTIVE),
        (GONE, True, GENERAL),
    ],
)
def test_the_break_times_of_a_residual_current_device(
    delay: object, favourable: bool, points: list[tuple[float, float]]
) -> None:
    found = residual({f"{RESIDUAL}.delay": delay}, favourable=favourable)
    assert found is not None
    assert [(one.current_a, one.time_s) for one in found.band.trips] == points
    assert found.origin == f"{'general type' if points == GENERAL else 'type S'}, 30 mA"
    # Between the two points only the first one is sure.
    assert found.band.slowest_time_s(0.149) == points[0][1]


def test_an_adjustable_residual_current_device_promises_nothing() -> None:
    assert residual({f"{RESIDUAL}.delay": "adjustable", f"{RESIDUAL}.delay_s": 0.1}) is None


@pytest.mark.parametrize(
    ("rating_a", "up_to_a"), [(40, 500), (50, 500), (63, 630), (80, 800), (GONE, 500)]
)
def test_a_residual_current_device_counts_up_to_what_it_breaks(
    rating_a: object, up_to_a: float
) -> None:
    # IEC 61008-1: 10 In, 500 A at least (from memory).
    found = residual({f"{RESIDUAL}.rating_a": rating_a, f"{DEVICE}.rating_a": 32})
    assert found is not None
    assert found.up_to_a == up_to_a


# -- Which facts decide ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "fields"),
    [
        ({}, ["let_through_a2s"]),
        ({f"{DEVICE}.energy_limiting_class": GONE}, ["let_through_a2s", "energy_limiting_class"]),
        ({f"{DEVICE}.breaking_capacity_ka": GONE}, ["let_through_a2s", "breaking_capacity_ka"]),
        ({f"{DEVICE}.let_through_a2s": 40_000}, []),
        ({f"{DEVICE}.let_through_a2s": "unknown"}, ["let_through_a2s"]),
        (
            {DEVICE: {"kind": "gG fuse", "rating_a": 63, "breaking_capacity_ka": 50}},
            ["let_through_a2s"],
        ),
    ],
)
def test_what_could_show_that_a_device_lets_less_through(
    changes: Changes, fields: list[str]
) -> None:
    run = run_over(CLASSED, changes)
    facts = deciding_facts(run, run.installation.final_circuit.device)
    paths = [f"circuit[1].device.{field}" for field in fields]
    assert [fact.path for fact in facts] == paths
    assert set(paths) <= set(run.needed)


# -- Ceilings --------------------------------------------------------------------------------------


def test_the_limit_of_a_class_holds_up_to_the_breaking_capacity() -> None:
    # EN 60898-1, Annex ZA (from memory): B, class 3, 6 kA, above 16 A up to 32 A: 45 000 A2s.
    (ceiling,) = own(CLASSED).ceilings
    assert (ceiling.working.result, ceiling.up_to_a, ceiling.by_maker) == (45_000, 6000, False)
    assert own(CLASSED).opening is not None


@pytest.mark.parametrize(
    "changes",
    [
        {f"{DEVICE}.energy_limiting_class": GONE},
        {f"{DEVICE}.breaking_capacity_ka": GONE},
        {f"{DEVICE}.characteristic": "D"},
        {f"{DEVICE}.characteristic": GONE},
        {f"{DEVICE}.energy_limiting_class": 1},
        {f"{DEVICE}.rating_a": 50},
    ],
)
def test_where_a_class_sets_no_limit_there_is_none(changes: Changes) -> None:
    assert own(CLASSED, changes).ceilings == ()


def test_of_what_the_breaking_capacity_may_be_the_worse_counts() -> None:
    # 6 kA: 45 000 A2s up to 6 kA; 10 kA: 90 000 A2s (as above).
    ranged = {f"{DEVICE}.breaking_capacity_ka": {"low": 6, "high": 10}}
    (ceiling,) = own(CLASSED, ranged).ceilings
    assert (ceiling.working.result, ceiling.up_to_a) == (90_000, 6000)


def test_of_two_classes_that_a_device_may_have_the_worse_counts() -> None:
    # Class 2: 130 000 A2s.
    ranged = {f"{DEVICE}.energy_limiting_class": {"low": 2, "high": 3}}
    (ceiling,) = own(CLASSED, ranged).ceilings
    assert ceiling.working.result == 130_000
    (best,) = own(CLASSED, ranged, favourable=True).ceilings
    assert best.working.result == 45_000


def test_the_makers_figure_stands_beside_the_class() -> None:
    by_maker, by_class = own(CLASSED, {f"{DEVICE}.let_through_a2s": 30_000}).ceilings
    assert (by_maker.working.result, by_maker.by_maker) == (30_000, True)
    assert by_maker.up_to_a == float("inf")
    assert by_class.by_maker is False


FUSE: Changes = {DEVICE: {"kind": "gG fuse", "rating_a": 63, "breaking_capacity_ka": 50}}


@pytest.mark.parametrize(
    ("stated", "energy_a2s"),
    [
        # 820 A for 0.1 s: 67 240 A2s, what melts it at the latest; the maker's figure if larger.
        (60_000, 0.1 * 820**2),
        (70_000, 70_000),
    ],
)
def test_a_fuse_by_its_makers_figure(stated: float, energy_a2s: float) -> None:
    found = own(FUSE, {f"{DEVICE}.let_through_a2s": stated})
    (ceiling,) = found.ceilings
    assert ceiling.working.result == pytest.approx(energy_a2s)
    assert ceiling.by_maker is True
    assert found.opening is None


def test_a_fuse_by_the_limits_of_its_standard() -> None:
    (ceiling,) = own(FUSE).ceilings
    energies = [one.value for one in ceiling.working.inputs if one.symbol in ("E1", "E2")]
    assert len(energies) == 2
    assert ceiling.working.result == max(0.1 * 820**2, *energies)
    assert ceiling.by_maker is False


def test_direct_current_counts_by_the_greatest_peak_factor_and_the_lower_frequency() -> None:
    # IEC 60909-0: at most 1.8 below 1 kV; at 50 Hz the direct current heats longest.
    opening = own(CLASSED, {"supply.frequency_hz": GONE}).opening
    assert opening is not None
    assert (opening.peak_factor.value, opening.frequency_hz) == (1.8, 50)


# -- Devices before --------------------------------------------------------------------------------


def test_the_devices_before_a_circuit_are_those_nearer_to_the_supply() -> None:
    run = run_over(name="bakery-yard")
    final, main = run.installation.final_circuit, run.installation.circuits[0]
    names = [one.name for one in passages_before(run, final)]
    assert names == [one.name for one in passages_before(run, main)] + [main.device.name]
    assert final.device.name not in names


def test_a_device_before_of_which_too_little_is_known_does_not_count() -> None:
    known = passages_before(*_final(run_over(CLASSED)))
    assert [one.name for one in known] == ["service device"]
    unknown = merged(CLASSED, {"supply.service_device.rating_a": GONE})
    assert passages_before(*_final(run_over(unknown))) == ()


def test_an_unknown_device_does_not_hide_a_known_one_behind_it() -> None:
    run = run_over({"supply.service_device.rating_a": GONE}, name="river-depot")
    first, second, _ = (circuit.device.name for circuit in run.installation.circuits)
    names = [one.name for one in passages_before(*_final(run))]
    assert second in names
    assert first not in names


def _final(run: Run) -> tuple[Run, PathCircuit]:
    return run, run.installation.final_circuit
