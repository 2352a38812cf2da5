"""The fault levels of an assessment: complete, in order, and what is lacking named."""

from __future__ import annotations

from itertools import pairwise

import pytest

from feasibility.assessment import Assessment
from feasibility.examples import example_names
from feasibility.result import FaultLevel

from .sites import GONE, SINGLE, quick

LIVE = ["three-phase", "line-line", "line-neutral"]


def levels_of(assessment: Assessment, kind: str) -> list[FaultLevel]:
    found = [one for node in assessment.fault_levels for one in node.levels]
    return [one for one in found if one.kind == kind]


def test_every_node_from_the_origin_to_the_station_has_every_kind() -> None:
    levels = quick("river-depot").fault_levels
    assert [one.node for one in levels] == [
        "origin",
        "Main board",
        "Shed board",
        "outlet",
        "station",
    ]
    for one in levels:
        assert [level.kind for level in one.levels] == [*LIVE, "line-earth"]


def test_a_single_phase_circuit_has_no_fault_between_lines() -> None:
    by_node = {one.node: one.levels for one in quick("camp-site-kiosk").fault_levels}
    assert [level.kind for level in by_node["Main board"]] == [*LIVE, "line-earth"]
    assert [level.kind for level in by_node["outlet"]] == ["line-neutral", "line-earth"]


def test_without_a_cord_the_outlet_is_the_last_node() -> None:
    fixed = {
        "outlet": {"kind": "fixed connection", "rating_a": 32, "poles": "3P+N+E"},
        "cord": GONE,
    }
    assert [one.node for one in quick(SINGLE, fixed).fault_levels] == ["origin", "outlet"]


def test_an_it_system_has_no_fault_to_earth_in_the_table() -> None:
    it = quick(SINGLE, {"supply.earthing_system": "IT"})
    assert levels_of(it, "line-earth") == []


@pytest.mark.parametrize("name", example_names())
def test_currents_fall_along_the_path_and_the_smallest_lies_below_the_largest(name: str) -> None:
    assessment = quick(name)
    for kind in (*LIVE, "line-earth"):
        levels = levels_of(assessment, kind)
        for before, after in pairwise(levels):
            if before.largest_a is not None and after.largest_a is not None:
                assert after.largest_a <= before.largest_a
            if before.smallest_a is not None and after.smallest_a is not None:
                assert after.smallest_a <= before.smallest_a
        for one in levels:
            if one.smallest_a is not None and one.largest_a is not None:
                assert one.smallest_a <= one.largest_a


def test_what_is_not_known_is_named_and_never_a_figure() -> None:
    mill = quick("old-mill")
    for one in levels_of(mill, "line-earth"):
        assert (one.largest_a, one.smallest_a) == (None, None)
        assert one.facts == ("supply.external_loop_impedance_ohm",)
        assert "external earth-fault loop impedance" in one.lacking
    unknown_section = quick(SINGLE, {"circuit[0].cable[0].section_mm2": GONE})
    at_outlet = unknown_section.fault_levels[1].levels[0]
    assert at_outlet.largest_a is None
    assert at_outlet.facts == ("circuit[1].cable[1].section_mm2",)
    at_origin = unknown_section.fault_levels[0].levels[0]
    assert at_origin.largest_a == pytest.approx(5200)
    assert at_origin.lacking == ""


def test_the_ranges_behind_the_table_are_among_the_assumptions() -> None:
    unknown = {
        "supply.external_line_neutral_loop_ohm": GONE,
        "supply.smallest_fault_current_ka": GONE,
    }
    stated = {one.fact for one in quick(SINGLE, unknown).assumptions}
    assert set(unknown) <= stated
