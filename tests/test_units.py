"""The guards and the conversions at the bottom of everything."""

from __future__ import annotations

import math

import numpy as np
import pytest

from feasibility import units


def test_conversions_there_and_back() -> None:
    assert units.ratio_from_percent(5.0) == pytest.approx(0.05)
    assert units.percent_from_ratio(0.05) == pytest.approx(5.0)
    assert units.a_from_ka(1.5) == pytest.approx(1500.0)
    assert units.ka_from_a(1500.0) == pytest.approx(1.5)
    np.testing.assert_allclose(units.a_from_ka(np.array([1.0, 2.0])), [1000.0, 2000.0])


def test_refusal_names_parameter_value_and_bounds() -> None:
    with pytest.raises(units.OutOfRange) as refusal:
        units.require_within("time_s", np.array([1.0, 7.0, 9.0]), lower=0.1, upper=5.0)
    error = refusal.value
    assert (error.parameter, error.value, error.lower, error.upper) == ("time_s", 7.0, 0.1, 5.0)
    assert str(error) == "time_s = 7 is not at least 0.1 and at most 5"


def test_zero_is_not_positive_but_is_not_negative_either() -> None:
    units.require_not_negative("current_a", 0.0)
    with pytest.raises(units.OutOfRange, match="is not above 0") as refusal:
        units.require_positive("current_a", 0.0)
    assert refusal.value.lower_excluded


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_what_is_not_finite_never_passes(bad: float) -> None:
    for guard in (units.require_not_negative, units.require_positive):
        with pytest.raises(units.OutOfRange):
            guard("current_a", np.array([1.0, bad]))


def test_suffixes_are_told_apart() -> None:
    assert all(suffix.startswith("_") for suffix in units.UNIT_SUFFIXES)
    assert len(set(units.UNIT_SUFFIXES)) == len(units.UNIT_SUFFIXES)
