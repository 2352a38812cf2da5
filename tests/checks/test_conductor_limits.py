"""Exactly at the limits of conductors in a fault, and which of several reasons is given.

IEC 60364-4-43, 433.1 and 434.5.2, IEC 60364-5-54, 543.1 and 543.7: each limit is met by what equals
it. k = 115 for PVC and copper (IEC 60364-4-43, Table 43A).
"""

from __future__ import annotations

import pytest

from feasibility.result import Outcome

from ..formulas import faults_of
from .case import Case
from .cases_of_current import BREAKER, CABLE, FUSE
from .cases_of_protection import (
    AMPACITY_OF_THE_CABLE,
    IN_CABLE_MM2,
    IN_TT,
    NO_READING,
    NO_RESIDUAL,
    PROTECTIVE_MM2,
    STANDING_MA,
)
from .cases_of_withstand import (
    ALONE,
    CASES,
    CONDUCTORS,
    ENERGY,
    FOUR_AS_NEUTRAL,
    FOUR_BESIDE_SIX,
    LAID,
    MONITORED,
    NEUTRAL_MM2,
    SECOND_MM2,
    UNCLASSED,
)
from .sites import GONE, SINGLE, Changes, found, merged, step_result

LINE, NEUTRAL = "short-circuit-withstand", "neutral-withstand"
PROTECTIVE, REINFORCED = "protective-conductor", "reinforced-protective-conductor"
NEUTRAL_LOOP = "supply.external_line_neutral_loop_ohm"
BESIDE = "circuit[0].cable[0].parallel_cable"
WEAK_NETWORK: Changes = merged(
    NO_READING, {NEUTRAL_LOOP: 1.4, "supply.external_loop_impedance_ohm": 1.4}
)


# -- Live conductors -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("energy_a2s", "outcome", "words"),
    [
        ((115 * 6) ** 2, Outcome.PASS, "the conductor withstands {bound}"),
        ((115 * 6) ** 2 + 1, Outcome.FAIL, "more than the {bound}"),
    ],
)
def test_energy_equal_to_what_the_conductor_withstands(
    energy_a2s: float, outcome: Outcome, words: str
) -> None:
    finding = found(LINE, CABLE, SINGLE, UNCLASSED, {ENERGY: energy_a2s})
    assert (finding.outcome, finding.value) == (outcome, energy_a2s)
    assert words in finding.reason.template


def test_too_much_energy_is_told_by_time_or_by_what_the_maker_states() -> None:
    failing = [one for one in CONDUCTORS if one.outcome is Outcome.FAIL]
    assert len(failing) == 2
    for case in failing:
        words = found(case.check, case.link, case.site, case.changes).reason.template
        by_time = words.startswith("A fault current of {current} may flow for {time}")
        assert by_time is ("slow fuse" in case.what)
        assert words.startswith("{device} lets {energy} through") is not by_time


# IEC 60364-4-43, 433.1: In <= Iz and I2 <= 1.45 Iz; gG 32 A: I2 = 1.6 In (IEC 60269-1, Table 2),
# B32: I2 = 1.45 In (IEC 60898-1, Table 7).
@pytest.mark.parametrize(
    ("device", "least_ampacity_a"),
    [({}, 32.0), (FUSE, 1.6 * 32 / 1.45)],
    ids=["breaker by its rating", "fuse by its conventional current"],
)
def test_a_slow_device_passes_where_it_protects_against_overload(
    device: Changes, least_ampacity_a: float
) -> None:
    # 1.4 ohm outside: about 130 A, for which neither device promises 5 s.
    basis = merged(WEAK_NETWORK, device)
    for share, outcome in ((1.0 + 1e-12, Outcome.PASS), (1.01, Outcome.PASS), (0.99, Outcome.OPEN)):
        ampacity = {AMPACITY_OF_THE_CABLE: share * least_ampacity_a}
        finding = found(LINE, CABLE, SINGLE, basis, ampacity)
        assert finding.outcome is outcome
        assert "{slow}" in finding.reason.template
        assert ("protects against overload" in finding.reason.template) is (outcome is Outcome.PASS)


