"""Sums with a source of unknown angle, checked against every angle by complex arithmetic."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from feasibility.clauses import fault_current as fc
from feasibility.units import OutOfRange

OHMS = st.floats(min_value=0, max_value=2)
SOURCE_OHMS = st.floats(min_value=1e-3, max_value=2)


@given(SOURCE_OHMS, OHMS, OHMS)
def test_bounds_of_a_sum_hold_at_every_source_angle(
    source_ohm: float, resistance_ohm: float, reactance_ohm: float
) -> None:
    angles = np.radians(np.linspace(0, 90, 181))
    sums = np.abs(source_ohm * np.exp(1j * angles) + complex(resistance_ohm, reactance_ohm))
    least = fc.least_sum_ohm(
        source_ohm=source_ohm, resistance_ohm=resistance_ohm, reactance_ohm=reactance_ohm
    )
    greatest = fc.greatest_sum_ohm(
        source_ohm=source_ohm, resistance_ohm=resistance_ohm, reactance_ohm=reactance_ohm
    )
    assert least == pytest.approx(sums.min(), rel=1e-9)
    assert greatest >= sums.max() - 1e-12
    # the greatest sum is reached at the cable's own angle, half a step away at most
    assert greatest == pytest.approx(sums.max(), rel=1e-4)


@given(st.floats(min_value=100, max_value=50_000), st.floats(min_value=0.9, max_value=1.1))
def test_source_impedance_gives_the_declared_current_back(
    current_a: float, voltage_factor: float
) -> None:
    source = fc.source_impedance_ohm(
        voltage_factor=voltage_factor, line_voltage_v=400.0, fault_current_a=current_a
    )
    again_a = fc.three_phase_fault_a(
        voltage_factor=voltage_factor, line_voltage_v=400.0, impedance_ohm=source
    )
    assert again_a == pytest.approx(current_a)


def test_an_instrument_showing_a_current_stands_for_its_loop() -> None:
    # Ohm's law as loop testers apply it: 230 V, 460 A shown, 0.5 ohm in the loop
    loop = {"voltage_factor": 1.0, "voltage_to_earth_v": 230.0}
    assert fc.source_loop_impedance_ohm(fault_current_a=460.0, **loop) == pytest.approx(0.5)
    assert fc.line_earth_fault_a(loop_impedance_ohm=0.5, **loop) == pytest.approx(460.0)


def test_two_phase_fault_is_the_known_share_of_three_phase() -> None:
    # IEC 60909-0:2016, 7.3: Ik2 = sqrt(3)/2 Ik3 far from generators
    three_a = fc.three_phase_fault_a(voltage_factor=1.0, line_voltage_v=400.0, impedance_ohm=0.05)
    two_a = fc.line_line_fault_a(voltage_factor=1.0, line_voltage_v=400.0, impedance_ohm=0.05)
    assert two_a / three_a == pytest.approx(math.sqrt(3) / 2)


def test_no_fault_level_without_a_source_impedance() -> None:
    with pytest.raises(OutOfRange, match="impedance_ohm = 0"):
        fc.three_phase_fault_a(voltage_factor=1.0, line_voltage_v=400.0, impedance_ohm=0.0)


def test_a_percentage_is_no_voltage_factor() -> None:
    with pytest.raises(OutOfRange, match="voltage_factor = 95"):
        fc.line_earth_fault_a(voltage_factor=95.0, voltage_to_earth_v=230.0, loop_impedance_ohm=0.5)


@given(st.floats(min_value=1e6, max_value=1e9))
def test_a_real_network_gives_less_than_an_infinite_one(upstream_va: float) -> None:
    def fault_a(upstream: float | None) -> float:
        return fc.transformer_fault_a(
            rated_va=400e3, line_voltage_v=420.0, impedance_percent=4.0, upstream_va=upstream
        )

    assert fault_a(upstream_va) < fault_a(None)
