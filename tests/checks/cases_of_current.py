"""Cases of the checks that depend on the station's current.

Each pair lies about 1 % on either side of a limit that the named source gives, so that a wrong
sense, unit or table cell turns at least one of them.
"""

from __future__ import annotations

from feasibility.result import Outcome

from .case import About, Case
from .sites import GONE, Data, drawing, merged

BREAKER = "Yard outlet: device"
CABLE = "Yard outlet: cable 1"
RESIDUAL = "Yard outlet: residual-current device"
ARITHMETIC = "arithmetic"
ITEM_512 = "IEC 60364-5-51, 512.1.2: design current within the rated current"
RULE_433 = "IEC 60364-4-43:2008, 433.1: Ib <= In <= Iz"
ADVICE = "common practice, no source"

FUSE = {
    "circuit[0].device": {"kind": "gG fuse", "rating_a": 32, "breaking_capacity_ka": 50},
}
ADJUSTABLE = {
    "circuit[0].device": {
        "kind": "IEC 60947-2 circuit-breaker",
        "rating_a": 63,
        "setting_a": 40,
        "magnetic_setting_a": 400,
        "breaking_capacity_ka": 10,
    },
}
ALONE_AT_40_C = {
    "circuit[0].device.loaded_neighbours": 0,
    "circuit[0].device.enclosure_temperature_c": 40,
}


def _amperes(
    about: About, what: str, limit_a: float, source: str, changes: Data | None = None
) -> tuple[Case, Case]:
    """The station draws 1 % less and 1 % more than a limit on the current."""
    common = changes or {}
    inside, outside = drawing(0.99 * limit_a), drawing(1.01 * limit_a)
    return about.around(what, merged(common, inside), merged(common, outside), source, limit_a)


CONTRACT = About(check="contracted-capacity")
DEVICE = About(check="device-rating", link=BREAKER)
HOLD = About(
    check="device-hold", link=BREAKER, breach=Outcome.CAUTION, lacking_facts=Outcome.CAUTION
)
AMPACITY = About(check="ampacity", link=CABLE)
CORD = About(check="ampacity", link="cord")
SHARE = About(check="outlet-share", breach=Outcome.CAUTION, lacking_facts=Outcome.CAUTION)


def _rated(link: str) -> About:
    return About(check="link-rating", link=link)


def _continuous(link: str) -> About:
    return About(check="continuous-current", link=link)


PART = {"circuit[0].part": [{"kind": "contactor", "rating_a": 25}]}
PART_20 = {"circuit[0].part": [{"kind": "contactor", "rating_a": 25, "continuous_a": 20}]}
PART_UNKNOWN = {"circuit[0].part": [{"kind": "contactor"}]}
PART_OPEN = {"circuit[0].part": [{"kind": "contactor", "rating_a": 25, "continuous_a": "unknown"}]}
KVA = {"supply.contracted_current_a": GONE, "supply.contracted_power_kva": 30}
OUTLET_20 = {"outlet.continuous_a": 20}
DEVICE_20 = {"circuit[0].device.continuous_a": 20}

