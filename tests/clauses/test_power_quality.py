"""Power quality: unbalance against symmetrical components, interpolation, bounds, phasors."""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from feasibility.clauses.power_quality import (
    greatest_voltage_change_percent,
    greatest_weighted_distortion_percent,
    impedance_of_power_ohm,
    inrush_over_half_period_a,
    limit_between_ratios_percent,
    short_circuit_power_va,
    short_circuit_ratio,
    voltage_unbalance_percent,
)
from feasibility.clauses.voltage_drop import drop_percent, phase_drop_v
from feasibility.network.load_flow import solve
from feasibility.network.records import Branch, Load, Network
from feasibility.units import OutOfRange

U0 = 400 / math.sqrt(3)
A = cmath.exp(2j * math.pi / 3)


def unbalance_of(voltages: list[complex]) -> float:
    """Negative over positive sequence in percent, by C. L. Fortescue's matrix (1918)."""
    first, second, third = voltages
    positive = first + A * second + A**2 * third
    negative = first + A**2 * second + A * third
    return 100 * abs(negative) / abs(positive)


@pytest.mark.parametrize("short_circuit_va", [2e5, 1e6, 1e7])
@pytest.mark.parametrize("load_va", [1e3, 3e3])
def test_a_load_on_one_phase_unbalances_by_its_share_of_the_short_circuit_power(
    load_va: float, short_circuit_va: float
) -> None:
    # A source of equal positive and negative sequence impedance, no coupling between the phases;
    # the current is the one at nominal voltage, at the angle of the impedance.
    impedance = 400**2 / short_circuit_va
    drop = load_va / U0 * impedance
    voltages = [U0 - drop, U0 * A**2, U0 * A]
    found = voltage_unbalance_percent(
        unbalanced_va=load_va, short_circuit_power_va=short_circuit_va
    )
    # The handbook form divides by the voltage without the load, so it is low by its own share.
    assert found / (1 - found / 100) == pytest.approx(unbalance_of(voltages), rel=1e-9)


def test_a_load_between_two_lines_unbalances_as_much() -> None:
    # The docstring says so: I at U between lines, S = U I, negative-sequence current I / sqrt(3).
    load_va, short_circuit_va = 5e3, 2e6
    impedance = 400**2 / short_circuit_va
    current = load_va / abs(U0 - U0 * A**2) * cmath.exp(1j * cmath.phase(U0 - U0 * A**2))
    voltages = [U0 - current * impedance, U0 * A**2 + current * impedance, U0 * A]
    found = voltage_unbalance_percent(
        unbalanced_va=load_va, short_circuit_power_va=short_circuit_va
    )
    assert found == pytest.approx(unbalance_of(voltages), rel=0.01)


def test_the_change_of_a_three_phase_load_is_that_of_a_solved_network() -> None:
    # Against power-grid-model: 32 A at unity power factor through a purely resistive supply.
    impedance = impedance_of_power_ohm(line_voltage_v=400, short_circuit_power_va=1.6e6)
    branch = Branch(
        name="supply",
        from_node="source",
        to_node="origin",
        resistance_ohm=impedance,
        reactance_ohm=0.0,
        neutral_resistance_ohm=impedance,
        neutral_reactance_ohm=0.0,
        has_neutral=True,
    )
    power_w = 32 * U0
    load = Load(
        name="station",
        node="origin",
        active_w=(power_w, power_w, power_w),
        reactive_var=(0.0, 0.0, 0.0),
        kind="current",
    )
    network = Network(
        nominal_voltage_v=400,
        source_node="source",
        source_voltage_v=400,
        branches=(branch,),
        loads=(load,),
        frequency_hz=50.0,
    )
    solved = 100 * (400 - float(solve(network).lowest_line_voltage_v("origin"))) / 400
    found = greatest_voltage_change_percent(
        current_step_a=32, impedance_ohm=impedance, voltage_to_neutral_v=U0
    )
    assert found == pytest.approx(solved, rel=1e-4)


