"""What else hangs on a residual-current device, and devices in series whose delay is a range.

Published figures are those of IEC 61008-1, Table 1, as manuals of testers print it: general type
within 0.04 s at five times the rated residual current, type S within 0.15 s, and held for 0.06 s at
twice; 6 mA are what a device of type A tolerates (IEC 60364-5-53, 531.3.3) and what a detector lets
through (IEC 62955).
"""

from __future__ import annotations

from typing import Any

import pytest

from feasibility.result import Outcome

from .cases_of_residual_current import BEFORE, adjustable, before
from .sites import GONE, SINGLE, Changes, asked, found, merged, step_result

BAKERY, KIOSK = "bakery-yard", "camp-site-kiosk"
DEVICE = "circuit[0].residual_current_device"

TYPE_A_ALONE: Changes = {
    f"{DEVICE}.type": "A",
    f"{DEVICE}.combined": True,
    f"{DEVICE}.rating_a": 32,
    f"{DEVICE}.other_direct_current_ma": GONE,
    f"{DEVICE}.other_leakage_ma": GONE,
    "station.direct_current_detection": True,
}
"""Of what else hangs on the device nothing is said: 6 mA of the station fill it, if it is alone."""


def taps(*blocked: Any) -> Changes:
    stated = [
        {"name": f"tap {number}", "rating_a": 16} | ({} if one is GONE else {"blocked": one})
        for number, one in enumerate(blocked)
    ]
    return {"circuit[0].other_outlets_none": GONE, "circuit[0].other_outlet": stated}


@pytest.mark.parametrize("changes", [{}, taps(True), taps(True, True)])
def test_nothing_else_hangs_on_a_device_that_serves_the_station_alone(changes: Changes) -> None:
    direct = found("direct-current-blinding", "", SINGLE, TYPE_A_ALONE, changes)
    assert (direct.outcome, direct.value) == (Outcome.PASS, 6)
    standing = found("standing-leakage", "", SINGLE, TYPE_A_ALONE, changes)
    assert (standing.outcome, standing.value) == (Outcome.PASS, 6)


@pytest.mark.parametrize(
    "changes",
    [
        {f"{DEVICE}.combined": False},
        {f"{DEVICE}.combined": GONE},
        {"circuit[0].other_outlets_none": GONE},
        taps(False),
        taps(GONE),
        taps("unknown"),
        taps(True, False),
        taps(False, True),
        taps(True, GONE),
    ],
)
def test_what_may_hang_on_the_device_has_to_be_known(changes: Changes) -> None:
    changes = merged(TYPE_A_ALONE, changes)
    (direct,) = asked("direct-current-blinding", SINGLE, changes)
    assert (direct.unfavourable.outcome, direct.unfavourable.value) == (Outcome.FAIL, 12)
    assert direct.favourable.value == 6
    standing = found("standing-leakage", "", SINGLE, changes)
    assert standing.outcome is Outcome.CAUTION
    assert standing.value is None
    assert "circuit[1].residual_current_device.other_leakage_ma" in standing.facts


def test_what_is_stated_counts_also_where_nothing_should_hang_on_the_device() -> None:
    stated = {f"{DEVICE}.other_direct_current_ma": 6, f"{DEVICE}.other_leakage_ma": 4}
    direct = found("direct-current-blinding", "", SINGLE, TYPE_A_ALONE, stated)
    assert (direct.outcome, direct.value) == (Outcome.FAIL, 12)
    standing = found("standing-leakage", "", SINGLE, TYPE_A_ALONE, stated)
    assert (standing.outcome, standing.value) == (Outcome.CAUTION, 10)


def test_a_device_before_a_board_never_serves_the_station_alone() -> None:
    upstream = before(type="A", combined=True)
    alone: dict[str, Any] = upstream[DEVICE]
    alone = {key: value for key, value in alone.items() if not key.startswith("other_")}
    detected = {"station.direct_current_detection": True, DEVICE: alone}
    judged = asked("direct-current-blinding", BAKERY, detected)
    (first,) = [one.unfavourable for one in judged if one.unfavourable.link == BEFORE]
    assert (first.outcome, first.value) == (Outcome.FAIL, 12)


