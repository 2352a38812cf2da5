"""Cases of the checks on voltage, load flow, contacts, and the arrangement of the circuit."""

from __future__ import annotations

from feasibility.result import Outcome

from .case import About, Case
from .sites import GONE, merged, third_harmonic

LENGTH = "circuit[0].cable[0].length_m"
OUTLET = About(check="outlet-configuration")
POLES = About(check="poles")
PLUG = About(check="plug-fit")
DEDICATED = About(check="dedicated-circuit", breach=Outcome.CAUTION)
PEN = About(check="no-pen")
FEEDBACK = About(check="feed-back", breach=Outcome.OPEN)
UPSTREAM = About(check="upstream-device")
NEUTRAL = About(check="neutral-section")
FLOW = About(check="load-flow")
DROP = About(check="voltage-drop", breach=Outcome.CAUTION, lacking_facts=Outcome.CAUTION)
MINIMUM = About(check="minimum-voltage")
FULL_POWER = About(
    check="full-power-voltage", breach=Outcome.CAUTION, lacking_facts=Outcome.CAUTION
)
HIGHEST = About(check="highest-voltage")

IEC_60309 = "IEC 60309-2, standard sheets: 6 h for 380 to 415 V, 3P+N+E"
WITHOUT_SECTION = {"circuit[0].cable[0].section_mm2": GONE}
NEUTRAL_MM2 = "circuit[0].cable[0].neutral_section_mm2"
REDUCED_NEUTRAL = {"circuit[0].cable[0].section_mm2": 25, NEUTRAL_MM2: 16}
TAP = {
    "circuit[0].other_outlets_none": GONE,
    "circuit[0].other_outlet": [{"name": "beside it", "rating_a": 16}],
}
BLOCKED_TAP = {
    "circuit[0].other_outlets_none": GONE,
    "circuit[0].other_outlet": [{"name": "beside it", "rating_a": 16, "blocked": True}],
}

VOLTAGE: tuple[Case, ...] = (
    *FLOW.around("a length that works and one that does not", {}, {LENGTH: 3000}, "Kirchhoff"),
    FLOW.unknown("circuit[1].cable[1].section_mm2", WITHOUT_SECTION),
    *DROP.around(
        "40 and 150 m", {LENGTH: 40}, {LENGTH: 150}, "IEC 60364-5-52, Table G.52.1: 5 %", 5.0
    ),
    DROP.unknown("circuit[1].cable[1].section_mm2", WITHOUT_SECTION),
    *MINIMUM.around(
        "40 and 600 m", {LENGTH: 40}, {LENGTH: 600}, "data sheet of the station: 300 V", 300.0
    ),
    MINIMUM.unknown("circuit[1].cable[1].section_mm2", WITHOUT_SECTION),
    *FULL_POWER.around(
        "40 and 300 m", {LENGTH: 40}, {LENGTH: 300}, "data sheet of the station: 340 V", 340.0
    ),
    FULL_POWER.unknown("circuit[1].cable[1].section_mm2", WITHOUT_SECTION),
    *HIGHEST.around(
        "400 V + 10 %",
        {"station.maximum_voltage_v": 440 * 1.01},
        {"station.maximum_voltage_v": 440 * 0.99},
        "IEC 60038: 10 % above nominal",
    ),
    *HIGHEST.around(
        "a measured band",
        {"supply.highest_voltage_v": 460 * 0.99},
        {"supply.highest_voltage_v": 460 * 1.01},
        "data sheet of the station: 460 V",
        460.0,
    ),
    HIGHEST.unknown("supply.nominal_voltage_v", {"supply.nominal_voltage_v": GONE}),
)

