"""Withstand of conductors on whole sites, by hand and against printed rules."""

from __future__ import annotations

from math import sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from feasibility.result import Outcome

from .cases_of_current import CABLE, FUSE
from .cases_of_protection import (
    BREAKER_BEFORE_IT,
    IN_CABLE_MM2,
    IN_TT,
    NO_READING,
    PROTECTIVE_MM2,
)
from .cases_of_withstand import ENERGY, KNOWN_NEUTRAL_LOOP, UNCLASSED
from .sites import GONE, SINGLE, Changes, asked, found, merged, quick, step_result

SECTIONS = (1.5, 2.5, 4, 6, 10, 16, 25, 35)
RANK = {Outcome.FAIL: 0, Outcome.OPEN: 1, Outcome.PASS: 2}


def _breaker(letter: str, rating_a: float, capacity_ka: float, energy_class: int) -> Changes:
    device = {
        "kind": "IEC 60898-1 circuit-breaker",
        "characteristic": letter,
        "rating_a": rating_a,
        "breaking_capacity_ka": capacity_ka,
        "energy_limiting_class": energy_class,
    }
    return merged(UNCLASSED, KNOWN_NEUTRAL_LOOP, {"circuit[0].device": device})


def _of_section(section_mm2: float) -> Changes:
    return {IN_CABLE_MM2: section_mm2, PROTECTIVE_MM2: section_mm2}


# A trade page on energy limiting classes: DIN VDE 0100-430, 434.5, note 1: circuit-breakers of
# class 3 meet the requirements on cables. Annex ZA of EN 60898-1 (from memory up to 6 kA): up to
# 16 A 35 000 (B) and 42 000 A2s (C), up to 32 A 45 000 and 55 000.
@pytest.mark.parametrize("letter", ["B", "C"])
@pytest.mark.parametrize(("rating_a", "section_mm2"), [(16, 2.5), (20, 2.5), (25, 4), (32, 6)])
def test_a_breaker_of_class_3_protects_its_cable(
    letter: str, rating_a: float, section_mm2: float
) -> None:
    changes = merged(_breaker(letter, rating_a, 6, 3), _of_section(section_mm2))
    assert found("short-circuit-withstand", CABLE, SINGLE, changes).outcome is Outcome.PASS


@pytest.mark.parametrize(
    ("rating_a", "capacity_ka", "energy_class"),
    [(32, 6, 1), (63, 6, 3), (32, 15, 3)],
    ids=["class 1", "above 40 A", "another breaking capacity"],
)
def test_where_the_class_gives_nothing_the_makers_curve_is_asked_for(
    rating_a: float, capacity_ka: float, energy_class: int
) -> None:
    changes = merged(_breaker("B", rating_a, capacity_ka, energy_class), _of_section(10))
    finding = found("short-circuit-withstand", CABLE, SINGLE, changes)
    assert finding.outcome is Outcome.OPEN
    assert "circuit[1].device.let_through_a2s" in finding.facts


def test_type_d_has_no_class() -> None:
    finding = found("short-circuit-withstand", CABLE, SINGLE, _breaker("D", 16, 6, 3))
    assert finding.outcome is Outcome.OPEN
    assert "circuit[1].device.let_through_a2s" in finding.facts


def test_a_class_counts_up_to_the_breaking_capacity_only() -> None:
    # 5.2 kA at the place: a breaker of 4.5 kA is no longer within its class.
    inside = found("short-circuit-withstand", CABLE, SINGLE, _breaker("B", 32, 6, 3))
    beyond = found("short-circuit-withstand", CABLE, SINGLE, _breaker("B", 32, 4.5, 3))
    assert (inside.outcome, beyond.outcome) == (Outcome.PASS, Outcome.OPEN)


def test_a_fuse_before_the_breaker_bounds_what_it_lets_through() -> None:
    # IEC 60269-1: 63 A gG, 0.1 s gate 820 A (from memory), pre-arcing limit 27 000 A2s (GOST
    # translation, Table 7). 10 mm2 and PVC: 1 322 500 A2s.
    changes = merged(
        {"circuit[0].device.energy_limiting_class": GONE, "circuit[0].device.rating_a": 63},
        _of_section(10),
    )
    behind_fuse = found("short-circuit-withstand", CABLE, SINGLE, changes)
    assert behind_fuse.outcome is Outcome.PASS
    assert behind_fuse.value is not None
    assert behind_fuse.value < 0.1 * 1.4444 * 820**2 * 1.1
    alone = found("short-circuit-withstand", CABLE, SINGLE, merged(changes, UNCLASSED))
    assert alone.outcome is Outcome.OPEN


