"""Rules on contradictions, each seen to object, seen to accept its border, and seen to pass over.

The rating limit of IEC 60898-1 is that of its scope (clause 1: rated current not above 125 A, from
memory). The other expectations follow from what the survey's fields mean.
"""

from __future__ import annotations

import copy
import datetime as dt
import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from feasibility.survey.consistency import inconsistencies
from feasibility.survey.model import Survey
from feasibility.survey.plain_data import KeyPath

BASE: dict[str, Any] = {
    "survey_version": 1,
    "site": {"reference": "T-002", "name": "Invented yard"},
    "surveyor": {"name": "A. Example"},
    "supply": {"nominal_voltage_v": 400, "external_loop_impedance_ohm": 0.2, "service_device": {}},
    "board": [{"name": "Board", "demand": {}}],
    "circuit": [
        {"name": "Feed", "starts_at": "origin", "ends_at": "Board", "device": {}},
        {
            "name": "Station",
            "starts_at": "Board",
            "ends_at": "outlet",
            "residual_current_device": {},
            "part": [{"kind": "contactor"}],
        },
    ],
    "outlet": {},
    "station": {"name": "Invented station"},
}


def changed(changes: dict[KeyPath, Any]) -> dict[str, Any]:
    data = copy.deepcopy(BASE)
    for path, value in changes.items():
        place: Any = data
        for part in path[:-1]:
            place = place[part]
        place[path[-1]] = value
    return data


def found(changes: dict[KeyPath, Any]) -> list[KeyPath]:
    return [mistake.path for mistake in inconsistencies(changed(changes))]


SUPPLY: KeyPath = ("supply",)
STATION: KeyPath = ("station",)
OUTLET: KeyPath = ("outlet",)
DEMAND: KeyPath = ("board", 0, "demand")
SERVICE: KeyPath = ("supply", "service_device")
DEVICE: KeyPath = ("circuit", 0, "device")
RESIDUAL: KeyPath = ("circuit", 1, "residual_current_device")
MINIATURE, ADJUSTABLE, FUSE = (
    "IEC 60898-1 circuit-breaker",
    "IEC 60947-2 circuit-breaker",
    "gG fuse",
)


def within(path: KeyPath, **values: Any) -> dict[KeyPath, Any]:
    return {(*path, key): value for key, value in values.items()}


def test_the_base_is_free_of_contradictions() -> None:
    assert inconsistencies(BASE) == []


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        (within(SUPPLY, lowest_voltage_v=401, highest_voltage_v=400), "lowest_voltage_v"),
        (within(SUPPLY, lowest_voltage_v=199), "lowest_voltage_v"),
        (
            within(SUPPLY, smallest_fault_current_ka=5.1, prospective_fault_current_ka=5.0),
            "smallest_fault_current_ka",
        ),
        (within(SUPPLY, highest_voltage_v=601), "highest_voltage_v"),
        (within(SUPPLY, highest_voltage_v={"value": 4000}), "highest_voltage_v"),
        (within(DEMAND, maximum_a=5, maximum_l2_a=5), "maximum_l2_a"),
        (within(DEMAND, maximum_a=5, maximum_kw=5), "maximum_kw"),
        (within(DEMAND, maximum_kw=5, maximum_l1_a=5), "maximum_l1_a"),
        (within(DEMAND, maximum_kw={"low": 5, "high": 6}, maximum_a=5), "maximum_kw"),
        (within(STATION, input_power_kw=22, dc_power_kw=20), "dc_power_kw"),
        (within(STATION, settings_a=[6, 16], setting_a=10), "setting_a"),
        (within(STATION, minimum_voltage_v=390, full_power_voltage_v=380), "minimum_voltage_v"),
        (within(STATION, minimum_voltage_v=390, maximum_voltage_v=380), "minimum_voltage_v"),
        (within(STATION, full_power_voltage_v=390, maximum_voltage_v=380), "full_power_voltage_v"),
        (within(OUTLET, measured_loop_impedance_ohm=0.19), "measured_loop_impedance_ohm"),
        (within(OUTLET, rating_a=32, continuous_a=33), "continuous_a"),
        (within(("circuit", 1, "part", 0), rating_a=63, continuous_a=80), "continuous_a"),
        (within(DEVICE, kind=MINIATURE, rating_a=126), "rating_a"),
        (within(DEVICE, kind=MINIATURE, rating_a=63, setting_a=50), "setting_a"),
        (within(DEVICE, kind=MINIATURE, magnetic_setting_a=500), "magnetic_setting_a"),
        (within(DEVICE, kind=FUSE, setting_a=50), "setting_a"),
        (within(DEVICE, kind=FUSE, magnetic_setting_a={"low": 5, "high": 9}), "magnetic_setting_a"),
        (within(DEVICE, kind=FUSE, characteristic="C"), "characteristic"),
        (within(DEVICE, kind={"value": ADJUSTABLE}, rating_a=100, setting_a=101), "setting_a"),
        (within(DEVICE, rating_a=100, setting_a=101), "setting_a"),
        (within(DEVICE, rating_a=63, continuous_a=64), "continuous_a"),
        (within(SERVICE, kind=MINIATURE, rating_a=160), "rating_a"),
        (within(SERVICE, kind=FUSE, characteristic="B"), "characteristic"),
        (within(RESIDUAL, present=False, type="A"), "type"),
        (within(RESIDUAL, present={"value": False}, rating_a=63), "rating_a"),
        ({("survey_version",): True}, "survey_version"),
        ({("site", "note"): "a\x00b"}, "note"),
        (
            within(
                ("circuit", 1),
                other_outlets_none=True,
                other_outlet=[{"name": "x", "rating_a": 16}],
            ),
            "other_outlets_none",
        ),
    ],
)
def test_a_contradiction_is_found_where_it_stands(changes: dict[KeyPath, Any], key: str) -> None:
    (mistake,) = inconsistencies(changed(changes))
    assert mistake.path[-1] == key
    assert mistake.path in changes
    stated = changes[mistake.path]
    single = stated.get("value") if isinstance(stated, dict) else stated
    assert mistake.value == single
    assert mistake.expected


