"""Cases of the checks on devices in series and on the station's inrush: nothing of it can fail."""

from __future__ import annotations

from math import sqrt

from feasibility.result import Outcome

from .case import About, Case
from .cases_of_current import BREAKER
from .sites import GONE, merged

ADVICE = Outcome.CAUTION
SERIES = About(check="selectivity", link=BREAKER, breach=ADVICE, lacking_facts=ADVICE)
OWN = About(check="selectivity", link="station", breach=ADVICE, lacking_facts=ADVICE)
START = About(check="inrush", link=BREAKER, breach=ADVICE, lacking_facts=ADVICE)
START_OF_SERVICE = About(check="inrush", link="service device", breach=ADVICE, lacking_facts=ADVICE)

LEVEL_KA = "supply.prospective_fault_current_ka"
PARTNER = "circuit[0].device.selective_with"
TABLE_KA = "circuit[0].device.selective_up_to_ka"
RATING = "circuit[0].device.rating_a"
# A weak supply: the loop must fit the fault level, or the survey contradicts itself.
WEAK = {"supply.external_loop_impedance_ohm": 0.9, "outlet.measured_loop_impedance_ohm": GONE}


def _level(fault_a: float) -> dict[str, object]:
    return {**WEAK, LEVEL_KA: fault_a / 1000}


def _adjustable(rating_a: float, magnetic_a: float) -> dict[str, object]:
    return {
        "supply.service_device": {
            "kind": "IEC 60947-2 circuit-breaker",
            "rating_a": rating_a,
            "setting_a": rating_a,
            "magnetic_setting_a": magnetic_a,
            "breaking_capacity_ka": 25,
        },
    }


FUSE_BEHIND = {"circuit[0].device": {"kind": "gG fuse", "rating_a": 40, "breaking_capacity_ka": 50}}
SMALL = {RATING: 16}
IN_SERIES: tuple[Case, ...] = (
    *SERIES.around(
        "the maker's table on 5.2 kA",
        {TABLE_KA: 5.2 * 1.01, PARTNER: "gG 63 A"},
        {TABLE_KA: 5.2 * 0.99, PARTNER: "gG 63 A"},
        "maker's selectivity table, IEC 60947-2, 2.17.4: selectivity limit current",
        5200.0,
    ),
    *SERIES.around(
        "B16 behind a 63 A fuse, up to its 0.1 s gate of 450 A",
        merged(SMALL, _level(450 * 0.99)),
        merged(SMALL, _level(450 * 1.01)),
        "IEC 60269-1, Table 3: smallest for 0.1 s; IEC 60898-1, Table 7: 0.1 s from 5 In",
    ),
    *SERIES.around(
        "B16 behind a release set to 400 A",
        merged(SMALL, _adjustable(63, 400), _level(0.8 * 400 * 0.99)),
        merged(SMALL, _adjustable(63, 400), _level(0.8 * 400 * 1.01)),
        "IEC 60947-2, 8.3.3.1.2: the release may act from 0.8 Im; 1.6 : 1 in an overload",
    ),
    *SERIES.around(
        "ratings at 1.6 : 1",
        merged({RATING: 32}, _adjustable(1.6 * 32 * 1.01, 400), _level(300)),
        merged({RATING: 32}, _adjustable(1.6 * 32 * 0.99, 400), _level(300)),
        "trade page on selectivity: circuit-breakers at 1 : 1.6 in the overload range",
    ),
    *SERIES.around(
        "40 A and 50 A fuse behind 63 A",
        FUSE_BEHIND,
        merged(FUSE_BEHIND, {RATING: 50}),
        "IEC 60269-1 and a trade page: gG fuses are selective at 1.6 : 1",
    ),
    SERIES.unknown("supply.service_device.kind", {"supply.service_device.kind": "unknown"}),
    SERIES.unknown(LEVEL_KA, {LEVEL_KA: "unknown"}),
    *OWN.around(
        "B10 in the station, behind the 0.8 x 400 A of the outlet's breaker",
        merged(
            {
                "circuit[0].device": _adjustable(32, 400)["supply.service_device"],
                "station.input_device_kind": "IEC 60898-1 circuit-breaker",
                "station.input_device_rating_a": 16,
                "station.input_device_characteristic": "B",
            },
            _level(320 * 0.99),
        ),
        merged(
            {
                "circuit[0].device": _adjustable(32, 400)["supply.service_device"],
                "station.input_device_kind": "IEC 60898-1 circuit-breaker",
                "station.input_device_rating_a": 16,
                "station.input_device_characteristic": "B",
            },
            _level(600),
        ),
        "IEC 60947-2, 8.3.3.1.2: the release may act from 0.8 Im",
    ),
    OWN.unknown("station.input_device_kind", {"station.input_device_rating_a": 32}),
)

PEAK_A = "station.inrush_peak_a"
LASTS_MS = "station.inrush_duration_ms"


def _peak(rms_a: float, lasts_ms: float = 20) -> dict[str, object]:
    return {PEAK_A: rms_a * sqrt(2), LASTS_MS: lasts_ms}


def _of(letter: str) -> dict[str, object]:
    return {"circuit[0].device.characteristic": letter}


INRUSH: tuple[Case, ...] = (
    *(
        case
        for letter, multiple in (("B", 3), ("C", 5), ("D", 10))
        for case in START.around(
            f"{letter}32",
            merged(_of(letter), _peak(0.99 * multiple * 32)),
            merged(_of(letter), _peak(1.01 * multiple * 32)),
            f"IEC 60898-1, Table 7: {letter} holds {multiple} In for 0.1 s",
            multiple * 32.0,
        )
    ),
    *START_OF_SERVICE.around(
        "release set to 400 A",
        merged(_adjustable(63, 400), _peak(0.99 * 0.8 * 400)),
        merged(_adjustable(63, 400), _peak(1.01 * 0.8 * 400)),
        "IEC 60947-2, 8.3.3.1.2: 0.8 Im for 0.2 s",
        320.0,
    ),
    *START_OF_SERVICE.around(
        "63 A fuse for 0.1 s",
        _peak(0.99 * 450, 100),
        _peak(1.01 * 450, 100),
        "IEC 60269-1, Table 3: 450 A held for 0.1 s",
        450.0,
    ),
    *START_OF_SERVICE.around(
        "63 A fuse for 10 ms: 9000 A2s",
        _peak(0.99 * sqrt(9000 / 0.01), 10),
        _peak(1.01 * sqrt(9000 / 0.01), 10),
        "IEC 60269-1, Table 7: smallest pre-arcing I2t of 63 A, 9000 A2s at 0.01 s",
        sqrt(9000 / 0.01),
    ),
    *START.around(
        "an inrush of one second against 2.55 In",
        _peak(0.99 * 2.55 * 32, 1000),
        _peak(1.01 * 2.55 * 32, 1000),
        "IEC 60898-1, Table 7: not within 1 s at 2.55 In",
        2.55 * 32,
    ),
    START.unknown(PEAK_A, {PEAK_A: GONE}),
    START.unknown("circuit[1].device.kind", {"circuit[0].device.kind": "unknown"}),
)

CASES = (*IN_SERIES, *INRUSH)
