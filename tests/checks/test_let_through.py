"""The greatest energy over a range of fault currents, against sampling and against physics."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from feasibility import tables
from feasibility.checks.let_through import (
    Ceiling,
    Opening,
    Passage,
    _spread,
    greatest_energy,
    passed_at,
)
from feasibility.checks.working import amount, step
from feasibility.clauses.adiabatic import asymmetrical_energy_a2s, direct_current_share
from feasibility.curves.bands import (
    BandPoint,
    CurveEdge,
    FuseGates,
    Release,
    TripBand,
    breaker,
    fuse_gg,
    makers_curve,
)
from feasibility.result import Quantity

from ..formulas import faults_of

OPENING = Opening(peak_factor=Quantity(value=1.8, unit=""), frequency_hz=50.0)


def _ceiling(energy_a2s: float, up_to_a: float = math.inf) -> Ceiling:
    inputs = [amount("E", "", energy_a2s, "A²s")]
    return Ceiling(working=step("I2t", "", "E", inputs, energy_a2s, "A²s"), up_to_a=up_to_a)


def _passage(band: TripBand, *ceilings: Ceiling, fuse: bool = False) -> Passage:
    return Passage(
        name="device",
        band=band,
        origin="",
        sources=(),
        ceilings=ceilings,
        opening=None if fuse else OPENING,
    )


def _miniature(rating_a: float, multiple: float, *ceilings: Ceiling) -> Passage:
    """IEC 60898-1, Table 7: 1 h at 1.45 In, 60 s at 2.55 In, less than 0.1 s at 5, 10 or 20 In."""
    points = [
        BandPoint(multiple=1.45, must_trip=True, t_max_s=3600),
        BandPoint(multiple=2.55, must_trip=True, t_max_s=60),
        BandPoint(multiple=multiple, must_trip=True, t_max_s=0.1),
    ]
    release = Release(base_a=rating_a, points=points)
    return _passage(breaker(continuous_a=rating_a, releases=[release]), *ceilings)


def _moulded(thermal_a: float, magnetic_a: float, *ceilings: Ceiling) -> Passage:
    """IEC 60947-2: 2 h at 1.3 Ir, 0.2 s at 1.2 Im."""
    overload = [BandPoint(multiple=1.3, must_trip=True, t_max_s=7200)]
    quick = [BandPoint(multiple=1.2, must_trip=True, t_max_s=0.2)]
    releases = [
        Release(base_a=thermal_a, points=overload),
        Release(base_a=magnetic_a, points=quick),
    ]
    band = breaker(continuous_a=thermal_a, releases=releases)
    return _passage(band, *ceilings)


def _fuse(rating_a: float) -> Passage:
    gates = tables.fuse_gates(rating_a=rating_a)
    band = fuse_gg(
        rating_a=rating_a,
        non_fusing_multiple=1.25,
        fusing_multiple=1.6,
        conventional_time_s=3600,
        gates=FuseGates(
            holds_10s_a=gates.imin_10s.value,
            melts_5s_a=gates.imax_5s.value,
            holds_0_1s_a=gates.imin_0_1s.value,
            melts_0_1s_a=gates.imax_0_1s.value,
        ),
    )
    quick = max(
        gates.imax_0_1s.value**2 * 0.1, tables.fuse_energy(rating_a=rating_a).prearcing_max.value
    )
    return _passage(band, _ceiling(quick), fuse=True)


PASSAGES = (
    _miniature(16, 5, _ceiling(35_000, 6000)),
    _miniature(63, 10),
    _miniature(40, 20),
    _moulded(110, 700),
    _moulded(40, 400, _ceiling(90_000)),
    _fuse(32),
    _fuse(63),
    _fuse(200),
)
SERIES = [
    *itertools.combinations(PASSAGES, 1),
    *itertools.combinations(PASSAGES, 2),
]


def _sampled_a2s(passages: tuple[Passage, ...], currents_a: list[float]) -> float:
    """At each current the least of what the devices let through; the greatest of that."""
    greatest = 0.0
    for current_a in currents_a:
        passed = [passed_at(one, current_a) for one in passages]
        known = [one.energy_a2s for one in passed if one is not None]
        greatest = max(greatest, min(known, default=0.0))
    return greatest


@pytest.mark.parametrize("passages", SERIES, ids=lambda found: "+".join(p.name for p in found))
@pytest.mark.parametrize(("low_a", "high_a"), [(20, 10_000), (330, 5200), (700, 720), (900, 900)])
def test_no_current_of_the_range_passes_more(
    passages: tuple[Passage, ...], low_a: float, high_a: float
) -> None:
    found = greatest_energy(passages, low_a=low_a, high_a=high_a)
    currents_a = [float(one) for one in np.geomspace(low_a, high_a, 251)]
    sampled = _sampled_a2s(passages, currents_a)
    assert found.energy_a2s >= sampled * (1 - 1e-9)
    # Where a rising bound crosses a falling one the result errs upward, but by little.
    assert found.energy_a2s <= sampled * 1.35 or not sampled
    if found.slow_up_to_a is not None and found.slow_up_to_a < high_a:
        for current_a in currents_a:
            if current_a > found.slow_up_to_a:
                assert any(passed_at(one, current_a) is not None for one in passages)


@given(
    st.sampled_from(SERIES),
    st.floats(min_value=10, max_value=2000),
    st.floats(min_value=1, max_value=20),
    st.floats(min_value=1, max_value=5),
)
def test_a_wider_range_never_passes_less(
    passages: tuple[Passage, ...], low_a: float, ratio: float, wider: float
) -> None:
    narrow = greatest_energy(passages, low_a=low_a, high_a=low_a * ratio)
    wide = greatest_energy(passages, low_a=low_a / wider, high_a=low_a * ratio * wider)
    # The pieces differ, and with them how much the result errs upward.
    slack = 1.0 if len(passages) == 1 else 1.35
    assert wide.energy_a2s * slack >= narrow.energy_a2s * (1 - 1e-9)
    assert (wide.slow_up_to_a is None) <= (narrow.slow_up_to_a is None)


def test_just_below_the_instantaneous_threshold_only_the_thermal_part_is_sure() -> None:
    device = _miniature(32, 5)
    found = greatest_energy((device,), low_a=100, high_a=1000)
    # 60 s is beyond the 5 s of the formula: no energy is stated for it.
    assert found.slow_up_to_a == pytest.approx(160)
    assert found.passed is not None
    assert found.passed.time_s == 0.1


def test_a_slow_fuse_is_worst_inside_the_range_too() -> None:
    # 320 A melt 63 A gG in 5 s (loop tester manual); up to 7 % above nothing quicker is sure.
    found = greatest_energy((_fuse(63),), low_a=320, high_a=5000)
    assert found.passed is not None
    assert found.passed.current_a == pytest.approx(320 * 1.07)
    assert found.energy_a2s == pytest.approx(5 * (320 * 1.07) ** 2)


def test_five_seconds_are_the_longest_time_of_the_formula() -> None:
    # IEC 60364-4-43, 434.5.2: up to 5 s; 320 A melt 63 A gG within 5 s, less not for certain.
    at = passed_at(_fuse(63), 320)
    assert at is not None
    assert at.time_s == 5
    assert at.energy_a2s == pytest.approx(5 * 320**2)
    assert passed_at(_fuse(63), 319.9) is None
    assert greatest_energy((_fuse(63),), low_a=320, high_a=5000).slow_up_to_a is None


def test_a_device_counts_up_to_and_including_its_greatest_current() -> None:
    device = replace(_miniature(16, 5), up_to_a=500)
    assert passed_at(device, 500) is not None
    assert passed_at(device, 500.1) is None


def test_a_device_quicker_than_a_thousandth_of_a_second_counts_as_that() -> None:
    # No fuse or breaker ends a fault sooner: common practice, no source.
    quick = makers_curve(continuous_a=16, points=[CurveEdge(current_a=100, slowest_s=1e-4)])
    found = passed_at(_passage(quick), 1000)
    assert found is not None
    assert found.time_s == 1e-3
    assert found.energy_a2s > 1000**2 * 1e-3


@pytest.mark.parametrize(
    ("passage", "current_a", "time_s", "asymmetrical"),
    [
        (_moulded(110, 700), 1000, 0.2, False),  # as quickly as its band has it, yet above 0.1 s
        (_miniature(63, 10), 1000, 0.1, True),
        (_fuse(63), 342.4, 5.0, False),
    ],
)
def test_the_working_counts_direct_current_up_to_a_tenth_of_a_second(
    passage: Passage, current_a: float, time_s: float, asymmetrical: bool
) -> None:
    passed = passed_at(passage, current_a)
    assert passed is not None
    assert passed.time_s == time_s
    (line,) = passed.steps()
    assert list(faults_of(line)) == []
    assert ("m" in [one.symbol for one in line.inputs]) is asymmetrical


def test_a_piece_is_divided_in_equal_ratios() -> None:
    assert _spread(1.0, 16.0, 4) == pytest.approx([1, 2, 4, 8, 16])
    assert _spread(3.0, 5.0, 1) == [3.0, 5.0]


def test_a_breaker_never_counts_by_a_tenth_of_a_second_alone() -> None:
    # IEC 60364-4-43, 434.5.2: below 0.1 s the asymmetry matters. It is counted, 44 % here.
    found = greatest_energy((_miniature(63, 10),), low_a=1000, high_a=2000)
    assert found.energy_a2s > 1.4 * 2000**2 * 0.1


def test_an_energy_class_ends_at_the_breaking_capacity() -> None:
    device = _miniature(16, 5, _ceiling(35_000, 6000))
    assert greatest_energy((device,), low_a=100, high_a=6000).energy_a2s == 35_000
    assert greatest_energy((device,), low_a=100, high_a=6001).energy_a2s > 5e6


def test_the_device_that_lets_least_through_counts() -> None:
    breaker, fuse = _miniature(63, 10), _fuse(100)
    alone = greatest_energy((breaker,), low_a=700, high_a=6000).energy_a2s
    together = greatest_energy((breaker, fuse), low_a=700, high_a=6000).energy_a2s
    assert together < alone / 10
    # From its 0.1 s gate of 1450 A on the fuse lets at most 210 250 A2s through; below it the
    # breaker has opened.
    assert together <= 1.05 * max(1450**2 * 0.1, 0.1444 * 1450**2)


# -- The share of the direct current ---------------------------------------------------------------


def _energy_by_integration_a2s(
    time_s: float, ratio_r_x: float, angle_rad: float, current_a: float
) -> float:
    """Integrate the square of a fault current that starts at an angle of the voltage."""
    omega = 2 * math.pi * 50
    lag = math.atan2(1, ratio_r_x)
    times = np.linspace(0, time_s, 4001)
    steady = np.sin(omega * times + angle_rad - lag)
    decaying = np.sin(angle_rad - lag) * np.exp(-omega * ratio_r_x * times)
    squares = (math.sqrt(2) * current_a * (steady - decaying)) ** 2
    return float(np.trapezoid(squares, times))


@pytest.mark.parametrize("time_s", [0.01, 0.02, 0.05, 0.1])
def test_the_bound_covers_a_fault_current_at_any_instant(time_s: float) -> None:
    # IEC 60909-0: kappa = 1.02 + 0.98 exp(-3 R/X); 1.8 belongs to R/X = 0.0759.
    ratio = -math.log((1.8 - 1.02) / 0.98) / 3
    share = direct_current_share(time_s=0.1, peak_factor=1.8, frequency_hz=50.0)
    bound = asymmetrical_energy_a2s(fault_current_a=1000.0, time_s=0.1, direct_current_share=share)
    for degrees in range(0, 180, 5):
        for less_inductive in (1.0, 2.0, 10.0):
            angle = math.radians(degrees)
            passed = _energy_by_integration_a2s(time_s, ratio * less_inductive, angle, 1000.0)
            assert passed <= bound * 1.01
    if time_s == 0.1:
        worst = max(
            _energy_by_integration_a2s(0.1, ratio, math.radians(degrees), 1000.0)
            for degrees in range(0, 180, 5)
        )
        assert bound == pytest.approx(worst, rel=0.03)


def test_the_share_agrees_with_another_program() -> None:
    """Compare with pandapower's thermal equivalent current (IEC 60909) of a small network."""
    import pandapower
    import pandapower.shortcircuit

    net = pandapower.create_empty_network()
    high, low = (pandapower.create_bus(net, vn_kv=0.4) for _ in range(2))
    pandapower.create_ext_grid(net, high, s_sc_max_mva=10, rx_max=0.1)
    pandapower.create_line_from_parameters(
        net,
        high,
        low,
        length_km=0.05,
        r_ohm_per_km=0.387,
        x_ohm_per_km=0.08,
        c_nf_per_km=0,
        max_i_ka=0.1,
    )
    for time_s in (0.02, 0.05, 0.1):
        pandapower.shortcircuit.calc_sc(
            net, case="max", ip=True, ith=True, tk_s=time_s, topology="radial", kappa_method="B"
        )
        for _, row in net.res_bus_sc.iterrows():
            kappa = row.ip_ka / (math.sqrt(2) * row.ikss_ka)
            share = direct_current_share(time_s=time_s, peak_factor=kappa, frequency_hz=50.0)
            energy = asymmetrical_energy_a2s(
                fault_current_a=1000 * row.ikss_ka, time_s=time_s, direct_current_share=share
            )
            assert energy == pytest.approx((1000 * row.ith_ka) ** 2 * time_s, rel=1e-6)
