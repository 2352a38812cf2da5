"""Inputs for the clauses on infeed, for the tests that ask the same of every clause."""

from __future__ import annotations

from typing import Any

EXAMPLES: dict[str, dict[str, Any]] = {
    "infeed.greatest_infeed_a": {"ampacity_a": 21, "rating_a": 16},
    "infeed.voltage_rise_v": {
        "current_a": 20,
        "line_resistance_ohm": 0.05,
        "return_current_a": 10,
        "neutral_resistance_ohm": 0.06,
    },
}