@pytest.mark.parametrize(
    "changes",
    [
        within(SUPPLY, lowest_voltage_v=400, highest_voltage_v=400),
        within(SUPPLY, lowest_voltage_v=200, highest_voltage_v=600),
        within(SUPPLY, smallest_fault_current_ka=5.0, prospective_fault_current_ka=5.0),
        within(SUPPLY, lowest_voltage_v={"low": 100, "high": 150}),
        within(SUPPLY, lowest_voltage_v="unknown", highest_voltage_v={"unknown": True}),
        within(SUPPLY, nominal_voltage_v="unknown", lowest_voltage_v=100),
        within(SUPPLY, nominal_voltage_v={"low": 230, "high": 240}, lowest_voltage_v=100),
        within(DEMAND, maximum_l1_a=1, maximum_l2_a=2, maximum_l3_a=3, power_factor=0.9),
        within(DEMAND, maximum_a=5, maximum_l1_a="unknown", maximum_kw={"unknown": True}),
        within(STATION, dc_power_kw=20),
        within(STATION, input_power_kw="unknown", dc_power_kw=20),
        within(STATION, settings_a=[6, 10.0, 16], setting_a=10),
        within(STATION, settings_a=[6, 10], setting_a={"low": 7, "high": 9}),
        within(STATION, settings_a=[], setting_a=10),
        within(STATION, setting_a=10),
        within(STATION, minimum_voltage_v=380, full_power_voltage_v=380, maximum_voltage_v=380),
        within(OUTLET, measured_loop_impedance_ohm=0.2),
        within(OUTLET, measured_loop_impedance_ohm={"low": 0.1, "high": 0.15}),
        within(OUTLET, rating_a=32, continuous_a=32),
        within(DEVICE, kind=MINIATURE, rating_a=125, characteristic="D"),
        within(DEVICE, kind=MINIATURE, setting_a="unknown", magnetic_setting_a={"unknown": True}),
        within(DEVICE, kind=FUSE, rating_a=630, characteristic="unknown"),
        within(DEVICE, kind=ADJUSTABLE, rating_a=250, setting_a=250, magnetic_setting_a=2500),
        within(DEVICE, kind="unknown", rating_a=250, characteristic="C"),
        within(DEVICE, kind=MINIATURE, rating_a={"low": 125, "high": 160}),
        within(RESIDUAL, present=False, type="unknown"),
        within(RESIDUAL, present="unknown", type="A"),
        within(("circuit", 1), other_outlets_none=True, other_outlet=[]),
        within(("circuit", 1), other_outlets_none=False, other_outlet=[{"name": "x"}]),
        {("site", "note"): "a\tb\r\nc <i>é\u202e"},
    ],
)
def test_what_is_equal_unknown_or_a_range_does_not_contradict(
    changes: dict[KeyPath, Any],
) -> None:
    assert inconsistencies(changed(changes)) == []


