"""Every formula moves the way the physics does: more load, more drop; more heat, less current."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from feasibility.clauses import (
    adiabatic,
    ampacity,
    conductor_temperature,
    demand,
    disconnection,
    fault_current,
    infeed,
    load_current,
    overload,
    power_quality,
    transformer,
    voltage_drop,
)
from feasibility.units import OutOfRange

RISING, FALLING = 1, -1
FACTOR = (0.3, 1.0)

Case = tuple[Callable[..., Any], dict[str, Any], str, tuple[float, float], int]
"""Function, what stays fixed, what moves, from where to where, and which way the answer goes."""

DIRECTIONS: list[Case] = [
    (power_quality.sequence_unbalance_percent, {"positive_v": 230.0}, "negative_v", (0, 20), 1),
    (
        transformer.transformer_resistance_ohm,
        {"rated_va": 4e5, "rated_voltage_v": 410.0},
        "load_loss_w",
        (1e3, 9e3),
        RISING,
    ),
    (transformer.transformer_reactance_ohm, {"impedance_ohm": 1.0}, "resistance_ohm", FACTOR, -1),
    (
        transformer.transformer_correction_factor,
        {"voltage_factor": 1.05},
        "reactance_percent",
        (1, 20),
        FALLING,
    ),
    (
        transformer.upstream_impedance_ohm,
        {"voltage_factor": 1.1, "rated_voltage_v": 410.0},
        "short_circuit_power_va",
        (1e7, 1e9),
        FALLING,
    ),
    (transformer.loop_part_ohm, {"positive_ohm": 0.1}, "zero_ohm", (0, 1), RISING),
    (transformer.no_load_voltage_v, {"rated_voltage_v": 400.0}, "tap_percent", (-5, 5), FALLING),
    (load_current.apparent_power_va, {"active_w": 2e4}, "power_factor", FACTOR, FALLING),
    (load_current.three_phase_current_a, {"apparent_va": 2e4}, "line_voltage_v", (300, 450), -1),
    (
        load_current.input_active_power_w,
        {"dc_power_w": 2e4, "auxiliaries_w": 500.0},
        "efficiency",
        FACTOR,
        FALLING,
    ),
    (
        load_current.power_at_current_w,
        {"line_voltage_v": 400.0, "power_factor": 0.98, "efficiency": 0.95},
        "current_a",
        (0, 125),
        RISING,
    ),
    (
        load_current.neutral_third_harmonic_a,
        {"line_current_a": 32.0},
        "third_harmonic_ratio",
        (0, 1),
        RISING,
    ),
    (
        power_quality.short_circuit_ratio,
        {"current_a": 32.0, "line_voltage_v": 400.0},
        "short_circuit_power_va",
        (1e4, 1e8),
        RISING,
    ),
    (
        power_quality.greatest_voltage_change_percent,
        {"current_step_a": 32.0, "voltage_to_neutral_v": 230.0},
        "impedance_ohm",
        (0.001, 2),
        RISING,
    ),
    (
        power_quality.voltage_unbalance_percent,
        {"unbalanced_va": 3e3},
        "short_circuit_power_va",
        (1e4, 1e8),
        FALLING,
    ),
    (
        power_quality.inrush_over_half_period_a,
        {"peak_a": 100.0, "frequency_hz": 50.0},
        "duration_s",
        (0.0001, 0.01),
        RISING,
    ),
    (
        conductor_temperature.resistance_at_ohm,
        {"resistance_20c_ohm": 0.1, "temperature_coefficient_per_k": 0.00393},
        "temperature_c",
        (-20, 250),
        RISING,
    ),
    (
        conductor_temperature.conductor_temperature_c,
        {"ampacity_a": 40.0, "ambient_c": 30.0, "maximum_c": 70.0},
        "current_a",
        (0, 80),
        RISING,
    ),
    (
        ampacity.corrected_ampacity_a,
        {"tabulated_a": 57.0, "ambient_factor": 0.87},
        "grouping_factor",
        FACTOR,
        RISING,
    ),
    (
        overload.greatest_rating_for_cable_a,
        {"ampacity_a": 40.0},
        "conventional_multiple",
        (1.05, 2.1),
        FALLING,
    ),
    (
        voltage_drop.phase_drop_v,
        {"power_factor": 0.95, "resistance_ohm": 0.1, "reactance_ohm": 0.01},
        "current_a",
        (0, 125),
        RISING,
    ),
    (voltage_drop.drop_allowance_percent, {}, "length_m", (0, 400), RISING),
    (
        fault_current.line_earth_fault_a,
        {"voltage_factor": 0.95, "voltage_to_earth_v": 230.0},
        "loop_impedance_ohm",
        (0.01, 20),
        FALLING,
    ),
    (
        fault_current.least_sum_ohm,
        {"source_ohm": 0.1, "reactance_ohm": 0.05},
        "resistance_ohm",
        (0, 3),
        RISING,
    ),
    (
        disconnection.greatest_loop_impedance_ohm,
        {"voltage_to_earth_v": 230.0, "voltage_factor": 0.95},
        "operating_current_a",
        (10, 3000),
        FALLING,
    ),
    (
        disconnection.greatest_electrode_resistance_ohm,
        {},
        "residual_current_a",
        (0.01, 1),
        FALLING,
    ),
    (
        adiabatic.fault_energy_a2s,
        {"fault_current_a": 500.0},
        "time_s",
        (0.1, 5),
        RISING,
    ),
    (adiabatic.permitted_let_through_a2s, {"k": 115.0}, "section_mm2", (0.5, 300), RISING),
    (infeed.greatest_infeed_a, {"ampacity_a": 21.0}, "rating_a", (6, 63), FALLING),
    (
        infeed.voltage_rise_v,
        {"line_resistance_ohm": 0.05, "return_current_a": 0.0, "neutral_resistance_ohm": 0.06},
        "current_a",
        (0, 100),
        RISING,
    ),
    (demand.remaining_current_a, {"rating_a": 63.0}, "existing_a", (0, 100), FALLING),
]


@pytest.mark.parametrize(
    "case",
    DIRECTIONS,
    ids=[f"{function.__name__}-{moved}" for function, _, moved, _, _ in DIRECTIONS],
)
@given(data=st.data())
def test_direction(case: Case, data: st.DataObject) -> None:
    function, fixed, moved, span, direction = case
    values = st.floats(min_value=span[0], max_value=span[1])
    low, high = sorted((data.draw(values), data.draw(values)))
    assert moved in inspect.signature(function).parameters
    change = function(**fixed, **{moved: high}) - function(**fixed, **{moved: low})
    assert direction * change >= 0
    if (
        high - low > 0.01 * (span[1] - span[0])
        and function is not voltage_drop.drop_allowance_percent
    ):
        assert direction * change > 0


@given(
    st.floats(min_value=0.1, max_value=500),
    st.floats(min_value=0.01, max_value=1),
    st.floats(min_value=0.1, max_value=500),
    st.floats(min_value=0.01, max_value=1),
)
def test_a_phasor_sum_lies_between_its_parts_and_their_sum(
    first_a: float, first_factor: float, second_a: float, second_factor: float
) -> None:
    total_a = load_current.phasor_sum_a(
        current_1_a=first_a,
        power_factor_1=first_factor,
        current_2_a=second_a,
        power_factor_2=second_factor,
    )
    # two lagging currents are never more than a quarter turn apart
    assert total_a <= (first_a + second_a) * (1 + 1e-12)
    assert total_a >= max(first_a, second_a) * (1 - 1e-12)


@given(
    st.floats(min_value=0.1, max_value=20),
    st.floats(min_value=0.1, max_value=1),
    st.floats(min_value=0.001, max_value=1),
    st.floats(min_value=0, max_value=0.2),
)
def test_current_for_a_drop_makes_that_drop(
    drop_v: float, power_factor: float, resistance_ohm: float, reactance_ohm: float
) -> None:
    line = {
        "power_factor": power_factor,
        "resistance_ohm": resistance_ohm,
        "reactance_ohm": reactance_ohm,
    }
    current_a = voltage_drop.current_for_drop_a(drop_v=drop_v, **line)
    assert voltage_drop.phase_drop_v(current_a=current_a, **line) == pytest.approx(drop_v)


@given(
    st.floats(min_value=100, max_value=6e4),
    st.floats(min_value=0.85, max_value=0.98),
    st.floats(min_value=0.9, max_value=1),
    st.floats(min_value=0, max_value=2000),
)
def test_power_to_current_and_back(
    dc_power_w: float, efficiency: float, power_factor: float, auxiliaries_w: float
) -> None:
    active_w = load_current.input_active_power_w(
        dc_power_w=dc_power_w, efficiency=efficiency, auxiliaries_w=auxiliaries_w
    )
    current_a = load_current.three_phase_current_a(
        apparent_va=load_current.apparent_power_va(active_w=active_w, power_factor=power_factor),
        line_voltage_v=360.0,
    )
    again_w = load_current.power_at_current_w(
        current_a=current_a,
        line_voltage_v=360.0,
        power_factor=power_factor,
        efficiency=efficiency,
        auxiliaries_w=auxiliaries_w,
    )
    assert again_w == pytest.approx(dc_power_w)


def test_distortion_adds_at_right_angles() -> None:
    # The sides 4 and 3 of the right triangle: 4 A with 75 % distortion are 5 A
    assert load_current.rms_line_current_a(
        fundamental_a=4.0, distortion_ratio=0.75
    ) == pytest.approx(5.0)


def test_a_line_without_impedance_sets_no_current() -> None:
    with pytest.raises(OutOfRange, match="drop per ampere"):
        voltage_drop.current_for_drop_a(
            drop_v=9.2, power_factor=1.0, resistance_ohm=0.0, reactance_ohm=0.1
        )


def test_auxiliaries_count_only_when_given() -> None:
    load = {"efficiency": 0.95}
    assert load_current.input_active_power_w(dc_power_w=19e3, **load) == pytest.approx(20e3)
    current = {"current_a": 32.0, "line_voltage_v": 400.0, "power_factor": 1.0, "efficiency": 1.0}
    assert load_current.power_at_current_w(**current) == pytest.approx(3**0.5 * 400 * 32)
    with pytest.raises(OutOfRange, match="power left after auxiliaries_w"):
        load_current.power_at_current_w(auxiliaries_w=23e3, **current)


@pytest.mark.parametrize("time_s", [0.01, 0.099, 5.001, 60.0])
def test_the_adiabatic_formula_stops_where_the_standard_stops(time_s: float) -> None:
    # IEC 60364-4-43, 434.5.2: 0.1 s to 5 s
    with pytest.raises(OutOfRange, match="time_s"):
        adiabatic.fault_energy_a2s(fault_current_a=500.0, time_s=time_s)


@given(
    st.floats(min_value=40, max_value=230),
    st.floats(min_value=0.5, max_value=300),
    st.floats(min_value=0.1, max_value=5),
)
def test_section_time_and_energy_tell_the_same_story(
    k: float, section_mm2: float, time_s: float
) -> None:
    energy_a2s = adiabatic.permitted_let_through_a2s(k=k, section_mm2=section_mm2)
    current_a = (energy_a2s / time_s) ** 0.5
    assert adiabatic.fault_energy_a2s(fault_current_a=current_a, time_s=time_s) == pytest.approx(
        energy_a2s
    )
    assert adiabatic.least_section_for_let_through_mm2(
        let_through_a2s=energy_a2s, k=k
    ) == pytest.approx(section_mm2)