def test_the_makers_figure_decides_where_a_limit_leaves_it_open() -> None:
    changes = merged(UNCLASSED, _of_section(10))
    assert found("short-circuit-withstand", CABLE, SINGLE, changes).outcome is Outcome.OPEN
    known = found("short-circuit-withstand", CABLE, SINGLE, merged(changes, {ENERGY: 60_000}))
    assert known.outcome is Outcome.PASS
    assert step_result(known, "I2t") == 60_000


# IEC 60364-4-43, Table 43A as a pocket guide and NEN 1010 print it; copper and aluminium.
@pytest.mark.parametrize(
    ("changes", "k"),
    [
        ({}, 115),
        ({"circuit[0].cable[0].insulation": "XLPE"}, 143),
        ({IN_CABLE_MM2: 16, "circuit[0].cable[0].conductor": "aluminium"}, 76),
        (
            {
                IN_CABLE_MM2: 16,
                "circuit[0].cable[0].conductor": "aluminium",
                "circuit[0].cable[0].insulation": "XLPE",
            },
            94,
        ),
        ({IN_CABLE_MM2: 400}, 103),
    ],
)
def test_the_limit_is_k_squared_s_squared(changes: Changes, k: float) -> None:
    section = float(changes.get(IN_CABLE_MM2, 6))
    finding = found("short-circuit-withstand", CABLE, SINGLE, changes)
    assert finding.limit == pytest.approx((k * section) ** 2)


@pytest.mark.parametrize(("grade", "k"), [("60 C rubber", 141), ("90 C thermosetting", 143)])
def test_a_cord_by_its_grade(grade: str, k: float) -> None:
    finding = found("short-circuit-withstand", "cord", SINGLE, {"cord.grade": grade})
    assert finding.limit == pytest.approx((k * 6) ** 2)


def test_unknown_insulation_counts_as_the_weaker_one() -> None:
    changes = {"circuit[0].cable[0].insulation": GONE}
    finding = found("short-circuit-withstand", CABLE, SINGLE, changes)
    assert finding.limit == pytest.approx((115 * 6) ** 2)


def test_one_of_several_cables_in_parallel_withstands_it_alone() -> None:
    # IEC 60364-4-43, 434.4: a fault in one of them, fed almost wholly through it.
    single = found("short-circuit-withstand", CABLE, SINGLE)
    both = found("short-circuit-withstand", CABLE, SINGLE, {"circuit[0].cable[0].in_parallel": 2})
    assert both.limit == single.limit
    smaller = {"circuit[0].cable[0].parallel_cable": [{"section_mm2": 4, "length_m": 22}]}
    unequal = found("short-circuit-withstand", CABLE, SINGLE, smaller)
    assert unequal.limit == pytest.approx((115 * 4) ** 2)


def test_an_unknown_smallest_fault_means_every_current() -> None:
    lost = merged(NO_READING, {"supply.external_loop_impedance_ohm": GONE})
    finding = found("short-circuit-withstand", CABLE, SINGLE, lost)
    assert finding.outcome is Outcome.PASS
    assert "smallest" not in finding.reason.values
    # B32 surely trips at once from 5 In = 160 A only; below, overload protection (In <= Iz).
    slow = finding.reason.values["slow"]
    assert not isinstance(slow, str)
    assert slow.value == pytest.approx(160)


def test_currents_of_overload_need_overload_protection() -> None:
    # B40 on 6 mm2, 34 A by table: no overload protection; below 200 A it may take longer than 5 s.
    lost = merged(
        NO_READING,
        {
            "supply.external_loop_impedance_ohm": GONE,
            "circuit[0].device.rating_a": 50,
        },
    )
    assert found("short-circuit-withstand", CABLE, SINGLE, lost).outcome is Outcome.OPEN


