"""Site load and voltage: what the network adds to the station's own current, by hand."""

from __future__ import annotations

import math

import pytest
from scipy.optimize import brentq

from feasibility.result import Outcome

from .hand import KIOSK, SQRT3, YARD, YARD_CABLE, Piece, voltage_behind
from .sites import GONE, SINGLE, Changes, drawing, found, merged, site_data, step_result

SERVICE = "service device"


def phasor_a(*currents: tuple[float, float]) -> float:
    """Magnitude of currents (A, power factor), all lagging the same voltage."""
    active = sum(amperes * factor for amperes, factor in currents)
    reactive = sum(amperes * math.sqrt(1 - factor**2) for amperes, factor in currents)
    return math.hypot(active, reactive)


def service_a(name: str, *changes: Changes) -> float:
    value = found("device-rating", SERVICE, name, *changes).value
    assert value is not None
    return value


def test_known_power_factors_add_as_phasors_in_the_worst_phase() -> None:
    # 21, 17 and 19 A at 0.92 beside 24.48 A at 0.99: the voltages of board and station stand
    # within 0.5 degrees of each other, which changes the sum by less than 0.1 %.
    by_hand = phasor_a((24.48, 0.99), (21, 0.92))
    assert service_a("bakery-yard") == pytest.approx(by_hand, rel=1e-3)
    assert by_hand < 24.48 + 21 - 0.3


@pytest.mark.parametrize(
    "unknown",
    [
        {"board[0].demand.power_factor": GONE},
        {"board[0].demand.power_factor": "unknown"},
        {"board[0].demand.power_factor": {"low": 0.8, "high": 0.95}},
        {"station.power_factor": "unknown"},
    ],
    ids=str,
)
def test_unknown_power_factors_add_arithmetically(unknown: Changes) -> None:
    assert service_a("bakery-yard", unknown) == pytest.approx(24.48 + 21, rel=1e-9)


def test_the_worst_phase_counts_not_the_sum_or_the_mean() -> None:
    other = {"board[0].demand.maximum_l1_a": 2, "board[0].demand.maximum_l3_a": 30}
    by_hand = phasor_a((24.48, 0.99), (30, 0.92))
    assert service_a("bakery-yard", other) == pytest.approx(by_hand, rel=1e-3)


def test_a_single_phase_station_loads_its_own_phase_only() -> None:
    # The kiosk: 10.2 A on L1 beside 12 A there; 17 and 19 A on the others.
    by_hand = phasor_a((10.2, 0.99), (12, 0.92))
    assert service_a("camp-site-kiosk") == pytest.approx(by_hand, rel=1e-3)
    low = {"board[0].demand.maximum_l1_a": 5}
    assert service_a("camp-site-kiosk", low) == pytest.approx(19.0, rel=1e-9)


def test_one_figure_for_the_worst_phase_counts_on_all_three() -> None:
    single = {"board[0].demand": {"maximum_a": 12, "power_factor": 0.92}}
    by_hand = phasor_a((10.2, 0.99), (12, 0.92))
    assert service_a("camp-site-kiosk", single) == pytest.approx(by_hand, rel=1e-3)


def test_a_demand_in_kilowatts_draws_more_at_the_lowest_voltage() -> None:
    # 15 kW at 0.9 and 358.7 V at the board (1.3 V lost in the main cable).
    power = {"board[0].demand": {"maximum_kw": 15, "power_factor": 0.9}}
    amperes = 15000 / 0.9 / SQRT3 / 358.7
    by_hand = phasor_a((24.48, 0.99), (amperes, 0.9))
    assert service_a("bakery-yard", power) == pytest.approx(by_hand, rel=1e-3)


def test_a_demand_in_kilowatts_takes_the_lowest_power_factor_there_may_be() -> None:
    power = {"board[0].demand": {"maximum_kw": 15, "power_factor": {"low": 0.5, "high": 0.6}}}
    amperes = 15000 / 0.5 / SQRT3 / 358.5
    assert service_a("bakery-yard", power) == pytest.approx(24.48 + amperes, rel=2e-3)
    unstated = {"board[0].demand": {"maximum_kw": 15}}
    # Range of the code basis: 0.8 to 1.
    assert service_a("bakery-yard", unstated) == pytest.approx(
        24.48 + 15000 / 0.8 / SQRT3 / 358.7, rel=2e-3
    )


BOARDS = [
    {"name": "Main board", "demand": {"maximum_a": 10}},
    {"name": "Annex", "demand": {"maximum_a": 7}},
]


def with_side_circuit(**circuit: object) -> Changes:
    data = site_data("bakery-yard")
    feeder = {"name": "Annex feeder", "starts_at": "Main board", "ends_at": "Annex", **circuit}
    return {"board": BOARDS, "circuit": [*data["circuit"], feeder]}


