"""Cases of the checks on residual-current devices in series, fire protection and delay."""

from __future__ import annotations

from feasibility.result import Outcome

from .case import About, Case
from .sites import GONE, Changes, merged

BAKERY, KIOSK = "bakery-yard", "camp-site-kiosk"
OF_SINGLE = "circuit[0].residual_current_device"
BEFORE = "Main cable: residual-current device"

PRESENCE = About(check="residual-current-presence")
FIRE = About(check="fire-protection")
TYPE = About(check="residual-current-type")
BLINDING = About(check="direct-current-blinding")
MANUAL = About(check="residual-current-by-manual")
DELAY = About(check="residual-current-delay")
SELECTIVE = About(
    check="residual-current-selectivity",
    site=BAKERY,
    breach=Outcome.CAUTION,
    lacking_facts=Outcome.CAUTION,
)

NO_DEVICE: Changes = {OF_SINGLE: {"present": False}}
AT_RISK: Changes = {"circuit[0].fire_risk": True}
RATED_MA = f"{OF_SINGLE}.residual_current_ma"
OTHERS_DC_MA = f"{OF_SINGLE}.other_direct_current_ma"
LETTER = f"{OF_SINGLE}.type"
DETECTED: Changes = {"station.direct_current_detection": True}
ABOVE_32_A: Changes = {"outlet.rating_a": 63, "outlet.building_site": True}


def before(**changes: object) -> Changes:
    """A second device before the main board of the bakery, as given or of the usual kind."""
    device = {
        "present": True,
        "type": "B",
        "residual_current_ma": 300,
        "rating_a": 63,
        "delay": "S",
        "combined": False,
        "other_leakage_ma": 0,
        "other_direct_current_ma": 0,
    }
    return {"circuit[0].residual_current_device": device | changes}


def adjustable(delay_s: float) -> Changes:
    """The kiosk's device with an adjustable delay."""
    return {
        "circuit[1].residual_current_device.delay": "adjustable",
        "circuit[1].residual_current_device.delay_s": delay_s,
    }


PLACE_AND_DEMAND: tuple[Case, ...] = (
    *PRESENCE.around(
        "time-delayed at 30 mA",
        {f"{OF_SINGLE}.delay": "none"},
        {f"{OF_SINGLE}.delay": "S"},
        "IEC 60364-4-41, 415.1; IEC 61008-1: type S is for more than 30 mA",
    ),
    *PRESENCE.around(
        "63 A on a building site",
        merged(ABOVE_32_A, {RATED_MA: 495}),
        merged(ABOVE_32_A, {RATED_MA: 505}),
        "DGUV Information 203-006, 4.2.2: above 32 A at most 500 mA",
        500.0,
    ),
    PRESENCE.unknown(
        "outlet.building_site",
        merged(NO_DEVICE, {"outlet.rating_a": 63, "outlet.building_site": GONE}),
    ),
    PRESENCE.unknown("circuit[1].residual_current_device.delay", {f"{OF_SINGLE}.delay": GONE}),
    *FIRE.around(
        "300 mA where fire is a risk",
        merged(AT_RISK, {RATED_MA: 297}),
        merged(AT_RISK, {RATED_MA: 303}),
        "IEC 60364-4-42, 422.3.9: at most 300 mA",
        300.0,
    ),
    *FIRE.around(
        "with and without a device",
        AT_RISK,
        merged(AT_RISK, NO_DEVICE),
        "IEC 60364-4-42, 422.3.9",
    ),
    FIRE.unknown("circuit[1].fire_risk", merged(NO_DEVICE, {"circuit[0].fire_risk": GONE})),
    FIRE.unknown(
        "circuit[1].residual_current_device.present",
        merged(AT_RISK, {f"{OF_SINGLE}.present": "unknown"}),
    ),
    *MANUAL.around(
        "type B in place",
        {"station.required_residual_current_type": "A"},
        {"station.required_residual_current_type": "B+"},
        "manual of the station",
    ),
    MANUAL.unknown(
        "station.required_residual_current_type",
        {"station.required_residual_current_type": "unknown"},
    ),
)

