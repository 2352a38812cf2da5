"""Contradictions within residual-current devices, outlet, sources and dates.

The expectations follow from what the survey's fields mean.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from feasibility.survey.plain_data import KeyPath

from .test_consistency import OUTLET, RESIDUAL, found, within


@pytest.mark.parametrize("delay", ["none", "S"])
def test_only_an_adjustable_delay_has_a_setting(delay: str) -> None:
    assert found(within(RESIDUAL, delay=delay, delay_s=0.1)) == [(*RESIDUAL, "delay_s")]


@pytest.mark.parametrize("delay", ["adjustable", "unknown"])
def test_the_setting_of_a_delay_that_can_be_set_is_accepted(delay: str) -> None:
    assert found(within(RESIDUAL, delay=delay, delay_s=0.1)) == []


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("delay_s", 0.1),
        ("direct_current_detection", True),
        ("other_leakage_ma", 3),
        ("other_direct_current_ma", 6),
    ],
)
def test_a_device_that_is_not_there_has_no_properties(key: str, value: Any) -> None:
    path: KeyPath = (*RESIDUAL, key)
    assert found(within(RESIDUAL, present=False, **{key: value})) == [path]


INSPECTED = dt.date(2024, 4, 16)


def with_survey_date(**outlet: Any) -> dict[KeyPath, Any]:
    return {("surveyor", "date"): dt.date(2026, 3, 12)} | within(OUTLET, **outlet)


def test_an_inspection_lies_before_the_survey() -> None:
    later = with_survey_date(last_inspection=dt.date(2026, 3, 13))
    assert found(later) == [(*OUTLET, "last_inspection")]
    assert found(with_survey_date(last_inspection=dt.date(2026, 3, 12))) == []


@pytest.mark.parametrize(("year", "accepted"), [(2024, True), (2025, False), (2027, False)])
def test_nothing_is_inspected_before_it_is_erected(year: int, accepted: bool) -> None:
    mistakes = found(with_survey_date(erected_year=year, last_inspection=INSPECTED))
    assert mistakes == ([] if accepted else [(*OUTLET, "erected_year")])


@pytest.mark.parametrize(
    ("year", "accepted"), [(1989, False), (1990, True), (2100, True), (2101, False)]
)
def test_a_survey_lies_in_a_year_that_load_profiles_know(year: int, accepted: bool) -> None:
    mistakes = found({("surveyor", "date"): dt.date(year, 3, 12)})
    assert mistakes == ([] if accepted else [("surveyor", "date")])


def test_a_date_that_is_none_is_passed_over() -> None:
    for date in ("2024-04-16", 2024, dt.datetime(2024, 4, 16, 12), True):  # noqa: DTZ001
        assert found(with_survey_date(erected_year=2020, last_inspection=date)) == []


@pytest.mark.parametrize(("path", "field"), [(OUTLET, "terminals"), (("cord",), "plug_terminals")])
def test_terminals_take_a_rising_range(path: KeyPath, field: str) -> None:
    low, high = f"{field}_from_mm2", f"{field}_to_mm2"
    base: dict[KeyPath, Any] = {("cord",): {}}
    assert found(base | within(path, **{low: 6, high: 4})) == [(*path, low)]
    assert found(base | within(path, **{low: 6, high: 6})) == []


def test_a_pilot_contact_is_for_large_outlets() -> None:
    # IEC 60309-2, standard sheets, from memory: from 63 A.
    for rating, pilot in ((32, "connected"), (16, "not connected")):
        mistakes = found(within(OUTLET, rating_a=rating, pilot_contact=pilot))
        assert mistakes == [(*OUTLET, "pilot_contact")]
    for rating, pilot in ((32, "none"), (63, "connected"), (125, "not connected")):
        assert found(within(OUTLET, rating_a=rating, pilot_contact=pilot)) == []


def test_an_interlocked_switch_is_not_denied() -> None:
    part = {("circuit", 1, "part"): [{"kind": "interlocked switch"}]}
    denied = found(part | within(OUTLET, interlocked_switch=False))
    assert denied == [(*OUTLET, "interlocked_switch")]
    assert found(part | within(OUTLET, interlocked_switch=True)) == []
    assert found(within(OUTLET, interlocked_switch=False)) == []


@pytest.mark.parametrize("path", [("supply",), ("board", 0)])
def test_who_lists_a_source_does_not_deny_it(path: KeyPath) -> None:
    listed = within(path, source=[{"name": "roof"}])
    assert found(listed | within(path, other_sources_none=True)) == [(*path, "other_sources_none")]
    assert found(listed | within(path, other_sources_none=False)) == []
    assert found(within(path, other_sources_none=True)) == []


def test_a_source_on_a_circuit_is_a_tap() -> None:
    path: KeyPath = ("circuit", 1)
    listed = within(path, source=[{"name": "plug-in set"}])
    denied = found(listed | within(path, other_outlets_none=True))
    assert denied == [(*path, "other_outlets_none")]
    assert found(listed) == []


@pytest.mark.parametrize(("system", "accepted"), [("TN-S", 0), ("TT", 0), ("IT", 0), ("TN-C-S", 1)])
def test_only_tn_c_and_tn_c_s_have_a_pen_conductor(system: str, accepted: int) -> None:
    path: KeyPath = ("circuit", 0, "pen_conductor")
    mistakes = found({("supply", "earthing_system"): system, path: True})
    assert mistakes == ([] if accepted else [path])
    assert found({("supply", "earthing_system"): system, path: False}) == []


def test_what_blocks_feeding_back_agrees_with_whether_it_can() -> None:
    path: KeyPath = ("station",)
    mistake = [("station", "feed_back_blocked_by")]
    assert found(within(path, can_feed_back=False, feed_back_blocked_by="nothing")) == mistake
    assert found(within(path, can_feed_back=True, feed_back_blocked_by="locked setting")) == mistake
    for can, blocked in ((False, "locked setting"), (True, "nothing"), ("unknown", "nothing")):
        assert found(within(path, can_feed_back=can, feed_back_blocked_by=blocked)) == []


@pytest.mark.parametrize(
    ("phases", "power_kw", "accepted"),
    # By hand: 20 A in three phases of 400 V are 13.86 kW, in one 4.62 kW; 1.2 times that at most.
    [("L1L2L3", 16.6, True), ("L1L2L3", 16.7, False), ("L2", 5.54, True), ("L2", 5.55, False)],
)
def test_a_source_gives_no_more_than_its_current_makes_possible(
    phases: str, power_kw: float, accepted: bool
) -> None:
    source = {"name": "roof", "rated_current_a": 20, "phases": phases, "rated_power_kw": power_kw}
    places = (("board", 0, "source"), ("supply", "source"), ("circuit", 1, "source"))
    for place in places:
        mistakes = found({("supply", "nominal_voltage_v"): 400, place: [source]})
        assert mistakes == ([] if accepted else [(*place, 0, "rated_power_kw")])