def test_a_board_beside_the_path_counts_where_it_branches_off() -> None:
    assert service_a("bakery-yard", with_side_circuit()) == pytest.approx(24.48 + 17, rel=1e-9)
    last = found("device-rating", "Yard outlet: device", "bakery-yard", with_side_circuit())
    assert last.value == pytest.approx(24.48, rel=1e-9)


def test_a_tap_on_a_circuit_beside_the_path_counts_too() -> None:
    tapped = with_side_circuit(other_outlet=({"name": "saw", "rating_a": 16},))
    assert service_a("bakery-yard", tapped) == pytest.approx(24.48 + 17 + 16, rel=1e-9)


def test_a_board_fed_from_the_origin_loads_the_service_only() -> None:
    fed = with_side_circuit(starts_at="origin")
    assert service_a("bakery-yard", fed) == pytest.approx(24.48 + 17, rel=1e-9)
    main = found("ampacity", "Main cable: cable 1", "bakery-yard", fed)
    assert main.value == pytest.approx(24.48 + 10, rel=1e-9)


def tapped(**tap: object) -> Changes:
    return {
        "circuit[1].other_outlets_none": GONE,
        "circuit[1].other_outlet": [{"name": "beside it", "rating_a": 5, **tap}],
    }


def test_a_tap_counts_at_its_rating_unless_it_is_blocked() -> None:
    cable = "Yard outlet: cable 1"
    assert found("ampacity", cable, "bakery-yard", tapped()).value == pytest.approx(29.48)
    unknown = tapped(blocked="unknown")
    assert found("ampacity", cable, "bakery-yard", unknown).value == pytest.approx(29.48)
    blocked = tapped(blocked=True)
    assert found("ampacity", cable, "bakery-yard", blocked).value == pytest.approx(24.48)


@pytest.mark.parametrize("link", ["outlet", "plug", "cord"])
def test_a_tap_beside_the_outlet_does_not_load_the_outlet(link: str) -> None:
    check = "ampacity" if link == "cord" else "link-rating"
    assert found(check, link, "bakery-yard", tapped()).value == pytest.approx(24.48)


def test_a_single_phase_tap_loads_its_phase() -> None:
    changes = merged(tapped(phases="L2"), {"board[0].demand": {"maximum_a": 0}})
    cable = found("ampacity", "Yard outlet: cable 1", "bakery-yard", changes)
    assert cable.value == pytest.approx(29.48)
    on_l1 = found("ampacity", "Kiosk outlet: cable 1", "camp-site-kiosk", tapped(phases="L2"))
    assert on_l1.value == pytest.approx(10.2)


def test_what_the_site_draws_does_not_load_the_last_circuit() -> None:
    more = {"board[0].demand": {"maximum_a": 35}}
    cable = found("ampacity", "Yard outlet: cable 1", "bakery-yard", more)
    assert cable.value == pytest.approx(24.48, rel=1e-12)
    assert cable.carries_a == pytest.approx(41.0, rel=1e-12)


# -- voltage ------------------------------------------------------------------------------------

AT_20_A = {**drawing(20.0), "station.power_factor": 0.95}


def drop_percent(pieces: tuple[Piece, ...], current_a: float, factor: float) -> float:
    source_v = 360 / SQRT3
    behind_v = voltage_behind(pieces, source_v=source_v, current_a=current_a, power_factor=factor)
    return 100 * (source_v - behind_v) / (400 / SQRT3)


def test_the_voltage_drop_of_a_single_circuit_by_hand() -> None:
    drop = found("voltage-drop", "", SINGLE, AT_20_A)
    assert drop.value == pytest.approx(drop_percent(YARD, 20, 0.95), rel=1e-4)
    # The linear formula of IEC 60364-5-52, Annex G: u = b (r cos + x sin) I.
    impedance = sum(piece.impedance_ohm(20) for piece in YARD)
    linear = 20 * (impedance.real * 0.95 + impedance.imag * math.sqrt(1 - 0.95**2))
    assert drop.value == pytest.approx(100 * linear / (400 / SQRT3), rel=5e-3)


def test_the_voltage_drop_behind_a_loaded_main_cable_by_hand() -> None:
    # 20 A at 0.92 on every phase of the board, 24.48 A at 0.99 to the station.
    changes = {"board[0].demand": {"maximum_a": 20, "power_factor": 0.92}}
    main = Piece(length_m=14, section_mm2=16, ampacity_a=76)
    total = phasor_a((24.48, 0.99), (20, 0.92))
    ohm = main.impedance_ohm(total)
    active = 24.48 * 0.99 + 20 * 0.92
    reactive = 24.48 * math.sqrt(1 - 0.99**2) + 20 * math.sqrt(1 - 0.92**2)
    drop_v = ohm.real * active + ohm.imag * reactive
    for piece in YARD:
        ohm = piece.impedance_ohm(24.48)
        drop_v += 24.48 * (ohm.real * 0.99 + ohm.imag * math.sqrt(1 - 0.99**2))
    value = found("voltage-drop", "", "bakery-yard", changes).value
    assert value == pytest.approx(100 * drop_v / (400 / SQRT3), rel=5e-3)


