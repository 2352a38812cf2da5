"""Voltages at a station, the search for a largest current, and what of the site counts for it."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from feasibility.checks.operation import UNLIMITED_A, Operation
from feasibility.checks.question import Run
from feasibility.installation.build import build_installation
from feasibility.result import Finding, Outcome, Step

from ..formulas import faults_of
from .sites import GONE, SINGLE, Changes, asked, drawing, found, site

KIOSK = "camp-site-kiosk"
SHORT: Changes = {"circuit[0].cable[0].length_m": 0.001, "cord.length_m": 0.001}


def operation() -> Operation:
    return Run.over(build_installation(site(SINGLE)), favourable=False).operation


def falls_straight(amperes: float, limit_a: float) -> float:
    return limit_a - amperes


def falls_steeper(amperes: float, limit_a: float) -> float:
    return float(limit_a**1.7 - amperes**1.7)


def falls_to_a_collapse(amperes: float, limit_a: float) -> float:
    return -math.inf if amperes > 1.2 * limit_a else limit_a - amperes


@pytest.mark.parametrize("falls", [falls_straight, falls_steeper, falls_to_a_collapse])
@pytest.mark.parametrize("limit_a", [0.5, 1.5, 24.0, 500.0])
@pytest.mark.parametrize("start_a", [0.1, 10.0, 40.0])
def test_the_search_ends_where_the_margin_is_used_up(
    falls: Callable[[float, float], float], limit_a: float, start_a: float
) -> None:
    asked_for: list[float] = []

    def margin(amperes: float) -> float:
        asked_for.append(amperes)
        assert len(asked_for) < 500
        return falls(amperes, limit_a)

    largest = operation().largest_current_a(margin, start_a)
    assert largest == pytest.approx(limit_a, abs=1e-5)
    assert falls(largest, limit_a) >= 0


def test_a_site_whose_voltage_collapses_has_none_at_the_station() -> None:
    collapsed = found("minimum-voltage", "", SINGLE, {"circuit[0].cable[0].length_m": 3000})
    assert collapsed.outcome is Outcome.FAIL
    assert collapsed.value == 0


def test_nothing_and_everything_may_pass() -> None:
    assert operation().largest_current_a(lambda amperes: -1 - amperes, 10.0) == 0
    assert operation().largest_current_a(lambda _: 1.0, 10.0) == UNLIMITED_A


@pytest.mark.parametrize("check", ["voltage-drop", "minimum-voltage", "full-power-voltage"])
def test_the_current_at_which_a_voltage_is_just_enough(check: str) -> None:
    finding = found(check, "", SINGLE)
    if check == "full-power-voltage":
        assert finding.outcome is Outcome.PASS
    if finding.carries_a is not None:
        at_limit = found(check, "", SINGLE, drawing(finding.carries_a))
        assert at_limit.value == pytest.approx(at_limit.limit, rel=1e-5)


def test_a_current_is_named_for_drop_and_least_voltage_alone_where_there_is_one() -> None:
    for check in ("voltage-drop", "minimum-voltage"):
        assert found(check, "", SINGLE).carries_a is not None
    assert found("voltage-drop", "", SINGLE, SHORT).carries_a is None
    weakened = found("minimum-voltage", "", SINGLE, SHORT)
    assert weakened.carries_a is None


@pytest.mark.parametrize("stated", [GONE, "unknown"])
@pytest.mark.parametrize("name", ["full_power_voltage", "minimum_voltage"])
def test_a_voltage_that_nobody_read_is_a_share_of_the_nominal_one(
    name: str, stated: object
) -> None:
    check = name.replace("_", "-")
    (judged,) = asked(check, SINGLE, {f"station.{name}_v": stated})
    shares: list[float] = []
    for finding in (judged.unfavourable, judged.favourable):
        step = _limit_step(finding)
        assert step.formula == "r * Un"
        assert list(faults_of(step)) == []
        share = step.inputs[0].value
        shares.append(share)
        assert finding.limit == pytest.approx(share * 400)
    assert 1 > shares[0] >= shares[1] > 0.5


def _limit_step(finding: Finding) -> Step:
    return next(one for one in finding.working if one.symbol == "Ulim")


def test_of_the_highest_voltages_that_a_station_may_bear_the_lower_one_counts() -> None:
    ranged: Changes = {"station.maximum_voltage_v": {"low": 450, "high": 460}}
    (judged,) = asked("highest-voltage", SINGLE, ranged)
    assert (judged.unfavourable.limit, judged.favourable.limit) == (450, 460)


@pytest.mark.parametrize(("phase", "site_a"), [("L1", 12), ("L2", 17), ("L3", 19)])
def test_of_the_sites_load_the_stations_phase_flows_with_it(phase: str, site_a: float) -> None:
    # By Kirchhoff, and at power factors of 0.92 and 0.99 a little less than the sum of 10.2 A.
    value = found("device-rating", "service device", KIOSK, {"station.phases": phase}).value
    assert value == pytest.approx(site_a + 10.2, rel=0.03)


def test_loads_on_other_phases_relieve_no_neutral() -> None:
    alone: Changes = {"board[0].demand.maximum_l2_a": 0, "board[0].demand.maximum_l3_a": 0}
    assert found("voltage-drop", "", KIOSK).value == found("voltage-drop", "", KIOSK, alone).value


def test_a_supply_of_unknown_kind_counts_as_public_at_the_unfavourable_end_only() -> None:
    for check in ("short-circuit-ratio", "voltage-change"):
        (judged,) = asked(check, SINGLE, {"supply.kind": GONE})
        assert judged.unfavourable.outcome is not Outcome.NOT_APPLICABLE
        assert judged.favourable.outcome is Outcome.NOT_APPLICABLE


@pytest.mark.parametrize(("phase", "site_a"), [(0, 12), (1, 17), (2, 19)])
def test_only_the_stations_phase_is_loaded_in_its_network(phase: int, site_a: float) -> None:
    # 230.9 V to neutral, power factor 0.92.
    changes: Changes = {"station.phases": f"L{phase + 1}"}
    run = Run.over(build_installation(site(KIOSK, changes)), favourable=False)
    (other,) = [one for one in run.operation.network(10.2).loads if "station" not in one.name]
    expected = [0.0, 0.0, 0.0]
    expected[phase] = site_a * 400 / 3**0.5 * 0.92
    assert list(other.active_w) == pytest.approx(expected, rel=1e-6, abs=1e-9)


def test_the_temperature_of_a_loaded_cable_by_hand() -> None:
    # T = Ta + (Tmax - Ta) (I / Iz)^2, the law behind IEC 60364-5-52, Table B.52.14.
    warm = operation().temperatures_c(24.48)
    assert warm["Yard outlet: cable 1"] == pytest.approx(30 + 40 * (24.48 / 41) ** 2)
    assert set(warm) == {"Yard outlet: cable 1", "cord"}
