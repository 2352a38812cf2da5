"""Knowing less never gives a better answer, and never an error."""

from __future__ import annotations

import math
from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from feasibility.demand_log.record import LogProblems
from feasibility.result import Outcome, Verdict
from feasibility.survey.consistency import inconsistencies
from feasibility.survey.model import Survey

from ..checks.sites import (
    GONE,
    Changes,
    Data,
    assessed_quickly,
    changed,
    keys_of,
    quick,
    site_data,
    third_harmonic,
)

QUICK = settings(
    max_examples=12,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
LONG = settings(
    max_examples=300,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)

RANK = (Verdict.UPGRADE, Verdict.UNDECIDED, Verdict.CARRIES_REDUCED, Verdict.CARRIES)

# Each of these, alone, keeps the bakery from carrying; all values lie within the ranges that the
# code basis puts in the place of what is not known.
BREACHES: dict[str, Changes] = {
    "metering": {"supply.metering_continuous_a": 40},
    "contract": {"supply.contracted_current_a": 30},
    "service": {"supply.service_device.rating_a": 35},
    "demand": {"board[0].demand.maximum_l1_a": 60},
    "device": {"circuit[1].device.rating_a": 20},
    "bunched": {
        "circuit[1].cable[0].grouped_circuits": 6,
        "circuit[1].cable[0].grouping": "bunched",
    },
    "laid in insulation": {"circuit[1].cable[0].method": "A2"},
    "thin": {"circuit[1].cable[0].section_mm2": 2.5},
    "cord": {"cord.section_mm2": 4, "cord.ambient_c": 40},
    "drum": {"cord.layers_on_drum": 3},
    "no protective conductor": {"circuit[1].cable[0].protective_section_mm2": 0},
    "no residual-current device": {"circuit[1].residual_current_device": {"present": False}},
    "type AC": {"circuit[1].residual_current_device.type": "AC"},
    "type A": {"circuit[1].residual_current_device.type": "A"},
    "delayed at 30 mA": {"circuit[1].residual_current_device.delay": "S"},
    "type A before type B": {
        "circuit[0].residual_current_device": {
            "present": True,
            "type": "A",
            "residual_current_ma": 300,
            "rating_a": 63,
            "delay": "S",
        },
    },
    "fire risk without a device": {
        "circuit[0].fire_risk": True,
        "circuit[0].residual_current_device.present": False,
    },
    "heat marks": {"outlet.condition": "heat marks"},
    "worn plug": {"cord.plug_condition": "worn contacts"},
    "not lockable": {"outlet.lockable_isolation": False},
    "rain": {"outlet.ip_code": "IP41"},
    "traffic": {"outlet.impact_guarded": False, "outlet.ik_code": "IK05"},
    "terminals": {"outlet.terminals_from_mm2": 10, "outlet.terminals_to_mm2": 25},
    "sun": {"circuit[1].cable[0].in_sun": True, "cord.in_sun": True},
    "TN-C": {"supply.earthing_system": "TN-C"},
    "poles": {"outlet.poles": "3P+E", "cord.plug_poles": "3P+E"},
    "clock position": {"outlet.clock_position": 9, "cord.plug_clock_position": 9},
    "plug": {"cord.plug_rating_a": 16},
    "third harmonic": third_harmonic(20),
    "breaking capacity": {
        "supply.prospective_fault_current_ka": 9,
        "circuit[1].device.breaking_capacity_ka": 3,
        "supply.service_device": {
            "kind": "IEC 60947-2 circuit-breaker",
            "rating_a": 63,
            "setting_a": 63,
            "magnetic_setting_a": 400,
            "breaking_capacity_ka": 25,
        },
    },
    "feeding back": {
        "station.can_feed_back": True,
        "station.feed_back_blocked_by": GONE,
    },
    "setting not locked": {"station.setting_locked": False, "station.dc_power_kw": 24},
}

STATES_ABSENCE = (
    # Left out, these state that there is no such thing; "unknown" asks for them.
    "station.largest_upstream_device_a",
    "station.permitted_fault_current_ka",
    "station.inlet_rating_a",
)


def leaves(value: object, path: str = "") -> Iterator[str]:
    """Paths of everything that a survey states, single fields and whole tables."""
    if isinstance(value, dict):
        for key, item in value.items():
            below = f"{path}.{key}" if path else str(key)
            yield below
            if not {"value", "low"} & set(value):
                yield from leaves(item, below)
    elif isinstance(value, list):
        for number, item in enumerate(value):
            yield f"{path}[{number}]"
            yield from leaves(item, f"{path}[{number}]")


def verdict_of(data: Data) -> Verdict | None:
    """The verdict, or None where such a survey would be sent back to its author."""
    if inconsistencies(data):
        return None
    try:
        survey = Survey.model_validate(data)
    except ValidationError:
        return None
    try:
        return assessed_quickly(survey).verdict
    except LogProblems:
        return None


SITES = (
    "bakery-yard", "joinery-hall", "camp-site-kiosk", "river-depot", "old-mill", "market-hall",
    "quarry-workshop",
)  # fmt: skip
NAMES = ("name", "starts_at", "ends_at", "code_basis")


def _stated(data: Data) -> list[str]:
    return [path for path in leaves(data) if not path.endswith(NAMES)]


@st.composite
def gaps(draw: st.DrawFn, data: Data) -> Changes:
    """Some fields of a survey, unknown or left out."""
    paths = draw(st.lists(st.sampled_from(_stated(data)), min_size=1, max_size=3, unique=True))
    # Positions first that stand last, so that leaving one out moves no other.
    ordered = sorted(paths, key=lambda path: [str(key) for key in keys_of(path)], reverse=True)
    return {path: draw(st.sampled_from((GONE, "unknown"))) for path in ordered}


def _leave_out(data: Data, gap: Changes) -> Data | None:
    for path, value in gap.items():
        try:
            data = changed(data, {path: value})
        except (KeyError, IndexError, TypeError):
            return None  # lies inside something that is gone already
    return data


@st.composite
def known_and_gap(draw: st.DrawFn) -> tuple[str, Data, Data]:
    name = draw(st.sampled_from(SITES))
    data = site_data(name)
    with_gap = _leave_out(data, draw(gaps(data)))
    assume(with_gap is not None)
    assert with_gap is not None
    return name, data, with_gap


def _less_is_never_better(case: tuple[str, Data, Data]) -> None:
    name, _, with_gap = case
    found = verdict_of(with_gap)
    assume(found is not None)
    assert found is not None
    if found is Verdict.CARRIES:
        assert quick(name).verdict is Verdict.CARRIES


test_a_gap_in_a_shipped_site_never_carries_more_and_is_no_error = QUICK(
    given(known_and_gap())(_less_is_never_better)
)
test_a_gap_in_a_shipped_site_at_length = pytest.mark.campaign(
    LONG(given(known_and_gap())(_less_is_never_better))
)


@pytest.mark.parametrize("breach", BREACHES)
def test_each_breach_alone_keeps_the_bakery_from_carrying(breach: str) -> None:
    result = quick("bakery-yard", BREACHES[breach])
    assert result.verdict is not Verdict.CARRIES
    reasons = {Outcome.FAIL, Outcome.OPEN} & {one.outcome for one in result.findings}
    assert reasons


def _breached(data: st.DataObject) -> tuple[Data, Data]:
    breach = data.draw(st.sampled_from(sorted(BREACHES)), label="breach")
    known = changed(site_data("bakery-yard"), BREACHES[breach])
    path = data.draw(st.sampled_from(_stated(known)), label="path")
    value = data.draw(st.sampled_from(("unknown", GONE)), label="value")
    assume(not (value is GONE and path in STATES_ABSENCE))
    return known, changed(known, {path: value})


def _what_is_not_known_never_mends_a_breach(data: st.DataObject) -> None:
    _, with_gap = _breached(data)
    assert verdict_of(with_gap) is not Verdict.CARRIES


test_what_is_not_known_never_mends_a_breach = QUICK(
    given(st.data())(_what_is_not_known_never_mends_a_breach)
)
test_what_is_not_known_never_mends_a_breach_at_length = pytest.mark.campaign(
    LONG(given(st.data())(_what_is_not_known_never_mends_a_breach))
)


def _number_at(data: Data, path: str) -> float | None:
    place: object = data
    for key in keys_of(path):
        place = place[key]  # type: ignore[index]
    if isinstance(place, dict):
        place = place.get("value")
    if isinstance(place, bool) or not isinstance(place, (int, float)):
        return None
    return place


def _a_range_never_improves_the_verdict(data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(SITES), label="site")
    breach = data.draw(st.sampled_from((*sorted(BREACHES), "none")), label="breach")
    known = site_data(name)
    if name == "bakery-yard" and breach != "none":
        known = changed(known, BREACHES[breach])
    numbers = [path for path in _stated(known) if _number_at(known, path) is not None]
    path = data.draw(st.sampled_from(numbers), label="path")
    value = _number_at(known, path)
    assert value is not None
    low = value * data.draw(st.floats(0.5, 1.0), label="low")
    high = value * data.draw(st.floats(1.0, 2.0), label="high")
    if isinstance(value, int):
        low, high = math.floor(low), math.ceil(high)
    before, after = (
        verdict_of(known),
        verdict_of(changed(known, {path: {"low": low, "high": high}})),
    )
    assume(before is not None and after is not None)
    assert before is not None
    assert after is not None
    if RANK.index(after) > RANK.index(before):
        # The only step upwards: from a plain no to "it depends".
        assert (before, after) == (Verdict.UPGRADE, Verdict.UNDECIDED)


test_a_range_around_a_value_never_improves_the_verdict = QUICK(
    given(st.data())(_a_range_never_improves_the_verdict)
)
test_a_range_around_a_value_at_length = pytest.mark.campaign(
    LONG(given(st.data())(_a_range_never_improves_the_verdict))
)


@pytest.mark.parametrize("path", ["circuit[1].ends_at", "circuit[1].starts_at", "board[0].name"])
def test_a_name_that_reads_unknown_is_an_inconsistency_and_no_error(path: str) -> None:
    data = changed(site_data("bakery-yard"), {path: "unknown"})
    assert verdict_of(data) in (None, Verdict.UNDECIDED)
