"""Cases of the checks on protection: overload, fault currents, residual current, conductors."""

from __future__ import annotations

from math import hypot, sqrt

from feasibility.result import Outcome

from .case import About, Case
from .cases_of_current import ADJUSTABLE, BREAKER, CABLE, FUSE, RESIDUAL
from .sites import GONE, merged

AMPACITY_OF_THE_CABLE = "circuit[0].cable[0].ampacity_a"
NO_RESIDUAL = {"circuit[0].residual_current_device": {"present": False}}
IN_TT = {"supply.earthing_system": "TT"}

RATING = About(check="overload-rating", link=CABLE)
TRIPPING = About(check="overload-tripping", link=CABLE)
ACCESSORY = About(check="accessory-protection", link="outlet")
RULE_433 = "IEC 60364-4-43:2008, 433.1"
WITHOUT_DEVICE = {"circuit[0].device.rating_a": GONE}

OVERLOAD: tuple[Case, ...] = (
    *RATING.around(
        "32 A breaker",
        {AMPACITY_OF_THE_CABLE: 32 * 1.01},
        {AMPACITY_OF_THE_CABLE: 32 * 0.99},
        f"{RULE_433}: In <= Iz",
    ),
    *RATING.around(
        "the neighbouring rating on 41 A",
        {"circuit[0].device.rating_a": 40},
        {"circuit[0].device.rating_a": 50},
        "IEC 60364-5-52:2009, Table B.52.4: 6 mm2, PVC, method C, 41 A",
        41.0,
    ),
    *About(check="overload-rating", link="cord").around(
        "the neighbouring rating on a cord of 34 A",
        {},
        {"circuit[0].device.rating_a": 40},
        "BS 7671:2008, Table 4F1A: 6 mm2, 34 A",
        34.0,
    ),
    *About(check="overload-rating", link="cord").around(
        "the station's own device at the end of a cord of 34 A",
        {"station.input_device_rating_a": 32},
        {"circuit[0].device.rating_a": 50, "station.input_device_rating_a": 40},
        "IEC 60364-4-43:2008, 433.2.2: device along the run, no tap before it",
        34.0,
    ),
    *About(check="overload-rating", link="cord", breach=Outcome.OPEN).around(
        "short-circuit protection of a cord that only the far end protects against overload",
        {"circuit[0].device.rating_a": 40, "station.input_device_rating_a": 32},
        {
            "circuit[0].device.rating_a": 40,
            "circuit[0].device.characteristic": "D",
            "station.input_device_rating_a": 32,
        },
        "IEC 60364-4-43:2008, 433.2.2: only where it is protected against short-circuit",
        34.0,
    ),
    RATING.unknown("circuit[1].device.rating_a", WITHOUT_DEVICE),
    RATING.unknown("circuit[1].cable[1].section_mm2", {"circuit[0].cable[0].section_mm2": GONE}),
    *TRIPPING.around(
        "32 A fuse, I2 = 1.6 In",
        merged(FUSE, {AMPACITY_OF_THE_CABLE: 1.01 * 1.6 * 32 / 1.45}),
        merged(FUSE, {AMPACITY_OF_THE_CABLE: 0.99 * 1.6 * 32 / 1.45}),
        f"{RULE_433}: I2 <= 1.45 Iz; IEC 60269-1:2006, Table 2: 1.6 In from 16 A",
    ),
    *TRIPPING.around(
        "32 A breaker, I2 = 1.45 In",
        {AMPACITY_OF_THE_CABLE: 32 * 1.01},
        {AMPACITY_OF_THE_CABLE: 32 * 0.99},
        f"{RULE_433}; IEC 60898-1, Table 7: 1.45 In",
    ),
    *TRIPPING.around(
        "adjustable breaker at 40 A, I2 = 1.3 Ir",
        merged(ADJUSTABLE, {AMPACITY_OF_THE_CABLE: 1.01 * 1.3 * 40 / 1.45}),
        merged(ADJUSTABLE, {AMPACITY_OF_THE_CABLE: 0.99 * 1.3 * 40 / 1.45}),
        f"{RULE_433}; IEC 60947-2, Table 6: 1.3 Ir",
    ),
    TRIPPING.unknown("circuit[1].device.rating_a", WITHOUT_DEVICE),
    *ACCESSORY.around(
        "32 A outlet behind the neighbouring ratings",
        {},
        {"circuit[0].device.rating_a": 40},
        f"{RULE_433}, for accessories from memory",
        32.0,
    ),
    *About(check="accessory-protection", link="contactor").around(
        "a part's rating around the breaker's",
        {"circuit[0].part": [{"kind": "contactor", "rating_a": 32 * 1.01}]},
        {"circuit[0].part": [{"kind": "contactor", "rating_a": 32 * 0.99}]},
        f"{RULE_433}, for accessories from memory",
    ),
    *About(check="accessory-protection", link=RESIDUAL).around(
        "residual-current device without overload protection of its own",
        {"circuit[0].device.rating_a": 40},
        {"circuit[0].device.rating_a": 50},
        f"{RULE_433}, for accessories from memory",
        40.0,
    ),
    ACCESSORY.unknown("outlet.rating_a", {"outlet.rating_a": GONE}),
    ACCESSORY.unknown("circuit[1].device.rating_a", WITHOUT_DEVICE),
)

