"""The working of the requested current, and how it ends where the voltage does not hold."""

from __future__ import annotations

import pytest

from feasibility.checks.question import Run
from feasibility.checks.station_load import Requested, setting_counts
from feasibility.installation.build import build_installation

from ..formulas import faults_of
from .sites import GONE, SINGLE, Changes, site

FREE: Changes = {"station.setting_a": GONE, "station.nameplate_current_a": GONE}


def run_over(*changes: Changes) -> Run:
    return Run.over(build_installation(site(SINGLE, *changes)), favourable=False)


def requested(*changes: Changes) -> Requested:
    return run_over(*changes).requested()


@pytest.mark.parametrize(
    ("changes", "symbols"),
    [
        (FREE, ["P", "S", "Ip"]),
        ({"station.setting_a": GONE}, ["P", "S", "Ip", "Ist"]),
        ({}, ["P", "S", "Ip", "Ist", "Iset", "Is"]),
        ({"station.dc_power_kw": GONE, "station.input_power_kw": 16}, ["P", "S", "Ip", "Ist"]),
    ],
)
def test_every_line_is_there_and_can_be_re_derived(changes: Changes, symbols: list[str]) -> None:
    steps = requested(changes).steps
    assert [one.symbol for one in steps][: len(symbols)] == symbols
    assert [fault for one in steps for fault in faults_of(one)] == []


def test_the_power_by_hand() -> None:
    # 15 kW at 0.955 are 15 706.8 W; 16 kW of input power are 16 000 W.
    direct = requested(FREE).steps[0]
    assert direct.result == pytest.approx(15_000 / 0.955)
    assert direct.inputs[0].value == 15
    stated = requested(FREE, {"station.dc_power_kw": GONE, "station.input_power_kw": 16}).steps[0]
    assert (stated.result, stated.inputs[0].value) == (16_000, 16)


@pytest.mark.parametrize("known", [True, False])
def test_the_nameplate_or_the_setting_stand_alone_where_the_power_is_not_known(
    *, known: bool
) -> None:
    unknown: Changes = {"station.dc_power_kw": GONE, "station.setting_a": 24 if known else GONE}
    one = requested(unknown)
    assert one.current_a == pytest.approx(24 * 1.02 if known else 32)
    alone = requested({**unknown, "station.nameplate_current_a": GONE, "station.setting_a": 24})
    assert alone.current_a == pytest.approx(24 * 1.02)


def test_where_the_voltage_collapses_the_current_ends_at_a_third_of_it() -> None:
    # 0.3 * 360 V / sqrt(3): our own end of the search, far below what any station accepts.
    collapsed = requested(FREE, {"circuit[0].cable[0].length_m": 3000})
    (step,) = [one for one in collapsed.steps if one.symbol == "Ip"]
    shown = {one.symbol: one.value for one in step.inputs}
    assert shown["Uph"] == pytest.approx(0.3 * 360 / 3**0.5)


def test_without_a_network_the_voltage_at_the_origin_counts() -> None:
    no_network = requested(FREE, {"circuit[0].cable[0].section_mm2": GONE})
    (step,) = [one for one in no_network.steps if one.symbol == "Ip"]
    shown = {one.symbol: one.value for one in step.inputs}
    assert shown["Uph"] == pytest.approx(360 / 3**0.5)


@pytest.mark.parametrize(
    ("limits", "counts"), [("whole station", True), ("rectifier only", False), (GONE, False)]
)
def test_a_setting_counts_only_where_it_limits_the_whole_station(
    limits: object, *, counts: bool
) -> None:
    run = run_over({"station.setting_limits": limits})
    assert setting_counts(run.installation, run.ends) is counts
