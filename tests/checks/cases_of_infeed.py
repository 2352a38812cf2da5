"""Cases of the checks on second sources, the PEN conductor and surges."""

from __future__ import annotations

from dataclasses import replace

from feasibility.result import Outcome

from .case import About, Case
from .sites import GONE, Changes, Data, merged

BAKERY = "bakery-yard"
MAIN_BOARD = "board 'Main board'"


def photovoltaic(current_a: float | str = 20, **changes: object) -> Data:
    """A roof generator on three phases, or what the changes make of it."""
    source = {
        "name": "roof",
        "kind": "photovoltaic",
        "rated_current_a": current_a,
        "phases": "L1L2L3",
        "changeover": False,
        "islanding": False,
        "feeds_station": False,
    }
    return {key: value for key, value in (source | changes).items() if value is not GONE}


def on_board(*sources: Data, rated_current_a: float = 125) -> Changes:
    """Sources on the bakery's main board."""
    return {
        "board[0].other_sources_none": GONE,
        "board[0].source": list(sources),
        "board[0].rated_current_a": rated_current_a,
        "board[0].demand.net_of_generation": False,
    }


def at_origin(*sources: Data) -> Changes:
    """Sources at the bakery's origin, behind the service device."""
    return {
        "supply.other_sources_none": GONE,
        "supply.source": list(sources),
        "board[0].demand.net_of_generation": False,
    }


def on_circuit(current_a: float) -> Changes:
    """A plug-in set on the circuit of the outlet, whose cable carries so much."""
    return {
        "circuit[1].other_outlets_none": GONE,
        "circuit[1].other_outlet": [{"name": "set", "rating_a": 16, "blocked": True}],
        "circuit[1].source": [photovoltaic(current_a, phases="L1")],
        "board[0].demand.net_of_generation": False,
    }


KNOWN = About(check="second-sources", site=BAKERY, link=MAIN_BOARD, breach=Outcome.OPEN)
BOARD = About(check="infeed-on-board", site=BAKERY, link=MAIN_BOARD)
RATED = About(check="link-rating", site=BAKERY, link=MAIN_BOARD)
PROTECTED = About(check="accessory-protection", site=BAKERY, link=MAIN_BOARD)
IN_CABLE = About(check="infeed-behind-device", site=BAKERY, link="Yard outlet: cable 1")
IN_MAIN_CABLE = About(check="infeed-behind-device", site=BAKERY, link="Main cable: cable 1")
BACK = About(check="infeed-backwards", site=BAKERY, link="service device")
DEMAND = About(check="demand-without-generation", site=BAKERY, link=MAIN_BOARD, breach=Outcome.OPEN)

