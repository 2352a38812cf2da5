"""Sites that must not carry: each differs from one that carries by a single unfavourable fact."""

from __future__ import annotations

from dataclasses import dataclass, field

import pytest

from feasibility.result import Verdict

from .sites import GONE, Changes, merged, quick, third_harmonic

BAKERY, KIOSK = "bakery-yard", "camp-site-kiosk"
CABLE = "circuit[1].cable[0]"
STRONG_CORD = {"cord.ampacity_a": 60}


@dataclass(frozen=True, kw_only=True)
class Pair:
    """``fair`` carries; with ``worse`` on top it must not."""

    why: str
    worse: Changes
    fair: Changes = field(default_factory=dict)
    name: str = BAKERY


WITHOUT_RESIDUAL = {"circuit[1].residual_current_device": {"present": False}}
FUSE_63 = {
    "outlet.kind": "fixed connection",
    "outlet.rating_a": 63,
    "outlet.clock_position": GONE,
    "outlet.measured_loop_impedance_ohm": GONE,
    "cord": GONE,
    "circuit[1].device": {"kind": "gG fuse", "rating_a": 63, "breaking_capacity_ka": 50},
    f"{CABLE}.section_mm2": 25,
    f"{CABLE}.protective_section_mm2": 16,
    f"{CABLE}.length_m": 40,
}
TAP = {"circuit[1].other_outlets_none": GONE}


def demand_of_the_joinery(current_a: float) -> Changes:
    demand = {"maximum_a": current_a, "power_factor": 0.95, "net_of_generation": False}
    return {"board[0].demand": demand}


def tap(rating_a: float) -> Changes:
    return {**TAP, "circuit[1].other_outlet": [{"name": "beside it", "rating_a": rating_a}]}


REDUCED_NEUTRAL = {
    "circuit[0].cable[0].section_mm2": 50,
    "circuit[0].cable[0].protective_section_mm2": 25,
    "circuit[0].cable[0].neutral_section_mm2": 16,  # 76 A by method C, Table B.52.4
    "station.setting_a": 16,
    "supply.metering_continuous_a": 100,
    "supply.external_line_neutral_loop_ohm": 0.19,
}

