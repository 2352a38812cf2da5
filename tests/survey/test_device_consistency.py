"""What no protective device can be: refused with field, value and expectation.

Scopes: IEC 60898-1, clause 1 (125 A, 25 kA; from memory and a trade page), DIN VDE 0641-21 (125 A,
announcement of its draft). The rest follows from what the fields mean.
"""

from __future__ import annotations

import copy
from typing import Any

import pytest
from pydantic import ValidationError

from feasibility.survey.circuit import Device
from feasibility.survey.consistency import inconsistencies

MINIATURE = "IEC 60898-1 circuit-breaker"
ADJUSTABLE = "IEC 60947-2 circuit-breaker"
SELECTIVE = "selective main circuit-breaker"
FUSE = "gG fuse"

SURVEY: dict[str, Any] = {
    "survey_version": 1,
    "site": {"reference": "T-003", "name": "Invented yard"},
    "surveyor": {"name": "A. Example"},
    "supply": {"demand": {"maximum_a": 0}},
    "circuit": [{"name": "Station", "starts_at": "origin", "ends_at": "outlet"}],
    "outlet": {},
    "station": {"name": "Invented station"},
}


def found(device: dict[str, Any], residual: dict[str, Any] | None = None) -> list[tuple[str, Any]]:
    data = copy.deepcopy(SURVEY)
    data["circuit"][0] |= {"device": device, "residual_current_device": residual or {}}
    return [(".".join(map(str, one.path[2:])), one.value) for one in inconsistencies(data)]


def points(*rows: tuple[float, float | None, float | None]) -> dict[str, Any]:
    names = ("current_a", "fastest_s", "slowest_s")
    listed = [dict(zip(names, row, strict=True)) for row in rows]
    kept = [{key: value for key, value in one.items() if value is not None} for one in listed]
    return {"curve_point": kept}


ELECTRONIC = {
    "kind": ADJUSTABLE,
    "release": "electronic",
    "rating_a": 250,
    "setting_a": 200,
    "short_time_setting_a": 1000,
    "short_time_delay_s": 0.2,
    "magnetic_setting_a": 2000,
}


@pytest.mark.parametrize(
    ("device", "key", "value"),
    [
        ({"kind": FUSE, "characteristic": "C"}, "characteristic", "C"),
        ({"kind": FUSE, "release": "electronic"}, "release", "electronic"),
        ({"kind": FUSE, "fuse_system": "D0", "rating_a": 125}, "rating_a", 125),
        ({"kind": FUSE, "fuse_system": "cylindrical", "rating_a": 160}, "rating_a", 160),
        ({"kind": FUSE, "short_time_delay_s": 0.1, "short_time_setting_a": {"unknown": True}},
         "short_time_delay_s", 0.1),
        ({"kind": MINIATURE, "characteristic": "K"}, "characteristic", "K"),
        ({"kind": MINIATURE, "characteristic": "E"}, "characteristic", "E"),
        ({"kind": MINIATURE, "fuse_system": "NH"}, "fuse_system", "NH"),
        ({"kind": MINIATURE, "breaking_capacity_ka": 36}, "breaking_capacity_ka", 36),
        ({"kind": SELECTIVE, "characteristic": "C"}, "characteristic", "C"),
        ({"kind": SELECTIVE, "rating_a": 160}, "rating_a", 160),
        ({"kind": SELECTIVE, "setting_a": 50}, "setting_a", 50),
        ({"kind": ADJUSTABLE, "characteristic": "E"}, "characteristic", "E"),
        ({"kind": ADJUSTABLE, "characteristic": "K", "setting_a": 30}, "setting_a", 30),
        ({"kind": ADJUSTABLE, "fuse_system": "NH"}, "fuse_system", "NH"),
        (ELECTRONIC | {"setting_a": 300}, "setting_a", 300),
        (ELECTRONIC | {"short_time_setting_a": 2500}, "short_time_setting_a", 2500),
        (ELECTRONIC | {"setting_a": 250, "short_time_setting_a": 240}, "setting_a", 250),
        ({"kind": ADJUSTABLE, "short_time_delay_s": 0.2}, "short_time_setting_a", None),
        ({"kind": "other"}, "description", None),
        ({"kind": "other", "description": "unknown"}, "description", None),
        (points((40, None, None)), "curve_point.0.slowest_s", None),
        (points((40, 5, 4)), "curve_point.0.fastest_s", 5),
        (points((40, 5, 9), (40, 4, 8)), "curve_point.1.current_a", 40),
        (points((40, 5, 9), (30, 4, 8)), "curve_point.1.current_a", 30),
        (points((40, 5, 9), (80, 6, 9)), "curve_point.1.fastest_s", 6),
        (points((40, 5, 9), (80, 5, 10)), "curve_point.1.slowest_s", 10),
        (points((40, None, 9), (80, 5, None), (90, None, 10)), "curve_point.2.slowest_s", 10),
    ],
)  # fmt: skip
def test_what_no_device_can_be(device: dict[str, Any], key: str, value: Any) -> None:
    assert found(device) == [(f"device.{key}", value)]


