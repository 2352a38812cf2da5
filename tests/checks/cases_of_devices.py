"""Cases of what a device or a board holds for days: the maker's factors, practice, diversity."""

from __future__ import annotations

from feasibility.result import Outcome

from .case import About, Case
from .cases_of_current import ADJUSTABLE, BREAKER, FUSE
from .sites import GONE, Data, drawing, merged

BAKERY = "bakery-yard"
DEVICE = "circuit[0].device"
TYPICAL = "typical published data of makers, common practice"

OWN = About(check="device-makers-factors", link=BREAKER)
SHARE = About(
    check="device-share", link=BREAKER, breach=Outcome.CAUTION, lacking_facts=Outcome.CAUTION
)
HOLD = About(
    check="device-hold", link=BREAKER, breach=Outcome.CAUTION, lacking_facts=Outcome.CAUTION
)
DECLARED = About(check="board-diversity", site=BAKERY)
ASSUMED = About(
    check="board-assumed-loading",
    site=BAKERY,
    breach=Outcome.CAUTION,
    lacking_facts=Outcome.CAUTION,
)

FACTORS = {f"{DEVICE}.temperature_factor": 0.9, f"{DEVICE}.grouping_factor": 0.85}
LETTER_K = {
    DEVICE: {
        "kind": "IEC 60947-2 circuit-breaker",
        "characteristic": "K",
        "rating_a": 32,
        "breaking_capacity_ka": 10,
        "enclosure_temperature_c": 40,
        "loaded_neighbours": 0,
    }
}
BOARD_DECLARES = {"board[0].rated_diversity_factor": 0.8, "board[0].loaded_outgoing_circuits": 5}
BOARD_IS_SILENT = {
    "board[0].rated_diversity_factor": GONE,
    "board[0].assembly": "switchboard",
    "board[0].loaded_outgoing_circuits": 5,
}


def _amperes(
    about: About, what: str, limit_a: float, source: str, changes: Data | None = None
) -> tuple[Case, Case]:
    """The station draws 1 % less and 1 % more than a limit on the current."""
    common = changes or {}
    inside, outside = drawing(0.99 * limit_a), drawing(1.01 * limit_a)
    return about.around(what, merged(common, inside), merged(common, outside), source, limit_a)


CASES: tuple[Case, ...] = (
    *_amperes(OWN, "0.9 and 0.85 of 32 A", 24.48, "the maker's factors as surveyed", FACTORS),
    *_amperes(
        OWN,
        "0.9 of 32 A",
        28.8,
        "the maker's factor as surveyed",
        {f"{DEVICE}.temperature_factor": 0.9},
    ),
    *_amperes(
        OWN,
        "0.85 of a setting of 40 A",
        34.0,
        "the maker's factor as surveyed",
        merged(ADJUSTABLE, {f"{DEVICE}.grouping_factor": 0.85}),
    ),
    OWN.unknown("circuit[1].device.rating_a", merged(FACTORS, {f"{DEVICE}.rating_a": GONE})),
    *_amperes(SHARE, "90 % of 32 A", 28.8, "common practice, no source"),
    *_amperes(SHARE, "90 % of a setting of 40 A", 36.0, "common practice, no source", ADJUSTABLE),
    SHARE.unknown("circuit[1].device.rating_a", {f"{DEVICE}.rating_a": "unknown"}),
    *_amperes(HOLD, "the maker's factors instead of typical ones", 24.48, TYPICAL, FACTORS),
    *_amperes(
        HOLD,
        "adjustable breaker at 50 °C, 40 A set, alone: 0.90",
        36.0,
        TYPICAL,
        merged(
            ADJUSTABLE,
            {f"{DEVICE}.enclosure_temperature_c": 50, f"{DEVICE}.loaded_neighbours": 0},
        ),
    ),
    *_amperes(
        HOLD,
        "characteristic K, 20 K above its 20 °C",
        32 * 0.94**2,
        "trade page: 20 °C for K and Z, about 6 % per 10 K",
        LETTER_K,
    ),
    *_amperes(
        HOLD,
        "fuse beside others, by its maker's factor",
        28.8,
        "the maker's factor as surveyed",
        merged(
            FUSE,
            {f"{DEVICE}.enclosure_temperature_c": 40, f"{DEVICE}.grouping_factor": 0.9},
        ),
    ),
    *_amperes(DECLARED, "declared 0.8 of 32 A", 25.6, "the board's label", BOARD_DECLARES),
    DECLARED.unknown(
        "circuit[2].device.rating_a",
        merged(BOARD_DECLARES, {"circuit[1].device.rating_a": "unknown"}),
    ),
    *_amperes(
        ASSUMED,
        "five circuits of a switchboard, 0.8 of 32 A",
        25.6,
        "IEC 61439-2:2011, Table 101: 0.8 for 4 and 5 circuits (a discussion on panels)",
        BOARD_IS_SILENT,
    ),
    *_amperes(
        ASSUMED,
        "five circuits of a household board, 0.7 of 32 A",
        22.4,
        "IEC 61439-3:2012, Table 101: 0.7 for 4 and 5 circuits (from memory)",
        merged(BOARD_IS_SILENT, {"board[0].assembly": "distribution board for ordinary persons"}),
    ),
    ASSUMED.unknown(
        "board[1].rated_diversity_factor", merged(BOARD_IS_SILENT, {"board[0].assembly": GONE})
    ),
)
