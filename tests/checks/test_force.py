"""Only requirements and makers' limits fail and limit the current; all else advises."""

from __future__ import annotations

import pytest

from feasibility.result import Force, Outcome, Verdict

from .sites import GONE, Changes, found, outcomes, pick, quick
from .test_cases import CASES

BAKERY = "bakery-yard"

ADVICE: dict[str, tuple[Force, str, Changes]] = {
    "outlet-share": (Force.PRACTICE, "", {"station.setting_a": 28}),
    "device-share": (
        Force.PRACTICE,
        "Yard outlet: device",
        {"circuit[1].device.rating_a": 25, "station.setting_tolerance_percent": 1},
    ),
    "device-hold": (
        Force.NUISANCE,
        "Yard outlet: device",
        {"circuit[1].device.enclosure_temperature_c": 60, "circuit[1].device.loaded_neighbours": 5},
    ),
    "voltage-drop": (
        Force.RECOMMENDATION,
        "",
        {"circuit[1].cable[0].length_m": 150, "outlet.measured_loop_impedance_ohm": GONE},
    ),
    "full-power-voltage": (Force.NUISANCE, "", {"station.full_power_voltage_v": 358}),
    "standing-leakage": (
        Force.RECOMMENDATION,
        "Yard outlet: residual-current device",
        {"station.protective_conductor_current_ma": 9.5},
    ),
    "dedicated-circuit": (
        Force.RECOMMENDATION,
        "circuit 'Yard outlet'",
        {
            "circuit[1].other_outlets_none": GONE,
            "circuit[1].other_outlet": [{"name": "lamp", "rating_a": 1}],
        },
    ),
    "measured-loop": (
        Force.RECOMMENDATION,
        "",
        {"outlet.measured_loop_impedance_ohm": 1.0},
    ),
}
ON_CURRENT = ("outlet-share", "device-share", "device-hold", "voltage-drop")


@pytest.mark.parametrize("check", ADVICE)
def test_a_breach_of_advice_is_a_caution_and_still_carries(check: str) -> None:
    force, link, changes = ADVICE[check]
    result = quick(BAKERY, changes)
    finding = pick(result, check, link)
    assert (finding.outcome, finding.force) == (Outcome.CAUTION, force)
    assert result.verdict is Verdict.CARRIES
    assert outcomes(result, Outcome.FAIL) == set()
    assert result.requested_current_a is not None
    assert result.carryable_current_a is not None
    assert result.carryable_current_a >= result.requested_current_a


@pytest.mark.parametrize("check", ON_CURRENT)
def test_advice_on_current_lowers_the_advised_current_only(check: str) -> None:
    _, link, changes = ADVICE[check]
    result = quick(BAKERY, changes)
    advised_by_it = pick(result, check, link).carries_a
    assert advised_by_it is not None
    assert result.advised_current_a is not None
    assert result.requested_current_a is not None
    assert result.carryable_current_a is not None
    assert result.advised_current_a <= advised_by_it < result.requested_current_a
    assert result.advised_current_a < result.carryable_current_a


def test_a_nuisance_names_no_current_at_all() -> None:
    _, _, changes = ADVICE["full-power-voltage"]
    plain, below = quick(BAKERY), quick(BAKERY, changes)
    assert pick(below, "full-power-voltage").carries_a is None
    assert below.advised_current_a == plain.advised_current_a
    assert below.carryable_current_a == plain.carryable_current_a


BINDING: dict[str, tuple[str, Changes]] = {
    "link-rating": ("metering place", {"supply.metering_continuous_a": 40}),
    "device-rating": ("Yard outlet: device", {"circuit[1].device.rating_a": 20}),
    "ampacity": ("Main cable: cable 1", {"circuit[0].cable[0].ambient_c": 58}),
    "contracted-capacity": ("", {"supply.contracted_current_a": 40}),
    "continuous-current": ("outlet", {"outlet.continuous_a": 20}),
    "minimum-voltage": (
        "",
        {"station.minimum_voltage_v": 358, "station.full_power_voltage_v": 359},
    ),
}


@pytest.mark.parametrize("check", BINDING)
def test_a_breach_of_a_binding_limit_fails_and_limits_the_current(check: str) -> None:
    link, changes = BINDING[check]
    result = quick(BAKERY, changes)
    finding = pick(result, check, link)
    assert finding.outcome is Outcome.FAIL
    assert finding.force.binds
    assert finding.carries_a is not None
    assert result.requested_current_a is not None
    assert result.current_limit_only_a is not None
    assert result.current_limit_only_a <= finding.carries_a < result.requested_current_a
    assert result.verdict in (Verdict.CARRIES_REDUCED, Verdict.UPGRADE)


@pytest.mark.parametrize(
    ("check", "changes"),
    [
        ("continuous-current", {"outlet.continuous_a": 20}),
        ("minimum-voltage", {"station.minimum_voltage_v": 331}),
        ("station-fault-level", {}),
        ("upstream-device", {}),
        ("feed-back", {}),
    ],
)
def test_makers_limits_bind(check: str, changes: Changes) -> None:
    finding = found(check, "", BAKERY, changes)
    assert finding.force is Force.MAKERS_LIMIT
    assert finding.force.binds


ON_RESIDUAL_CURRENT_ALONE = "disconnection"


def test_no_case_of_any_check_fails_on_advice_or_only_warns_of_a_binding_limit() -> None:
    for case in CASES:
        finding = found(case.check, case.link, case.site, case.changes)
        if finding.outcome is Outcome.FAIL:
            assert finding.force.binds, case
        if finding.outcome is Outcome.CAUTION and case.check != ON_RESIDUAL_CURRENT_ALONE:
            assert not finding.force.binds, case
