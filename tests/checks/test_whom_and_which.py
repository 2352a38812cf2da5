"""Of whom a question is asked, and which device, source or end of a range its answer names."""

from __future__ import annotations

import math

import pytest

from feasibility.checks.device_band import operating_current
from feasibility.checks.fault_sources import greatest_line_impedance
from feasibility.checks.impedance import (
    line_impedance_of_equal_cables,
    shortest_line_impedance,
)
from feasibility.checks.question import Run
from feasibility.installation.build import build_installation
from feasibility.installation.facts import NotKnown
from feasibility.installation.model import LinkKind
from feasibility.result import Outcome

from ..formulas import faults_of
from .cases_of_infeed import TN_C_S, at_origin, on_board, on_circuit, photovoltaic
from .cases_of_protection import FIXED
from .cases_of_transformer import own, stated
from .hand import YARD_CABLE
from .sites import GONE, SINGLE, Changes, asked, found, merged, site

BAKERY, KIOSK = "bakery-yard", "camp-site-kiosk"
MAIN_BOARD = "board 'Main board'"
DEVICE = "circuit[0].residual_current_device"
LENGTH = "circuit[0].cable[0].length_m"


def run_over(name: str, *changes: Changes, favourable: bool = False) -> Run:
    return Run.over(build_installation(site(name, *changes)), favourable=favourable)


def links_of(check: str, name: str, *changes: Changes) -> list[str]:
    return [one.unfavourable.link for one in asked(check, name, *changes)]


@pytest.mark.parametrize(
    ("source", "links"),
    [
        (on_circuit(1), ["Yard outlet: cable 1", "outlet", "plug", "cord"]),
        (on_board(photovoltaic()), []),
        # The main cable has no device of its own: only the service device lies before it.
        (at_origin(photovoltaic()), ["Main cable: cable 1"]),
    ],
)
def test_only_what_lies_between_source_and_device_is_fed_from_two_sides(
    source: Changes, links: list[str]
) -> None:
    assert links_of("infeed-behind-device", BAKERY, source) == links


def test_a_transformer_and_a_statement_are_compared_where_both_are_described() -> None:
    both = links_of("transformer-agreement", SINGLE, own(), stated(3000))
    assert both == ["transformer"]
    for changes in (own(), {"supply.kind": "unknown", **stated(3000)}):
        assert links_of("transformer-agreement", SINGLE, changes) == []


@pytest.mark.parametrize(
    ("check", "word", "side"),
    [("highest-voltage", "highest", "above"), ("minimum-voltage", "lowest", "below")],
)
def test_a_transformers_voltage_without_load_names_its_end_and_what_it_comes_from(
    check: str, word: str, side: str
) -> None:
    by_voltage = own(no_load_voltage_v=410)
    del by_voltage["supply.transformer"]["tap_percent"]
    for plate, place in ((by_voltage, "of the transformer"), (own(), "at the tapping in use")):
        steps = {one.symbol: one for one in found(check, "", SINGLE, plate).working}
        assert steps["U0t"].meaning.startswith(f"{word} voltage of the transformer")
        unloaded, tolerance = (one.meaning for one in steps["U0t"].inputs)
        assert unloaded == f"voltage without load {place}"
        assert tolerance.startswith(f"medium-voltage tolerance {side} nominal")
    rated, tapping = (one.meaning for one in steps["U20"].inputs)
    assert rated == "rated secondary voltage of the transformer"
    assert tapping == "tapping in use of the transformer"


def test_sources_beside_and_in_place_of_the_network_are_named_apart() -> None:
    behind = photovoltaic(kind="generator", changeover=True, name="set")
    finding = found("second-sources", MAIN_BOARD, BAKERY, on_board(photovoltaic(), behind))
    assert finding.outcome is Outcome.PASS
    assert finding.reason.values == {"beside": "roof", "instead": "set"}


def test_the_section_of_a_pen_is_asked_of_the_cables_before_the_last_circuit() -> None:
    assert links_of("pen-section", BAKERY, TN_C_S) == ["Main cable: cable 1"]


def two_devices(delay: str = "S") -> Changes:
    before = {
        "present": True,
        "type": "B",
        "residual_current_ma": 300,
        "rating_a": 63,
        "delay": delay,
        "combined": False,
        "other_leakage_ma": 0,
        "other_direct_current_ma": 0,
    }
    return {DEVICE: before}


def test_selectivity_is_asked_of_every_device_but_the_last() -> None:
    (link,) = links_of("residual-current-selectivity", KIOSK, two_devices())
    assert "Main cable" in link
    assert links_of("residual-current-selectivity", KIOSK) == []


