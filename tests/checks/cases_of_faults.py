"""Cases of the checks on fault currents: breaking capacity, pairings, readings, disconnection."""

from __future__ import annotations

from math import hypot, sqrt

from feasibility.result import Outcome

from .case import About, Case
from .cases_of_current import ADJUSTABLE, BREAKER
from .cases_of_protection import BREAKER_BEFORE_IT
from .sites import GONE, merged

BREAKING = About(check="breaking-capacity", link=BREAKER)
SERVICE = About(
    check="service-breaking-capacity",
    link=BREAKER,
    breach=Outcome.CAUTION,
    lacking_facts=Outcome.CAUTION,
)
NEUTRAL_LOOP = "supply.external_line_neutral_loop_ohm"
CAPACITY = "circuit[0].device.breaking_capacity_ka"
RULE_434 = "IEC 60364-4-43:2008, 434.5.1"

# Close to a delta-star transformer: the loop of line and neutral is a little less than the line's
# own impedance at 5.2 kA (48.9 mohm), so that the fault to neutral is the larger one.
NEAR = {NEUTRAL_LOOP: 0.045}
NEAR_KA = 1.1 * 400 / sqrt(3) / 0.045 / 1000


def _paired(limit_ka: float) -> dict[str, object]:
    """A weak breaker with the maker's back-up table for it behind the service fuse."""
    return {
        CAPACITY: 4.5,
        "circuit[0].device.backed_up_to_ka": limit_ka,
        "circuit[0].device.backed_up_by": "gG 63 A",
    }


BREAKING_CASES: tuple[Case, ...] = (
    *BREAKING.around(
        "the maker's back-up table behind a fuse",
        _paired(5.2 * 1.01),
        _paired(5.2 * 0.99),
        f"{RULE_434}: a lower capacity where a device before it is co-ordinated with it",
    ),
    *BREAKING.around(
        "the maker's back-up table behind a circuit-breaker",
        merged(BREAKER_BEFORE_IT, _paired(5.2 * 1.01)),
        merged(BREAKER_BEFORE_IT, _paired(5.2 * 0.99)),
        f"{RULE_434}: a lower capacity where a device before it is co-ordinated with it",
    ),
    BREAKING.unknown(
        "circuit[1].device.backed_up_to_ka",
        {CAPACITY: 4.5, "circuit[0].device.backed_up_to_ka": "unknown"},
    ),
    *About(check="breaking-capacity", link="service device").around(
        "line to neutral close to a transformer",
        merged(NEAR, {"supply.service_device.breaking_capacity_ka": NEAR_KA * 1.01}),
        merged(NEAR, {"supply.service_device.breaking_capacity_ka": NEAR_KA * 0.99}),
        f"{RULE_434}: the largest prospective current, IEC 60909-0:2016, 7.5",
    ),
    *SERVICE.around(
        "10 kA beside a fault of 7.5 kA: Ics = 0.75 Icn",
        {CAPACITY: 10, "supply.prospective_fault_current_ka": 7.5 * 0.99},
        {CAPACITY: 10, "supply.prospective_fault_current_ka": 7.5 * 1.01},
        "IEC 60898-1:2015, Table 18: k = 0.75 above 6 kA up to 10 kA",
        7.5,
    ),
    *SERVICE.around(
        "6 kA: Ics = Icn",
        {CAPACITY: 6, "supply.prospective_fault_current_ka": 6 * 0.99},
        {CAPACITY: 6, "supply.prospective_fault_current_ka": 6 * 1.01},
        "IEC 60898-1:2015, Table 18: k = 1 up to 6 kA",
        6.0,
    ),
    *SERVICE.around(
        "an industrial breaker whose maker states no Ics: a quarter of Icu",
        merged(ADJUSTABLE, {CAPACITY: 4 * 5.2 * 1.01}),
        merged(ADJUSTABLE, {CAPACITY: 4 * 5.2 * 0.99}),
        "IEC 60947-2:2016, 4.3.6.2: Ics is 25, 50, 75 or 100 % of Icu, from memory",
    ),
    *SERVICE.around(
        "an Ics that the label gives",
        {"circuit[0].device.service_breaking_capacity_ka": 5.2 * 1.01},
        {"circuit[0].device.service_breaking_capacity_ka": 5.2 * 0.99},
        "label of the device",
    ),
    SERVICE.unknown(
        "circuit[1].device.service_breaking_capacity_ka",
        {"circuit[0].device.service_breaking_capacity_ka": "unknown"},
    ),
)