def test_a_neutral_like_the_line_is_judged_with_it() -> None:
    changes = {"circuit[0].cable[0].neutral_section_mm2": 6}
    finding = found("neutral-withstand", CABLE, SINGLE, changes)
    assert finding.outcome is Outcome.NOT_APPLICABLE


# -- Protective conductor --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line_mm2", "table_mm2", "below_mm2"), [(16, 16, 10), (25, 16, 10), (35, 16, 10), (70, 35, 25)]
)
def test_below_the_table_it_is_calculated(
    line_mm2: float, table_mm2: float, below_mm2: float
) -> None:
    # IEC 60364-5-54, Table 54.2: S up to 16 mm2, 16 mm2 up to 35 mm2, S/2 above.
    at = {IN_CABLE_MM2: line_mm2, PROTECTIVE_MM2: table_mm2}
    by_table = found("protective-conductor", CABLE, SINGLE, at)
    assert (by_table.outcome, by_table.limit) == (Outcome.PASS, table_mm2)
    below = {IN_CABLE_MM2: line_mm2, PROTECTIVE_MM2: below_mm2}
    calculated = found("protective-conductor", CABLE, SINGLE, below)
    assert calculated.outcome is Outcome.PASS
    assert calculated.limit is not None
    assert calculated.limit < below_mm2
    assert step_result(calculated, "Smin") == pytest.approx(
        sqrt(step_result(calculated, "I2t")) / 115
    )


def test_tt_needs_no_more_than_25_mm2() -> None:
    # IEC 60364-5-54:2011, 543.1.1, from memory; Table 54.2 alone would ask for 35 mm2.
    changes = merged(IN_TT, {IN_CABLE_MM2: 70, PROTECTIVE_MM2: 25})
    changes["supply.electrode_resistance_ohm"] = 10
    finding = found("protective-conductor", CABLE, SINGLE, changes)
    assert (finding.outcome, finding.limit) == (Outcome.PASS, 25.0)


def test_in_tt_the_residual_current_device_ends_what_the_electrode_lets_through() -> None:
    # U0 / RA = 1.05 * 231 / 10 = 24 A for 0.04 s: far below 0.5 mm2.
    changes = merged(IN_TT, {PROTECTIVE_MM2: 2.5, "supply.electrode_resistance_ohm": 10})
    finding = found("protective-conductor", CABLE, SINGLE, changes)
    assert finding.outcome is Outcome.PASS
    assert finding.limit is not None
    assert finding.limit < 0.2


def test_without_any_device_that_ends_it_in_time_it_stays_open() -> None:
    # 100 A gG: certain within 5 s from 580 A only; the loop lets 300 A through, no other device.
    changes = {
        **FUSE,
        "circuit[0].device.rating_a": 100,
        "circuit[0].residual_current_device": {"present": False},
        PROTECTIVE_MM2: 4,
    }
    finding = found("protective-conductor", CABLE, SINGLE, changes)
    assert finding.outcome is Outcome.OPEN


def test_a_residual_current_device_ends_it_instead() -> None:
    # 80 A gG is certain within 5 s from 425 A on. Below that 30 mA: IEC 61008-1, 0.04 s at five
    # times 30 mA, for currents up to 500 A.
    changes = {
        **FUSE,
        "circuit[0].device.rating_a": 80,
        IN_CABLE_MM2: 10,
        PROTECTIVE_MM2: 6,
    }
    finding = found("protective-conductor", CABLE, SINGLE, changes)
    assert finding.outcome is Outcome.PASS
    without = {**changes, "circuit[0].residual_current_device": {"present": False}}
    assert found("protective-conductor", CABLE, SINGLE, without).outcome is Outcome.OPEN


# -- Directions ------------------------------------------------------------------------------------


def _rank(check: str, changes: Changes) -> int:
    (judged,) = [one for one in asked(check, SINGLE, changes) if one.unfavourable.link == CABLE]
    return RANK[judged.unfavourable.outcome]


@settings(deadline=None, max_examples=25)
@given(st.sampled_from(SECTIONS), st.sampled_from(SECTIONS), st.floats(1e3, 1e6), st.booleans())
def test_a_larger_conductor_never_withstands_less(
    one_mm2: float, other_mm2: float, energy_a2s: float, stated: bool
) -> None:
    small, large = sorted((one_mm2, other_mm2))
    basis = merged(UNCLASSED, {ENERGY: energy_a2s if stated else GONE})
    # The larger section also lets a larger fault current through, at the cord only.
    assert _rank("short-circuit-withstand", merged(basis, _of_section(small))) <= _rank(
        "short-circuit-withstand", merged(basis, _of_section(large))
    )


