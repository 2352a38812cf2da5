"""Residual-current devices in series, laid beside what other documents print."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from feasibility.result import Outcome, Verdict

from .cases_of_residual_current import BEFORE, before
from .sites import SINGLE, found, quick

BAKERY, KIOSK = "bakery-yard", "camp-site-kiosk"
DEVICE = "circuit[0].residual_current_device"
QUICK = settings(max_examples=25, deadline=None, derandomize=True)

RANK = (Outcome.FAIL, Outcome.OPEN, Outcome.CAUTION, Outcome.PASS)


@pytest.mark.parametrize(("rated_ma", "budget_ma"), [(30, 9), (100, 30), (300, 90)])
def test_the_budget_of_standing_current(rated_ma: float, budget_ma: float) -> None:
    # Discussion of 531.3.2: 9 mA behind 30 mA; the others follow from the same share.
    found_there = found("standing-leakage", "", SINGLE, {f"{DEVICE}.residual_current_ma": rated_ma})
    assert found_there.limit == pytest.approx(budget_ma)


@pytest.mark.parametrize(
    ("upper_ma", "delay", "selective"),
    [
        # Catalogue page on selectivity: at least 3 times, and later than the one behind breaks.
        (30, "S", False),
        (100, "none", False),
        (100, "S", True),
        (300, "S", True),
        (300, "none", False),
    ],
)
def test_selectivity_over_a_device_of_30_ma(upper_ma: float, delay: str, selective: bool) -> None:
    changes = before(residual_current_ma=upper_ma, delay=delay)
    finding = found("residual-current-selectivity", "", BAKERY, changes)
    assert finding.outcome is (Outcome.PASS if selective else Outcome.CAUTION)


def test_two_delayed_devices_of_one_kind_are_not_selective() -> None:
    second = {"circuit[1].residual_current_device.delay": "S"}
    finding = found("residual-current-selectivity", "", BAKERY, before(), second)
    assert finding.outcome is Outcome.CAUTION
    assert "both" in finding.reason.template


def test_a_single_device_is_not_asked_about_selectivity() -> None:
    assert "residual-current-selectivity" not in {one.check for one in quick(BAKERY).findings}


@pytest.mark.parametrize("letter", ["AC", "A", "F"])
def test_only_type_b_may_stand_before_a_type_b(letter: str) -> None:
    # Manual of a charging station: upstream of a type B only type B, or detection of 6 mA.
    result = quick(BAKERY, before(type=letter))
    assert result.verdict is Verdict.UPGRADE
    failed = {(one.check, one.link) for one in result.findings if one.outcome is Outcome.FAIL}
    assert ("direct-current-blinding", BEFORE) in failed


def test_type_b_before_type_b_carries() -> None:
    assert quick(BAKERY, before()).verdict is Verdict.CARRIES


def test_a_device_of_type_b_plus_is_one_of_type_b() -> None:
    plus = {"circuit[1].residual_current_device.type": "B+"}
    assert quick(BAKERY, plus).verdict is Verdict.CARRIES


def test_a_detector_at_the_outlet_spares_the_device_before_it() -> None:
    at_the_outlet = {
        "circuit[1].residual_current_device.type": "A",
        "circuit[1].residual_current_device.direct_current_detection": True,
    }
    assert quick(BAKERY, before(type="A"), at_the_outlet).verdict is Verdict.CARRIES
    further_up = {
        "circuit[0].residual_current_device.direct_current_detection": True,
        "circuit[1].residual_current_device.type": "A",
    }
    result = quick(BAKERY, before(type="B"), further_up)
    assert result.verdict is Verdict.UPGRADE


def test_a_delayed_device_of_30_ma_is_no_additional_protection() -> None:
    result = quick(BAKERY, {"circuit[1].residual_current_device.delay": "S"})
    assert result.verdict is Verdict.UPGRADE


def test_a_slow_device_in_tt_must_not_carry() -> None:
    slow = {
        "circuit[1].residual_current_device.delay": "adjustable",
        "circuit[1].residual_current_device.delay_s": 1,
    }
    result = quick(KIOSK, slow)
    assert result.verdict is Verdict.UPGRADE
    failed = {one.check for one in result.findings if one.outcome is Outcome.FAIL}
    assert failed == {"residual-current-delay", "residual-current-presence"}


def test_a_prompt_device_before_a_slow_one_disconnects_in_its_place() -> None:
    slow = {
        "circuit[1].residual_current_device.delay": "adjustable",
        "circuit[1].residual_current_device.delay_s": 5,
    }
    prompt = before(residual_current_ma=100, delay="none")
    alone = found("residual-current-delay", "", KIOSK, slow)
    helped = found("residual-current-delay", "", KIOSK, slow, prompt)
    assert (alone.outcome, helped.outcome) == (Outcome.FAIL, Outcome.PASS)
    blind = before(residual_current_ma=100, delay="none", type="A")
    assert found("residual-current-delay", "", KIOSK, slow, blind).outcome is Outcome.FAIL


@QUICK
@given(first=st.floats(0, 50), more=st.floats(0, 50), letter=st.sampled_from(["A", "F", "B"]))
def test_more_direct_current_is_never_better(first: float, more: float, letter: str) -> None:
    detected = {f"{DEVICE}.type": letter, "station.direct_current_detection": True}
    ranks = [
        RANK.index(
            found(
                "direct-current-blinding",
                "",
                SINGLE,
                detected,
                {f"{DEVICE}.other_direct_current_ma": current},
            ).outcome
        )
        for current in (first, first + more)
    ]
    assert ranks[1] <= ranks[0]


@QUICK
@given(first=st.floats(0, 2), more=st.floats(0, 2))
def test_a_longer_delay_is_never_better(first: float, more: float) -> None:
    ranks = []
    for delay_s in (first, first + more):
        changes = {
            "circuit[1].residual_current_device.delay": "adjustable",
            "circuit[1].residual_current_device.delay_s": delay_s,
        }
        ranks.append(RANK.index(found("residual-current-delay", "", KIOSK, changes).outcome))
    assert ranks[1] <= ranks[0]