DIRECT_CURRENT: tuple[Case, ...] = (
    *TYPE.around(
        "a station declared to cause alternating residual current only",
        {LETTER: "AC", "station.residual_current_kind": "alternating"},
        {LETTER: "AC", "station.residual_current_kind": "pulsating"},
        "IEC 60364-5-53, 531.3.3: type AC for alternating residual current",
    ),
    *TYPE.around(
        "a detector beside a device of type A",
        {LETTER: "A", f"{OF_SINGLE}.direct_current_detection": True},
        {LETTER: "A", f"{OF_SINGLE}.direct_current_detection": False},
        "IEC 60364-7-722, 722.531.3.101: type A with detection of 6 mA",
    ),
    *BLINDING.around(
        "type F",
        merged(DETECTED, {LETTER: "F", OTHERS_DC_MA: 10 * 0.99 - 6}),
        merged(DETECTED, {LETTER: "F", OTHERS_DC_MA: 10 * 1.01 - 6}),
        "IEC 60364-5-53, 531.3.3, note 2: 10 mA",
        10.0,
    ),
    *BLINDING.around(
        "type A behind which one station or two detect 6 mA",
        merged(DETECTED, {LETTER: "A", OTHERS_DC_MA: 0}),
        merged(DETECTED, {LETTER: "A", OTHERS_DC_MA: 6}),
        "article on section 722: two detectors of 6 mA can let 12 mA through",
        6.0,
    ),
    *BLINDING.around(
        "type B of 30 mA",
        {OTHERS_DC_MA: 12 * 0.99},
        {OTHERS_DC_MA: 12 * 1.01},
        "IEC 60364-5-53, 531.3.3, note 3: 0.4 of 30 mA, more than 10 mA",
        12.0,
    ),
    *BLINDING.around(
        "type B of 10 mA",
        {RATED_MA: 10, OTHERS_DC_MA: 10 * 0.99},
        {RATED_MA: 10, OTHERS_DC_MA: 10 * 1.01},
        "IEC 60364-5-53, 531.3.3, note 3: 10 mA, more than 0.4 of 10 mA",
        10.0,
    ),
    *About(check="direct-current-blinding", site=BAKERY, link=BEFORE).around(
        "before a device of type B",
        before(type="B"),
        before(type="A"),
        "manual of a charging station: only type B before a type B",
    ),
    *About(check="direct-current-blinding", site=BAKERY, link=BEFORE).around(
        "type A before a station that detects direct current, and before one that does not",
        merged(DETECTED, before(type="A")),
        before(type="A"),
        "training page on devices in charging circuits: above 6 mA type A is blinded",
    ),
    BLINDING.unknown(
        "circuit[1].residual_current_device.other_direct_current_ma",
        merged(DETECTED, {LETTER: "A", OTHERS_DC_MA: GONE}),
    ),
    BLINDING.unknown("circuit[1].residual_current_device.type", {LETTER: GONE}),
    BLINDING.unknown(
        "circuit[1].residual_current_device.present", {f"{OF_SINGLE}.present": "unknown"}
    ),
    *About(check="standing-leakage", breach=Outcome.CAUTION, lacking_facts=Outcome.CAUTION).around(
        "6 mA of the station and others",
        {f"{OF_SINGLE}.other_leakage_ma": 9 * 0.99 - 6},
        {f"{OF_SINGLE}.other_leakage_ma": 9 * 1.01 - 6},
        "IEC 60364-5-53, 531.3.2: 9 mA behind 30 mA",
        9.0,
    ),
    About(check="standing-leakage", lacking_facts=Outcome.CAUTION).unknown(
        "circuit[1].residual_current_device.other_leakage_ma",
        {f"{OF_SINGLE}.other_leakage_ma": GONE},
    ),
)

IN_SERIES: tuple[Case, ...] = (
    *SELECTIVE.around(
        "three times 30 mA",
        before(residual_current_ma=90.9),
        before(residual_current_ma=89.1),
        "catalogue page on selectivity: at least 3 times",
    ),
    *SELECTIVE.around(
        "with and without type S",
        before(delay="S"),
        before(delay="none"),
        "catalogue page on selectivity: it must wait longer than the one behind it breaks",
    ),
    *SELECTIVE.around(
        "an adjustable delay against 40 ms",
        before(delay="adjustable", delay_s=0.0404),
        before(delay="adjustable", delay_s=0.0396),
        "IEC 61008-1, Table 1: general type, 5 times the rated residual current: 40 ms",
    ),
    SELECTIVE.unknown(
        "circuit[2].residual_current_device.residual_current_ma",
        merged(before(), {"circuit[1].residual_current_device.residual_current_ma": GONE}),
    ),
    SELECTIVE.unknown(
        "circuit[1].residual_current_device.delay_s",
        before(delay="adjustable", delay_s="unknown"),
    ),
    *About(check="residual-current-delay", site=KIOSK).around(
        "a final circuit in TT",
        adjustable((0.2 - 0.09) * 0.99),
        adjustable((0.2 - 0.09) * 1.01),
        "IEC 60364-4-41, Table 41.1: 0.2 s; type S breaks 0.09 s after its shortest time",
        0.2,
    ),
    *DELAY.around(
        "a final circuit in TN whose breaker trips by itself, and one where it does not",
        {f"{OF_SINGLE}.delay": "adjustable", f"{OF_SINGLE}.delay_s": 2},
        {
            f"{OF_SINGLE}.delay": "adjustable",
            f"{OF_SINGLE}.delay_s": 2,
            "circuit[0].cable[0].length_m": 200,
            "outlet.measured_loop_impedance_ohm": GONE,
        },
        "IEC 60364-4-41, Table 41.1: 0.4 s",
    ),
    DELAY.unknown(
        "circuit[1].residual_current_device.delay_s",
        {f"{OF_SINGLE}.delay": "adjustable", f"{OF_SINGLE}.delay_s": GONE},
    ),
)

CASES = (*PLACE_AND_DEMAND, *DIRECT_CURRENT, *IN_SERIES)
