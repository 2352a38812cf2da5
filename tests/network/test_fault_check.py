"""IEC 60909 by pandapower against the standard's formula, written out."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any, get_args

import pytest

from feasibility.network.fault_check import Fault, FaultSource, iec60909_currents
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
STRONGEST = FaultSource(level_mva=10.0, r_to_x=0.3, zero_to_positive=1.4)
WEAKEST = FaultSource(level_mva=6.0, r_to_x=0.4, zero_to_positive=2.0)
LEVELS: dict[str, Any] = {
    "strongest": STRONGEST,
    "weakest": WEAKEST,
    "end_temperature_c": 160.0,
}
CABLES = {"source": 0j, "board": complex(0.0193, 0.0085), "end": complex(0.0943, 0.017)}
"""Line conductor from the source to each node, at 20 °C."""
NEUTRALS = {"source": 0j, "board": complex(0.0193, 0.0085), "end": complex(0.0386, 0.017)}


def source_ohm(voltage_factor: float, source: FaultSource) -> complex:
    """IEC 60909-0:2016, 6.2 (from memory): |Zq| = c Un^2 / Sk" at the given R/X."""
    magnitude = voltage_factor * 400**2 / (source.level_mva * 1e6)
    reactance = magnitude / math.hypot(1, source.r_to_x)
    return complex(source.r_to_x * reactance, reactance)


def warm(ohm: complex) -> complex:
    """Resistance at 160 °C by 0.004 per kelvin, as the library raises it."""
    return complex((1 + 0.004 * (160 - 20)) * ohm.real, ohm.imag)


def fault_current_a(
    fault: Fault, voltage_factor: float, source: FaultSource, line: complex, back: complex
) -> float:
    """IEC 60909-0:2016, 7.2, 7.3 and 7.5 (from memory), by symmetrical components."""
    z1 = source_ohm(voltage_factor, source) + line
    if fault == "three-phase":
        return voltage_factor * 400 / math.sqrt(3) / abs(z1)
    if fault == "line-line":
        return voltage_factor * 400 / (2 * abs(z1))
    z0 = source_ohm(voltage_factor, source) * source.zero_to_positive + line + 3 * back
    return math.sqrt(3) * voltage_factor * 400 / abs(2 * z1 + z0)


@pytest.mark.parametrize("fault", get_args(Fault))
@pytest.mark.parametrize(("tolerance", "c_max", "c_min"), [(10, 1.10, 0.90), (6, 1.05, 0.95)])
def test_formula_of_the_standard(tolerance: int, c_max: float, c_min: float, fault: Fault) -> None:
    currents = iec60909_currents(SITE, voltage_tolerance_percent=tolerance, fault=fault, **LEVELS)
    assert list(currents) == list(CABLES)
    for node, cold_ohm in CABLES.items():
        back = NEUTRALS[node]
        largest_a = fault_current_a(fault, c_max, STRONGEST, cold_ohm, back)
        smallest_a = fault_current_a(fault, c_min, WEAKEST, warm(cold_ohm), warm(back))
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
        ({"end_temperature_c": 19.0}, OutOfRange),
        ({"weakest": replace(WEAKEST, level_mva=11.0)}, NetworkError),
        ({"voltage_tolerance_percent": 5}, NetworkError),
    ],
)
def test_refused(values: dict[str, Any], error: type[Exception]) -> None:
    with pytest.raises(error):
        iec60909_currents(SITE, **(LEVELS | values))


@pytest.mark.parametrize(
    "values",
    [{"level_mva": 0.0}, {"level_mva": math.nan}, {"r_to_x": -0.1}, {"zero_to_positive": math.inf}],
)
def test_a_supply_that_cannot_be_is_refused(values: dict[str, float]) -> None:
    with pytest.raises(OutOfRange):
        replace(STRONGEST, **values)


def test_no_fault_to_a_return_conductor_that_is_not_there() -> None:
    bare = replace(CABLE, has_neutral=False, neutral_resistance_ohm=0.0, neutral_reactance_ohm=0.0)
    without = replace(SITE, branches=(bare,), loads=())
    with pytest.raises(NetworkError, match="no return conductor"):
        iec60909_currents(without, fault="line to return conductor", **LEVELS)
    assert iec60909_currents(without, fault="line-line", **LEVELS)
