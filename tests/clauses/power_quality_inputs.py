"""Inputs for the functions on power quality, one set each."""

from __future__ import annotations

EXAMPLES: dict[str, dict[str, float]] = {
    "power_quality.short_circuit_power_va": {"line_voltage_v": 400, "impedance_ohm": 0.05},
    "power_quality.impedance_of_power_ohm": {
        "line_voltage_v": 400,
        "short_circuit_power_va": 3.2e6,
    },
    "power_quality.short_circuit_ratio": {
        "short_circuit_power_va": 3.2e6,
        "current_a": 32,
        "line_voltage_v": 400,
    },
    "power_quality.limit_between_ratios_percent": {
        "ratio": 90,
        "lower_ratio": 66,
        "upper_ratio": 120,
        "lower_percent": 14,
        "upper_percent": 19,
    },
    "power_quality.greatest_weighted_distortion_percent": {"distortion_percent": 4},
    "power_quality.greatest_voltage_change_percent": {
        "current_step_a": 32,
        "impedance_ohm": 0.05,
        "voltage_to_neutral_v": 230,
    },
    "power_quality.inrush_over_half_period_a": {
        "peak_a": 100,
        "duration_s": 0.005,
        "frequency_hz": 50,
    },
    "power_quality.voltage_unbalance_percent": {
        "unbalanced_va": 3e3,
        "short_circuit_power_va": 3.2e6,
    },
    "power_quality.sequence_unbalance_percent": {"negative_v": 2.3, "positive_v": 230},
}
