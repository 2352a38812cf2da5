"""Joints against a manual of an instrument and Table B.52.14."""

from __future__ import annotations

import pytest

from feasibility.clauses.joint import (
    joint_loss_w,
    rise_at_current_k,
    series_resistance_ohm,
)
from feasibility.units import OutOfRange


def test_resistance_of_a_circuit_by_its_voltage_with_and_without_load() -> None:
    """An instrument maker's manual: 120 V without load, 115 V with 8 A make 0.625 ohm."""
    found = series_resistance_ohm(drop_v=120.0 - 115.0, current_a=8.0, power_factor=1.0)
    assert found == pytest.approx(0.625)


@pytest.mark.parametrize(("ambient_c", "factor"), [(35.0, 0.94), (40.0, 0.87), (50.0, 0.71)])
def test_rises_follow_the_factors_for_ambient_temperature(ambient_c: float, factor: float) -> None:
    """IEC 60364-5-52:2009, Table B.52.14, PVC: 40 K at full current, 70 °C less the air then."""
    found = rise_at_current_k(rise_k=40.0, measured_a=1.0, current_a=factor)
    assert found == pytest.approx(70 - ambient_c, abs=0.5)


def test_heat_of_a_joint() -> None:
    """Joule's law: 1 ohm and 1 A make 1 W, ten times the current a hundred times that."""
    assert joint_loss_w(resistance_ohm=1.0, current_a=1.0) == 1.0
    assert joint_loss_w(resistance_ohm=1.0, current_a=10.0) == 100.0


def test_no_current_tells_nothing() -> None:
    with pytest.raises(OutOfRange):
        series_resistance_ohm(drop_v=1.0, current_a=0.0, power_factor=1.0)
    with pytest.raises(OutOfRange):
        rise_at_current_k(rise_k=1.0, measured_a=0.0, current_a=1.0)
