"""IEC 60909 by pandapower against the standard's formula, written out."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from feasibility.network.fault_check import iec60909_currents
from feasibility.network.load_flow import solve
from feasibility.network.records import Branch, Load, Network, NetworkError
from feasibility.units import OutOfRange

CABLE = Branch(
    name="main",
    from_node="source",
    to_node="board",
    resistance_ohm=0.0193,
    reactance_ohm=0.0085,
    neutral_resistance_ohm=0.0193,
    neutral_reactance_ohm=0.0085,
    has_neutral=True,
)
SITE = Network(
    nominal_voltage_v=400.0,
    source_node="source",
    source_voltage_v=390.0,
    branches=(
        CABLE,
        replace(CABLE, name="outlet", from_node="board", to_node="end", resistance_ohm=0.075),
    ),
    loads=(
        Load(name="load", node="end", active_w=(5e3, 0, 0), reactive_var=(0, 0, 0), kind="power"),
    ),
    frequency_hz=50.0,
)
LEVELS: dict[str, Any] = {
    "source_max_mva": 10.0,
    "source_min_mva": 6.0,
    "source_r_to_x_max": 0.3,
    "source_r_to_x_min": 0.4,
    "end_temperature_c": 160.0,
}


def fault_current_a(
    voltage_factor: float, level_mva: float, r_to_x: float, cable_ohm: complex
) -> float:
    """IEC 60909-0:2016: Ik" = c Un / (sqrt(3) |Zk|), source Zq = c Un^2 / Sk" (from memory)."""
    source_ohm = voltage_factor * 400**2 / (level_mva * 1e6)
    reactance = source_ohm / math.hypot(1, r_to_x)
    loop = complex(r_to_x * reactance, reactance) + cable_ohm
    return voltage_factor * 400 / math.sqrt(3) / abs(loop)


@pytest.mark.parametrize(("tolerance", "c_max", "c_min"), [(10, 1.10, 0.90), (6, 1.05, 0.95)])
def test_formula_of_the_standard(tolerance: int, c_max: float, c_min: float) -> None:
    currents = iec60909_currents(SITE, voltage_tolerance_percent=tolerance, **LEVELS)
    warm = 1 + 0.004 * (160 - 20)
    cables = {"source": 0j, "board": complex(0.0193, 0.0085), "end": complex(0.0943, 0.017)}
    assert list(currents) == list(cables)
    for node, cold_ohm in cables.items():
        warm_ohm = complex(warm * cold_ohm.real, cold_ohm.imag)
        largest_a = fault_current_a(c_max, 10.0, 0.3, cold_ohm)
        smallest_a = fault_current_a(c_min, 6.0, 0.4, warm_ohm)
        assert currents[node].maximum_a == pytest.approx(largest_a, rel=1e-9)
        assert currents[node].minimum_a == pytest.approx(smallest_a, rel=1e-9)
        assert currents[node].minimum_a < currents[node].maximum_a


def test_at_the_source_the_fault_level_itself() -> None:
    at_source = iec60909_currents(SITE, **LEVELS)["source"]
    assert at_source.maximum_a == pytest.approx(10e6 / (math.sqrt(3) * 400), rel=1e-9)
    assert at_source.minimum_a == pytest.approx(6e6 / (math.sqrt(3) * 400), rel=1e-9)


def test_the_load_flow_is_not_disturbed() -> None:
    before = solve(SITE).voltage_v("end")
    iec60909_currents(SITE, **LEVELS)
    assert (solve(SITE).voltage_v("end") == before).all()


@pytest.mark.parametrize(
    ("values", "error"),
    [
        ({"source_max_mva": 0.0}, OutOfRange),
        ({"source_min_mva": math.nan}, OutOfRange),
        ({"source_r_to_x_max": -0.1}, OutOfRange),
        ({"source_r_to_x_min": math.inf}, OutOfRange),
        ({"end_temperature_c": 19.0}, OutOfRange),
        ({"source_min_mva": 11.0}, NetworkError),
        ({"voltage_tolerance_percent": 5}, NetworkError),
    ],
)
def test_refused(values: dict[str, Any], error: type[Exception]) -> None:
    with pytest.raises(error):
        iec60909_currents(SITE, **(LEVELS | values))
