"""Contradictions about protective conductors and energy classes, beside what may stand."""

from __future__ import annotations

from typing import Any

import pytest

from feasibility.survey.conductor_consistency import conductor_inconsistencies
from feasibility.survey.device_consistency import device_inconsistencies

CABLE_PATH = ("circuit", 0, "cable", 0)


def _found(cable: dict[str, Any]) -> list[tuple[Any, ...]]:
    return [one.path for one in conductor_inconsistencies({"circuit": [{"cable": [cable]}]})]


@pytest.mark.parametrize(
    ("cable", "key"),
    [
        (
            {"protective_section_mm2": 0, "protective_conductor_laid": "core of the cable"},
            "protective_conductor_laid",
        ),
        (
            {"protective_section_mm2": 0, "second_protective_section_mm2": 6},
            "second_protective_section_mm2",
        ),
        (
            {"construction": "single-core", "protective_conductor_laid": "core of the cable"},
            "protective_conductor_laid",
        ),
        (
            {"construction": "single-core", "protective_conductor_laid": "concentric conductor"},
            "protective_conductor_laid",
        ),
    ],
)
def test_what_cannot_be(cable: dict[str, Any], key: str) -> None:
    assert _found(cable) == [(*CABLE_PATH, key)]


@pytest.mark.parametrize(
    "cable",
    [
        {"protective_section_mm2": 0, "second_protective_section_mm2": 0},
        {"protective_section_mm2": 6, "second_protective_section_mm2": 6},
        {"construction": "multicore", "protective_conductor_laid": "core of the cable"},
        {"construction": "single-core", "protective_conductor_laid": "separate, protected"},
        {"construction": "unknown", "protective_conductor_laid": "concentric conductor"},
        {"protective_section_mm2": "unknown", "protective_conductor_laid": "core of the cable"},
    ],
)
def test_what_may_be(cable: dict[str, Any]) -> None:
    assert _found(cable) == []


@pytest.mark.parametrize(
    ("kind", "may_have"),
    [
        ("IEC 60898-1 circuit-breaker", True),
        ("IEC 60947-2 circuit-breaker", False),
        ("gG fuse", False),
    ],
)
def test_only_miniature_breakers_have_an_energy_class(kind: str, may_have: bool) -> None:
    # EN 60898-1, Annex ZA: energy limiting classes of circuit-breakers to that standard.
    device = {"kind": kind, "energy_limiting_class": 3, "let_through_a2s": 5e4}
    found = device_inconsistencies({"circuit": [{"device": device}]})
    paths = [one.path for one in found]
    assert paths == ([] if may_have else [("circuit", 0, "device", "energy_limiting_class")])