@pytest.mark.parametrize("key", ["short_time_setting_a", "short_time_delay_s"])
def test_only_an_electronic_release_has_a_short_time_setting(key: str) -> None:
    assert (f"device.{key}", ELECTRONIC[key]) in found(ELECTRONIC | {"release": "thermal-magnetic"})


@pytest.mark.parametrize(
    "device",
    [
        ELECTRONIC,
        ELECTRONIC | {"short_time_setting_a": 2000, "setting_a": 250},
        ELECTRONIC | {"magnetic_setting_a": "unknown"},
        {"kind": FUSE, "fuse_system": "D0", "rating_a": 100},
        {"kind": FUSE, "fuse_system": "NH", "rating_a": 630},
        {"kind": MINIATURE, "characteristic": "D", "breaking_capacity_ka": 25, "rating_a": 125},
        {"kind": SELECTIVE, "characteristic": "E", "rating_a": 125},
        {"kind": ADJUSTABLE, "characteristic": "Z"},
        {"kind": "other", "description": "porcelain fuse without marking"},
        {"kind": "other", "description": "x", "characteristic": "B", "setting_a": 5},
        points((40, 9, 9), (80, 9, 9), (90, None, 9)),
    ],
)
def test_what_a_device_can_be(device: dict[str, Any]) -> None:
    assert found(device) == []


def test_a_combined_unit_is_one_device_with_one_rating() -> None:
    breaker = {"kind": MINIATURE, "rating_a": 32}
    assert found(breaker, {"combined": True, "rating_a": 32}) == []
    assert found(breaker, {"combined": False, "rating_a": 40}) == []
    other_rating = found(breaker, {"combined": True, "rating_a": 40})
    assert other_rating == [("residual_current_device.rating_a", 40)]
    for kind in (FUSE, SELECTIVE):
        refused = found({"kind": kind, "rating_a": 32}, {"combined": True, "rating_a": 32})
        assert refused == [("residual_current_device.combined", True)]


@pytest.mark.parametrize(
    "values",
    [
        {"rating_a": 0},
        {"rating_a": -16},
        {"setting_a": 0},
        {"magnetic_setting_a": -100},
        {"short_time_setting_a": 0},
        {"short_time_delay_s": 0},
        {"short_time_delay_s": 60},
        {"breaking_capacity_ka": 900},
        {"breaking_capacity_ka": 0},
        {"temperature_factor": 1.2},
        {"grouping_factor": 0},
        {"loaded_neighbours": -1},
        {"characteristic": "L"},
        {"fuse_system": "BS 88"},
        {"kind": "older standard"},
        {"curve_point": [{"current_a": 0, "slowest_s": 1}]},
        {"curve_point": [{"current_a": 10, "slowest_s": 0}]},
        {"curve_point": [{"current_a": 10, "slowest_s": 1, "time_s": 1}]},
    ],
    ids=str,
)
def test_figures_that_no_device_has_are_refused(values: dict[str, Any]) -> None:
    with pytest.raises(ValidationError):
        Device.model_validate(values)
