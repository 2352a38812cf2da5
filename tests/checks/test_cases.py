"""Every check of the catalogue: inside its limit, outside of it, and with a fact missing."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest

from feasibility.checks.catalogue import CATALOGUE
from feasibility.result import Finding, Outcome

from ..formulas import faults_of
from . import (
    cases_of_cables,
    cases_of_current,
    cases_of_declared_demand,
    cases_of_demand_log,
    cases_of_devices,
    cases_of_faults,
    cases_of_infeed,
    cases_of_infeed_voltage,
    cases_of_outlet,
    cases_of_power_quality,
    cases_of_protection,
    cases_of_residual_current,
    cases_of_series,
    cases_of_transformer,
    cases_of_unbalance,
    cases_of_voltage_and_arrangement,
    cases_of_withstand,
)
from .case import Case, Side
from .sites import found

CASES = (
    *cases_of_cables.CASES,
    *cases_of_current.CASES,
    *cases_of_declared_demand.CASES,
    *cases_of_demand_log.CASES,
    *cases_of_devices.CASES,
    *cases_of_faults.CASES,
    *cases_of_infeed.CASES,
    *cases_of_infeed_voltage.CASES,
    *cases_of_outlet.CASES,
    *cases_of_protection.CASES,
    *cases_of_residual_current.CASES,
    *cases_of_voltage_and_arrangement.CASES,
    *cases_of_power_quality.CASES,
    *cases_of_series.CASES,
    *cases_of_transformer.CASES,
    *cases_of_unbalance.CASES,
    *cases_of_withstand.CASES,
)


PAIRS = {
    id(outside): inside
    for inside, outside in pairwise(CASES)
    if (inside.side, outside.side) == (Side.INSIDE, Side.OUTSIDE)
    and (inside.check, inside.link) == (outside.check, outside.link)
}
"""Each case beyond a limit, and the one within it."""


def finding_of(case: Case) -> Finding:
    return found(case.check, case.link, case.site, case.changes)


@pytest.mark.parametrize("case", CASES, ids=str)
def test_case(case: Case) -> None:
    """Outcome, limit and facts; a working that can be derived again; a sentence for each side."""
    finding = finding_of(case)
    assert finding.outcome is case.outcome, finding.reason
    assert re.match("[A-Z{]", finding.reason.template)
    if case.limit is not None:
        assert finding.limit == pytest.approx(case.limit, rel=1e-3)
    if case.side is Side.UNKNOWN:
        assert case.fact in finding.facts
    else:
        assert case.source
        assert finding.facts == ()
    if finding.margin is None:
        assert finding.value is None or finding.limit is None
    elif finding.outcome is Outcome.PASS:
        assert finding.margin >= 0
    elif finding.outcome in (Outcome.FAIL, Outcome.CAUTION):
        assert finding.margin < 0
    assert [(step.symbol, fault) for step in finding.working for fault in faults_of(step)] == []
    if id(case) in PAIRS:
        within = finding_of(PAIRS[id(case)])
        assert finding.reason.template != within.reason.template


def test_every_case_of_a_limit_has_its_other_side_beside_it() -> None:
    assert len(PAIRS) == sum(case.side is Side.INSIDE for case in CASES)


@pytest.mark.parametrize("side", Side)
@pytest.mark.parametrize("check", [check.name for check in CATALOGUE])
def test_every_check_has_a_case_on_each_side(check: str, side: Side) -> None:
    assert [case for case in CASES if case.check == check and case.side is side]


def test_every_case_is_of_a_check_of_the_catalogue() -> None:
    names = [check.name for check in CATALOGUE]
    assert len(names) == len(set(names))
    assert {case.check for case in CASES} == set(names)
