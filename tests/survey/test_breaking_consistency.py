"""Breaking capacities that cannot stand beside one another, and pairings without a partner."""

from __future__ import annotations

from typing import Any

import pytest

from feasibility.survey.consistency import inconsistencies

Data = dict[str, Any]


def found(device: Data, *, service: bool = False) -> list[tuple[str, str]]:
    place: Data = {"service_device": device} if service else {}
    data: Data = {
        "supply": {"demand": {"maximum_a": 0}} | place,
        "circuit": [{"name": "a", "starts_at": "origin", "ends_at": "outlet"}],
        "outlet": {},
    }
    if not service:
        data["circuit"][0]["device"] = device
    return [(str(one.path[-1]), one.expected) for one in inconsistencies(data)]


@pytest.mark.parametrize(
    ("device", "field", "words"),
    [
        (
            {"breaking_capacity_ka": 6, "service_breaking_capacity_ka": 7.5},
            "service_breaking_capacity_ka",
            "at most breaking_capacity_ka",
        ),
        (
            {"breaking_capacity_ka": 10, "backed_up_to_ka": 6, "backed_up_by": "gG 63 A"},
            "breaking_capacity_ka",
            "at most backed_up_to_ka",
        ),
        ({"backed_up_to_ka": 25}, "backed_up_to_ka", "backed_up_by beside it"),
        ({"backed_up_by": "gG 63 A"}, "backed_up_by", "backed_up_to_ka beside it"),
    ],
)
def test_refused(device: Data, field: str, words: str) -> None:
    ((where, expected),) = found(device)
    assert where == field
    assert words in expected


def test_nothing_backs_up_the_service_device() -> None:
    ((where, expected),) = found({"backed_up_to_ka": 25, "backed_up_by": "x"}, service=True)
    assert where == "backed_up_to_ka"
    assert "nothing here" in expected


def test_accepted() -> None:
    assert found({"breaking_capacity_ka": 6, "service_breaking_capacity_ka": 6}) == []
    assert found({"breaking_capacity_ka": 6, "backed_up_to_ka": 25, "backed_up_by": "x"}) == []
    assert found({"backed_up_to_ka": "unknown"}) == []
