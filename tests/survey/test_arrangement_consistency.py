"""Contradictions within residual-current devices, outlet, sources and dates.

The expectations follow from what the survey's fields mean.
"""

from __future__ import annotations

from typing import Any

import pytest

from feasibility.survey.plain_data import KeyPath

from .test_consistency import RESIDUAL, found, within


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