def test_where_the_own_device_is_slow_the_one_before_it_is_not_asked() -> None:
    # D32 is sure from 640 A on (20 In), the gG 63 A before it lets 585 000 A2s through at 342 A:
    # more than 6 mm2 withstand, but there the D32 protects the cable against overload (435.1).
    slow = merged(
        WEAK_NETWORK,
        {"circuit[0].device.energy_limiting_class": GONE, "circuit[0].device.characteristic": "D"},
    )
    finding = found(LINE, CABLE, SINGLE, slow)
    assert finding.outcome is Outcome.PASS
    assert finding.reason.values["device"] == "service device"


def test_overload_protection_of_the_line_does_not_cover_a_smaller_neutral() -> None:
    # IEC 60364-4-43, 431.2.1: the rating of the device was chosen for the line conductors.
    basis = merged(WEAK_NETWORK, {NEUTRAL_MM2: 4})
    assert found(LINE, CABLE, SINGLE, basis).outcome is Outcome.PASS
    assert found(NEUTRAL, CABLE, SINGLE, basis).outcome is Outcome.OPEN


def test_without_a_smallest_current_every_one_up_to_the_largest_counts() -> None:
    known = found(LINE, CABLE, SINGLE, NO_READING)
    assert "from {smallest} to {largest}" in known.reason.template
    lost = merged(NO_READING, {"supply.external_loop_impedance_ohm": GONE})
    unknown = found(LINE, CABLE, SINGLE, lost)
    assert "At any fault current up to {largest}" in unknown.reason.template
    assert "smallest" not in unknown.reason.values


@pytest.mark.parametrize(
    ("system", "smallest"),
    [
        ({}, "Ik1min"),
        ({"supply.external_loop_impedance_ohm": 0.25}, "Iknmin"),
        (merged(IN_TT, {"supply.electrode_resistance_ohm": 20}), "Iknmin"),
        ({"supply.earthing_system": "IT"}, None),
        ({"supply.earthing_system": "unknown"}, None),
    ],
)
def test_the_smallest_current_in_a_line_conductor(system: Changes, smallest: str | None) -> None:
    # TN: to earth (0.28 ohm) or to the neutral (0.27 ohm), whichever is less. TT: an earth fault is
    # ended by the residual-current device. IT: the second of two earth faults is not computed.
    basis = merged(NO_READING, {NEUTRAL_LOOP: 0.27})
    finding = found(LINE, CABLE, SINGLE, basis, system)
    shown = finding.reason.values.get("smallest")
    assert (shown is None) is (smallest is None)
    if smallest is not None:
        symbols = [step.symbol for step in finding.working if step.symbol.startswith("Ik")]
        assert symbols[0] == smallest


@pytest.mark.parametrize(
    ("section_mm2", "words"), [(0, "no neutral"), (6, "not smaller"), (10, "")]
)
def test_a_neutral_that_is_not_smaller_is_no_question_of_its_own(
    section_mm2: float, words: str
) -> None:
    without = {} if section_mm2 else {"outlet.poles": "3P+E", "cord.plug_poles": "3P+E"}
    poles = merged(without, {"station.needs_neutral": bool(section_mm2)})
    finding = found(NEUTRAL, CABLE, SINGLE, {NEUTRAL_MM2: section_mm2}, poles)
    assert finding.outcome is Outcome.NOT_APPLICABLE
    assert words in finding.reason.template


def test_a_thin_neutral_is_judged() -> None:
    finding = found(NEUTRAL, CABLE, SINGLE, {NEUTRAL_MM2: 1})
    assert finding.outcome is not Outcome.NOT_APPLICABLE
    assert finding.limit == pytest.approx(115**2)


def test_of_neutrals_in_parallel_the_weakest_one_that_is_there_counts() -> None:
    both = {BESIDE: [{"section_mm2": 6, "neutral_section_mm2": 2.5, "length_m": 22}]}
    smaller = found(NEUTRAL, CABLE, SINGLE, FOUR_AS_NEUTRAL, both)
    assert smaller.limit == pytest.approx((115 * 2.5) ** 2)


