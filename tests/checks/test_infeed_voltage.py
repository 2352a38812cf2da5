"""The voltage with full infeed and no load, against an independent solver and phasors."""

from __future__ import annotations

import cmath
import math
from typing import Any

import pandapower as pp
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from feasibility.result import Finding, Outcome, Verdict

from ..formulas import faults_of
from .cases_of_infeed import BAKERY, at_origin, on_board, on_circuit, photovoltaic
from .cases_of_infeed_voltage import ROOF, far_board
from .cases_of_transformer import own
from .sites import GONE, SINGLE, Changes, found, merged, quick, site_data, step_result

RISE, PLACE, STATION = (
    "infeed-voltage-rise",
    "infeed-highest-voltage",
    "infeed-voltage-at-station",
)
# IEC 60228: 1.15 ohm/km for 16 mm² copper; IEC 60287-1-1: 0.00393 per K.
HOT_OHM_PER_KM = 1.15 * (1 + 0.00393 * 50)


def rise_of(changes: Changes, link: str = ROOF, name: str = BAKERY) -> Finding:
    return found(RISE, link, name, changes)


def solved_percent(power_kw: float, length_m: float) -> float:
    """Rise at the end of a line with a generator, from 110 % of 400 V; pandapower."""
    net = pp.create_empty_network()
    first, second = (pp.create_bus(net, vn_kv=0.4) for _ in range(2))
    pp.create_ext_grid(net, first, vm_pu=1.1)
    pp.create_line_from_parameters(
        net, first, second, length_km=length_m / 1000, r_ohm_per_km=HOT_OHM_PER_KM,
        x_ohm_per_km=0.08, c_nf_per_km=0, max_i_ka=1,
    )  # fmt: skip
    pp.create_sgen(net, second, p_mw=power_kw / 1000, q_mvar=0)
    pp.runpp(net, tolerance_mva=1e-10, numba=False)
    return 100 * (float(net.res_bus.vm_pu.at[second]) - 1.1)


@pytest.mark.parametrize(("power_kw", "length_m"), [(5, 140), (15, 140), (30, 60)])
def test_three_phases_against_an_independent_solver(power_kw: float, length_m: float) -> None:
    source = photovoltaic("unknown", rated_power_kw=power_kw)
    changes = merged(on_board(source), {"circuit[0].cable[0].length_m": length_m})
    value = rise_of(changes).value
    assert value is not None
    solved = solved_percent(power_kw, length_m)
    # The rated current at nominal voltage is a tenth above that at the highest one: never below.
    assert solved < value < 1.15 * solved


def test_one_phase_against_phasors() -> None:
    finding = rise_of(far_board(phases="L2"))
    loop_ohm = 2 * HOT_OHM_PER_KM * 0.14
    voltage = complex(253)
    for _ in range(50):  # 20 A in phase with the voltage at the far end of line and neutral
        voltage = 253 + 20 * cmath.exp(1j * cmath.phase(voltage)) * complex(loop_ohm, 0.022)
    assert finding.value == pytest.approx(100 * (abs(voltage) - 253) * math.sqrt(3) / 400, rel=2e-3)


def test_single_phases_do_not_relieve_one_another() -> None:
    one = rise_of(far_board(phases="L2")).value
    others = [photovoltaic(20, name=phase, phases=phase) for phase in ("L1", "L3")]
    every = merged(
        on_board(photovoltaic(20, phases="L2"), *others), {"circuit[0].cable[0].length_m": 140}
    )
    assert rise_of(every).value == pytest.approx(one)


def test_sources_behind_one_another_add_up_on_the_common_cable() -> None:
    alone = rise_of(far_board()).value
    both = merged(
        on_board(photovoltaic(20), photovoltaic(10, name="shed")),
        {"circuit[0].cable[0].length_m": 140},
    )
    assert alone is not None
    assert rise_of(both).value == pytest.approx(1.5 * alone)


def test_a_source_on_the_circuit_of_the_outlet_is_followed_to_its_end() -> None:
    finding = rise_of(on_circuit(10))
    # By hand, IEC 60228: 3.08 ohm/km for 6 mm²; 14 m and 22 m, line and neutral, hot.
    ohm = 2 * (1.15 * 0.014 + 3.08 * 0.022) * (1 + 0.00393 * 50)
    assert finding.value == pytest.approx(100 * 10 * ohm * math.sqrt(3) / 400, rel=1e-3)