# The yard's loop at 20 °C by hand: 0.28 ohm outside, 22 m of 6 mm2 out and back (IEC 60228:2004,
# 3.08 ohm/km; 0.08 ohm/km). At most the magnitudes add; at least the supply has the angle that
# gives the smallest sum. An instrument may err by 30 % (IEC 61557-3, from memory).
YARD_R, YARD_X = 2 * 0.022 * 3.08, 2 * 0.022 * 0.08


def _upper(outside_ohm: float) -> float:
    return 1.3 * (outside_ohm + hypot(YARD_R, YARD_X))


def _lower(outside_ohm: float) -> float:
    at_the_ends = (
        hypot(outside_ohm + YARD_R, YARD_X),
        hypot(YARD_R, outside_ohm + YARD_X),
    )
    return 0.7 * min(at_the_ends)


LOOP = "outlet.measured_loop_impedance_ohm"
INSTRUMENT = "IEC 61557-3, operating error at most 30 %, from memory; Ohm's law"
READ = About(
    check="loop-reading", link="outlet", breach=Outcome.CAUTION, lacking_facts=Outcome.CAUTION
)
CURRENT = About(
    check="fault-current-reading",
    link="outlet",
    breach=Outcome.CAUTION,
    lacking_facts=Outcome.CAUTION,
)
# At 0.1 ohm outside the least that the calculation explains lies above what the supply alone has.
LOW_OUTSIDE = {"supply.external_loop_impedance_ohm": 0.1}


def _shown(loop_ohm: float) -> dict[str, object]:
    """What an instrument shows between line and neutral for a loop, in kA."""
    return {
        LOOP: GONE,
        "outlet.measured_fault_current_ka": 400 / sqrt(3) / loop_ohm / 1000,
        "outlet.measured_fault_between": "line-neutral",
        NEUTRAL_LOOP: 0.11,
    }


READING_CASES: tuple[Case, ...] = (
    *READ.around(
        "higher than cables and supply explain",
        {LOOP: _upper(0.28) * 0.99},
        {LOOP: _upper(0.28) * 1.01},
        INSTRUMENT,
        _upper(0.28),
    ),
    *READ.around(
        "lower than cables and supply explain",
        merged(LOW_OUTSIDE, {LOOP: _lower(0.1) * 1.01}),
        merged(LOW_OUTSIDE, {LOOP: _lower(0.1) * 0.99}),
        INSTRUMENT,
    ),
    READ.unknown("supply.external_loop_impedance_ohm", dict.fromkeys(LOW_OUTSIDE, GONE)),
    READ.unknown("circuit[1].cable[1].section_mm2", {"circuit[0].cable[0].section_mm2": GONE}),
    *CURRENT.around(
        "less current than line and neutral explain",
        _shown(_upper(0.11) * 0.99),
        _shown(_upper(0.11) * 1.01),
        INSTRUMENT,
        _upper(0.11),
    ),
    *CURRENT.around(
        "more current than line and neutral explain",
        _shown(_lower(0.11) * 1.01),
        _shown(_lower(0.11) * 0.99),
        INSTRUMENT,
    ),
    CURRENT.unknown(
        "outlet.measured_fault_between",
        merged(_shown(0.3), {"outlet.measured_fault_between": "unknown"}),
    ),
    CURRENT.unknown(
        "circuit[1].cable[1].length_m",
        merged(_shown(0.3), {"circuit[0].cable[0].length_m": GONE}),
    ),
)

IN_TT = {"supply.earthing_system": "TT", LOOP: GONE}
ELECTRODE = About(
    check="electrode-stability", breach=Outcome.CAUTION, lacking_facts=Outcome.CAUTION
)
ELECTRODE_CASES: tuple[Case, ...] = (
    *ELECTRODE.around(
        "200 ohm",
        merged(IN_TT, {"supply.electrode_resistance_ohm": 198}),
        merged(IN_TT, {"supply.electrode_resistance_ohm": 202}),
        "guides to wiring rules, from memory: above 200 ohm an electrode may not be stable",
        200.0,
    ),
    ELECTRODE.unknown("supply.electrode_resistance_ohm", IN_TT),
)

CASES = (*BREAKING_CASES, *READING_CASES, *ELECTRODE_CASES)
