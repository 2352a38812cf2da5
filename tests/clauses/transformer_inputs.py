"""Inputs of the clauses on transformers that are inside their range, and where that ends."""

from __future__ import annotations

from typing import Any

EXAMPLES: dict[str, dict[str, Any]] = {
    "transformer.transformer_resistance_ohm": {
        "load_loss_w": 6500,
        "rated_va": 630e3,
        "rated_voltage_v": 410,
    },
    "transformer.transformer_reactance_ohm": {"impedance_ohm": 0.0107, "resistance_ohm": 0.0028},
    "transformer.transformer_correction_factor": {"voltage_factor": 1.05, "reactance_percent": 3.9},
    "transformer.upstream_impedance_ohm": {
        "voltage_factor": 1.1,
        "rated_voltage_v": 410,
        "short_circuit_power_va": 350e6,
    },
    "transformer.loop_part_ohm": {"positive_ohm": 0.01, "zero_ohm": 0.0095},
    "transformer.no_load_voltage_v": {"rated_voltage_v": 400, "tap_percent": 2.5},
}
BOUNDS: list[tuple[str, str, float, float]] = [
    ("transformer.transformer_correction_factor", "voltage_factor", 1.2, 1.201),
    ("transformer.transformer_correction_factor", "reactance_percent", 100, 100.1),
    ("transformer.transformer_correction_factor", "reactance_percent", 0, -0.1),
    ("transformer.upstream_impedance_ohm", "voltage_factor", 1.2, 1.201),
    ("transformer.no_load_voltage_v", "tap_percent", 20, 20.1),
    ("transformer.no_load_voltage_v", "tap_percent", -20, -20.1),
]