@settings(deadline=None, max_examples=25)
@given(st.floats(1e3, 1e6), st.floats(1, 10))
def test_more_energy_never_helps(energy_a2s: float, times: float) -> None:
    less, more = ({**UNCLASSED, ENERGY: energy} for energy in (energy_a2s, times * energy_a2s))
    check = "short-circuit-withstand"
    assert _rank(check, more) <= _rank(check, less)
    below_table = {IN_CABLE_MM2: 25, PROTECTIVE_MM2: 4}
    check = "protective-conductor"
    assert _rank(check, {**more, **below_table}) <= _rank(check, {**less, **below_table})


# -- Devices of which less is known ----------------------------------------------------------------


def _device(**fields: object) -> Changes:
    return merged(BREAKER_BEFORE_IT, {"circuit[0].device": fields})


def test_a_fuse_without_gates_shows_nothing() -> None:
    # 10 A of the systems NH or cylindrical: IEC 60269-1 gives gates from 16 A on.
    fuse = _device(kind="gG fuse", rating_a=10, breaking_capacity_ka=50, let_through_a2s=1500)
    finding = found("short-circuit-withstand", CABLE, SINGLE, fuse)
    assert finding.outcome is Outcome.OPEN
    assert finding.value is None


def test_a_fuse_between_two_tabulated_ratings_counts_like_the_larger() -> None:
    # IEC 60269-1, Table 7 (GOST translation): 40 A up to 9000 A2s, 0.1 s gate 450 A (memory).
    changes = _device(kind="gG fuse", rating_a=35, breaking_capacity_ka=50)
    between = found("short-circuit-withstand", "cord", SINGLE, changes)
    larger = found(
        "short-circuit-withstand",
        "cord",
        SINGLE,
        _device(kind="gG fuse", rating_a=40, breaking_capacity_ka=50),
    )
    assert between.outcome is Outcome.PASS
    assert between.value == larger.value


def test_a_device_of_another_standard_needs_its_curve() -> None:
    unknown = _device(kind="other", description="old circuit-breaker", rating_a=25)
    lost = found("short-circuit-withstand", CABLE, SINGLE, unknown)
    assert lost.outcome is Outcome.OPEN
    assert lost.facts == ("circuit[1].device.curve_point",)
    curve = [
        {"current_a": 40, "slowest_s": 600},
        {"current_a": 120, "slowest_s": 3},
        {"current_a": 250, "slowest_s": 0.03},
    ]
    known = merged(unknown, {"circuit[0].device.curve_point": curve, **_of_section(25)})
    finding = found("short-circuit-withstand", CABLE, SINGLE, known)
    assert finding.outcome is Outcome.PASS
    # 5.2 kA (three-phase) or more (line to neutral) for 0.03 s, the direct current counted in.
    assert step_result(finding, "I2t") > 1.5 * 5200**2 * 0.03


def test_an_adjustable_residual_current_device_does_not_count() -> None:
    changes: Changes = {
        **FUSE,
        "circuit[0].device.rating_a": 80,
        IN_CABLE_MM2: 10,
        PROTECTIVE_MM2: 6,
        "circuit[0].residual_current_device.delay": "adjustable",
        "circuit[0].residual_current_device.delay_s": 0.3,
    }
    assert found("protective-conductor", CABLE, SINGLE, changes).outcome is Outcome.OPEN


def test_the_deciding_fact_is_named_in_words() -> None:
    assessment = quick(SINGLE, UNCLASSED)
    named = {one.fact: one.label for one in assessment.open_facts}
    assert named["circuit[1].device.let_through_a2s"] == (
        "let-through energy by the maker's curve of the device of 'Yard outlet'"
    )


def test_an_it_system_is_not_calculated() -> None:
    changes = {"supply.earthing_system": "IT", PROTECTIVE_MM2: 2.5}
    assert found("protective-conductor", CABLE, SINGLE, changes).outcome is Outcome.OPEN
