"""The figures for the request to the network operator: stated ones as stated, none filled in."""

from __future__ import annotations

import json
from math import sqrt

import pytest

from feasibility.checks.question import Run
from feasibility.examples import example_names
from feasibility.installation.build import build_installation
from feasibility.operator_request import OperatorRequest, RequestItem, operator_request
from feasibility.render.json_document import to_json
from feasibility.render.operator_view import request_groups
from tests.render import sites as rendered

from .checks.sites import GONE, Changes, site

BAKERY, KIOSK = "bakery-yard", "camp-site-kiosk"


def request_of(name: str, *changes: Changes) -> OperatorRequest:
    installation = build_installation(site(name, *changes))
    return operator_request(Run.over(installation, favourable=False))


def items_of(name: str, *changes: Changes) -> dict[str, RequestItem]:
    return {one.item: one for one in request_of(name, *changes).items}


@pytest.mark.parametrize("name", example_names())
def test_every_figure_has_its_own_name_and_words(name: str) -> None:
    request = request_of(name)
    names = [one.item for one in request.items]
    assert len(names) == len(set(names)) > 35
    assert len({one.label for one in request.items}) == len(names)
    assert "before the station is ordered" in request.notice
    for one in request.items:
        assert one.label
        assert (one.origin == "") or one.options


def test_figures_that_a_pocket_calculator_gives() -> None:
    # sqrt(3) x 400 V x 32 A; 5.2 kA / 1.1 / 32 A; 8 A x 1.1 / 5.2 kA.
    items = items_of(BAKERY)
    assert items["rated_apparent_power_kva"].options == pytest.approx((sqrt(3) * 12.8,))
    assert items["short_circuit_ratio"].options == pytest.approx((5200 / 1.1 / 32,))
    assert items["voltage_change_percent"].options == pytest.approx((100 * 8 * 1.1 / 5200,))
    assert items["existing_demand_a"].options == (21,)
    # Between line and neutral: 400 V / sqrt(3) x 13 A, over sqrt(3) x 400 V x 5.2 kA / 1.1.
    kiosk = items_of(KIOSK)
    assert kiosk["rated_apparent_power_kva"].options == pytest.approx((0.4 / sqrt(3) * 13,))
    assert kiosk["voltage_unbalance_percent"].options == pytest.approx((100 * 13 / 3 / 4727.27,))
    assert "voltage_unbalance_percent" not in items


def test_what_is_stated_stands_as_stated_with_how_it_is_known() -> None:
    items = items_of(BAKERY)
    fault = items["prospective_fault_current_ka"]
    assert (fault.options, fault.unit) == ((5.2,), "kA")
    assert "measured with installation tester 1" in fault.origin
    assert items["metering_point"].options == ("MP-0001",)
    assert items["surveyor_company"].options == ("Sample Electrical Contractors",)
    assert items["surveyor_registration"].options == ("R-0001",)
    assert items["maker"].options == ("Sample Works",)
    assert items["type_designation"].options == ("example type A",)
    assert items_of("old-mill")["type_designation"].options == ()
    assert items["planned_operation"].options == ("2026-06-01",)
    assert items["can_feed_back"].options == (False,)
    assert items["feed_back_blocked_by"].options == ("no hardware for it",)
    assert items["remote_limitation"].options == ("switching contact",)
    assert (items["storage_capacity_kwh"].options, items["storage_capacity_kwh"].unit) == (
        (140,),
        "kWh",
    )
    assert items_of("old-mill")["prospective_fault_current_ka"].options == (2.0, 9.0)


@pytest.mark.parametrize(
    ("path", "item"),
    [
        ("station.power_factor", "power_factor"),
        ("station.needs_neutral", "needs_neutral"),
        ("station.third_harmonic_percent", "third_harmonic_percent"),
        ("station.setting_locked", "setting_locked"),
        ("supply.kind", "kind"),
    ],
)
def test_no_range_of_the_code_basis_stands_for_what_nobody_knows(path: str, item: str) -> None:
    # The checks put a range in the place of each of these.
    found = items_of(BAKERY, {path: "unknown"})[item]
    assert (found.options, found.origin) == ((), "")


def test_what_cannot_be_calculated_is_not_known_and_no_error() -> None:
    items = items_of(
        BAKERY,
        {
            "supply.prospective_fault_current_ka": GONE,
            "station.nameplate_current_a": GONE,
            "station.largest_step_a": GONE,
            "station.dc_power_kw": GONE,
            "station.setting_locked": False,
            "board[0].demand": GONE,
        },
    )
    for name in (
        "rated_apparent_power_kva",
        "requested_current_a",
        "existing_demand_a",
        "demand_with_station_a",
        "reckoned_short_circuit_power_kva",
        "short_circuit_ratio",
        "voltage_change_percent",
    ):
        assert items[name].options == (), name


def test_behind_an_own_transformer_nothing_is_calculated_for_the_low_voltage_network() -> None:
    items = items_of(BAKERY, {"supply.kind": "own transformer"})
    assert "short_circuit_ratio" not in items
    assert "prospective_fault_current_ka" in items
    assert "short_circuit_ratio" in items_of(BAKERY, {"supply.kind": GONE})


def test_of_two_ways_to_say_a_thing_the_other_one_is_not_asked_again() -> None:
    items = items_of("joinery-hall")
    assert "contracted_power_kva" not in items
    assert "permitted_supply_impedance_ohm" in items
    assert "declared_service_current_a" not in items
    assert "harmonic_9_percent" not in items
    assert "harmonic_9_percent" in items_of(KIOSK)


@pytest.mark.parametrize("name", example_names())
def test_the_machine_readable_request_holds_the_same(name: str) -> None:
    assessment = rendered.shipped(name)
    document = json.loads(to_json(assessment))["operator_request"]
    assert document["notice"] == assessment.operator_request.notice
    for one, written in zip(assessment.operator_request.items, document["items"], strict=True):
        assert (written["item"], written["label"]) == (one.item, one.label)
        if not one.options:
            assert (written["value"], written["low"], written["high"]) == (None, None, None)
        elif len(one.options) == 1 and isinstance(one.options[0], (str, bool)):
            assert written["value"] == one.options[0]
        elif len(one.options) == 1:
            assert written["value"] == pytest.approx(one.options[0], rel=1e-5)
        else:
            assert written["value"] is None
            assert (written["low"], written["high"]) == (min(one.options), max(one.options))


@pytest.mark.parametrize("name", example_names())
def test_the_page_has_a_row_for_every_figure_under_its_heading(name: str) -> None:
    request = rendered.shipped(name).operator_request
    groups = request_groups(request)
    rows = [(group.title, row.label) for group in groups for row in group.rows]
    assert sorted(rows) == sorted((one.group, one.label) for one in request.items)
    unknown = {row.label for group in groups for row in group.rows if row.value == "not known"}
    assert unknown == {one.label for one in request.items if not one.options}
