"""Which remedies are offered: figures of published tables, and what must never be offered."""

from __future__ import annotations

from functools import cache

import pytest

from feasibility.advice import Advice, Need, advise
from feasibility.assessment import Assessment
from feasibility.remedies.record import Kind, Prices, Remedy
from feasibility.result import Outcome, Quantity, Verdict

from ..checks.sites import GONE, Changes, assessed
from ..demand_log.logs import logs_of

BAKERY, HALL, DEPOT = "bakery-yard", "joinery-hall", "river-depot"


@cache
def _advised(name: str, changes: tuple[tuple[str, object], ...]) -> tuple[Assessment, Advice]:
    assessment = assessed(name, dict(changes))
    return assessment, advise(assessment, logs_of(assessment.survey))


def advised(name: str, changes: Changes | None = None) -> tuple[Assessment, Advice]:
    return _advised(name, tuple((changes or {}).items()))


def kinds(remedy: Remedy) -> list[Kind]:
    return [one.part.kind for one in remedy.parts]


def figure_of(remedy: Remedy, name: str) -> float:
    (value,) = [
        one.part.words.values[name] for one in remedy.parts if name in one.part.words.values
    ]
    assert isinstance(value, Quantity)
    return value.value


def test_a_site_that_carries_needs_nothing() -> None:
    _, advice = advised(BAKERY)
    assert advice.need is Need.NONE
    assert (advice.remedies, advice.reduced, advice.without_remedy) == ((), (), ())


def test_what_is_undecided_asks_for_facts_and_not_for_changes() -> None:
    _, advice = advised("old-mill")
    assert advice.need is Need.NOT_CERTAIN
    assert advice.remedies == ()
    assert advice.facts


def test_a_metering_place_that_is_too_small_has_three_ways_out() -> None:
    """60 A less 48 A x 1.02 leaves 11.04 A for the board; 48.96 + 24 A need the 80 A of IEC 60269.

    Usual fuse ratings: 63, 80, 100 A (IEC 60269-1, from memory).
    """
    _, advice = advised(HALL)
    assert advice.need is Need.UPGRADE
    managed, enlarged = advice.remedies
    assert kinds(managed) == [Kind.LOAD_MANAGEMENT]
    assert figure_of(managed, "level") == 11
    assert kinds(enlarged) == [Kind.ENLARGED_SERVICE]
    assert figure_of(enlarged, "rating") == 80
    (lower,) = advice.reduced
    assert kinds(lower) == [Kind.LOWER_SETTING]
    assert figure_of(lower, "setting") == 32
    assert all(one.verdict is Verdict.CARRIES for one in (managed, enlarged, lower))


def test_a_new_circuit_of_the_depot_needs_its_feeder_too() -> None:
    """The shed board's 0.9 x 110 A = 99 A carry 57.2 + 48 A only with another release setting."""
    _, advice = advised(DEPOT)
    assert advice.need is Need.UPGRADE
    first = advice.remedies[0]
    assert Kind.NEW_CIRCUIT in kinds(first)
    assert Kind.RELEASE_SETTING in kinds(first)
    assert len(first.parts) <= 3
    assert first.verdict is Verdict.CARRIES


