"""Cases of the checks on power quality at the connection, and of the current of the neutral.

Unless stated otherwise the supply is 400 V and the station's nameplate 32 A, so its rated apparent
power is sqrt(3) x 400 V x 32 A = 22.17 kVA.
"""

from __future__ import annotations

from math import hypot, sqrt

from feasibility.result import Outcome

from .case import About, Case
from .sites import GONE, SINGLE, Changes, drawing, merged, third_harmonic

KIOSK = "camp-site-kiosk"


def advice(check: str, site: str = SINGLE) -> About:
    """What can only warn, also where its facts are missing."""
    return About(check=check, site=site, breach=Outcome.CAUTION, lacking_facts=Outcome.CAUTION)


RATIO = advice("short-circuit-ratio")
HARMONICS = advice("harmonic-current")
CHANGE = advice("voltage-change")
INRUSH = advice("inrush-voltage")
IMPEDANCE = advice("supply-impedance")
SERVICE = advice("service-current")
UNBALANCE = advice("voltage-unbalance", KIOSK)
NEUTRAL = About(check="neutral-current", link="Yard outlet: cable 1")

NO_STRENGTH: Changes = {"supply.prospective_fault_current_ka": "unknown"}
STATION_KVA = sqrt(3) * 0.4 * 32
PHASE_V = 400 / sqrt(3)


def power(kva: float) -> Changes:
    """A short-circuit power that the network operator states, beside a large fault current."""
    return {"supply.short_circuit_power_kva": kva, "supply.prospective_fault_current_ka": 20}


def ratio(value: float) -> Changes:
    """A supply of this short-circuit ratio for the station of 32 A."""
    return power(value * STATION_KVA)


def declared(value: float) -> Changes:
    """The least ratio that the maker declares."""
    return {"station.declared_short_circuit_ratio": value}


RATIOS: tuple[Case, ...] = (
    *RATIO.around(
        "66 times the station, as the operator states it",
        merged(ratio(66 * 1.01), declared(66)),
        merged(ratio(66 * 0.99), declared(66)),
        "IEC 61000-3-12:2011: Rsce = Ssc / (sqrt(3) Ui Iequ) not below the declared one",
        66,
    ),
    # Ik = 66 x 32 A x 1.1: with the voltage factor taken out, Ssc / Sequ = Ik / (cmax I).
    *RATIO.around(
        "66 times the station, from the largest fault current",
        {"supply.prospective_fault_current_ka": 66 * 32 * 1.1 / 1000 * 1.01, **declared(66)},
        {"supply.prospective_fault_current_ka": 66 * 32 * 1.1 / 1000 * 0.99, **declared(66)},
        "IEC 61000-3-12:2011 with IEC 60909-0: Ssc = Un^2 / Z, Z = cmax Un / (sqrt(3) Ik)",
        66,
    ),
    RATIO.unknown(
        "station.declared_short_circuit_ratio",
        {"station.declared_short_circuit_ratio": "unknown"},
    ),
    RATIO.unknown("supply.prospective_fault_current_ka", NO_STRENGTH),
)


def _harmonic(field: str, limit: float, strength: float, whole: float, source: str) -> list[Case]:
    """One harmonic 1 % inside and outside; the distortion as a whole goes with it."""

    def at(value: float) -> Changes:
        total = {} if field == "current_distortion_percent" else _whole(whole)
        return merged(ratio(strength), total, {f"station.{field}": value})

    return list(
        HARMONICS.around(
            f"{field} at {strength:g}", at(limit * 0.99), at(limit * 1.01), source, limit
        )
    )


def _whole(percent: object) -> Changes:
    return {"station.current_distortion_percent": percent}


TABLE_3 = "IEC 61000-3-12:2011, Table 3, as printed in an engineer's note on a rectifier module"
BETWEEN = TABLE_3 + "; half way between two rows, linear"
TABLE_2 = "IEC 61000-3-12:2011, Table 2, from memory"
CLASS_A = "IEC 61000-3-2, class A, as printed in an engineer's note on a rectifier module"
SINGLE_PHASE: Changes = {"station.phases": "L1", "station.harmonic_9_percent": 1}