ARRANGEMENT: tuple[Case, ...] = (
    *OUTLET.around(
        "contacts at 6 h and 9 h",
        {"outlet.clock_position": 6},
        {"outlet.clock_position": 9},
        IEC_60309,
    ),
    OUTLET.unknown("outlet.clock_position", {"outlet.clock_position": GONE}),
    OUTLET.unknown("outlet.poles", {"outlet.poles": "unknown"}),
    *POLES.around(
        "station with neutral", {}, {"outlet.poles": "3P+E"}, "the station's input terminals"
    ),
    *POLES.around(
        "three phases",
        {"outlet.poles": "3P+E", "station.needs_neutral": False},
        {"outlet.poles": "2P+E", "station.needs_neutral": False},
        "the station's input terminals",
    ),
    POLES.unknown("outlet.poles", {"outlet.poles": GONE}),
    *PLUG.around("rating", {}, {"cord.plug_rating_a": 63}, "IEC 60309-2: interchangeability"),
    *PLUG.around(
        "clock position", {}, {"cord.plug_clock_position": 9}, "IEC 60309-2: interchangeability"
    ),
    *PLUG.around("poles", {}, {"cord.plug_poles": "3P+E"}, "IEC 60309-2: interchangeability"),
    PLUG.unknown("cord.plug_clock_position", {"cord.plug_clock_position": GONE}),
    *DEDICATED.around(
        "a tap that is blocked and one that is not",
        BLOCKED_TAP,
        TAP,
        "IEC 60364-7-722: a circuit of its own",
    ),
    DEDICATED.unknown("circuit[1].other_outlets_none", {"circuit[0].other_outlets_none": GONE}),
    *PEN.around(
        "TN-S and TN-C", {}, {"supply.earthing_system": "TN-C"}, "IEC 60364-7-722, 722.312.2.1"
    ),
    PEN.unknown("supply.earthing_system", {"supply.earthing_system": GONE}),
    *FEEDBACK.around(
        "feeding back",
        {},
        {"station.can_feed_back": True, "station.feed_back_blocked_by": GONE},
        "beyond the program: a specialist",
    ),
    FEEDBACK.unknown("station.can_feed_back", {"station.can_feed_back": GONE}),
    *UPSTREAM.around(
        "32 A before the station",
        {"station.largest_upstream_device_a": 32 * 1.01},
        {"station.largest_upstream_device_a": 32 * 0.99},
        "maker's manual",
    ),
    UPSTREAM.unknown("circuit[1].device.rating_a", {"circuit[0].device.rating_a": GONE}),
    UPSTREAM.unknown(
        "station.largest_upstream_device_a", {"station.largest_upstream_device_a": "unknown"}
    ),
    *NEUTRAL.around(
        "16 mm2 beside 25 mm2 at 15 % third harmonic",
        merged(REDUCED_NEUTRAL, third_harmonic(15 * 0.99)),
        merged(REDUCED_NEUTRAL, third_harmonic(15 * 1.01)),
        "IEC 60364-5-52:2009, 524.2.3: reduced only up to 15 % third harmonic",
    ),
    *NEUTRAL.around(
        "the line conductor's section at 20 %",
        merged(REDUCED_NEUTRAL, third_harmonic(20), {NEUTRAL_MM2: 25}),
        merged(REDUCED_NEUTRAL, third_harmonic(20), {NEUTRAL_MM2: 24.7}),
        "IEC 60364-5-52:2009, 524.2.2 and 524.2.3",
    ),
    *NEUTRAL.around(
        "beside line conductors of 6 mm2 copper",
        {NEUTRAL_MM2: 6},
        {NEUTRAL_MM2: 4},
        "IEC 60364-5-52:2009, 524.2.1: not smaller up to 16 mm2 copper",
    ),
    *NEUTRAL.around(
        "a reduced neutral below 16 mm2 copper",
        REDUCED_NEUTRAL,
        {**REDUCED_NEUTRAL, NEUTRAL_MM2: 10},
        "IEC 60364-5-52:2009, 524.2.3: a reduced neutral has at least 16 mm2 copper",
    ),
    *NEUTRAL.around(
        "no neutral, and a station that needs none or one",
        {NEUTRAL_MM2: 0, "station.needs_neutral": False},
        {NEUTRAL_MM2: 0, "station.needs_neutral": True},
        "IEC 60364-5-52:2009, 524.2: a neutral where the load needs one",
    ),
    *About(check="neutral-section", link="Main cable: cable 1", site="bakery-yard").around(
        "no neutral, and single-phase loads on the same cable",
        {"circuit[0].cable[0].neutral_section_mm2": 16},
        {"circuit[0].cable[0].neutral_section_mm2": 0, "station.needs_neutral": False},
        "IEC 60364-5-52:2009, 524.2: a neutral where the load needs one",
    ),
    *About(check="neutral-section", site="camp-site-kiosk").around(
        "a single-phase circuit of 25 mm2, whose neutral carries the whole current",
        {"circuit[1].cable[0].section_mm2": 25, "circuit[1].cable[0].neutral_section_mm2": 25},
        {"circuit[1].cable[0].section_mm2": 25, "circuit[1].cable[0].neutral_section_mm2": 16},
        "IEC 60364-5-52:2009, 524.2.1: not smaller in single-phase circuits",
    ),
    *About(check="neutral-section", site="camp-site-kiosk").around(
        "a single-phase circuit, whose neutral carries the whole current",
        {"circuit[1].cable[0].neutral_section_mm2": 4},
        {"circuit[1].cable[0].neutral_section_mm2": 2.5},
        "IEC 60364-5-52:2009, 524.2.1: not smaller in single-phase circuits",
    ),
    *About(check="neutral-section", site="bakery-yard").around(
        "a main cable of 16 mm2",
        {"circuit[0].cable[0].neutral_section_mm2": 16},
        {"circuit[0].cable[0].neutral_section_mm2": 10},
        "IEC 60364-5-52:2009, 524.2.1: not smaller up to 16 mm2 copper",
    ),
    NEUTRAL.unknown(
        "circuit[1].cable[1].neutral_section_mm2",
        {NEUTRAL_MM2: "unknown"},
    ),
)

CASES = (*VOLTAGE, *ARRANGEMENT)