# -- Protective conductor --------------------------------------------------------------------------


def test_a_protective_conductor_equal_to_its_least_section_is_enough() -> None:
    # IEC 60364-5-54, 543.1.2: S = sqrt(I2t) / k; 211 600 A2s need just 4 mm2.
    basis = merged(UNCLASSED, FOUR_BESIDE_SIX)
    for energy_a2s, outcome in ((211_600, Outcome.PASS), (211_601, Outcome.FAIL)):
        finding = found(PROTECTIVE, CABLE, SINGLE, basis, {ENERGY: energy_a2s})
        assert finding.outcome is outcome
        assert finding.limit == pytest.approx(4, rel=1e-5)
        assert step_result(finding, "I2t") == energy_a2s


@pytest.mark.parametrize(
    ("changes", "outcome", "words"),
    [
        ({PROTECTIVE_MM2: 0}, Outcome.FAIL, "There is no protective conductor"),
        ({PROTECTIVE_MM2: 6}, Outcome.PASS, "of the table"),
        ({PROTECTIVE_MM2: 4}, Outcome.PASS, "below the section of the table, but withstands"),
        # IEC 60364-5-54, 543.1.3: 2.5 mm2 protected, 4 mm2 unprotected, copper; 16 mm2 aluminium.
        ({PROTECTIVE_MM2: 2.5, LAID: "separate, protected"}, Outcome.PASS, "but withstands"),
        ({PROTECTIVE_MM2: 2.4, LAID: "separate, protected"}, Outcome.FAIL, "stays whole"),
        ({PROTECTIVE_MM2: 4, LAID: "separate, unprotected"}, Outcome.PASS, "but withstands"),
        ({PROTECTIVE_MM2: 3.9, LAID: "separate, unprotected"}, Outcome.FAIL, "stays whole"),
        (
            {
                IN_CABLE_MM2: 25,
                "circuit[0].cable[0].conductor": "aluminium",
                PROTECTIVE_MM2: 15.9,
                LAID: "separate, protected",
            },
            Outcome.FAIL,
            "stays whole",
        ),
        (
            {
                IN_CABLE_MM2: 25,
                "circuit[0].cable[0].conductor": "aluminium",
                PROTECTIVE_MM2: 16,
                LAID: "separate, protected",
            },
            Outcome.PASS,
            "of the table",
        ),
    ],
)
def test_why_a_protective_conductor_is_enough_or_not(
    changes: Changes, outcome: Outcome, words: str
) -> None:
    finding = found(PROTECTIVE, CABLE, SINGLE, changes)
    assert finding.outcome is outcome
    assert words in finding.reason.template


@pytest.mark.parametrize(
    ("metal", "enough_mm2"),
    [("copper", 25), ("aluminium", 35)],
)
def test_what_is_enough_in_tt_for_each_metal(metal: str, enough_mm2: float) -> None:
    # IEC 60364-5-54:2011, 543.1.1, from memory: 25 mm2 copper, 35 mm2 aluminium.
    large = {
        IN_CABLE_MM2: 95,
        "circuit[0].cable[0].conductor": metal,
        PROTECTIVE_MM2: enough_mm2,
        "supply.electrode_resistance_ohm": 10,
    }
    finding = found(PROTECTIVE, CABLE, SINGLE, IN_TT, large)
    assert (finding.outcome, finding.limit) == (Outcome.PASS, enough_mm2)
    assert "of the table" in finding.reason.template
    unknown = {"circuit[0].cable[0].conductor": GONE}
    either = found(PROTECTIVE, CABLE, SINGLE, IN_TT, large, {PROTECTIVE_MM2: 35}, unknown)
    assert either.limit == 35


def test_without_a_residual_current_device_the_electrode_current_stays_open() -> None:
    # U0 / RA = 1.1 x 231 / 10 = 25 A: no overcurrent device ends it.
    bare = merged(IN_TT, NO_RESIDUAL, {PROTECTIVE_MM2: 4, "supply.electrode_resistance_ohm": 10})
    finding = found(PROTECTIVE, CABLE, SINGLE, bare)
    assert finding.outcome is Outcome.OPEN
    assert "smallest" not in finding.reason.values