def with_roof_board(**cable: Any) -> Changes:
    """A roof generator on a board of its own, which the main board feeds."""
    laid = {"length_m": 30, "section_mm2": 6, "conductor": "copper", "insulation": "PVC"}
    circuit = {
        "name": "Roof cable",
        "starts_at": "Main board",
        "ends_at": "Roof board",
        "cable": [laid | cable],
    }
    board = {"name": "Roof board", "source": [photovoltaic()], "demand": {"maximum_a": 0}}
    data = site_data(BAKERY)
    return {"board": [*data["board"], board], "circuit": [*data["circuit"], circuit]}


def test_the_circuit_beside_the_path_that_feeds_the_board_of_the_source_counts() -> None:
    ohm = (1.15 * 0.014 + 3.08 * 0.030) * (1 + 0.00393 * 50)
    finding = rise_of(with_roof_board())
    assert finding.value == pytest.approx(100 * 20 * ohm * math.sqrt(3) / 400, rel=1e-3)
    # The station sees only what is raised up to the main board.
    station = found(STATION, "", BAKERY, with_roof_board())
    main = 1.15 * 0.014 * (1 + 0.00393 * 50)
    assert step_result(station, "dU") == pytest.approx(math.sqrt(3) * 20 * main, rel=1e-3)


def test_an_unknown_cable_beside_the_path_is_named() -> None:
    finding = rise_of(with_roof_board(section_mm2="unknown"))
    assert finding.outcome is Outcome.CAUTION
    assert finding.facts == ("circuit[3].cable[1].section_mm2",)


def test_what_feeds_in_at_the_origin_raises_nothing_before_the_station() -> None:
    finding = rise_of(at_origin(photovoltaic()))
    assert (finding.outcome, finding.value) == (Outcome.PASS, 0)
    assert not [one for one in quick(BAKERY, at_origin(photovoltaic())).findings
                if one.check == STATION]  # fmt: skip


def test_behind_a_changeover_switch_nothing_is_raised() -> None:
    changes = on_board(photovoltaic(kind="generator", changeover=True))
    for check, link in ((RISE, ROOF), (PLACE, ROOF), (STATION, "station")):
        assert found(check, link, BAKERY, changes).outcome is Outcome.NOT_APPLICABLE


def test_a_supply_that_uses_its_whole_band_leaves_no_room() -> None:
    finding = found(PLACE, ROOF, BAKERY, far_board(1))
    assert finding.outcome is Outcome.CAUTION
    assert finding.value is not None
    assert 110 < finding.value < 110.2


def test_the_maker_of_the_station_is_the_only_one_whose_limit_binds() -> None:
    much = quick(BAKERY, far_board(60))
    assert {one.outcome for one in much.findings if one.check in (RISE, PLACE)} == {Outcome.CAUTION}
    narrow = quick(BAKERY, merged(far_board(), {"station.maximum_voltage_v": 442}))
    (finding,) = [one for one in narrow.findings if one.check == STATION]
    assert finding.outcome is Outcome.FAIL
    assert narrow.verdict is Verdict.UPGRADE
    assert narrow.carryable_current_a is None


def test_an_own_transformer_is_raised_as_well() -> None:
    quarry = {
        "board[0].other_sources_none": GONE,
        "board[0].source": [photovoltaic(30)],
        "board[0].demand.net_of_generation": False,
    }
    finding = found(STATION, "", "quarry-workshop", quarry)
    before = found("highest-voltage", "", "quarry-workshop").value
    # By hand: 2.35 kW of load loss at 160 kVA and 400 V are 14.69 milliohm per phase.
    assert before is not None
    assert step_result(finding, "Uh") == pytest.approx(before + math.sqrt(3) * 30 * 0.014688)


SINGLE_PHASE_STATION: Changes = {
    "station.phases": "L1",
    "station.full_power_voltage_v": 200,
    "station.minimum_voltage_v": 180,
    "station.maximum_voltage_v": 265,
}