PAIRS = (
    Pair(
        why="IEC 60364-5-52, Table B.52.14 ends at 60 °C for PVC: hotter air has no factor",
        worse={f"{CABLE}.ambient_c": {"low": 30, "high": 75}},
    ),
    Pair(
        why="the same, where only the insulation leaves it open",
        fair={f"{CABLE}.insulation": "XLPE", f"{CABLE}.ambient_c": 65, f"{CABLE}.ends_rated_c": 90},
        worse={f"{CABLE}.insulation": "unknown"},
    ),
    Pair(
        why="BS 7671, Table 4F1A, note 2 ends at four layers on a drum",
        worse={"cord.layers_on_drum": {"low": 0, "high": 9}},
    ),
    Pair(
        why="the smaller of two statements of the contract binds",
        worse={"supply.contracted_power_kva": 20},
    ),
    Pair(
        why="16 kW draw 69 A at 0.5: the lowest power factor counts",
        fair={"board[0].demand": {"maximum_kw": 16, "power_factor": 0.9}},
        worse={"board[0].demand.power_factor": {"low": 0.5, "high": 0.6}},
    ),
    Pair(
        why="IEC 60364-5-52, 524.2.1: single-phase circuits have a full neutral",
        name=KIOSK,
        worse={f"{CABLE}.neutral_section_mm2": 1.5},
    ),
    Pair(
        why="IEC 60364-5-52, 524.2.1: so have three-phase circuits up to 16 mm2",
        worse={"circuit[0].cable[0].neutral_section_mm2": 1.5},
    ),
    Pair(
        why="IEC 60364-5-52, 523.1: terminals for 70 °C, whatever the data sheet of the cable",
        fair={
            f"{CABLE}.insulation": "XLPE",
            f"{CABLE}.ampacity_a": 38,
            f"{CABLE}.ends_rated_c": 90,
        },
        worse={f"{CABLE}.ends_rated_c": 70},
    ),
    Pair(
        why="plug and inlet for 70 °C in air of 72 °C",
        fair={
            "cord.grade": "90 C thermosetting",
            "cord.ambient_c": 72,
            "cord.section_mm2": 10,
            "cord.protective_section_mm2": 10,
            "cord.plug_terminals_from_mm2": 2.5,
            "cord.plug_terminals_to_mm2": 10,
            "cord.ends_rated_c": 90,
            "station.setting_a": 10,
            "circuit[1].device.rating_a": 16,
        },
        worse={"cord.ends_rated_c": 70},
    ),
    Pair(
        why="IEC 60364-5-52, Table E.52.1: 45 % is worse than 50 %, where the neutral decides",
        fair={
            **STRONG_CORD,
            f"{CABLE}.ampacity_a": 38,
            "circuit[0].cable[0].ampacity_a": 150,
            "circuit[1].device.rating_a": 25,
            "station.setting_a": 20,
            **third_harmonic(50),
        },
        worse=third_harmonic({"low": 40, "high": 50}),
    ),
    Pair(
        why="another outlet does not take the station's third harmonic out of the neutral",
        fair={**STRONG_CORD, f"{CABLE}.ampacity_a": 36},
        worse={**third_harmonic(33), **tap(0.5)},
    ),
    Pair(
        why="nor does a board that draws nothing",
        fair={
            **STRONG_CORD,
            "circuit[0].cable[0].ampacity_a": 70,
            "board[0].demand": {"maximum_a": 0},
        },
        worse=third_harmonic(33),
    ),
    Pair(
        why="IEC 60364-5-52, Annex G: a higher power factor drops more along a resistive cable",
        fair={
            "station.power_factor": 0.98,
            f"{CABLE}.length_m": 130,
            "station.minimum_voltage_v": 339,
            "station.full_power_voltage_v": 350,
        },
        worse={"station.power_factor": {"low": 0.98, "high": 1.0}},
    ),
    Pair(
        why="a greatest demand of the other phases is not always there to relieve the neutral",
        name=KIOSK,
        fair={
            "circuit[0].cable[0].length_m": 100,
            "station.minimum_voltage_v": 198,
            "station.full_power_voltage_v": 200,
            "board[0].demand.maximum_l2_a": 0,
            "board[0].demand.maximum_l3_a": 0,
        },
        worse={
            "station.minimum_voltage_v": 200,
            "board[0].demand.maximum_l2_a": {"low": 0.0, "high": 17.0},
            "board[0].demand.maximum_l3_a": {"low": 0.0, "high": 19.0},
        },
    ),
    Pair(
        why="IEC 60364-4-41, 411.3.2.2: 0.4 s as soon as there is one socket-outlet up to 63 A",
        fair={**FUSE_63, **WITHOUT_RESIDUAL},
        worse=tap(16),
    ),
    Pair(
        why="IEC 60364-4-41, 411.3.2.2: the rated current of the circuit, not of the terminals",
        fair={
            **FUSE_63,
            **WITHOUT_RESIDUAL,
            "circuit[1].device.rating_a": 32,
            f"{CABLE}.section_mm2": 6,
            f"{CABLE}.protective_section_mm2": 6,
        },
        worse={f"{CABLE}.length_m": 80},
    ),
    Pair(
        why="a nameplate of 63 A may be drawn where no setting surely holds",
        fair={"station.nameplate_current_a": 30},
        worse={"station.nameplate_current_a": 63, "station.setting_locked": False},
    ),
    Pair(
        why="nobody looked whether there is anything else on the circuit",
        worse={"circuit[1].other_outlets_none": GONE},
    ),
    Pair(
        why="20 A beside it fill a 32 A breaker",
        worse=tap(20),
    ),
    Pair(
        why="IEC 60364-5-52, Tables B.52.2, B.52.4: a tap on other phases loads a third core",
        name=KIOSK,
        fair={
            f"{CABLE}.section_mm2": 1.5,
            f"{CABLE}.protective_section_mm2": 1.5,
            f"{CABLE}.length_m": 10,
            f"{CABLE}.ambient_c": 40,
        },
        worse={
            **TAP,
            "circuit[1].other_outlet": [{"name": "x", "rating_a": 0.1, "phases": "L1L2L3"}],
        },
    ),
    Pair(
        why="IEC 60364-5-52, 524.3: greatest demands of three phases need not come together",
        name="joinery-hall",
        fair={**REDUCED_NEUTRAL, **demand_of_the_joinery(60)},
        worse=demand_of_the_joinery(80),
    ),
)


@pytest.mark.parametrize("pair", PAIRS, ids=lambda pair: pair.why)
def test_without_the_unfavourable_fact_it_carries(pair: Pair) -> None:
    assert quick(pair.name, pair.fair).verdict is Verdict.CARRIES


@pytest.mark.parametrize("pair", PAIRS, ids=lambda pair: pair.why)
def test_with_it_it_does_not(pair: Pair) -> None:
    assert quick(pair.name, merged(pair.fair, pair.worse)).verdict is not Verdict.CARRIES
