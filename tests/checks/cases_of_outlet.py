"""Cases of the checks on the outlet as found: sun, contacts, condition, place, isolation."""

from __future__ import annotations

import datetime as dt

from feasibility.result import Outcome

from .case import About, Case
from .sites import GONE, Data, drawing, merged

CABLE, CORD = "Yard outlet: cable 1", "cord"
IN_SUN = "circuit[0].cable[0].in_sun"

SUN: tuple[Case, ...] = (
    *About(check="ampacity", link=CABLE).around(
        "30 A through 6 mm2 in the shade, and in the sun",
        merged(drawing(30), {IN_SUN: False}),
        merged(drawing(30), {IN_SUN: True}),
        "AS/NZS 3008.1.1, 3.5.8: 20 K warmer; IEC 60364-5-52, Table B.52.14: 0.71 at 50 C, PVC",
    ),
    *About(check="ampacity", link=CABLE).around(
        "41 A times 0.71 in the sun",
        merged(drawing(41 * 0.71 * 0.99), {IN_SUN: True}),
        merged(drawing(41 * 0.71 * 1.01), {IN_SUN: True}),
        "AS/NZS 3008.1.1, 3.5.8: 20 K warmer; IEC 60364-5-52, Table B.52.14: 0.71 at 50 C, PVC",
        41 * 0.71,
    ),
    *About(check="overload-rating", link=CABLE).around(
        "a breaker of 32 A before 10 and 6 mm2 in the sun",
        {IN_SUN: True, "circuit[0].cable[0].section_mm2": 10},
        {IN_SUN: True},
        "IEC 60364-5-52, Table B.52.4: 57 A and 41 A, method C; times 0.71",
    ),
    *About(check="ampacity", link=CORD).around(
        "27 A through a cord of 34 A in the shade, and in the sun",
        merged(drawing(27), {"cord.in_sun": False}),
        merged(drawing(27), {"cord.in_sun": True}),
        "BS 7671:2008, Table 4F1A: 6 mm2, 34 A at 30 C; sqrt(10/30) of it at 50 C",
    ),
    About(check="ampacity", link=CABLE).unknown(
        "circuit[1].cable[1].in_sun", merged(drawing(30), {IN_SUN: GONE})
    ),
)

TERMINALS = About(check="terminal-range", link="outlet")
MARKED = About(check="terminal-range", link="plug", site="camp-site-kiosk")
UNPLUGGING = About(
    check="unplugging-under-load", breach=Outcome.CAUTION, lacking_facts=Outcome.CAUTION
)
CONDITION = About(check="visible-condition", link="outlet")
BRIDGE = About(check="neutral-earth-bridge")
PROTECTION = About(check="degree-of-protection")
IMPACT = About(check="impact")
ISOLATION = About(check="isolation")
AGE = About(check="last-inspection", breach=Outcome.CAUTION, lacking_facts=Outcome.CAUTION)
EDITION = About(check="changed-use", breach=Outcome.CAUTION, lacking_facts=Outcome.CAUTION)

SECTION = "circuit[0].cable[0].section_mm2"
TABLE_3 = "IEC 60309-1, Table 3, from memory"
AT_63_A = {"outlet.rating_a": 63, "outlet.pilot_contact": "none"}
BUILDING = {"outlet.location": "indoors", "outlet.ip_code": GONE}
NO_DEVICE = {"circuit[0].residual_current_device": {"present": False}}
IN_TRAFFIC = {"outlet.vehicle_traffic": True, "outlet.impact_guarded": False}
SURVEYED = dt.date(2026, 3, 12)


def inspected(years: float) -> Data:
    """Changes after which the last inspection lies so many years before the survey."""
    return {"outlet.last_inspection": SURVEYED - dt.timedelta(days=round(years * 365.25))}