HARMONIC: tuple[Case, ...] = (
    *_harmonic("harmonic_5_percent", 14, 66, 15.5, TABLE_3),
    *_harmonic("harmonic_7_percent", 9, 66, 12, TABLE_3),
    *_harmonic("harmonic_11_percent", 5, 66, 8, TABLE_3),
    *_harmonic("harmonic_13_percent", 3, 66, 6, TABLE_3),
    *_harmonic("current_distortion_percent", 16, 66, 16, TABLE_3),
    *_harmonic("weighted_distortion_percent", 25, 66, 6, TABLE_3),
    *_harmonic("harmonic_5_percent", 10.7, 33, 12.5, TABLE_3),
    *_harmonic("harmonic_5_percent", 40, 400, 44, TABLE_3),
    *_harmonic("harmonic_5_percent", (14 + 19) / 2, 93, 18, BETWEEN),
    *_harmonic("harmonic_13_percent", (7 + 10) / 2, 300, 12, BETWEEN),
    *HARMONICS.around(
        "3rd harmonic of a single-phase station",
        merged(SINGLE_PHASE, ratio(33), _whole(22.5), {"station.third_harmonic_percent": 21.38}),
        merged(SINGLE_PHASE, ratio(33), _whole(22.5), {"station.third_harmonic_percent": 21.81}),
        TABLE_2,
        21.6,
    ),
    *advice("harmonic-current", KIOSK).around(
        "0.21 A of the 13th harmonic at 13 A",
        {"station.harmonic_13_percent": 100 * 0.21 / 13 * 0.99},
        {"station.harmonic_13_percent": 100 * 0.21 / 13 * 1.01},
        CLASS_A,
        0.21,
    ),
    HARMONICS.unknown(
        "station.harmonic_13_percent", {"station.harmonic_13_percent": "unknown", **ratio(33)}
    ),
    HARMONICS.unknown("station.current_distortion_percent", _whole(GONE)),
    HARMONICS.unknown("supply.prospective_fault_current_ka", NO_STRENGTH),
)

# 3.3 % for a step of 32 A: Z = 0.033 x 230.9 V / 32 A, that is Ssc = 100 x 22.17 kVA / 3.3.
WHOLE_STEP = {"station.largest_step_a": 32}
# Inrush of 60 A peak over 8 ms at 50 Hz: 60 / sqrt(2) x sqrt(0.8) = 37.9 A over half a period.
INRUSH_KVA = 3 * PHASE_V / 1000 * 60 / sqrt(2) * sqrt(0.8) / 0.04
# Line and neutral of IEC 60725, 0.24 + j0.15 and 0.16 + j0.10 ohm, stand as 3 to 2.
LOOP = 1 + hypot(0.16, 0.10) / hypot(0.24, 0.15)

VOLTAGE: tuple[Case, ...] = (
    *CHANGE.around(
        "32 A at once, three-phase",
        {**WHOLE_STEP, **power(STATION_KVA / 0.033 * 1.01)},
        {**WHOLE_STEP, **power(STATION_KVA / 0.033 * 0.99)},
        "IEC 61000-3-11, clause 5: dc 3.3 %",
        3.3,
    ),
    *advice("voltage-change", KIOSK).around(
        "4 A from line to neutral",
        power(3 * PHASE_V * 4 * LOOP / 33 * 1.01),
        power(3 * PHASE_V * 4 * LOOP / 33 * 0.99),
        "IEC 61000-3-11, clause 5, with line and neutral as in IEC 60725",
        3.3,
    ),
    CHANGE.unknown("supply.prospective_fault_current_ka", NO_STRENGTH),
    *INRUSH.around(
        "60 A peak for 8 ms",
        power(INRUSH_KVA * 1.01),
        power(INRUSH_KVA * 0.99),
        "IEC 61000-3-3, clause 5: dmax 4 %",
        4.0,
    ),
    INRUSH.unknown("station.inrush_peak_a", {"station.inrush_peak_a": "unknown"}),
    INRUSH.unknown("supply.prospective_fault_current_ka", NO_STRENGTH),
    *UNBALANCE.around(
        "13 A on one phase",
        power(PHASE_V * 13 / 1000 / 0.02 * 1.01),
        power(PHASE_V * 13 / 1000 / 0.02 * 0.99),
        "EN 50160: 2 %; the negative-sequence voltage of a load on one phase is S / Ssc",
        2.0,
    ),
    UNBALANCE.unknown("supply.prospective_fault_current_ka", NO_STRENGTH),
    UNBALANCE.unknown("station.phases", {"station.phases": "unknown"}),
)

