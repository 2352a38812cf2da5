"""Cases of the voltage that second sources raise while nothing draws."""

from __future__ import annotations

from feasibility.result import Outcome

from .case import About, Case
from .cases_of_infeed import BAKERY, on_board, photovoltaic
from .sites import Changes, merged

ROOF = "second source 'roof'"
AS_NZS = (
    "AS/NZS 4777.1:2016, 3.3.3: 2 % up to the point of supply. By hand with IEC 60228: 140 m of "
    "16 mm², 1.15 ohm/km, copper at 70 °C by IEC 60287-1-1: 0.1926 ohm; 2 % of 230.9 V at 23.98 A"
)
EN_50160 = "EN 50160:2010, 4.2.2 (number from memory): 10 % above nominal; 432 V are 108 %"
SHEET = "the station's data sheet; by hand 440 V + sqrt(3) x 20 A x 0.1926 ohm = 446.7 V"

RISE = About(
    check="infeed-voltage-rise",
    site=BAKERY,
    link=ROOF,
    breach=Outcome.CAUTION,
    lacking_facts=Outcome.CAUTION,
)
PLACE = About(
    check="infeed-highest-voltage",
    site=BAKERY,
    link=ROOF,
    breach=Outcome.CAUTION,
    lacking_facts=Outcome.CAUTION,
)
STATION = About(check="infeed-voltage-at-station", site=BAKERY, link="station")

TWO_PERCENT_A = 23.98


def far_board(current_a: float | str = 20, **changes: object) -> Changes:
    """The bakery's main board at the end of 140 m, with a generator on it."""
    return merged(
        on_board(photovoltaic(current_a, **changes)), {"circuit[0].cable[0].length_m": 140}
    )


def below_the_band(current_a: float) -> Changes:
    return merged(far_board(current_a), {"supply.highest_voltage_v": 432})


def station_takes(volts: float | str) -> Changes:
    return merged(far_board(), {"station.maximum_voltage_v": volts})


CASES: tuple[Case, ...] = (
    *RISE.around(
        "rise",
        far_board(0.99 * TWO_PERCENT_A),
        far_board(1.01 * TWO_PERCENT_A),
        AS_NZS,
        2.0,
    ),
    RISE.unknown("board[1].source[1].rated_current_a", far_board("unknown")),
    RISE.unknown("board[1].source[1].phases", far_board(phases="unknown")),
    RISE.unknown(
        "circuit[1].cable[1].section_mm2",
        merged(far_board(), {"circuit[0].cable[0].section_mm2": "unknown"}),
    ),
    *PLACE.around(
        "measured band and rise",
        below_the_band(0.99 * TWO_PERCENT_A),
        below_the_band(1.01 * TWO_PERCENT_A),
        EN_50160,
        110.0,
    ),
    PLACE.unknown("board[1].source[1].rated_current_a", far_board("unknown")),
    *STATION.around("window", station_takes(447.5), station_takes(445.8), SHEET),
    STATION.unknown("board[1].source[1].rated_current_a", far_board("unknown")),
)