CONTACTS: tuple[Case, ...] = (
    *About(check="outlet-configuration").around(
        "230 V between lines",
        {"supply.nominal_voltage_v": 230, "outlet.clock_position": 9},
        {"supply.nominal_voltage_v": 230, "outlet.clock_position": 6},
        "charts of earth positions: 3P+N+E, 120/208 to 144/250 V, 9 h",
    ),
    *About(check="outlet-configuration").around(
        "440 V at 60 Hz",
        {"supply.nominal_voltage_v": 440, "supply.frequency_hz": 60, "outlet.clock_position": 11},
        {"supply.nominal_voltage_v": 440, "supply.frequency_hz": 50, "outlet.clock_position": 11},
        "charts of earth positions: 3P+N+E, 250/440 to 265/460 V, 60 Hz, 11 h",
    ),
    *TERMINALS.around(
        "10 mm2 at a 32 A outlet, by its marking",
        {SECTION: 10, "outlet.terminals_from_mm2": 2.5, "outlet.terminals_to_mm2": 10.1},
        {SECTION: 10, "outlet.terminals_from_mm2": 2.5, "outlet.terminals_to_mm2": 9.9},
        "marking of the accessory",
    ),
    *About(check="terminal-range", link="outlet", breach=Outcome.OPEN).around(
        "10 and 16 mm2 at an unmarked 32 A outlet", {SECTION: 10}, {SECTION: 16}, TABLE_3
    ),
    *About(check="terminal-range", link="outlet", breach=Outcome.OPEN).around(
        "2.5 and 1.5 mm2 at an unmarked 32 A outlet", {SECTION: 2.5}, {SECTION: 1.5}, TABLE_3
    ),
    *About(check="terminal-range", link="plug", breach=Outcome.OPEN).around(
        "6 and 10 mm2 at an unmarked 32 A plug",
        {"cord.section_mm2": 6},
        {"cord.section_mm2": 10},
        TABLE_3,
    ),
    *MARKED.around(
        "4 mm2 at a 16 A plug that is marked for it",
        {"cord.plug_terminals_to_mm2": 4.04},
        {"cord.plug_terminals_to_mm2": 3.96},
        "marking of the accessory",
    ),
    TERMINALS.unknown("circuit[1].cable[1].section_mm2", {SECTION: GONE}),
    TERMINALS.unknown("outlet.rating_a", {"outlet.rating_a": GONE}),
    *UNPLUGGING.around(
        "a 63 A outlet with and without an interlocked switch",
        merged(AT_63_A, {"outlet.interlocked_switch": True}),
        merged(AT_63_A, {"outlet.interlocked_switch": False}),
        "IEC 60204-1, 13.4.5: interlocked with a switch from 63 A",
    ),
    *UNPLUGGING.around(
        "a pilot contact that is connected, and one that is not",
        merged(AT_63_A, {"outlet.interlocked_switch": False, "outlet.pilot_contact": "connected"}),
        merged(
            AT_63_A, {"outlet.interlocked_switch": False, "outlet.pilot_contact": "not connected"}
        ),
        "questions about industrial plugs: the pilot pin parts first and opens a contactor",
    ),
    UNPLUGGING.unknown("outlet.interlocked_switch", AT_63_A),
    UNPLUGGING.unknown(
        "outlet.pilot_contact",
        {"outlet.rating_a": 63, "outlet.interlocked_switch": False},
    ),
)

AS_FOUND: tuple[Case, ...] = (
    *CONDITION.around(
        "no damage and heat marks",
        {"outlet.condition": "no damage seen"},
        {"outlet.condition": "heat marks"},
        "IEC 60364-6, 6.4.2: not visibly damaged",
    ),
    *About(check="visible-condition", link="plug").around(
        "the plug's contacts",
        {},
        {"cord.plug_condition": "worn contacts"},
        "IEC 60364-6, 6.4.2: not visibly damaged",
    ),
    *About(check="visible-condition", link="cord").around(
        "the cord", {}, {"cord.condition": "damaged"}, "IEC 60364-6, 6.4.2: not visibly damaged"
    ),
    CONDITION.unknown("outlet.condition", {"outlet.condition": "not inspected"}),
    CONDITION.unknown("outlet.condition", {"outlet.condition": GONE}),
    *BRIDGE.around(
        "separate and joined",
        {"outlet.neutral_earth_bridge": False},
        {"outlet.neutral_earth_bridge": True},
        "IEC 60364-5-54, 543.4.3: not joined again behind the separation",
    ),
    BRIDGE.unknown(
        "outlet.neutral_earth_bridge", merged(NO_DEVICE, {"outlet.neutral_earth_bridge": GONE})
    ),
    About(check="neutral-earth-bridge", lacking_facts=Outcome.CAUTION).unknown(
        "outlet.neutral_earth_bridge", {"outlet.neutral_earth_bridge": "unknown"}
    ),
    *AGE.around(
        "four years",
        inspected(4 * 0.99),
        inspected(4 * 1.01),
        "DGUV Vorschrift 3, Table 1A: four years for fixed installations",
        4.0,
    ),
    AGE.unknown("outlet.last_inspection", {"outlet.last_inspection": "unknown"}),
    *EDITION.around(
        "2017 and the year before",
        {"outlet.erected_year": 2017},
        {"outlet.erected_year": 2016},
        "IEC 60364-4-41: amendment 1 of 2017",
    ),
    EDITION.unknown("outlet.erected_year", {"outlet.erected_year": GONE}),
)