@pytest.mark.parametrize(
    ("settings_a", "positions"),
    [([6, 10, 10], [2]), ([10, 6], [1]), ([16, 10, 6], [1, 2]), ([6, 16, 10, 25], [2])],
)
def test_settings_rise(settings_a: list[float], positions: list[int]) -> None:
    assert found(within(STATION, settings_a=settings_a)) == [
        ("station", "settings_a", position) for position in positions
    ]


def test_several_contradictions_are_all_found() -> None:
    changes = {
        **within(SUPPLY, lowest_voltage_v=100, highest_voltage_v=90),
        **within(DEVICE, kind=FUSE, setting_a=50, characteristic="B", rating_a=40, continuous_a=50),
        **within(STATION, settings_a=[16, 10], setting_a=6, input_power_kw=9, dc_power_kw=8),
        **within(DEMAND, maximum_a=1, maximum_kw=1, maximum_l3_a=1),
    }
    paths = found(changes)
    assert len(paths) == len(set(paths)) + 1  # the lowest voltage is wrong in two ways
    assert set(paths) == {
        ("supply", "lowest_voltage_v"),
        ("supply", "highest_voltage_v"),
        (*DEVICE, "setting_a"),
        (*DEVICE, "characteristic"),
        (*DEVICE, "continuous_a"),
        ("station", "settings_a", 1),
        ("station", "setting_a"),
        ("station", "dc_power_kw"),
        (*DEMAND, "maximum_kw"),
        (*DEMAND, "maximum_l3_a"),
    }


def test_a_read_survey_is_judged_like_its_file() -> None:
    changes = {
        ("surveyor", "name"): "A. Example",
        **within(DEVICE, kind=FUSE, setting_a=50),
        **within(STATION, settings_a=[16, 10]),
        **within(OUTLET, measured_loop_impedance_ohm=0.1),
    }
    data = changed(changes)
    data["surveyor"] = {"name": "A. Example", "date": dt.date(2026, 3, 2)}
    dumped = Survey.model_validate(data).model_dump()
    assert [mistake.path for mistake in inconsistencies(dumped)] == found(changes)
    assert len(found(changes)) == 3


_junk: st.SearchStrategy[Any] = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=3)
    | st.sampled_from(["origin", "outlet", "Board", "unknown", FUSE, MINIATURE, 10**400, math.nan]),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.sampled_from(["value", "low", "high", "name", "ends_at"]), inner)
    ),
    max_leaves=6,
)  # fmt: skip
_places = st.sampled_from(
    [
        *([(key,) for key in BASE]),
        *((*SUPPLY, key) for key in ("nominal_voltage_v", "lowest_voltage_v", "service_device")),
        *((*DEVICE, key) for key in ("kind", "rating_a", "setting_a", "characteristic")),
        *((*STATION, key) for key in ("settings_a", "setting_a", "dc_power_kw")),
        *(("circuit", 1, key) for key in ("starts_at", "ends_at", "name", "part", "other_outlet")),
        *(("board", 0, key) for key in ("name", "demand")),
    ]
)


@given(st.lists(st.tuples(_places, _junk), min_size=1, max_size=4))
def test_no_data_whatever_breaks_a_rule(changes: list[tuple[KeyPath, Any]]) -> None:
    data = copy.deepcopy(BASE)
    for path, value in changes:
        place: Any = data
        for part in path[:-1]:
            if isinstance(place, dict):
                place = place.get(str(part))
            else:
                place = place[part] if _long_enough(place, part) else None
        if isinstance(place, dict):
            place[path[-1]] = value
    for mistake in inconsistencies(data):
        assert mistake.path
        assert mistake.expected


def _long_enough(place: Any, part: str | int) -> bool:
    return isinstance(place, list) and isinstance(part, int) and part < len(place)
