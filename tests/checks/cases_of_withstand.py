"""Cases of what fault currents heat: conductors, protective conductors, switches and relays.

By hand: k = 115 for PVC and copper (IEC 60364-4-43, Table 43A), so that 6 mm2 withstand
(115 x 6)^2 = 476 100 A2s and 4 mm2 211 600 A2s (handbook on electrical installations, table of
permitted thermal stress: 0.4761 and 0.2116 million A2s).
"""

from __future__ import annotations

from math import log, sqrt

from feasibility.result import Outcome

from .case import About, Case
from .cases_of_current import CABLE
from .cases_of_protection import (
    BREAKER_BEFORE_IT,
    CABLE_LOOP_OHM,
    CORD_LOOP_OHM,
    FIXED,
    NO_READING,
    PROTECTIVE_MM2,
    STANDING_MA,
    UNKNOWN_LEVEL,
)
from .sites import GONE, Data, merged

SIX_MM2_A2S, FOUR_MM2_A2S = 476_100.0, 211_600.0
ENERGY = "circuit[0].device.let_through_a2s"
NEUTRAL_MM2 = "circuit[0].cable[0].neutral_section_mm2"
LAID = "circuit[0].cable[0].protective_conductor_laid"
RULE = "IEC 60364-4-43:2008, 434.5.2: I2t <= k2S2"

# Nothing but the maker's figure: no energy class, no fuse before it.
UNCLASSED = merged(BREAKER_BEFORE_IT, {"circuit[0].device.energy_limiting_class": GONE})


def _lets_through(energy_a2s: float) -> Data:
    return merged(UNCLASSED, {ENERGY: energy_a2s})


# gG 63 A: melts at 320 A in 5 s and at 820 A in 0.1 s (loop tester manual; IEC 60269-1, from
# memory). Along the straight line in double logarithm, 7 % above it, the energy falls to that of
# 6 mm2 at this current.
MARGIN_A = 1.07 * 320
SLOPE = log(50) / log(820 / 320)
LEAST_FAULT_A = MARGIN_A * (5 * MARGIN_A**2 / SIX_MM2_A2S) ** (1 / (SLOPE - 2))


def _ending_in(fault_a: float) -> Data:
    """Loops outside with which a fault at the cord's end draws so much, by the hand's loop."""
    ohm = 0.9 * 400 / sqrt(3) / fault_a - CABLE_LOOP_OHM - CORD_LOOP_OHM
    return merged(
        NO_READING,
        {
            "circuit[0].device": {
                "kind": "gG fuse",
                "rating_a": 63,
                "breaking_capacity_ka": 50,
            },
            "supply.external_loop_impedance_ohm": ohm,
            "supply.external_line_neutral_loop_ohm": ohm,
        },
    )


LINE = About(check="short-circuit-withstand", link=CABLE)
FAR_END = About(check="short-circuit-withstand", link="cord", breach=Outcome.OPEN)

CONDUCTORS: tuple[Case, ...] = (
    *LINE.around(
        "the maker's let-through energy",
        _lets_through(0.99 * SIX_MM2_A2S),
        _lets_through(1.01 * SIX_MM2_A2S),
        RULE,
        SIX_MM2_A2S,
    ),
    *LINE.around(
        "the smallest fault current behind a slow fuse",
        _ending_in(1.01 * LEAST_FAULT_A),
        _ending_in(0.99 * LEAST_FAULT_A),
        f"{RULE}; gates of IEC 60269-1",
        SIX_MM2_A2S,
    ),
    *FAR_END.around(
        "a cord whose overload protection sits at its far end",
        {"circuit[0].device.rating_a": 40, "station.input_device_rating_a": 32},
        {
            "circuit[0].device.rating_a": 40,
            "circuit[0].device.characteristic": "D",
            "station.input_device_rating_a": 32,
            "supply.external_line_neutral_loop_ohm": 0.28,
        },
        "IEC 60364-4-43:2008, 433.2.2 and 434.5.2: D40 is sure within 5 s from 800 A only",
    ),
    LINE.unknown("circuit[1].device.let_through_a2s", UNCLASSED),
    LINE.unknown("circuit[1].device.energy_limiting_class", UNCLASSED),
    LINE.unknown("supply.prospective_fault_current_ka", UNKNOWN_LEVEL),
    LINE.unknown("circuit[1].cable[1].section_mm2", {"circuit[0].cable[0].section_mm2": GONE}),
)

