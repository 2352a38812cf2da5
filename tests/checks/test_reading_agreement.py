"""A reading beside the calculation: ranges as a whole, the limits themselves, and what is said.

The limits are held against IEC 61557-3 by the cases; that a range agrees where any of it does, and
counts as a whole, is a rule of this project.
"""

from __future__ import annotations

import pytest

from feasibility.result import Finding, Outcome, Quantity

from .sites import GONE, SINGLE, Changes, found, merged
from .test_readings import BETWEEN, CURRENT, LOOP, complete

OUTSIDE = "supply.external_loop_impedance_ohm"
LENGTH = "circuit[0].cable[0].length_m"


def reading(value: object, *changes: Changes) -> Finding:
    return found("loop-reading", "outlet", SINGLE, {LOOP: value, OUTSIDE: 0.1}, *changes)


def bounds(finding: Finding) -> tuple[float, float]:
    low, high = finding.reason.values["low"], finding.reason.values["high"]
    assert isinstance(low, Quantity)
    assert isinstance(high, Quantity)
    return low.value, high.value


def test_a_range_of_the_length_counts_as_a_whole() -> None:
    ranged = bounds(reading(0.2, {LENGTH: {"low": 10, "high": 40}}))
    short, long = bounds(reading(0.2, {LENGTH: 10})), bounds(reading(0.2, {LENGTH: 40}))
    assert ranged == (short[0], long[1])
    assert ranged[0] < ranged[1]


@pytest.mark.parametrize(
    ("low", "high", "outcome"),
    [
        (0.05, 0.2, Outcome.PASS),
        (0.05, 0.1, Outcome.CAUTION),
        (0.3, 0.7, Outcome.PASS),
        (0.4, 0.7, Outcome.CAUTION),
    ],
)
def test_a_range_of_the_reading_agrees_where_any_of_it_does(
    low: float, high: float, outcome: Outcome
) -> None:
    assert reading({"low": low, "high": high}).outcome is outcome


def test_a_reading_of_exactly_what_is_explained_is_explained() -> None:
    for limit in bounds(reading(0.2)):
        finding = reading(limit)
        assert finding.outcome is Outcome.PASS
        assert "explained by the calculation" in finding.reason.template


def test_a_reading_without_its_particulars_says_that_it_counts_only_for_the_worse() -> None:
    bare, whole = reading(0.2), reading(complete(0.2))
    assert "counts only where it makes a result worse" in bare.reason.template
    assert "counts only" not in whole.reason.template


@pytest.mark.parametrize(
    ("place", "path", "link"),
    [("outlet", "outlet", "outlet"), ("board[0]", "board[1]", "circuit 'Main cable'")],
)
def test_between_which_conductors_nobody_knows_is_asked_at_its_own_place(
    place: str, path: str, link: str
) -> None:
    nobody: Changes = merged(
        {LOOP: GONE, CURRENT: GONE, BETWEEN: GONE},
        {f"{place}.measured_fault_current_ka": 1.0, f"{place}.measured_fault_between": "unknown"},
    )
    finding = found("fault-current-reading", link, "bakery-yard", nobody)
    assert finding.facts == (f"{path}.measured_fault_between",)