# 5.2 kA with a voltage factor of 1.1: Z = 1.1 x 400 V / (sqrt(3) x 5200 A) = 48.9 mohm.
SUPPLY_OHM = 1.1 * 400 / (sqrt(3) * 5200)

DECLARED: tuple[Case, ...] = (
    *IMPEDANCE.around(
        "48.9 mohm",
        {"station.permitted_supply_impedance_ohm": SUPPLY_OHM * 1.01},
        {"station.permitted_supply_impedance_ohm": SUPPLY_OHM * 0.99},
        "IEC 61000-3-11, clause 4 a: supply impedance not above Zmax",
    ),
    IMPEDANCE.unknown(
        "station.permitted_supply_impedance_ohm",
        {"station.permitted_supply_impedance_ohm": "unknown"},
    ),
    IMPEDANCE.unknown(
        "supply.prospective_fault_current_ka",
        {"station.permitted_supply_impedance_ohm": 0.1, **NO_STRENGTH},
    ),
    *SERVICE.around(
        "a service of 63 A",
        {"station.declared_service_current_a": 63 * 0.99},
        {"station.declared_service_current_a": 63 * 1.01},
        "IEC 61000-3-11, clause 4 b: service current capacity not below the declared one",
    ),
    SERVICE.unknown(
        "supply.service_device.rating_a",
        {"station.declared_service_current_a": 63, "supply.service_device.rating_a": GONE},
    ),
)

# Auxiliaries of 350 W on one phase at 400 V less 10 %: 1.684 A in the neutral.
AUXILIARY_A = 350 / (0.9 * PHASE_V)
MAIN = About(check="neutral-current", site="bakery-yard", link="Main cable: cable 1")
REDUCED = {"circuit[0].cable[0].section_mm2": 25, "circuit[0].cable[0].neutral_section_mm2": 16}


def _main_demand(amperes: float) -> Changes:
    return {"board[0].demand": {"maximum_a": amperes}}


NEUTRAL_CURRENT: tuple[Case, ...] = (
    *NEUTRAL.around(
        "50 % third harmonic in 6 mm2",
        {**third_harmonic(50), **drawing((41 - AUXILIARY_A) / 1.5 * 0.99)},
        {**third_harmonic(50), **drawing((41 - AUXILIARY_A) / 1.5 * 1.01)},
        "IEC 60364-5-52:2009, Annex E: 3 h3 Ib against 41 A (Table B.52.4), factor 1.0",
        41.0,
    ),
    *NEUTRAL.around(
        "40 % third harmonic in 6 mm2",
        {**third_harmonic(40), **drawing((41 * 0.86 - AUXILIARY_A) / 1.2 * 0.99)},
        {**third_harmonic(40), **drawing((41 * 0.86 - AUXILIARY_A) / 1.2 * 1.01)},
        "IEC 60364-5-52:2009, Annex E: 3 h3 Ib against 41 A (Table B.52.4), factor 0.86",
        41.0 * 0.86,
    ),
    *MAIN.around(
        "a reduced neutral of 16 mm2 under the site's load",
        {**REDUCED, **_main_demand((76 - AUXILIARY_A - 0.09 * 24.48) * 0.99)},
        {**REDUCED, **_main_demand((76 - AUXILIARY_A - 0.09 * 24.48) * 1.01)},
        "IEC 60364-5-52:2009, 524.2.3, and 76 A of Table B.52.4, method C",
        76.0,
    ),
    NEUTRAL.unknown("circuit[1].cable[1].section_mm2", {"circuit[0].cable[0].section_mm2": GONE}),
)

CASES = (*RATIOS, *HARMONIC, *VOLTAGE, *DECLARED, *NEUTRAL_CURRENT)