@pytest.mark.parametrize(
    ("changes", "outcome", "value"),
    [
        ({}, Outcome.PASS, 30),
        ({f"{DEVICE}.residual_current_ma": 100}, Outcome.FAIL, 100),
        # IEC 60364-4-41, 415.1: what is missing is promptness, so that no figure is compared.
        ({f"{DEVICE}.delay": "S"}, Outcome.FAIL, None),
        ({DEVICE: {"present": False}}, Outcome.FAIL, None),
    ],
)
def test_a_residual_current_is_compared_where_it_decides(
    changes: Changes, outcome: Outcome, value: float | None
) -> None:
    finding = found("residual-current-presence", "", SINGLE, changes)
    shown = None if value is None else 30
    assert (finding.outcome, finding.value, finding.limit) == (outcome, value, shown)
    assert finding.unit == ("" if value is None else "mA")
    there = "present" not in str(changes)
    assert ("value" in finding.reason.values) is there


def test_of_two_devices_the_sensitive_one_that_trips_at_once_is_named() -> None:
    changes = merged(two_devices(), {"circuit[1].residual_current_device.residual_current_ma": 30})
    finding = found("residual-current-presence", "", KIOSK, changes)
    assert (finding.outcome, finding.value) == (Outcome.PASS, 30)
    # Nearer to the station 300 mA and prompt, before it 30 mA and delayed: the 30 mA are named.
    turned = merged(
        two_devices(),
        {
            f"{DEVICE}.residual_current_ma": 30,
            "circuit[1].residual_current_device.residual_current_ma": 300,
        },
    )
    delayed = found("residual-current-presence", "", KIOSK, turned)
    assert delayed.outcome is Outcome.FAIL
    assert "time-delayed" in delayed.reason.template
    assert delayed.reason.values["value"].value == 30  # type: ignore[union-attr]


def test_an_unknown_residual_current_counts_as_smooth_direct_current() -> None:
    changes: Changes = {f"{DEVICE}.type": "A", "station.residual_current_kind": GONE}
    (judged,) = asked("residual-current-type", SINGLE, changes)
    assert judged.unfavourable.outcome is Outcome.FAIL
    assert judged.favourable.outcome is Outcome.PASS


@pytest.mark.parametrize(
    ("name", "meaning"),
    [(SINGLE, "highest voltage between lines"), (KIOSK, "highest voltage to neutral")],
)
def test_the_highest_voltage_is_that_of_the_stations_terminals(name: str, meaning: str) -> None:
    (step,) = [one for one in found("highest-voltage", "", name).working if one.symbol == "U1"]
    assert step.meaning == meaning


@pytest.mark.parametrize(
    ("changes", "needed", "place"),
    [
        ({}, "IP44", "outdoors"),
        ({"outlet.location": "indoors", "outlet.water": "splashes"}, "IPX4", "indoors, splashes"),
        ({"outlet.location": GONE, "outlet.water": "splashes"}, "IP44", "outdoors, splashes"),
    ],
)
def test_the_degree_of_protection_that_the_place_needs(
    changes: Changes, needed: str, place: str
) -> None:
    # IEC 60364-7-722, 722.512.2: IP44 outdoors; IEC 60364-5-51, Table 51A: splashes, IPX4.
    finding = found("degree-of-protection", "", SINGLE, changes)
    assert finding.reason.values["needed"] == needed
    assert finding.reason.values["place"] == place


@pytest.mark.parametrize("shortest", [False, True])
def test_long_or_short_of_a_range(*, shortest: bool) -> None:
    run = run_over(SINGLE, {LENGTH: {"low": 11, "high": 22}})
    (cable,) = run.installation.links_of(LinkKind.CABLE)
    of = shortest_line_impedance if shortest else line_impedance_of_equal_cables
    expected = YARD_CABLE.resistance_20c_ohm * (0.5 if shortest else 1.0)
    assert of(cable, run.ends).resistance_20c_ohm == pytest.approx(expected)


def test_the_lines_impedance_is_the_loop_over_the_smallest_ratio() -> None:
    """(2 + Z0/Z1) / 3 of a star-zigzag transformer is 0.7, so that 0.11 ohm are 0.157 ohm."""
    run = run_over(SINGLE, {"supply.smallest_fault_current_ka": GONE})
    source = greatest_line_impedance(run)
    assert source.ohm == pytest.approx(0.11 / 0.7)
    assert [fault for one in source.steps for fault in faults_of(one)] == []


@pytest.mark.parametrize(
    ("device", "path"),
    [
        ({"kind": "gG fuse", "rating_a": 10}, "fuse_system"),
        ({"kind": "gG fuse", "rating_a": 10, "fuse_system": "NH"}, "curve_point"),
    ],
)
def test_what_would_tell_when_a_device_operates_is_asked_for(
    device: dict[str, object], path: str
) -> None:
    run = run_over(SINGLE, {"circuit[0].device": {"breaking_capacity_ka": 10, **device}})
    with pytest.raises(NotKnown) as missing:
        operating_current(run, run.installation.final_circuit.device, 0.01)
    (fact,) = missing.value.facts
    assert fact.path.endswith(path)