CASES: dict[str, tuple[Changes, list[Kind], str, float]] = {
    # IEC 60364-5-52:2009, Table B.52.4, method C, copper, PVC, three loaded: 6, 10, 16 mm² carry
    # 41, 57, 76 A; a 63 A gG fuse needs 63 x 1.6 / 1.45 = 69.5 A (IEC 60364-4-43, 433.1).
    "a main cable that is too thin": (
        {"circuit[0].cable[0].section_mm2": 6},
        [Kind.LARGER_CABLE],
        "section",
        16,
    ),
    # BS 7671, Table 4F3A: three-core rubber cord of 4 mm² carries 26 A or less, of 6 mm² 34 A.
    "a cord that is too thin": ({"cord.section_mm2": 4}, [Kind.OTHER_CORD], "section", 6),
    "a cord on a drum": ({"cord.layers_on_drum": 3}, [Kind.UNWOUND_CORD], "", 0),
    # IEC 60309-2 knows 16, 32, 63 and 125 A.
    "an outlet that is too small": ({"outlet.rating_a": 16}, [Kind.OTHER_OUTLET], "rating", 32),
    "an outlet of the wrong clock position": (
        {"outlet.clock_position": 7},
        [Kind.OTHER_OUTLET],
        "rating",
        32,
    ),
    "an outlet that cannot be locked off": (
        {"outlet.lockable_isolation": False},
        [Kind.OTHER_PART],
        "",
        0,
    ),
    "a residual-current device of type A": (
        {"circuit[1].residual_current_device.type": "A"},
        [Kind.RESIDUAL_CURRENT_DEVICE],
        "current",
        30,
    ),
    # 24.48 + 20.7 A or less (phasor sum with power factors) need the 50 A of IEC 60269.
    "a contract that is too small": (
        {"supply.contracted_current_a": 35, "board[0].demand.net_of_generation": False},
        [Kind.LOAD_MANAGEMENT],
        "level",
        10,
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_the_smallest_change_is_offered_first(case: str) -> None:
    changes, expected, name, figure = CASES[case]
    before, advice = advised(BAKERY, changes)
    assert any(one.outcome is Outcome.FAIL for one in before.findings)
    first = advice.remedies[0]
    assert kinds(first) == expected
    assert not name or figure_of(first, name) == figure
    assert first.verdict is Verdict.CARRIES
    assert first.carries_a is not None
    assert first.requested_a is not None
    assert first.carries_a >= first.requested_a
    order = [one.disturbance for one in advice.remedies]
    assert order == sorted(order)


def test_two_changes_that_are_enough_only_together_are_found() -> None:
    """41 A x 0.60 (five bunched, Table B.52.17) x 0.71 (50 °C, Table B.52.14) = 17.5 A.

    Apart from others 41 x 0.71 = 29.1 A lie below the 32 A circuit-breaker and above one of 25 A;
    10 mm² (57 A) carry 40.5 A apart from others, and 24.3 A in the group (IEC 60364-5-52:2009).
    """
    changes = {
        "circuit[1].cable[0].ambient_c": 50,
        "circuit[1].cable[0].grouped_circuits": 5,
        "circuit[1].cable[0].grouping": "bunched",
    }
    _, advice = advised(BAKERY, changes)
    first, second = advice.remedies
    assert set(kinds(first)) == {Kind.UNGROUPED_CABLE, Kind.OTHER_DEVICE}
    assert figure_of(first, "rating") == 25
    assert set(kinds(second)) == {Kind.UNGROUPED_CABLE, Kind.LARGER_CABLE}
    assert figure_of(second, "section") == 10


def test_a_new_outlet_leaves_a_plug_that_fits() -> None:
    _, advice = advised("camp-site-kiosk", {"outlet.condition": "worn contacts"})
    first = advice.remedies[0]
    assert kinds(first) == [Kind.OTHER_OUTLET]
    places = {change.place for change in first.parts[0].part.changes}
    assert "outlet.condition" in places
    assert not any(one.startswith("cord.") for one in places)


def test_against_what_nothing_is_listed_is_said() -> None:
    """A source in parallel adds to what the device lets through (IEC 60364-7-712 and -8-2)."""
    source = {
        "name": "panels",
        "kind": "photovoltaic",
        "rated_current_a": 30,
        "phases": "L1L2L3",
        "changeover": False,
        "islanding": False,
        "feeds_station": False,
    }
    changes = {"circuit[1].source": [source], "circuit[1].other_outlets_none": GONE}
    before = assessed(BAKERY, changes)
    failing = {one.check for one in before.findings if one.outcome is Outcome.FAIL}
    assert failing
    advice = advise(before, {})
    named = {one.check for one in advice.without_remedy}
    assert named <= failing
    assert named or advice.remedies
    if not advice.remedies:
        assert advice.need is Need.NO_LISTED_REMEDY


def test_a_lower_setting_that_does_not_hold_is_made_to_hold() -> None:
    changes = {"station.setting_locked": False, "supply.contracted_current_a": 40}
    before, advice = advised(BAKERY, changes)
    assert before.verdict is Verdict.UPGRADE
    (lower,) = advice.reduced
    assert set(kinds(lower)) == {Kind.LOWER_SETTING, Kind.HOLDING_SETTING}
    assert lower.verdict is Verdict.CARRIES


def test_prices_order_what_disturbs_alike_and_are_summed() -> None:
    prices = Prices(currency="EUR", by_kind={Kind.LARGER_CABLE: 10.0, Kind.OTHER_CORD: 3.0})
    before, _ = advised(BAKERY, {"circuit[0].cable[0].section_mm2": 6})
    advice = advise(before, {}, prices)
    assert advice.currency == "EUR"
    assert advice.remedies[0].price == pytest.approx(14 * 10.0)  # the main cable is 14 m long
    managed = advise(advised(HALL)[0], logs_of(advised(HALL)[0].survey), prices)
    assert [one.price for one in managed.remedies] == [None] * len(managed.remedies)


def test_what_a_remedy_changes_is_labelled_as_hypothetical() -> None:
    _, advice = advised(BAKERY, {"circuit[0].cable[0].section_mm2": 6})
    stated = [
        change.value
        for one in advice.remedies[0].parts
        for change in one.part.changes
        if change.value != "unknown"
    ]
    assert stated
    for value in stated:
        assert isinstance(value, dict)
        assert value["known"] == "assumed"
        assert "hypothetical" in value["note"]


def test_readings_before_a_new_cable_say_nothing_behind_it() -> None:
    _, advice = advised(BAKERY, {"circuit[0].cable[0].section_mm2": 6})
    changes = {
        change.place: change.value
        for one in advice.remedies[0].parts
        for change in one.part.changes
    }
    assert changes["outlet.measured_loop_impedance_ohm"] == "unknown"