# Loop of the single circuit by hand, both conductors hot. Resistances at 20 °C: IEC 60228:2004,
# 6 mm2 copper, class 2 (3.08 ohm/km) and class 5 (3.30); alpha = 0.00393 per kelvin (IEC
# 60287-1-1); 0.08 ohm/km (IEC 60364-5-52, Annex G); 70 °C PVC and 60 °C rubber.
CABLE_LOOP_OHM = hypot(2 * 0.022 * 3.08 * (1 + 0.00393 * 50), 2 * 0.022 * 0.08)
CORD_LOOP_OHM = hypot(2 * 0.008 * 3.30 * (1 + 0.00393 * 40), 2 * 0.008 * 0.08)
# B32: surely trips from 5 In (IEC 60898-1); c = 0.90 (IEC 60909-0:2016, Table 1, FD C15-500).
GREATEST_LOOP_OHM = 0.9 * 400 / sqrt(3) / (5 * 32)


def _outside_loop(share: float) -> dict[str, float]:
    ohm = share * GREATEST_LOOP_OHM - CABLE_LOOP_OHM - CORD_LOOP_OHM
    return {"supply.external_loop_impedance_ohm": ohm}


NO_READING = {"outlet.measured_loop_impedance_ohm": GONE}
TN = About(check="disconnection", link="circuit 'Yard outlet'")
MEASURED = About(check="measured-loop", breach=Outcome.CAUTION, lacking_facts=Outcome.CAUTION)
COLD_CORD_OHM = hypot(2 * 0.008 * 3.30, 2 * 0.008 * 0.08)
GREATEST_READING_OHM = 2 / 3 * 400 / sqrt(3) / (5 * 32)
BREAKER_BEFORE_IT = {
    "supply.service_device": {
        "kind": "IEC 60947-2 circuit-breaker",
        "rating_a": 63,
        "setting_a": 63,
        "magnetic_setting_a": 400,
        "breaking_capacity_ka": 25,
    },
}
SERVICE = About(check="breaking-capacity", link="service device")
BREAKING = About(check="breaking-capacity", link=BREAKER)
LEVEL = About(check="station-fault-level")
UNKNOWN_LEVEL = {"supply.prospective_fault_current_ka": "unknown"}

FAULT: tuple[Case, ...] = (
    *TN.around(
        "B32 at the end of the loop",
        merged(NO_RESIDUAL, NO_READING, _outside_loop(0.99)),
        merged(NO_RESIDUAL, NO_READING, _outside_loop(1.01)),
        "IEC 60364-4-41, 411.4.4 and IEC 60898-1: 5 In",
        160.0,
    ),
    *TN.around(
        "TT behind 30 mA: 50 V / 0.03 A",
        merged(IN_TT, NO_READING, {"supply.electrode_resistance_ohm": 0.99 * 1667}),
        merged(IN_TT, NO_READING, {"supply.electrode_resistance_ohm": 1.01 * 1667}),
        "IEC 60364-4-41, 411.5.3; instruction manual of a loop tester, page 27: 1667 ohm",
        1666.7,
    ),
    *About(check="disconnection", link="circuit 'Yard outlet'", breach=Outcome.CAUTION).around(
        "too little current, but a residual-current device",
        merged(NO_READING, _outside_loop(0.99)),
        merged(NO_READING, _outside_loop(1.01)),
        "IEC 60364-4-41, 411.4.5: a residual-current device may disconnect in TN",
    ),
    TN.unknown("supply.earthing_system", {"supply.earthing_system": "unknown"}),
    TN.unknown(
        "supply.external_loop_impedance_ohm",
        merged(NO_READING, {"supply.external_loop_impedance_ohm": GONE}),
    ),
    TN.unknown(
        "supply.electrode_resistance_ohm",
        merged(IN_TT, NO_READING, {"supply.electrode_resistance_ohm": GONE}),
    ),
    *MEASURED.around(
        "2/3 of 230.9 V / 160 A, the cold cord added",
        {"outlet.measured_loop_impedance_ohm": 0.99 * GREATEST_READING_OHM - COLD_CORD_OHM},
        {"outlet.measured_loop_impedance_ohm": 1.01 * GREATEST_READING_OHM - COLD_CORD_OHM},
        "IEC 60364-6:2016, Annex D, from memory",
        GREATEST_READING_OHM,
    ),
    MEASURED.unknown("circuit[1].device.rating_a", WITHOUT_DEVICE),
    *SERVICE.around(
        "5.2 kA at the origin",
        {"supply.service_device.breaking_capacity_ka": 5.2 * 1.01},
        {"supply.service_device.breaking_capacity_ka": 5.2 * 0.99},
        "IEC 60364-4-43:2008, 434.5.1",
    ),
    BREAKING.unknown(
        "circuit[1].device.backed_up_to_ka", {"circuit[0].device.breaking_capacity_ka": 4.5}
    ),
    *BREAKING.around(
        "behind a circuit-breaker",
        merged(BREAKER_BEFORE_IT, {"circuit[0].device.breaking_capacity_ka": 5.2 * 1.01}),
        merged(BREAKER_BEFORE_IT, {"circuit[0].device.breaking_capacity_ka": 5.2 * 0.99}),
        "IEC 60364-4-43:2008, 434.5.1",
    ),
    SERVICE.unknown("supply.prospective_fault_current_ka", UNKNOWN_LEVEL),
    BREAKING.unknown("circuit[1].device.kind", {"circuit[0].device.kind": GONE}),
    BREAKING.unknown(
        "circuit[1].device.breaking_capacity_ka",
        merged(ADJUSTABLE, {"circuit[0].device.breaking_capacity_ka": GONE}),
    ),
    *LEVEL.around(
        "the maker permits more or less than the outlet has",
        {"station.permitted_fault_current_ka": 4},
        {"station.permitted_fault_current_ka": 2},
        "maker's manual",
    ),
    LEVEL.unknown("supply.prospective_fault_current_ka", UNKNOWN_LEVEL),
    LEVEL.unknown(
        "station.permitted_fault_current_ka", {"station.permitted_fault_current_ka": "unknown"}
    ),
)