CASES: tuple[Case, ...] = (
    *_amperes(CONTRACT, "63 A contracted", 63.0, "the contract as surveyed"),
    *_amperes(CONTRACT, "30 kVA contracted", 43.301, "S = sqrt(3) U I: 30 kVA at 400 V", KVA),
    CONTRACT.unknown("supply.contracted_current_a", {"supply.contracted_current_a": GONE}),
    *_amperes(DEVICE, "32 A breaker", 32.0, RULE_433),
    *_amperes(DEVICE, "32 A fuse", 32.0, RULE_433, FUSE),
    *_amperes(DEVICE, "adjustable breaker set to 40 A", 40.0, RULE_433, ADJUSTABLE),
    *_amperes(About(check="device-rating", link="service device"), "63 A fuse", 63.0, RULE_433),
    DEVICE.unknown("circuit[1].device.kind", {"circuit[0].device.kind": "unknown"}),
    DEVICE.unknown("circuit[1].device.rating_a", {"circuit[0].device.rating_a": GONE}),
    DEVICE.unknown(
        "circuit[1].device.setting_a", merged(ADJUSTABLE, {"circuit[0].device.setting_a": GONE})
    ),
    *_amperes(HOLD, "32 A breaker alone at 40 °C: 6 % less", 30.08, ADVICE, ALONE_AT_40_C),
    *_amperes(
        HOLD,
        "32 A fuse at 60 °C: 20 K times 0.5 %",
        28.8,
        ADVICE,
        merged(FUSE, {"circuit[0].device.enclosure_temperature_c": 60}),
    ),
    *_amperes(HOLD, "maker's continuous current", 20.0, "the maker's data sheet", DEVICE_20),
    HOLD.unknown("circuit[1].device.rating_a", {"circuit[0].device.rating_a": "unknown"}),
    *_amperes(AMPACITY, "6 mm2, PVC, C", 41.0, "IEC 60364-5-52:2009, Table B.52.4"),
    *_amperes(
        AMPACITY,
        "in air of 40 °C",
        41 * 0.87,
        "IEC 60364-5-52:2009, Tables B.52.4 and B.52.14",
        {"circuit[0].cable[0].ambient_c": 40},
    ),
    *_amperes(
        AMPACITY,
        "three circuits on the wall",
        41 * 0.79,
        "IEC 60364-5-52:2009, Tables B.52.4 and B.52.17",
        {"circuit[0].cable[0].grouped_circuits": 3},
    ),
    *_amperes(
        AMPACITY,
        "XLPE at terminals for 70 °C counts as PVC",
        41.0,
        "IEC 60364-5-52:2009, Table B.52.4 and 523.1",
        {"circuit[0].cable[0].insulation": "XLPE"},
    ),
    *_amperes(
        AMPACITY,
        "XLPE at terminals for 90 °C",
        52.0,
        "IEC 60364-5-52:2009, Table B.52.5",
        {"circuit[0].cable[0].insulation": "XLPE", "circuit[0].cable[0].ends_rated_c": 90},
    ),
    AMPACITY.unknown("circuit[1].cable[1].section_mm2", {"circuit[0].cable[0].section_mm2": GONE}),
    *_amperes(CORD, "6 mm2 rubber cord", 34.0, "BS 7671:2008, Table 4F1A"),
    *_amperes(
        CORD,
        "two layers on a drum",
        34 * 0.65,
        "BS 7671:2008, Table 4F1A with note 2",
        {"cord.layers_on_drum": 2},
    ),
    CORD.unknown("cord.section_mm2", {"cord.section_mm2": "unknown"}),
    *_amperes(_rated("outlet"), "32 A outlet", 32.0, ITEM_512),
    *_amperes(_rated("plug"), "32 A plug", 32.0, ITEM_512),
    *_amperes(_rated(RESIDUAL), "40 A residual-current device", 40.0, ITEM_512),
    *_amperes(_rated("metering place"), "63 A metering place", 63.0, ITEM_512),
    *_amperes(_rated("inlet"), "30 A inlet", 30.0, ITEM_512, {"station.inlet_rating_a": 30}),
    *_amperes(_rated("contactor"), "25 A contactor", 25.0, ITEM_512, PART),
    _rated("outlet").unknown("outlet.rating_a", {"outlet.rating_a": GONE}),
    _rated("plug").unknown("cord.plug_rating_a", {"cord.plug_rating_a": GONE}),
    _rated(RESIDUAL).unknown(
        "circuit[1].residual_current_device.rating_a",
        {"circuit[0].residual_current_device.rating_a": GONE},
    ),
    _rated("metering place").unknown(
        "supply.metering_continuous_a", {"supply.metering_continuous_a": GONE}
    ),
    _rated("contactor").unknown("circuit[1].part[1].rating_a", PART_UNKNOWN),
    *_amperes(_continuous("outlet"), "20 A of 32 A outlet", 20.0, "maker's data", OUTLET_20),
    *_amperes(_continuous(BREAKER), "20 A of 32 A breaker", 20.0, "maker's data", DEVICE_20),
    *_amperes(_continuous("contactor"), "20 A contactor", 20.0, "maker's data", PART_20),
    _continuous("contactor").unknown("circuit[1].part[1].continuous_a", PART_OPEN),
    *_amperes(SHARE, "80 % of 32 A", 25.6, ADVICE),
    SHARE.unknown("outlet.rating_a", {"outlet.rating_a": "unknown"}),
)