PLACE: tuple[Case, ...] = (
    *PROTECTION.around(
        "outdoors",
        {"outlet.ip_code": "IP44"},
        {"outlet.ip_code": "IP43"},
        "IEC 60364-7-722, 722.512.2: IP44 outdoors (SFS 6000-7-722 as quoted)",
    ),
    *PROTECTION.around(
        "small objects outdoors",
        {"outlet.ip_code": "IP44"},
        {"outlet.ip_code": "IPX4"},
        "IEC 60364-7-722, 722.512.2: IP44 outdoors (SFS 6000-7-722 as quoted)",
    ),
    *PROTECTION.around(
        "jets of water indoors",
        merged(BUILDING, {"outlet.water": "jets", "outlet.ip_code": "IPX5"}),
        merged(BUILDING, {"outlet.water": "jets", "outlet.ip_code": "IPX4"}),
        "IEC 60364-5-51, Table 51A: class AD5, IPX5",
    ),
    *PROTECTION.around(
        "jets on an outlet that stands immersion",
        {"outlet.water": "jets", "outlet.ip_code": "IP66/IP67"},
        {"outlet.water": "jets", "outlet.ip_code": "IP67"},
        "IEC 60529: numeral 7 alone does not cover 5 and 6",
    ),
    *PROTECTION.around(
        "immersion",
        {"outlet.water": "immersion", "outlet.ip_code": "IP67"},
        {"outlet.water": "immersion", "outlet.ip_code": "IP66"},
        "page on protection types: IP67 stands immersion",
    ),
    PROTECTION.unknown("outlet.ip_code", {"outlet.ip_code": GONE}),
    PROTECTION.unknown("outlet.location", {"outlet.location": GONE, "outlet.ip_code": "IP20"}),
    *IMPACT.around(
        "IK07 where vehicles move",
        merged(IN_TRAFFIC, {"outlet.ik_code": "IK07"}),
        merged(IN_TRAFFIC, {"outlet.ik_code": "IK06"}),
        "IEC 60364-7-722, 722.512.2: class AG2, IK07, from memory",
        7.0,
    ),
    *IMPACT.around(
        "a guard in place of strength",
        {"outlet.vehicle_traffic": True, "outlet.impact_guarded": True},
        merged(IN_TRAFFIC, {"outlet.ik_code": "IK05"}),
        "IEC 60364-7-722, 722.512.2: by position or by a guard, from memory",
    ),
    IMPACT.unknown("outlet.ik_code", IN_TRAFFIC),
    IMPACT.unknown(
        "outlet.vehicle_traffic",
        merged(IN_TRAFFIC, {"outlet.vehicle_traffic": GONE, "outlet.ik_code": "IK05"}),
    ),
    *ISOLATION.around(
        "with and without",
        {"outlet.lockable_isolation": True},
        {"outlet.lockable_isolation": False},
        "IEC 60364-4-46, 462: isolated and secured against switching on",
    ),
    ISOLATION.unknown("outlet.lockable_isolation", {"outlet.lockable_isolation": GONE}),
)

CASES = (*SUN, *CONTACTS, *AS_FOUND, *PLACE)
