"""A station made for a nominal voltage and 10 % more bears what IEC 60038 lets a supply reach.

IEC 60038, Table 1: 230/400 V; supply terminals within 10 % of nominal: 253 V and 440 V.
"""

from __future__ import annotations

import pytest

from feasibility.result import Outcome

from ..formulas import faults_of
from .cases_of_transformer import own
from .sites import GONE, SINGLE, Changes, found

SINGLE_PHASE: Changes = {
    "station.phases": "L1",
    "station.minimum_voltage_v": 180,
    "station.full_power_voltage_v": 200,
}


@pytest.mark.parametrize(("changes", "highest_v"), [({}, 440), (SINGLE_PHASE, 253)])
def test_ten_percent_above_nominal_is_borne_and_no_volt_more(
    changes: Changes, highest_v: float
) -> None:
    for maximum_v, outcome in ((highest_v, Outcome.PASS), (highest_v - 0.1, Outcome.FAIL)):
        maximum = {"station.maximum_voltage_v": maximum_v}
        finding = found("highest-voltage", "", SINGLE, changes, maximum)
        assert finding.outcome is outcome
        assert finding.value == highest_v
        assert [fault for step in finding.working for fault in faults_of(step)] == []


@pytest.mark.parametrize(("changes", "share"), [({}, 1.0), (SINGLE_PHASE, 3**-0.5)])
def test_a_measured_highest_voltage_stands_before_the_tolerance(
    changes: Changes, share: float
) -> None:
    measured = {"supply.highest_voltage_v": 430}
    finding = found("highest-voltage", "", SINGLE, changes, measured)
    assert finding.value == pytest.approx(430 * share)
    assert [fault for step in finding.working for fault in faults_of(step)] == []


def test_a_transformer_of_unknown_voltage_is_open_where_nobody_stated_the_voltage() -> None:
    """The tolerance of a public network (IEC 60038) says nothing of an own transformer."""
    plate = own(rated_secondary_voltage_v="unknown")
    for check in ("highest-voltage", "minimum-voltage"):
        finding = found(check, "", SINGLE, plate)
        assert finding.outcome is Outcome.OPEN
        assert "supply.transformer.rated_secondary_voltage_v" in finding.facts
    stated = {"supply.highest_voltage_v": 430, "supply.lowest_voltage_v": 380}
    assert found("highest-voltage", "", SINGLE, plate, stated).value == 430
    lowest = found("minimum-voltage", "", SINGLE, plate, stated)
    assert lowest.outcome is Outcome.PASS
    assert lowest.value is not None
    assert 370 < lowest.value < 380


def test_a_transformers_lowest_voltage_is_derived_only_where_it_counts() -> None:
    """Beside a stated lowest voltage it counts if the medium voltage's tolerance is stated too."""
    stated = {"supply.lowest_voltage_v": 370}
    derived = found("minimum-voltage", "", SINGLE, own(), stated)
    assert "U0t" in {one.symbol for one in derived.working}
    gone = {"supply.transformer.upstream_tolerance_low_percent": GONE}
    plain = found("minimum-voltage", "", SINGLE, own(), stated, gone)
    assert "U0t" not in {one.symbol for one in plain.working}