PRESENCE = About(check="residual-current-presence")
TYPE = About(check="residual-current-type")
LEAKAGE = About(check="standing-leakage", breach=Outcome.CAUTION, lacking_facts=Outcome.CAUTION)
PROTECTIVE = About(check="protective-conductor", link=CABLE)
RATED_MA = "circuit[0].residual_current_device.residual_current_ma"
KIND = "circuit[0].residual_current_device.type"
PRESENT = {"circuit[0].residual_current_device.present": "unknown"}
PROTECTIVE_MM2 = "circuit[0].cable[0].protective_section_mm2"
IN_CABLE_MM2 = "circuit[0].cable[0].section_mm2"

RESIDUAL_CURRENT: tuple[Case, ...] = (
    *PRESENCE.around(
        "30 mA", {RATED_MA: 29.7}, {RATED_MA: 30.3}, "IEC 60364-4-41, 411.3.3: 30 mA", 30.0
    ),
    *PRESENCE.around(
        "32 A outlet with and without a device", {}, NO_RESIDUAL, "IEC 60364-4-41, 411.3.3"
    ),
    PRESENCE.unknown("circuit[1].residual_current_device.present", PRESENT),
    PRESENCE.unknown("circuit[1].residual_current_device.residual_current_ma", {RATED_MA: GONE}),
    *TYPE.around(
        "smooth direct residual current",
        {KIND: "B"},
        {KIND: "A"},
        "IEC 60364-5-53, 531.3.3; IEC 60755: types A and B",
    ),
    *TYPE.around(
        "type A beside detection of 6 mA in the station",
        {KIND: "A", "station.direct_current_detection": True},
        {KIND: "AC", "station.direct_current_detection": True},
        "IEC 60364-7-722, 722.531.3.101: type A with detection of 6 mA direct current",
    ),
    *TYPE.around(
        "a station without smooth direct residual current",
        {KIND: "F", "station.residual_current_kind": "pulsating"},
        {KIND: "AC", "station.residual_current_kind": "pulsating"},
        "IEC 60364-5-53, 531.3.3",
    ),
    TYPE.unknown("circuit[1].residual_current_device.type", {KIND: "unknown"}),
    TYPE.unknown("circuit[1].residual_current_device.present", PRESENT),
    *LEAKAGE.around(
        "30 % of 30 mA",
        {"station.protective_conductor_current_ma": 9 * 0.99},
        {"station.protective_conductor_current_ma": 9 * 1.01},
        "IEC 60364-5-53, 531.3.2: 0.3 of the rated residual current",
        9.0,
    ),
    LEAKAGE.unknown("circuit[1].residual_current_device.present", PRESENT),
    *PROTECTIVE.around(
        "beside 6 mm2",
        {PROTECTIVE_MM2: 6},
        {PROTECTIVE_MM2: 0},
        "IEC 60364-5-54, 543.1 and Table 54.2",
    ),
    PROTECTIVE.unknown("circuit[1].cable[1].protective_section_mm2", {PROTECTIVE_MM2: GONE}),
    PROTECTIVE.unknown("circuit[1].cable[1].section_mm2", {IN_CABLE_MM2: GONE}),
)

STANDING_MA = "station.protective_conductor_current_ma"
FIXED = {
    "outlet": {"kind": "fixed connection", "rating_a": 32, "poles": "3P+N+E"},
    "cord": GONE,
}

CASES = (*OVERLOAD, *FAULT, *RESIDUAL_CURRENT)
