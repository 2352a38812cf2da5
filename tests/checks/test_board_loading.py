"""The board's diversity factor: a maker's limit when declared, advice when not, only together."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from feasibility.result import Force, Outcome, Verdict

from .sites import GONE, drawing, found, merged, pick, quick

BAKERY = "bakery-yard"
FACTOR = "board[0].rated_diversity_factor"
LOADED = "board[0].loaded_outgoing_circuits"
SILENT = {FACTOR: GONE, LOADED: GONE, "board[0].assembly": GONE}


@pytest.mark.parametrize("declared", [True, False])
def test_a_circuit_that_is_loaded_alone_is_not_concerned(declared: bool) -> None:
    changes = merged({FACTOR: 0.5 if declared else GONE, LOADED: 1})
    check = "board-diversity" if declared else "board-assumed-loading"
    finding = found(check, "", BAKERY, changes)
    assert finding.outcome is Outcome.NOT_APPLICABLE
    assert finding.carries_a is None


def test_a_declared_factor_limits_the_current() -> None:
    result = quick(BAKERY, {FACTOR: 0.6, LOADED: 5})
    finding = pick(result, "board-diversity")
    assert (finding.outcome, finding.force) == (Outcome.FAIL, Force.MAKERS_LIMIT)
    assert finding.limit == pytest.approx(0.6 * 32)
    assert result.verdict is Verdict.CARRIES_REDUCED
    assert result.weakest_link == "Yard outlet: device"
    assert result.carryable_current_a is not None
    assert result.carryable_current_a <= 0.6 * 32


def test_whether_others_are_loaded_decides_and_is_named() -> None:
    result = quick(BAKERY, {FACTOR: 0.6, LOADED: "unknown"})
    finding = pick(result, "board-diversity")
    assert finding.outcome is Outcome.OPEN
    assert finding.facts == ("board[1].loaded_outgoing_circuits",)
    assert result.verdict is Verdict.UNDECIDED


def test_an_unread_factor_is_a_caution_that_names_it_and_decides_nothing() -> None:
    result = quick(BAKERY, SILENT)
    finding = pick(result, "board-assumed-loading")
    assert (finding.outcome, finding.force) == (Outcome.CAUTION, Force.RECOMMENDATION)
    assert "board[1].rated_diversity_factor" in finding.facts
    assert result.verdict is Verdict.CARRIES


def test_the_assumed_loading_lowers_the_advised_current_only() -> None:
    silent = {FACTOR: GONE, "board[0].assembly": "switchboard", LOADED: 12}
    result = quick(BAKERY, silent)
    finding = pick(result, "board-assumed-loading")
    assert finding.outcome is Outcome.CAUTION
    assert finding.limit == pytest.approx(0.6 * 32)
    assert result.verdict is Verdict.CARRIES
    assert result.advised_current_a is not None
    assert result.advised_current_a <= 0.6 * 32


def test_the_factor_acts_on_the_setting_of_an_adjustable_device() -> None:
    changes = merged({FACTOR: 0.9, LOADED: 3}, drawing(50))
    finding = found("board-diversity", "Shed feeder: device", "river-depot", changes)
    assert finding.limit == pytest.approx(0.9 * 110)


@settings(deadline=None, max_examples=40, derandomize=True)
@given(st.floats(0.3, 1.0), st.floats(0.3, 1.0))
def test_a_larger_factor_never_lets_less_through(one: float, other: float) -> None:
    small, large = sorted((one, other))
    carried = [
        found("board-diversity", "", BAKERY, {FACTOR: factor, LOADED: 4}).carries_a
        for factor in (small, large)
    ]
    assert carried[0] is not None
    assert carried[1] is not None
    assert carried[0] <= carried[1] * (1 + 1e-6)


def test_more_circuits_together_are_never_assumed_to_carry_more() -> None:
    limits = []
    for count in range(2, 20):
        silent = {FACTOR: GONE, "board[0].assembly": "switchboard", LOADED: count}
        limit = found("board-assumed-loading", "", BAKERY, silent).limit
        assert limit is not None
        limits.append(limit)
    assert limits == sorted(limits, reverse=True)
    assert [limits[0], limits[-1]] == pytest.approx([0.9 * 32, 0.6 * 32])