SMALLER_NEUTRAL = About(check="neutral-withstand", link=CABLE)

FOUR_AS_NEUTRAL = {NEUTRAL_MM2: 4, "supply.external_line_neutral_loop_ohm": 0.1}

NEUTRAL: tuple[Case, ...] = (
    *SMALLER_NEUTRAL.around(
        "4 mm2 beside 6 mm2",
        merged(_lets_through(0.99 * FOUR_MM2_A2S), FOUR_AS_NEUTRAL),
        merged(_lets_through(1.01 * FOUR_MM2_A2S), FOUR_AS_NEUTRAL),
        RULE,
        FOUR_MM2_A2S,
    ),
    SMALLER_NEUTRAL.unknown("circuit[1].cable[1].neutral_section_mm2", {NEUTRAL_MM2: "unknown"}),
)

RESIDUAL_KA = "circuit[0].residual_current_device.conditional_fault_current_ka"
KNOWN_NEUTRAL_LOOP = {"supply.external_line_neutral_loop_ohm": 0.28}
CONDITIONAL = About(
    check="conditional-fault-current",
    link="residual-current device",
    lacking_facts=Outcome.CAUTION,
)


def _contactor(conditional_ka: float) -> Data:
    part = {"kind": "contactor", "rating_a": 40, "conditional_fault_current_ka": conditional_ka}
    return merged(KNOWN_NEUTRAL_LOOP, {"circuit[0].part": [part]})


PARTS: tuple[Case, ...] = (
    *CONDITIONAL.around(
        "5.2 kA at the origin",
        merged(KNOWN_NEUTRAL_LOOP, {RESIDUAL_KA: 5.2 * 1.01}),
        merged(KNOWN_NEUTRAL_LOOP, {RESIDUAL_KA: 5.2 * 0.99}),
        "maker's rating; the fault level as surveyed",
    ),
    *About(check="conditional-fault-current", link="contactor").around(
        "a contactor at 5.2 kA",
        _contactor(5.2 * 1.01),
        _contactor(5.2 * 0.99),
        "maker's rating; the fault level as surveyed",
    ),
    CONDITIONAL.unknown(
        "circuit[1].residual_current_device.conditional_fault_current_ka", {RESIDUAL_KA: GONE}
    ),
)

CALCULATED = About(check="protective-conductor", link=CABLE)
# Close to a transformer, so that nothing but the maker's figure bounds the energy.
FOUR_BESIDE_SIX = {PROTECTIVE_MM2: 4, "supply.external_loop_impedance_ohm": 0.1}

PROTECTIVE: tuple[Case, ...] = (
    *CALCULATED.around(
        "4 mm2 beside 6 mm2, by calculation",
        merged(_lets_through(0.99 * FOUR_MM2_A2S), FOUR_BESIDE_SIX),
        merged(_lets_through(1.01 * FOUR_MM2_A2S), FOUR_BESIDE_SIX),
        "IEC 60364-5-54, 543.1.2: S = sqrt(I2t) / k, k = 115 as a core (Table A.54.4)",
    ),
    *CALCULATED.around(
        "4 mm2 beside 6 mm2, laid separately, k = 143",
        merged(
            _lets_through(0.99 * (143 * 4) ** 2),
            FOUR_BESIDE_SIX,
            {LAID: "separate, unprotected"},
        ),
        merged(
            _lets_through(1.01 * (143 * 4) ** 2),
            FOUR_BESIDE_SIX,
            {LAID: "separate, unprotected"},
        ),
        "IEC 60364-5-54, 543.1.2 and Table A.54.2: PVC and copper from 30 C, 143",
    ),
    *CALCULATED.around(
        "separate without protection",
        {PROTECTIVE_MM2: 4, LAID: "separate, unprotected"},
        {PROTECTIVE_MM2: 2.5, LAID: "separate, unprotected"},
        "IEC 60364-5-54, 543.1.3: 4 mm2 copper; Basic Electrical Installation Work, p. 250",
    ),
    *CALCULATED.around(
        "separate with protection",
        {PROTECTIVE_MM2: 2.5, LAID: "separate, protected"},
        {PROTECTIVE_MM2: 1.5, LAID: "separate, protected"},
        "IEC 60364-5-54, 543.1.3: 2.5 mm2 copper; Basic Electrical Installation Work, p. 250",
    ),
    CALCULATED.unknown(
        "circuit[1].device.let_through_a2s",
        merged(UNCLASSED, {PROTECTIVE_MM2: 2.5, "circuit[0].cable[0].section_mm2": 6}),
    ),
    CALCULATED.unknown(
        "supply.external_loop_impedance_ohm",
        merged(NO_READING, FOUR_BESIDE_SIX, {"supply.external_loop_impedance_ohm": GONE}),
    ),
)

