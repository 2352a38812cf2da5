"""Fault currents as a table: one row a node, one column a kind, and what is lacking once."""

from __future__ import annotations

from dataclasses import replace

from feasibility.render.fault_view import FAULT_KINDS, fault_cells, lacking_words
from feasibility.render.numbers import EN_DASH
from feasibility.render.text import to_text
from feasibility.render.view import report_view
from feasibility.result import FaultLevel, NodeFaults

from . import sites

THREE = FaultLevel(kind="three-phase", largest_a=5196.15, smallest_a=3899.7)
NEUTRAL = FaultLevel(kind="line-neutral", largest_a=907.4, smallest_a=742.3)
LOOP = "not known: the loop"
EARTH = FaultLevel(kind="line-earth", largest_a=None, smallest_a=None, facts=("a.b",), lacking=LOOP)
HALF = replace(EARTH, largest_a=3.43)
BOARD = NodeFaults(node="board", levels=(THREE, NEUTRAL, EARTH))


def test_a_cell_holds_smallest_and_largest_and_says_what_is_not_known() -> None:
    assert fault_cells(BOARD, "-", "?") == ("3900-5196", "", "742-907", "?")
    other = replace(BOARD, levels=(HALF,))
    assert fault_cells(other, "-", "?") == ("", "", "", "?-3.43")


def test_a_reason_is_given_once_with_the_kinds_it_concerns() -> None:
    earth_too = replace(NEUTRAL, largest_a=None, lacking="not known: the loop")
    nodes = (BOARD, replace(BOARD, levels=(earth_too, HALF)))
    assert lacking_words(nodes) == ("line-earth, line-neutral: not known: the loop",)
    assert lacking_words((replace(BOARD, levels=(THREE,)),)) == ()


def test_the_report_has_a_row_for_each_node_and_a_column_for_each_kind() -> None:
    table = report_view(sites.shipped("river-depot")).faults
    assert table.kinds == FAULT_KINDS
    assert [node for node, _ in table.rows] == [
        "origin",
        "Main board",
        "Shed board",
        "outlet",
        "station",
    ]
    assert table.rows[0][1][0] == f"6500 {EN_DASH} 9000"
    assert table.lacking == ()


def test_the_report_says_what_is_lacking() -> None:
    table = report_view(sites.shipped("old-mill")).faults
    assert {cells[3] for _, cells in table.rows} == {"not known"}
    assert table.lacking == (
        "line-earth: not known: external earth-fault loop impedance of the supply",
    )


def test_the_terminal_shows_the_same_figures() -> None:
    lines = to_text(sites.shipped("river-depot")).split("\n")
    start = next(number for number, line in enumerate(lines) if line.startswith("FAULT CURRENTS"))
    assert lines[start + 1].split() == list(FAULT_KINDS)
    assert lines[start + 2].split()[:2] == ["origin", "6500-9000"]


def test_figures_too_long_for_their_column_stand_in_a_sentence() -> None:
    long = FaultLevel(kind="three-phase", largest_a=999_999, smallest_a=999_998)
    assessment = replace(
        sites.shipped("river-depot"), fault_levels=(NodeFaults(node="bus", levels=(long,)),)
    )
    assert "bus: three-phase 999 998-999 999" in to_text(assessment)


def test_nothing_is_shown_of_a_path_without_levels() -> None:
    assessment = replace(sites.shipped("river-depot"), fault_levels=())
    assert "FAULT CURRENTS" not in to_text(assessment)
