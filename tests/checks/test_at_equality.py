"""Limits that are met exactly are met: the rules read "at most" and "at least".

IEC 60364-4-43, 433.1 (Ib <= In <= Iz, I2 <= 1.45 Iz); IEC 60364-5-55, 551.7.2 (Iz >= In + Ig); IEC
60364-4-41, 415.1 and 60364-4-42, 422.3.9 (rated residual current not exceeding 30 mA, 300 mA).
"""

from __future__ import annotations

import pytest

from feasibility.result import Outcome, Verdict

from .cases_of_infeed import at_origin, on_board, on_circuit, photovoltaic
from .sites import SINGLE, Changes, asked, found, merged, quick

BAKERY = "bakery-yard"
CABLE = "Yard outlet: cable 1"
RATED_MA = "circuit[0].residual_current_device.residual_current_ma"
ABOVE_32_A: Changes = {"outlet.rating_a": 63, "outlet.building_site": True}

AT_EQUALITY: tuple[tuple[str, str, str, Changes, float, str], ...] = (
    ("overload-rating", CABLE, SINGLE, {"circuit[0].cable[0].ampacity_a": 32}, 32, "not exceed"),
    (
        "overload-tripping",
        CABLE,
        SINGLE,
        {"circuit[0].cable[0].ampacity_a": 32},
        1.45 * 32,
        "not exceed",
    ),
    ("accessory-protection", "outlet", SINGLE, {}, 32, "not exceed"),
    ("upstream-device", "", SINGLE, {"station.largest_upstream_device_a": 32}, 32, "is within"),
    ("residual-current-presence", "", SINGLE, {}, 30, "meets the required"),
    (
        "residual-current-presence",
        "",
        SINGLE,
        merged(ABOVE_32_A, {RATED_MA: 500}),
        500,
        "meets the required",
    ),
    (
        "fire-protection",
        "",
        SINGLE,
        {"circuit[0].fire_risk": True, RATED_MA: 300},
        300,
        "meets the {bound}",
    ),
    ("infeed-on-board", "", BAKERY, on_board(photovoltaic(), rated_current_a=83), 83, "not below"),
    ("infeed-behind-device", CABLE, BAKERY, on_circuit(9), 9, "is within"),
    (
        "infeed-behind-device",
        "Main cable: cable 1",
        BAKERY,
        at_origin(photovoltaic(13)),
        13,
        "is within",
    ),
    (
        "infeed-backwards",
        "service device",
        BAKERY,
        on_board(photovoltaic(63)),
        63,
        "is within",
    ),
    (
        "terminal-range",
        "outlet",
        SINGLE,
        {"outlet.terminals_from_mm2": 6, "outlet.terminals_to_mm2": 16},
        16,
        "fits",
    ),
    (
        "terminal-range",
        "outlet",
        SINGLE,
        {"outlet.terminals_from_mm2": 1.5, "outlet.terminals_to_mm2": 6},
        6,
        "fits",
    ),
)


@pytest.mark.parametrize(("check", "link", "site", "changes", "limit", "words"), AT_EQUALITY)
def test_a_limit_that_is_met_exactly_is_met(
    check: str, link: str, site: str, changes: Changes, limit: float, words: str
) -> None:
    finding = found(check, link, site, changes)
    assert finding.outcome is Outcome.PASS
    assert finding.limit == pytest.approx(limit)
    assert words in finding.reason.template


def test_an_outlet_of_32_a_needs_30_ma_and_one_of_63_a_does_not() -> None:
    # IEC 60364-4-41:2017, 411.3.3: socket-outlets not exceeding 32 A.
    none: Changes = {"circuit[0].residual_current_device": {"present": False}}
    for rating_a, outcome in ((32, Outcome.FAIL), (63, Outcome.NOT_APPLICABLE)):
        changes = {**none, "outlet.rating_a": rating_a, "outlet.building_site": False}
        assert found("residual-current-presence", "", SINGLE, changes).outcome is outcome


def test_an_unfused_cord_end_of_three_metres_is_a_caution_and_a_longer_one_open() -> None:
    # IEC 60364-4-43, 433.2.2: at most 3 m where the short-circuit protection is not shown.
    far_end: Changes = {
        "circuit[0].device.rating_a": 40,
        "circuit[0].device.characteristic": "D",
        "station.input_device_rating_a": 32,
    }
    outcomes = [
        found("overload-rating", "cord", SINGLE, far_end, {"cord.length_m": length_m}).outcome
        for length_m in (2.9, 3, 3.1)
    ]
    assert outcomes == [Outcome.CAUTION, Outcome.CAUTION, Outcome.OPEN]


def test_the_stations_device_counts_only_where_it_is_the_smaller_one() -> None:
    equal = found("overload-rating", "cord", SINGLE, {"station.input_device_rating_a": 32})
    assert "service" not in equal.working[0].meaning
    assert equal.working[0].meaning.startswith("rating of ")
    assert "station" not in equal.working[0].meaning
    smaller = found("overload-rating", "cord", SINGLE, {"station.input_device_rating_a": 31})
    assert "station's own device" in smaller.working[0].meaning
    assert smaller.value == 31
    of_cable = found("overload-rating", CABLE, SINGLE, {"station.input_device_rating_a": 31})
    assert of_cable.value == 32


def test_a_setting_that_meets_every_link_exactly_carries() -> None:
    exact: Changes = {"station.setting_a": 32, "station.setting_tolerance_percent": 0}
    ratings = found("link-rating", "outlet", SINGLE, exact)
    assert ratings.outcome is Outcome.PASS
    assert quick(SINGLE).verdict is Verdict.CARRIES


@pytest.mark.parametrize(
    ("check", "link", "changes"),
    [
        ("overload-rating", CABLE, {"circuit[0].cable[0].ampacity_a": 31.9}),
        ("overload-tripping", CABLE, {"circuit[0].cable[0].ampacity_a": 31.9}),
        ("standing-leakage", "", {"circuit[0].residual_current_device.other_leakage_ma": 3.1}),
    ],
)
def test_beyond_the_limit_the_sentence_says_so(check: str, link: str, changes: Changes) -> None:
    template = found(check, link, SINGLE, changes).reason.template
    assert "exceeds" in template
    assert "does not exceed" not in template


def test_a_range_of_the_devices_rating_counts_at_its_upper_end() -> None:
    ranged: Changes = {"circuit[0].device.rating_a": {"low": 32, "high": 40}}
    (judged,) = [
        one for one in asked("overload-rating", SINGLE, ranged) if one.unfavourable.link == CABLE
    ]
    assert judged.unfavourable.value == 40
    assert judged.favourable.value == 32


def test_a_standing_current_that_meets_the_advice_exactly_is_within_it() -> None:
    # IEC 60364-5-53, 531.3.2: 0.3 of 30 mA, 6 mA of them by the station.
    exact = {"circuit[0].residual_current_device.other_leakage_ma": 3}
    finding = found("standing-leakage", "", SINGLE, exact)
    assert (finding.outcome, finding.value, finding.limit) == (Outcome.PASS, 9, 9)
    assert "is within" in finding.reason.template