def behind(delay: Any) -> Changes:
    return {"circuit[1].residual_current_device.delay": delay}


@pytest.mark.parametrize(
    ("delay", "within_s"), [("none", 0.04), ("S", 0.15), (GONE, 0.15), ("unknown", 0.15)]
)
def test_the_device_before_waits_for_the_later_end_of_the_one_behind(
    delay: Any, within_s: float
) -> None:
    for held_s, outcome in ((within_s * 1.01, Outcome.PASS), (within_s * 0.99, Outcome.CAUTION)):
        slow = before(delay="adjustable", delay_s=held_s)
        (judged,) = asked("residual-current-selectivity", BAKERY, slow, behind(delay))
        assert judged.unfavourable.outcome is outcome
        assert step_result(judged.unfavourable, "tb") == pytest.approx(within_s)
        assert step_result(judged.unfavourable, "tw") == pytest.approx(held_s)
        shown = (judged.unfavourable.value, judged.unfavourable.limit, judged.unfavourable.unit)
        assert shown == ((held_s, within_s, "s") if outcome is Outcome.PASS else (None, None, ""))


def test_the_device_before_counts_at_the_earlier_end_of_its_own_delay() -> None:
    undecided = {"delay": "unknown"}
    (judged,) = asked("residual-current-selectivity", BAKERY, before(**undecided))
    assert step_result(judged.unfavourable, "tw") == 0
    assert judged.unfavourable.outcome is Outcome.CAUTION
    assert step_result(judged.favourable, "tw") == pytest.approx(0.06)
    assert judged.favourable.outcome is Outcome.PASS


def test_an_adjustable_device_behind_breaks_its_allowance_later() -> None:
    # IEC 61008-1, Table 1: type S breaks at most 0.15 s, at the earliest 0.06 s: 0.09 s more.
    set_to = {"circuit[1].residual_current_device.delay_s": 0.1}
    later = merged(behind("adjustable"), set_to)
    for held_s, outcome in ((0.1901, Outcome.PASS), (0.1899, Outcome.CAUTION)):
        slow = before(delay="adjustable", delay_s=held_s)
        finding = found("residual-current-selectivity", "", BAKERY, slow, later)
        assert finding.outcome is outcome
        assert step_result(finding, "tb") == pytest.approx(0.19)
        assert ("both" in finding.reason.template) is (outcome is Outcome.CAUTION)
        longer = "not longer than" not in finding.reason.template
        assert longer is (outcome is Outcome.PASS)


def test_equal_times_are_not_selective_and_an_equal_delay_still_disconnects() -> None:
    slow = before(delay="adjustable", delay_s=0.04)
    assert found("residual-current-selectivity", "", BAKERY, slow).outcome is Outcome.CAUTION
    finding = found("residual-current-delay", "", KIOSK, adjustable(0.11))
    assert finding.value == finding.limit == 0.2
    assert finding.outcome is Outcome.PASS
    assert "within" in finding.reason.template


def test_three_times_exactly_is_selective() -> None:
    exact = before(residual_current_ma=90)
    assert found("residual-current-selectivity", "", BAKERY, exact).outcome is Outcome.PASS


@pytest.mark.parametrize(
    ("required", "there", "outcome"),
    [
        # IEC 60755: B detects what F detects, F what A detects, A what AC detects.
        ("A", "A", Outcome.PASS),
        ("A", "AC", Outcome.FAIL),
        ("F", "A", Outcome.FAIL),
        ("F", "F", Outcome.PASS),
        ("B", "F", Outcome.FAIL),
        ("B", "B", Outcome.PASS),
        ("B+", "B+", Outcome.PASS),
    ],
)
def test_the_type_that_the_manual_asks_for(required: str, there: str, outcome: Outcome) -> None:
    changes = {"station.required_residual_current_type": required, f"{DEVICE}.type": there}
    assert found("residual-current-by-manual", "", SINGLE, changes).outcome is outcome