def test_what_a_standard_permits_a_residual_current_device_is_not_what_it_does() -> None:
    # gG 100 A is sure from 580 A on; 462 A to earth for the 0.15 s of type S (IEC 61008-1, Table 1)
    # are 32 000 A2s, and 1.5 mm2 withstand 29 756.
    changes = merged(
        FUSE,
        NO_READING,
        {
            "circuit[0].device.rating_a": 100,
            "supply.external_loop_impedance_ohm": 0.55,
            "circuit[0].residual_current_device.delay": "S",
            PROTECTIVE_MM2: 1.5,
        },
    )
    finding = found(PROTECTIVE, CABLE, SINGLE, changes)
    assert finding.outcome is Outcome.OPEN
    assert "By the limits of the standards" in finding.reason.template
    assert step_result(finding, "I2t") == pytest.approx((1.1 * 400 / 3**0.5 / 0.55) ** 2 * 0.15)


# -- Standing current ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "outcome", "words", "compared"),
    [
        ({STANDING_MA: 10}, Outcome.PASS, "is within {threshold}", False),
        ({PROTECTIVE_MM2: 10}, Outcome.PASS, "meets {least}", True),
        ({SECOND_MM2: 6}, Outcome.PASS, "a second protective conductor", False),
        ({MONITORED: True}, Outcome.PASS, "the supply is cut off", False),
        ({}, Outcome.FAIL, "is below {least}", True),
        ({SECOND_MM2: "unknown", MONITORED: "unknown"}, Outcome.OPEN, "is below {least}", True),
    ],
)
def test_how_a_protective_conductor_is_fit_for_a_standing_current(
    changes: Changes, outcome: Outcome, words: str, compared: bool
) -> None:
    finding = found(REINFORCED, CABLE, SINGLE, ALONE, changes)
    assert finding.outcome is outcome
    assert words in finding.reason.template
    assert (finding.value is not None) is compared
    assert (finding.limit == 10) is compared


@pytest.mark.parametrize(
    ("construction", "section_mm2", "outcome"),
    [
        ("multicore", 2.5, Outcome.PASS),
        ("single-core", 2.5, Outcome.FAIL),
        (GONE, 2.5, Outcome.OPEN),
        ("single-core", 10, Outcome.PASS),
    ],
)
def test_behind_an_industrial_outlet_a_core_of_a_multicore_cable_may_be_smaller(
    construction: object, section_mm2: float, outcome: Outcome
) -> None:
    # IEC 60204-1, 8.2.6 e: 2.5 mm2 as a core of a multicore cable with an industrial connector.
    changes = {
        STANDING_MA: 20,
        PROTECTIVE_MM2: section_mm2,
        SECOND_MM2: 0,
        MONITORED: False,
        "circuit[0].cable[0].construction": construction,
    }
    assert found(REINFORCED, CABLE, SINGLE, changes).outcome is outcome
    cord = found(REINFORCED, "cord", SINGLE, changes, {"cord.protective_section_mm2": 2.5})
    assert cord.outcome is Outcome.PASS


# -- Devices without a figure ----------------------------------------------------------------------


def test_a_part_without_a_conditional_rating_is_named() -> None:
    part = {"kind": "contactor", "rating_a": 40}
    finding = found("conditional-fault-current", "contactor", SINGLE, {"circuit[0].part": [part]})
    assert finding.outcome is Outcome.CAUTION
    assert finding.facts == ("circuit[1].part[1].conditional_fault_current_ka",)
    assert BREAKER not in finding.link


@pytest.mark.parametrize("case", CASES, ids=str)
def test_every_step_of_these_cases_can_be_re_derived(case: Case) -> None:
    finding = found(case.check, case.link, case.site, case.changes)
    assert [fault for step in finding.working for fault in faults_of(step)] == []
