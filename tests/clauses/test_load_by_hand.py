"""Input power of a rectifier by hand: what it gives over its efficiency, and its auxiliaries."""

from __future__ import annotations

import pytest

from feasibility.clauses.load_current import input_active_power_w


def test_auxiliaries_add_to_what_the_rectifier_draws() -> None:
    # Definition of efficiency: 15 kW / 0.955 are 15 706.8 W, and 350 W for fans and control.
    power = input_active_power_w(dc_power_w=15_000.0, efficiency=0.955, auxiliaries_w=350.0)
    assert power == pytest.approx(15_706.806 + 350, abs=0.001)