def test_the_drop_of_a_single_phase_station_counts_line_and_neutral() -> None:
    alone = {
        **drawing(10.2),
        "board[0].demand": {"maximum_a": 0},
        "circuit[0].cable[0].length_m": 0.01,
    }
    source_v = 360 / SQRT3
    behind_v = voltage_behind(
        KIOSK, source_v=source_v, current_a=10.2, power_factor=0.99, conductors=2
    )
    drop = found("voltage-drop", "", "camp-site-kiosk", alone)
    assert drop.value == pytest.approx(100 * (source_v - behind_v) / (400 / SQRT3), rel=1e-3)
    least = found("minimum-voltage", "", "camp-site-kiosk", alone)
    assert least.value == pytest.approx(behind_v, rel=1e-4)


WITHOUT_VOLTAGES = dict.fromkeys(
    ("station.minimum_voltage_v", "station.full_power_voltage_v", "station.maximum_voltage_v"),
    "unknown",
)


def length_for(percent: float) -> float:
    def gap(length_m: float) -> float:
        longer = Piece(length_m=length_m, section_mm2=6, ampacity_a=41)
        return drop_percent((longer, YARD[1]), 20, 0.95) - percent

    return float(brentq(gap, 1, 400))


@pytest.mark.parametrize(
    ("kind", "limit"),
    [("public network", 5.0), ("own transformer", 8.0)],
)
def test_the_advised_drop_turns_within_1_percent(kind: str, limit: float) -> None:
    # IEC 60364-5-52:2009, Table G.52.1 (informative): other use, 5 % public, 8 % private supply.
    def outcome(share: float) -> Outcome:
        length = {"circuit[0].cable[0].length_m": length_for(share * limit)}
        return found("voltage-drop", "", SINGLE, AT_20_A, length, {"supply.kind": kind}).outcome

    assert outcome(0.99) is Outcome.PASS
    assert outcome(1.01) is Outcome.CAUTION


@pytest.mark.parametrize(
    ("check", "field", "breach"),
    [
        ("minimum-voltage", "minimum_voltage_v", Outcome.FAIL),
        ("full-power-voltage", "full_power_voltage_v", Outcome.CAUTION),
    ],
)
def test_a_least_voltage_of_the_station_turns_within_a_thousandth(
    check: str, field: str, breach: Outcome
) -> None:
    by_hand_v = SQRT3 * voltage_behind(YARD, source_v=360 / SQRT3, current_a=20, power_factor=0.95)

    def outcome(share: float) -> Outcome:
        stated = merged(WITHOUT_VOLTAGES, {f"station.{field}": share * by_hand_v})
        return found(check, "", SINGLE, AT_20_A, stated).outcome

    assert outcome(0.999) is Outcome.PASS
    assert outcome(1.001) is breach


def test_power_that_is_lost_below_the_full_power_voltage_by_hand() -> None:
    voltage_v = voltage_behind(YARD, source_v=360 / SQRT3, current_a=20, power_factor=0.95)
    needed = {"station.full_power_voltage_v": 1.05 * SQRT3 * voltage_v}
    finding = found("full-power-voltage", "", SINGLE, AT_20_A, needed)
    power_kw = 3 * 20 * voltage_v * 0.95 / 1000
    assert step_result(finding, "dP") == pytest.approx(power_kw * (1 - 1 / 1.05), rel=1e-3)


def test_unknown_voltages_of_the_station_take_the_range_of_the_code_basis() -> None:
    # Unfavourable ends: 0.85 and 0.95 of nominal at least, 1.10 of nominal at most.
    assert found("minimum-voltage", "", SINGLE, WITHOUT_VOLTAGES).limit == pytest.approx(340)
    assert found("full-power-voltage", "", SINGLE, WITHOUT_VOLTAGES).limit == pytest.approx(380)
    highest = found("highest-voltage", "", SINGLE, WITHOUT_VOLTAGES)
    assert highest.limit == pytest.approx(440)
    assert highest.outcome is Outcome.PASS
    kiosk = found("highest-voltage", "", "camp-site-kiosk", WITHOUT_VOLTAGES)
    assert kiosk.limit == pytest.approx(1.1 * 400 / SQRT3)
    assert kiosk.outcome is Outcome.PASS


def test_a_hot_cable_drops_more_than_a_cool_one() -> None:
    hot = {**AT_20_A, "circuit[0].cable[0].ambient_c": 50}
    # Table B.52.14: 0.71 at 50 °C.
    warm = Piece(length_m=22, section_mm2=6, ampacity_a=41 * 0.71, ambient_c=50)
    value = found("voltage-drop", "", SINGLE, hot).value
    assert value == pytest.approx(drop_percent((warm, YARD[1]), 20, 0.95), rel=1e-4)
    assert drop_percent((warm, YARD[1]), 20, 0.95) > drop_percent((YARD_CABLE, YARD[1]), 20, 0.95)
