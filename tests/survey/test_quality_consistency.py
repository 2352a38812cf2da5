"""Contradictions in what a survey says of harmonics, steps and the strength of the supply.

The expectations follow from the definitions: the distortion as a whole is the root of the sum of
squares of its orders (IEC 61000-3-12, clause 3), the weighted one at most the root of 40 times it.
"""

from __future__ import annotations

import pytest

from feasibility.survey.consistency import inconsistencies

from ..checks.sites import Changes, changed, site_data

QUALITY = [
    (
        "station.current_distortion_percent",
        {"station.harmonic_5_percent": 8, "station.current_distortion_percent": 6},
        {"station.harmonic_5_percent": 8, "station.current_distortion_percent": 9},
        "at least 8.73 %, the root of the sum of squares",
    ),
    (
        "station.weighted_distortion_percent",
        {"station.weighted_distortion_percent": 29},
        {"station.weighted_distortion_percent": 28},
        "at most 27.2 %",
    ),
    (
        "station.largest_step_a",
        {"station.largest_step_a": 32.1},
        {"station.largest_step_a": 32},
        "at most nameplate_current_a, which is 32",
    ),
    (
        "supply.short_circuit_power_kva",
        {"supply.short_circuit_power_kva": 3800},
        {"supply.short_circuit_power_kva": 3700},
        "at most 3603 kVA",
    ),
]


@pytest.mark.parametrize(("field", "wrong", "right", "expected"), QUALITY)
def test_figures_of_power_quality_agree_with_one_another(
    field: str, wrong: Changes, right: Changes, expected: str
) -> None:
    data = site_data("bakery-yard")
    assert inconsistencies(changed(data, right)) == []
    (found,) = inconsistencies(changed(data, wrong))
    assert ".".join(str(part) for part in found.path) == field
    assert found.value == wrong[field]
    assert found.expected.startswith(expected)


def test_what_is_unknown_or_a_range_is_not_compared_in_power_quality() -> None:
    data = site_data("bakery-yard")
    for value in ("unknown", {"low": 1, "high": 6}):
        for field in ("station.current_distortion_percent", "station.largest_step_a"):
            assert inconsistencies(changed(data, {field: value})) == []
