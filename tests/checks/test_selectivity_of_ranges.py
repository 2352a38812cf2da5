"""Selectivity of devices of which a setting or the characteristic is not known for certain."""

from __future__ import annotations

import pytest

from feasibility.render.numbers import message_text
from feasibility.result import Finding

from ..formulas import faults_of
from .cases_of_current import BREAKER
from .sites import SINGLE, found, step_result
from .test_selectivity import adjustable, judged


@pytest.mark.parametrize(
    ("place", "setting"),
    [
        ("supply.service_device", {"low": 50, "high": 60}),
        ("circuit[0].device", {"low": 30, "high": 34}),
    ],
)
def test_a_setting_that_may_vary_takes_the_end_with_the_smaller_ratio(
    place: str, setting: object
) -> None:
    """52 A over 32 A are 1.62 : 1; the ends of either range are more and less than 1.6 : 1."""
    devices = {
        "supply.service_device": adjustable(52, 1000)["supply.service_device"],
        "circuit[0].device": adjustable(32, 200)["supply.service_device"],
    }
    assert "ratio of the ratings" in message_text(judged(devices).reason)
    varied = {**devices, f"{place}.setting_a": setting, f"{place}.rating_a": 63}
    assert "ratio of the ratings" not in message_text(judged(varied).reason)


def test_the_working_of_a_ratio_of_settings_that_may_vary_can_be_re_derived() -> None:
    finding = judged(
        {
            "supply.service_device": adjustable(63, 1000)["supply.service_device"],
            "supply.service_device.setting_a": {"low": 58, "high": 63},
            "circuit[0].device": adjustable(36, 200)["supply.service_device"],
            "circuit[0].device.setting_a": {"low": 30, "high": 34},
        }
    )
    assert step_result(finding, "r") == pytest.approx(58 / 34)
    assert [fault for step in finding.working for fault in faults_of(step)] == []


def test_an_unknown_characteristic_of_the_stations_own_device_takes_its_worst() -> None:
    own = {
        "station.input_device_kind": "IEC 60898-1 circuit-breaker",
        "station.input_device_rating_a": 16,
    }

    def limit(letter: str) -> Finding:
        named = {**own, "station.input_device_characteristic": letter}
        return found("selectivity", "station", SINGLE, named)

    worst = limit("unknown")
    assert worst.value is not None
    assert worst.value == min(limit(letter).value or 0.0 for letter in "BCD")


def test_a_breaker_of_unknown_characteristic_holds_an_inrush_as_the_quickest_does() -> None:
    """IEC 60898-1, Table 7: characteristic B may trip from 3 In on."""
    unknown = {"circuit[0].device.characteristic": "unknown", "station.inrush_duration_ms": 20}
    assert found("inrush", BREAKER, SINGLE, unknown).limit == pytest.approx(3 * 32)


def test_a_fuse_holds_an_inrush_of_20_ms_by_its_energy() -> None:
    """63 A gG fuse: 9000 A2s at least (IEC 60269-1, Table 7), so 671 A for 20 ms."""
    lasting = {"station.inrush_duration_ms": 20, "station.inrush_peak_a": 100}
    finding = found("inrush", "service device", SINGLE, lasting)
    assert finding.limit == pytest.approx((9000 / 0.02) ** 0.5, rel=1e-9)


@pytest.mark.parametrize(("extra_a", "held"), [(-1, True), (1, False)])
def test_what_the_site_draws_meanwhile_counts_beside_the_inrush(
    extra_a: float, *, held: bool
) -> None:
    """63 A gG fuse for 20 ms: 671 A; 21 A flow to the other loads of the worst phase."""
    peak_a = 2**0.5 * ((9000 / 0.02) ** 0.5 - 21 + extra_a)
    lasting = {"station.inrush_duration_ms": 20, "station.inrush_peak_a": peak_a}
    finding = found("inrush", "service device", "bakery-yard", lasting)
    assert finding.value == pytest.approx(peak_a / 2**0.5 + 21, rel=1e-6)
    reason = message_text(finding.reason)
    assert ("is within" in reason, "exceeds" in reason) == (held, not held)
    assert ("may trip" in reason) is not held