@pytest.mark.parametrize(
    ("plate", "beyond_line_ohm"),
    [
        ({}, 0.0),
        (
            {"vector_group": "Yyn0", "zero_sequence_impedance_ohm": 0.6},
            (0.6 - 0.064) / 3 * 0.028 / 0.064,
        ),
    ],
)
def test_one_phase_in_an_own_transformer_comes_back_through_its_neutral(
    plate: dict[str, Any], beyond_line_ohm: float
) -> None:
    """100 kVA, 4 %, 1.75 kW: 64 mOhm, 28 of them resistance, by hand.

    The way back has (Z0 - Z1) / 3 by symmetrical components, at the angle of the windings: nothing
    in Dyn5, where R0 = R1. Between lines half an ampere of L1 counts root three times and the
    neutral does not lie in the loop; a single-phase station sees line and neutral plain.
    """
    roof = {
        "supply.source": [photovoltaic(0.5, phases="L1")],
        "supply.other_sources_none": GONE,
        "supply.demand.net_of_generation": False,
    }
    for station, raised_v, through in (
        ({}, math.sqrt(3) * 0.5 * 0.028, {"Rt"}),
        (SINGLE_PHASE_STATION, 0.5 * (0.028 + beyond_line_ohm), {"Rt", "Rn"}),
    ):
        finding = found(STATION, "", SINGLE, own(**plate), roof, station)
        assert [fault for one in finding.working for fault in faults_of(one)] == []
        before = found("highest-voltage", "", SINGLE, own(**plate), station).value
        assert before is not None
        assert step_result(finding, "Uh") - before == pytest.approx(raised_v, rel=1e-6)
        (raised,) = [one for one in finding.working if one.symbol == "Uh"]
        assert {one.symbol for one in raised.inputs} & {"Rt", "Rn"} == through


@pytest.mark.parametrize(
    ("power_kw", "phases", "current_a"), [(4.6, "L2", 19.9186), (13.8, "L1L2L3", 19.9186)]
)
def test_a_power_is_the_current_of_each_of_its_phases(
    power_kw: float, phases: str, current_a: float
) -> None:
    """By hand: 4.6 kW to neutral of 400 V, 230.94 V, are 19.92 A; so are 13.8 kW in three."""
    by_power = photovoltaic(rated_current_a=GONE, phases=phases, rated_power_kw=power_kw)
    far = {"circuit[0].cable[0].length_m": 140}
    by_current = photovoltaic(current_a, phases=phases)
    found_rises = [rise_of(merged(on_board(one), far)).value for one in (by_power, by_current)]
    assert found_rises[0] == pytest.approx(found_rises[1], rel=1e-5)


def test_the_lower_end_counts_of_what_a_station_accepts() -> None:
    """446.7 V by hand (20 A over 140 m, above 440 V)."""
    window = {"station.maximum_voltage_v": {"low": 444, "high": 450}}
    finding = found(STATION, "station", BAKERY, far_board(), window)
    assert finding.outcome is Outcome.OPEN
    assert finding.facts == ("station.maximum_voltage_v",)


def test_between_lines_the_neutral_does_not_count() -> None:
    """20 A in L1 over 140 m of 16 mm², hot: root three times the line's own rise, by hand."""
    finding = found(STATION, "station", BAKERY, far_board(phases="L1"))
    assert step_result(finding, "dU") == pytest.approx(
        math.sqrt(3) * 20 * 0.14 * HOT_OHM_PER_KM, rel=1e-3
    )
    assert [one.meaning for one in finding.working if one.symbol == "dU"] == [
        "rise from the origin, between lines"
    ]
    assert [fault for one in finding.working for fault in faults_of(one)] == []
    resistances = {one.symbol for one in finding.working} & {"RL1", "RN1"}
    assert resistances == {"RL1"}
    to_neutral = rise_of(far_board(0.5, phases="L1"))
    assert [fault for one in to_neutral.working for fault in faults_of(one)] == []
    assert {"RL1", "RN1"} <= {one.symbol for one in to_neutral.working}
    assert "rise from the origin, to neutral" in [one.meaning for one in to_neutral.working]


@settings(max_examples=20, deadline=None)
@given(low=st.floats(0.1, 100), high=st.floats(0.1, 100))
def test_more_infeed_never_means_less_voltage(low: float, high: float) -> None:
    low, high = sorted((low, high))
    less, more = (rise_of(far_board(one, phases="L3")).value for one in (low, high))
    assert less is not None
    assert more is not None
    assert less <= more + 1e-9


def test_generation_is_no_relief() -> None:
    without = quick(BAKERY, {"board[0].rated_current_a": 125})
    with_sun = quick(BAKERY, on_board(photovoltaic(20), rated_current_a=125))
    before = {(f.check, f.link): f for f in without.findings if f.depends_on_current}
    for finding in with_sun.findings:
        if finding.depends_on_current and finding.check != "load-flow":
            assert finding.value == before[finding.check, finding.link].value