@given(
    st.floats(0.5, 200),
    st.floats(0.01, 1.0),
    st.floats(0, 0.5, allow_subnormal=False),
    st.floats(0, 0.5, allow_subnormal=False),
)
def test_no_angle_changes_the_voltage_more_than_the_bound(
    current: float, factor: float, resistance: float, reactance: float
) -> None:
    if resistance + reactance == 0:
        return
    exact = drop_percent(
        drop_v=phase_drop_v(
            current_a=current,
            power_factor=factor,
            resistance_ohm=resistance,
            reactance_ohm=reactance,
        ),
        nominal_v=U0,
    )
    bound = greatest_voltage_change_percent(
        current_step_a=current,
        impedance_ohm=math.hypot(resistance, reactance),
        voltage_to_neutral_v=U0,
    )
    assert exact <= bound * (1 + 1e-12)


def test_interpolation_meets_both_rows_and_refuses_what_lies_outside() -> None:
    # IEC 61000-3-12, Table 3, 5th harmonic: 14 % at 66, 19 % at 120.
    row = {"lower_ratio": 66, "upper_ratio": 120, "lower_percent": 14, "upper_percent": 19}
    assert limit_between_ratios_percent(ratio=66, **row) == 14
    assert limit_between_ratios_percent(ratio=120, **row) == 19
    assert limit_between_ratios_percent(ratio=93, **row) == pytest.approx(16.5)
    for outside in (65.9, 120.1):
        with pytest.raises(OutOfRange, match="ratio"):
            limit_between_ratios_percent(ratio=outside, **row)
    with pytest.raises(OutOfRange, match="upper_ratio - lower_ratio"):
        limit_between_ratios_percent(
            ratio=66, lower_ratio=66, upper_ratio=66, lower_percent=14, upper_percent=14
        )


@given(st.lists(st.floats(0, 20), min_size=27, max_size=27))
def test_no_spectrum_weighs_more_than_its_distortion_allows(amplitudes: list[float]) -> None:
    # Orders 14 to 40, PWHC = sqrt(sum of h Ih^2), IEC 61000-3-12, clause 3.
    orders = np.arange(14, 41)
    weighted = float(np.sqrt(np.sum(orders * np.square(amplitudes))))
    whole = float(np.sqrt(np.sum(np.square(amplitudes))))
    bound = greatest_weighted_distortion_percent(distortion_percent=whole)
    assert weighted <= bound * (1 + 1e-12)


@pytest.mark.parametrize("duration_ms", [1.0, 4.0, 10.0, 25.0])
def test_an_inrush_pulse_over_half_a_period(duration_ms: float) -> None:
    # The r.m.s. value of half a sine of 100 A over 10 ms, by numerical integration.
    time_ms = (np.arange(100_000) + 0.5) / 10_000
    length = min(duration_ms, 10.0)
    pulse = np.where(time_ms < length, 100 * np.sin(np.pi * time_ms / length), 0.0)
    found = inrush_over_half_period_a(peak_a=100, duration_s=duration_ms / 1000, frequency_hz=50)
    assert found == pytest.approx(float(np.sqrt(np.mean(np.square(pulse)))), rel=1e-3)


def test_power_and_impedance_are_each_other_s_inverse() -> None:
    power = short_circuit_power_va(line_voltage_v=400, impedance_ohm=0.0489)
    assert impedance_of_power_ohm(
        line_voltage_v=400, short_circuit_power_va=power
    ) == pytest.approx(0.0489)


def test_the_ratio_is_the_same_for_one_phase_and_for_three() -> None:
    # IEC 61000-3-12, clause 3: Ssc / Sequ with sqrt(3) U I; Ssc / (3 Sequ) with Up I.
    found = short_circuit_ratio(short_circuit_power_va=2e6, current_a=25, line_voltage_v=400)
    assert found == pytest.approx(2e6 / (math.sqrt(3) * 400 * 25))
    assert found == pytest.approx(2e6 / (3 * U0 * 25))