REINFORCED = About(check="reinforced-protective-conductor", link=CABLE)
SECOND_MM2 = "circuit[0].cable[0].second_protective_section_mm2"
MONITORED = "station.protective_conductor_monitored"
ALONE = merged(FIXED, {STANDING_MA: 20, SECOND_MM2: 0, MONITORED: False})
IN_ALUMINIUM = {"circuit[0].cable[0].conductor": "aluminium", "circuit[0].cable[0].section_mm2": 25}

STANDING: tuple[Case, ...] = (
    *REINFORCED.around(
        "10 mA through 6 mm2 of a fixed connection",
        merged(ALONE, {STANDING_MA: 9.9}),
        merged(ALONE, {STANDING_MA: 10.1}),
        "IEC 60364-5-54:2011, 543.7: above 10 mA at least 10 mm2 copper",
    ),
    *REINFORCED.around(
        "10 mm2 of a fixed connection",
        merged(ALONE, {PROTECTIVE_MM2: 10}),
        merged(ALONE, {PROTECTIVE_MM2: 9.9}),
        "IEC 60364-5-54:2011, 543.7; IEC 60204-1, 8.2.6 b: 10 mm2 copper",
        10.0,
    ),
    *REINFORCED.around(
        "16 mm2 of aluminium",
        merged(ALONE, IN_ALUMINIUM, {PROTECTIVE_MM2: 16}),
        merged(ALONE, IN_ALUMINIUM, {PROTECTIVE_MM2: 15.8}),
        "IEC 60364-5-54:2011, 543.7; IEC 60204-1, 8.2.6 b: 16 mm2 aluminium",
        16.0,
    ),
    *REINFORCED.around(
        "a second conductor of the same section",
        merged(ALONE, {SECOND_MM2: 6}),
        merged(ALONE, {SECOND_MM2: 5.9}),
        "IEC 60204-1, 8.2.6 c: a second one of at least the same section",
    ),
    *REINFORCED.around(
        "a monitored conductor",
        merged(ALONE, {MONITORED: True}),
        ALONE,
        "IEC 60204-1, 8.2.6 d: the supply is cut off when continuity is lost",
    ),
    *REINFORCED.around(
        "a core of a multicore cable behind an industrial outlet",
        {STANDING_MA: 20, PROTECTIVE_MM2: 2.5, SECOND_MM2: 0, MONITORED: False},
        {STANDING_MA: 20, PROTECTIVE_MM2: 2.4, SECOND_MM2: 0, MONITORED: False},
        "IEC 60204-1, 8.2.6 e: 2.5 mm2",
        2.5,
    ),
    REINFORCED.unknown(
        "circuit[1].cable[1].protective_section_mm2", {STANDING_MA: 20, PROTECTIVE_MM2: GONE}
    ),
    REINFORCED.unknown(
        "circuit[1].cable[1].second_protective_section_mm2", merged(ALONE, {SECOND_MM2: GONE})
    ),
    REINFORCED.unknown("station.protective_conductor_monitored", merged(ALONE, {MONITORED: GONE})),
)

CASES = (*CONDUCTORS, *NEUTRAL, *PARTS, *PROTECTIVE, *STANDING)
