"""The requested current: constant power by hand, nameplate, and when a setting counts."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from feasibility.checks.question import Run
from feasibility.installation.build import build_installation

from .hand import KIOSK, SQRT3, YARD, current_at_constant_power
from .sites import GONE, SETTING_HOLDS, SINGLE, Changes, assessed_quickly, merged, quick, site

FREE = {"station.setting_a": GONE, "station.nameplate_current_a": GONE}
"""Nothing but constant power says what the station draws."""


def requested_a(name: str, *changes: Changes, favourable: bool = False) -> float:
    run = Run.over(build_installation(site(name, *changes)), favourable=favourable)
    return run.requested().current_a


def test_constant_power_of_a_three_phase_station_by_hand() -> None:
    # 15 kW at 0.955 and power factor 0.99, 350 W on the worst phase, 400 V less 10 %.
    per_phase_va = 15000 / 0.955 / 0.99 / 3 + 350
    by_hand = current_at_constant_power(
        YARD, source_v=360 / SQRT3, power_va=per_phase_va, power_factor=0.99
    )
    assert requested_a(SINGLE, FREE) == pytest.approx(by_hand, rel=1e-5)
    # The drop matters: without the cable the current would be smaller.
    assert by_hand > 1.01 * per_phase_va / (360 / SQRT3)


def test_constant_power_of_a_single_phase_station_by_hand() -> None:
    changes = {
        **FREE,
        "board": [],
        "supply.demand": {"maximum_a": 0},
        "circuit[1].starts_at": "origin",
        "circuit[0]": GONE,
        "station.dc_power_kw": 2.2,
    }
    power_va = 2200 / 0.955 / 0.99 + 120
    by_hand = current_at_constant_power(
        KIOSK, source_v=360 / SQRT3, power_va=power_va, power_factor=0.99, conductors=2
    )
    assert requested_a("camp-site-kiosk", changes) == pytest.approx(by_hand, rel=1e-5)


def test_input_power_counts_as_it_stands() -> None:
    stated = {**FREE, "station.dc_power_kw": GONE, "station.input_power_kw": 15 / 0.955}
    assert requested_a(SINGLE, stated) == pytest.approx(requested_a(SINGLE, FREE), rel=1e-9)


STIFF = {
    **FREE,
    "station.dc_power_kw": GONE,
    "station.power_factor": 1,
    "station.auxiliary_l1_w": 0,
    "circuit[0].cable[0].length_m": 0.1,
    "circuit[0].cable[0].section_mm2": 35,
    "cord.length_m": 0.1,
    "cord.section_mm2": 16,
}


def test_22_kva_are_32_a_at_400_v() -> None:
    # Common practice, no source: a 32 A three-phase outlet gives 22 kVA.
    nominal = {"supply.tolerance_low_percent": 0, "station.input_power_kw": 22}
    assert requested_a(SINGLE, STIFF, nominal) == pytest.approx(31.75, abs=0.02)


@pytest.mark.parametrize(
    ("power_kw", "printing", "printed_a"), [(54.0, round, 87), (86.60254, math.floor, 138)]
)
def test_nameplates_of_stations_at_10_percent_undervoltage(
    power_kw: float, printing: Callable[[float], int], printed_a: int
) -> None:
    # Installation manuals of two DC charging stations: 54 kVA and 87 A; 125 A rated (86.6 kVA at
    # 400 V) and 138 A greatest, cut to whole amperes.
    found = requested_a(SINGLE, STIFF, {"station.input_power_kw": power_kw})
    assert printing(found) == printed_a
    assert found == pytest.approx(power_kw * 1000 / (SQRT3 * 360), rel=5e-4)


@pytest.mark.parametrize("lowest_v", [380, 340])
def test_a_measured_band_stands_before_the_tolerance(lowest_v: float) -> None:
    measured = {"station.input_power_kw": 22, "supply.lowest_voltage_v": lowest_v}
    expected = 22000 / (SQRT3 * lowest_v)
    assert requested_a(SINGLE, STIFF, measured) == pytest.approx(expected, rel=1e-3)


def test_the_worst_phase_has_the_largest_auxiliaries() -> None:
    second = {"station.auxiliary_l1_w": 0, "station.auxiliary_l2_w": 350}
    assert requested_a(SINGLE, FREE, second) == pytest.approx(requested_a(SINGLE, FREE), rel=1e-9)
    both = {"station.auxiliary_l2_w": 100}
    assert requested_a(SINGLE, FREE, both) == pytest.approx(requested_a(SINGLE, FREE), rel=1e-9)
    none = {"station.auxiliary_l1_w": 0}
    without_a = 350 / (355 / SQRT3)
    difference = requested_a(SINGLE, FREE) - requested_a(SINGLE, FREE, none)
    assert difference == pytest.approx(without_a, rel=0.03)


NAMEPLATE = {"station.nameplate_current_a": 30}


def test_the_setting_with_its_tolerance_counts() -> None:
    setting = {"station.setting_a": 20, "station.setting_tolerance_percent": 2}
    assert requested_a(SINGLE, NAMEPLATE, setting) == pytest.approx(20 * 1.02, rel=1e-12)
    exact = {"station.setting_tolerance_percent": 0}
    assert requested_a(SINGLE, NAMEPLATE, setting, exact) == pytest.approx(20.0, rel=1e-12)


def test_a_setting_above_what_the_station_draws_changes_nothing() -> None:
    high = {"station.setting_a": 32, "station.nameplate_current_a": 29}
    assert requested_a(SINGLE, high) == pytest.approx(29.0, rel=1e-12)


WEAK_SETTINGS = (
    {"station.setting_limits": "rectifier only"},
    {"station.setting_locked": False},
    {"station.setting_survives_restart": False},
    {"station.setting_survives_lost_communication": False},
)


@pytest.mark.parametrize("weak", WEAK_SETTINGS, ids=str)
def test_a_setting_that_may_be_lost_does_not_count(weak: Changes) -> None:
    assert requested_a(SINGLE, NAMEPLATE, weak) == pytest.approx(30.0, rel=1e-12)
    assert requested_a(SINGLE, NAMEPLATE, SETTING_HOLDS) == pytest.approx(24.48, rel=1e-12)


@pytest.mark.parametrize("weak", WEAK_SETTINGS, ids=str)
def test_a_setting_of_which_that_is_not_known_does_not_count_in_the_unfavourable_run(
    weak: Changes,
) -> None:
    unknown = dict.fromkeys(weak, "unknown")
    assert requested_a(SINGLE, NAMEPLATE, unknown) == pytest.approx(30.0, rel=1e-12)
    best = requested_a(SINGLE, NAMEPLATE, unknown, favourable=True)
    assert best == pytest.approx(24.48, rel=1e-12)


@pytest.mark.parametrize("weak", WEAK_SETTINGS, ids=str)
def test_no_lower_setting_is_offered_where_settings_do_not_count(weak: Changes) -> None:
    # 63 A on the nameplate is too much for a 32 A outlet, and nothing keeps the station below it.
    too_much = {"station.nameplate_current_a": 63}
    refused = quick(SINGLE, too_much, weak)
    assert refused.verdict == "upgrade"
    assert [one.outcome for one in refused.findings if one.check == "lower-setting"] == ["fail"]
    unknown = quick(SINGLE, too_much, dict.fromkeys(weak, "unknown"))
    assert unknown.verdict == "undecided"
    assert set(weak) <= {one.fact for one in unknown.open_facts}


def test_a_nameplate_below_constant_power_does_not_hide_it() -> None:
    small = {"station.setting_a": GONE, "station.nameplate_current_a": 20}
    assert requested_a(SINGLE, small) == pytest.approx(requested_a(SINGLE, FREE), rel=1e-9)


def test_unknown_efficiency_power_factor_and_auxiliaries_take_their_unfavourable_ends() -> None:
    unknown = dict.fromkeys(
        (
            "station.efficiency",
            "station.power_factor",
            "station.auxiliary_l1_w",
            "station.setting_tolerance_percent",
        ),
        "unknown",
    )
    worst, best = (requested_a(SINGLE, FREE, unknown, favourable=end) for end in (False, True))
    # Ranges of the code basis: 0.94 to 0.97, 0.98 to 1, 0 to 500 W.
    high, low = 15000 / 0.94 / 0.98 / 3 + 500, 15000 / 0.97 / 3
    assert worst / best == pytest.approx(high / low, rel=0.02)
    assert best < requested_a(SINGLE, FREE) < worst


def test_the_requested_current_needs_some_statement_of_power() -> None:
    nothing = merged(FREE, {"station.dc_power_kw": "unknown"})
    result = assessed_quickly(site(SINGLE, nothing))
    assert result.verdict == "undecided"
    assert result.requested_current_a is None
    assert "station.dc_power_kw" in {one.fact for one in result.open_facts}