def test_auxiliaries_load_a_neutral_only_where_the_station_has_one() -> None:
    check, link = "neutral-current", "Main cable: cable 1"
    name = BAKERY
    without = found(check, link, name, {"station.needs_neutral": False})
    unknown = next(
        one
        for one in asked(check, name, {"station.needs_neutral": GONE})
        if one.unfavourable.link == link
    )
    assert "Ia" in [one.symbol for one in unknown.unfavourable.working]
    assert "Ia" not in [one.symbol for one in unknown.favourable.working]
    auxiliary = [one for one in found(check, link, name).working if one.symbol == "Ia"]
    assert [one.result for one in auxiliary] == [pytest.approx(350 / (0.9 * 400 / math.sqrt(3)))]
    assert "Ia" not in [one.symbol for one in without.working]
    by_demand = next(one for one in without.working if one.symbol == "In")
    assert {one.symbol: one.value for one in by_demand.inputs}["Ia"] == 0


def test_what_flows_back_is_asked_of_the_devices_before_the_source() -> None:
    assert links_of("infeed-backwards", BAKERY, on_board(photovoltaic())) == ["service device"]


def test_the_last_circuit_is_not_asked_for_the_section_of_a_pen() -> None:
    assert links_of("pen-section", SINGLE, {"supply.earthing_system": "TN-C-S"}) == []


def test_a_fixed_connection_is_no_accessory_with_a_rating_of_its_own() -> None:
    check = "accessory-protection"
    plugged = links_of(check, SINGLE)
    fixed = links_of(check, SINGLE, FIXED)
    assert "outlet" in plugged
    assert "outlet" not in fixed
    assert "plug" in plugged
    assert any("residual" in one for one in fixed) == any("residual" in one for one in plugged)


def test_an_accessory_faces_the_largest_rating_that_the_device_may_have() -> None:
    ranged = {"circuit[0].device.rating_a": {"low": 25, "high": 32}}
    (judged,) = [
        one
        for one in asked("accessory-protection", SINGLE, ranged)
        if one.unfavourable.link == "outlet"
    ]
    assert (judged.unfavourable.value, judged.favourable.value) == (32, 25)


def test_a_cord_is_protected_from_its_start_only_by_the_largest_rating_that_may_be() -> None:
    # IEC 60364-4-43, 433.2.2; the cord of 6 mm2 carries 34 A (BS 7671, Table 4F1A).
    changes: Changes = {
        "circuit[0].device.rating_a": {"low": 33, "high": 40},
        "circuit[0].device.characteristic": "D",
        "station.input_device_rating_a": 32,
    }
    (judged,) = [
        one for one in asked("overload-rating", SINGLE, changes) if one.unfavourable.link == "cord"
    ]
    assert judged.unfavourable.outcome is Outcome.OPEN
    assert judged.favourable.outcome is Outcome.PASS


def test_what_a_fuse_between_two_readings_is_stands_behind_the_figures() -> None:
    # IEC 60364-4-43, 433.1, NOTE on gG fuses: 1.6 times 32 A against 1.45 times 34 A.
    fuse: Changes = {
        "circuit[0].device": {
            "kind": "gG fuse",
            "rating_a": 32,
            "breaking_capacity_ka": 50,
            "enclosure_temperature_c": 35,
        },
        "circuit[0].cable[0].ampacity_a": 34,
    }
    template = found("overload-tripping", "cable 1", SINGLE, fuse).reason.template
    assert template.startswith("The device surely trips at {i2}, which exceeds {g} times")
    assert "Some codes deem a gG fuse enough" in template


def test_a_more_sensitive_device_that_waits_does_not_stand_for_the_prompt_one() -> None:
    finding = found(
        "residual-current-presence", "", KIOSK, two_devices(), {f"{DEVICE}.residual_current_ma": 10}
    )
    assert (finding.outcome, finding.value) == (Outcome.PASS, 30)


def test_an_assumed_ratio_of_loop_and_line_is_shown_as_filled_in() -> None:
    run = run_over(SINGLE, {"supply.smallest_fault_current_ka": GONE})
    greatest_line_impedance(run)
    assert run.ends.used["supply.smallest_fault_current_ka"].filled


def test_the_drop_is_that_of_the_phase_that_carries_most() -> None:
    # By DIN VDE 0100-520 Supplement 2, as in the other sites; the site draws 40 A on L3 alone.
    loaded: Changes = {
        "board[0].demand": {"maximum_l1_a": 0, "maximum_l2_a": 0, "maximum_l3_a": 40}
    }
    steps = [
        one for one in found("voltage-drop", "", BAKERY, loaded).working if one.symbol == "dUc"
    ]
    currents = [one.value for step in steps for one in step.inputs if one.symbol == "Ib"]
    assert currents == pytest.approx([24.48 + 40, 24.48, 24.48], rel=0.01)


def test_the_susceptance_of_cables_in_parallel_is_shown_with_its_sign() -> None:
    beside = {"circuit[0].cable[0].parallel_cable": [{"section_mm2": 25, "length_m": 20}]}
    steps = found("disconnection", "circuit 'Main cable'", BAKERY, beside).working
    sums = [one for one in steps if one.symbol == "B"]
    used = [one for one in steps if "B ** 2" in one.formula]
    assert sums
    for one, other in zip(sums, used, strict=True):
        shown = {quantity.symbol: quantity.value for quantity in other.inputs}
        assert shown["B"] == one.result > 0
