"""Contradictions on devices in series, each seen to be found, and its border seen to pass.

The expectations follow from what the fields mean: a selectivity table is for a pair of devices, and
a fuse or an IEC 60898-1 circuit-breaker cannot be set.
"""

from __future__ import annotations

import copy
from typing import Any

import pytest

from feasibility.survey.consistency import inconsistencies
from feasibility.survey.plain_data import KeyPath

from ..checks.sites import site_data

DEVICE: KeyPath = ("circuit", 1, "device")
SERVICE: KeyPath = ("supply", "service_device")
STATION: KeyPath = ("station",)
MINIATURE, ADJUSTABLE, FUSE = (
    "IEC 60898-1 circuit-breaker",
    "IEC 60947-2 circuit-breaker",
    "gG fuse",
)


def found(path: KeyPath, **values: Any) -> list[KeyPath]:
    data = copy.deepcopy(site_data("bakery-yard"))
    place: Any = data
    for key in path:
        place = place[key]
    place.update(values)
    return [mistake.path for mistake in inconsistencies(data)]


def own(**values: Any) -> list[KeyPath]:
    return found(STATION, **{f"input_device_{key}": value for key, value in values.items()})


@pytest.mark.parametrize(
    "value", [3.5, {"value": 3.5, "known": "read"}, {"low": 2, "high": 4, "known": "told"}]
)
def test_a_table_of_selectivity_names_the_device_before(value: Any) -> None:
    assert found(DEVICE, selective_up_to_ka=value) == [(*DEVICE, "selective_up_to_ka")]
    assert found(DEVICE, selective_up_to_ka=value, selective_with="gG 63 A") == []


def test_a_partner_without_a_limit_says_nothing() -> None:
    assert found(DEVICE, selective_with="gG 63 A") == [(*DEVICE, "selective_with")]
    assert found(DEVICE, selective_with="gG 63 A", selective_up_to_ka="unknown") == []


def test_nothing_stands_before_the_service_device() -> None:
    values = {"selective_up_to_ka": 3.5, "selective_with": "gG 63 A"}
    assert found(SERVICE, **values) == [(*SERVICE, "selective_up_to_ka")]


@pytest.mark.parametrize(
    ("kind", "key", "value"),
    [
        (FUSE, "characteristic", "B"),
        (FUSE, "setting_a", 16),
        (FUSE, "magnetic_setting_a", 160),
        (MINIATURE, "setting_a", 16),
        (MINIATURE, "magnetic_setting_a", 160),
        (ADJUSTABLE, "characteristic", "E"),
        (MINIATURE, "characteristic", "K"),
    ],
)
def test_the_stations_device_has_only_what_its_kind_has(kind: str, key: str, value: Any) -> None:
    assert own(kind=kind, rating_a=20, **{key: value}) == [("station", f"input_device_{key}")]
    assert own(kind="unknown", rating_a=20, **{key: value}) == []


def test_what_each_kind_has_is_accepted() -> None:
    assert own(kind=FUSE, rating_a=20) == []
    assert own(kind=MINIATURE, rating_a=20, characteristic="C") == []
    assert own(kind=ADJUSTABLE, rating_a=20, setting_a=20, magnetic_setting_a=20) == []
    assert own(kind=ADJUSTABLE, rating_a=20, characteristic="K") == []


def test_settings_of_the_stations_device_stand_in_order() -> None:
    common = {"kind": ADJUSTABLE, "rating_a": 20}
    assert own(**common, setting_a=20.1) == [("station", "input_device_setting_a")]
    assert own(**common, setting_a=16, magnetic_setting_a=15.9) == [
        ("station", "input_device_setting_a")
    ]