SOURCES: tuple[Case, ...] = (
    *KNOWN.around(
        "none, and listed nowhere",
        {"board[0].other_sources_none": True},
        {"board[0].other_sources_none": False},
        "what the survey says of itself",
    ),
    *KNOWN.around(
        "photovoltaics that stop with the network, and a battery that goes on",
        on_board(photovoltaic()),
        on_board(photovoltaic(kind="battery", islanding=True, feeds_station=True)),
        "beyond the program: a specialist",
    ),
    *KNOWN.around(
        "a generator behind a changeover switch, and one in parallel",
        on_board(photovoltaic(kind="generator", changeover=True)),
        on_board(photovoltaic(kind="generator")),
        "beyond the program: a specialist",
    ),
    *KNOWN.around(
        "the station on the generator",
        on_board(photovoltaic(kind="generator", changeover=True, feeds_station=False)),
        on_board(photovoltaic(kind="generator", changeover=True, feeds_station=True)),
        "beyond the program: a specialist",
    ),
    KNOWN.unknown("board[1].other_sources_none", {"board[0].other_sources_none": GONE}),
    KNOWN.unknown("board[1].source[1].kind", on_board(photovoltaic(kind="unknown"))),
    KNOWN.unknown("board[1].source[1].islanding", on_board(photovoltaic(islanding=GONE))),
    About(check="second-sources", site=BAKERY, link="origin").unknown(
        "supply.other_sources_none", {"supply.other_sources_none": "unknown"}
    ),
    # 21 A at 0.92 and 24.48 A at 0.99 are 45.09 A together (phasors by hand).
    *RATED.around(
        "what flows into the board, nothing feeding in beside the network",
        {"board[0].rated_current_a": 45.09 * 1.01},
        {"board[0].rated_current_a": 45.09 * 0.99},
        "IEC 60364-5-51, 512.1.2: design current within the rated current",
    ),
    *PROTECTED.around(
        "the service fuse of 63 A before the board",
        {"board[0].rated_current_a": 63 * 1.01},
        {"board[0].rated_current_a": 63 * 0.99},
        "IEC 60364-4-43:2008, 433.1, and infeed-on-board without any infeed",
    ),
    replace(PROTECTED, lacking_facts=Outcome.CAUTION).unknown(
        "board[1].rated_current_a", {"board[0].rated_current_a": "unknown"}
    ),
    *BOARD.around(
        "63 A and 20 A",
        on_board(photovoltaic(), rated_current_a=83 * 1.01),
        on_board(photovoltaic(), rated_current_a=83 * 0.99),
        "board builder's page on IEC 61439-3, Annex CC: the sum of all that feeds at once",
        83.0,
    ),
    *BOARD.around(
        "two sources on different phases do not add up",
        on_board(photovoltaic(10, phases="L1"), photovoltaic(10, phases="L2"), rated_current_a=74),
        on_board(photovoltaic(10, phases="L1"), photovoltaic(10, phases="L1"), rated_current_a=74),
        "Kirchhoff: 63 A and 10 A, or 63 A and 20 A, in one phase",
    ),
    BOARD.unknown(
        "board[1].rated_current_a",
        merged(on_board(photovoltaic()), {"board[0].rated_current_a": "unknown"}),
    ),
    BOARD.unknown("board[1].source[1].rated_current_a", on_board(photovoltaic("unknown"))),
    BOARD.unknown("board[1].source[1].changeover", on_board(photovoltaic(changeover=GONE))),
)

BEHIND_A_DEVICE: tuple[Case, ...] = (
    *IN_CABLE.around(
        "41 A less 32 A",
        on_circuit(9 * 0.99),
        on_circuit(9 * 1.01),
        "IEC 60364-5-55, 551.7.2: Iz >= In + Ig; Table B.52.4: 6 mm2, method C, 41 A",
        9.0,
    ),
    *About(check="infeed-behind-device", site=BAKERY, link="outlet").around(
        "an outlet of 63 A and one of 32 A behind a device of 32 A",
        merged(on_circuit(5), {"outlet.rating_a": 63}),
        on_circuit(5),
        "IEC 60364-5-55, 551.7.2, for the outlet",
    ),
    *IN_MAIN_CABLE.around(
        "what feeds in at the origin, behind the service device: 76 A less 63 A",
        at_origin(photovoltaic(13 * 0.99)),
        at_origin(photovoltaic(13 * 1.01)),
        "IEC 60364-5-55, 551.7.2; IEC 60364-5-52, Table B.52.4: 16 mm2, method C, 76 A",
        13.0,
    ),
    IN_MAIN_CABLE.unknown("circuit[1].cable[1].section_mm2", merged(
        at_origin(photovoltaic()), {"circuit[0].cable[0].section_mm2": GONE}
    )),
    *BACK.around(
        "63 A",
        on_board(photovoltaic(63 * 0.99)),
        on_board(photovoltaic(63 * 1.01)),
        "IEC 60364-4-43, 433.1: Ib <= In",
        63.0,
    ),
    BACK.unknown(
        "supply.service_device.rating_a",
        merged(on_board(photovoltaic()), {"supply.service_device.rating_a": GONE}),
    ),
    *DEMAND.around(
        "a demand with and without relief",
        on_board(photovoltaic()),
        merged(on_board(photovoltaic()), {"board[0].demand.net_of_generation": True}),
        "our own rule: generation never counts as relief",
    ),
    DEMAND.unknown(
        "board[1].demand.net_of_generation",
        merged(on_board(photovoltaic()), {"board[0].demand.net_of_generation": GONE}),
    ),
)  # fmt: skip

TN_C_S: Changes = {
    "supply.earthing_system": "TN-C-S",
    "circuit[0].pen_conductor": True,
    "circuit[1].pen_conductor": False,
}
PEN = About(check="no-pen", site=BAKERY)
SECTION = About(check="pen-section", site=BAKERY)
THROUGH = About(check="pen-through-device", site=BAKERY)
LOSS = About(check="pen-loss", site=BAKERY, breach=Outcome.CAUTION, lacking_facts=Outcome.CAUTION)
SURGE = About(
    check="surge-protection", site=BAKERY, breach=Outcome.CAUTION, lacking_facts=Outcome.CAUTION
)
PEN_MM2 = "circuit[0].cable[0].protective_section_mm2"
ALUMINIUM: Changes = {"circuit[0].cable[0].conductor": "aluminium"}

EARTHING: tuple[Case, ...] = (
    *PEN.around(
        "a circuit with five conductors in TN-C-S, and one with four",
        TN_C_S,
        merged(TN_C_S, {"circuit[1].pen_conductor": True}),
        "IEC 60364-7-722, 722.312.2.1: no PEN in the circuit",
    ),
    PEN.unknown("circuit[2].pen_conductor", merged(TN_C_S, {"circuit[1].pen_conductor": GONE})),
    *SECTION.around(
        "10 mm2 copper",
        merged(TN_C_S, {PEN_MM2: 10}),
        merged(TN_C_S, {PEN_MM2: 9.9}),
        "IEC 60364-5-54, 543.4.1: 10 mm2 copper",
        10.0,
    ),
    *SECTION.around(
        "16 mm2 aluminium",
        merged(TN_C_S, ALUMINIUM, {PEN_MM2: 16}),
        merged(TN_C_S, ALUMINIUM, {PEN_MM2: 15.8}),
        "IEC 60364-5-54, 543.4.1: 16 mm2 aluminium",
        16.0,
    ),
    SECTION.unknown("circuit[1].cable[1].protective_section_mm2", merged(TN_C_S, {PEN_MM2: GONE})),
    SECTION.unknown(
        "circuit[1].pen_conductor",
        merged(TN_C_S, {"circuit[0].pen_conductor": GONE, PEN_MM2: 6}),
    ),
    *THROUGH.around(
        "separate conductors behind the device, and a PEN",
        TN_C_S,
        merged(TN_C_S, {"circuit[1].pen_conductor": True}),
        "IEC 60364-4-41, 411.4.5: no residual-current device in TN-C",
    ),
    THROUGH.unknown("circuit[2].pen_conductor", merged(TN_C_S, {"circuit[1].pen_conductor": GONE})),
    *LOSS.around(
        "an electrode of its own outdoors, and nothing",
        merged(TN_C_S, {"supply.pen_loss_measure": "separate earth electrode"}),
        merged(TN_C_S, {"supply.pen_loss_measure": "none"}),
        "guides to BS 7671, 722.411.4.1: no PME earth outdoors without a measure",
    ),
    LOSS.unknown("supply.pen_loss_measure", TN_C_S),
    *SURGE.around(
        "at the board or nowhere",
        {"supply.surge_protection": False, "board[0].surge_protection": True},
        {"supply.surge_protection": False, "board[0].surge_protection": False},
        "IEC 60364-4-44, 443.4, from memory",
    ),
    SURGE.unknown(
        "supply.surge_protection",
        {"supply.surge_protection": GONE, "board[0].surge_protection": False},
    ),
)

CASES = (*SOURCES, *BEHIND_A_DEVICE, *EARTHING)
