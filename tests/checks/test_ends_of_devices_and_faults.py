"""Which end of what may be a device's band, a fault's conductors and a refusal take."""

from __future__ import annotations

import math

import pytest

from feasibility import tables
from feasibility.checks.device_band import band
from feasibility.checks.devices_in_series import quick_edge_of, slow_edge_of
from feasibility.checks.fault_conductors import FaultKind, conductors, hottest_c
from feasibility.checks.fault_impedance import greatest_impedance, least_impedance
from feasibility.checks.question import Run
from feasibility.checks.run import Judged, merge, run_catalogue
from feasibility.checks.working import given
from feasibility.installation.build import build_installation
from feasibility.installation.facts import Fact, NotKnown
from feasibility.installation.model import LinkKind
from feasibility.result import Outcome

from .cases_of_infeed import PEN_MM2, TN_C_S
from .hand import YARD_CABLE
from .sites import CHECKS, GONE, SINGLE, Changes, asked, found, merged, site

BAKERY, KIOSK = "bakery-yard", "camp-site-kiosk"
CABLE = "circuit[0].cable[0]"
LOOP = "outlet.measured_loop_impedance_ohm"
AIR, SUN = "cord.ambient_c", "cord.in_sun"


def run_over(name: str, *changes: Changes) -> Run:
    return Run.over(build_installation(site(name, *changes)), favourable=False)


def judged(check: str, link: str, name: str, *changes: Changes) -> Judged:
    (one,) = [one for one in asked(check, name, *changes) if one.unfavourable.link.endswith(link)]
    return one


def test_an_unknown_way_of_laying_is_the_worst_that_goes_with_the_cable() -> None:
    # IEC 60364-5-52, 16 mm2, three loaded: 52 A (B.52.4, A2) to 80 A (B.52.10, E).
    laid = judged("ampacity", "Main cable: cable 1", BAKERY, {f"{CABLE}.method": GONE})
    assert (laid.unfavourable.limit, laid.favourable.limit) == (52, 80)


def test_an_unknown_metal_is_never_left_out_where_a_table_lacks_it() -> None:
    # Tables of B.52 begin at 2.5 mm2 of aluminium.
    thin = {f"{CABLE}.conductor": GONE, f"{CABLE}.section_mm2": 1.5}
    changes = {**thin, f"{CABLE}.protective_section_mm2": 1.5}
    assert judged("ampacity", "cable 1", SINGLE, changes).unfavourable.outcome is Outcome.OPEN


def test_ranges_beyond_the_end_of_a_table_are_named_as_what_is_not_known() -> None:
    """BS 7671, Table 4F1A: no factor of 60 C rubber above 55 C, and 40 C in the sun are 60 C."""
    cord: Changes = {"cord.grade": "60 C rubber"}
    unknown = found("ampacity", "cord", BAKERY, cord, {AIR: GONE, SUN: GONE})
    assert (unknown.outcome, unknown.facts) == (Outcome.OPEN, (AIR, SUN))
    beyond = found("ampacity", "cord", BAKERY, cord, {AIR: 45, SUN: True})
    assert (beyond.outcome, beyond.facts) == (Outcome.OPEN, ())


def test_a_pairing_that_decides_is_asked_for_in_words() -> None:
    weak = build_installation(site(BAKERY, {"circuit[1].device.breaking_capacity_ka": 3}))
    open_facts = run_catalogue(weak, (CHECKS["breaking-capacity"],)).open_facts
    fact = open_facts["circuit[2].device.backed_up_to_ka"]
    assert fact.label == "back-up rating (with the device before it) of the device of 'Yard outlet'"


@pytest.mark.parametrize(
    ("name", "check", "link", "changes", "outcome"),
    [
        (
            SINGLE,
            "device-rating",
            "Yard outlet: device",
            {"circuit[0].device.rating_a": {"low": 20, "high": 32}},
            Outcome.FAIL,
        ),
        (
            BAKERY,
            "pen-section",
            "Main cable: cable 1",
            merged(TN_C_S, {f"{CABLE}.conductor": GONE, PEN_MM2: 12}),
            Outcome.OPEN,
        ),
    ],
)
def test_a_range_that_flips_the_answer(
    name: str, check: str, link: str, changes: Changes, outcome: Outcome
) -> None:
    """On current it counts at the bad end where the verdict is the same; else it is open."""
    flipping = judged(check, link, name, changes)
    assert flipping.flips
    assert merge(flipping, flip_matters=False).outcome is outcome
    assert merge(flipping, flip_matters=True).outcome is Outcome.OPEN


def test_a_value_says_why_a_range_stands_for_it() -> None:
    def fact(*options: float) -> Fact[float]:
        return Fact(path="p", label="l", unit="A", options=options, reason="nobody read it")

    assert given(fact(1.0, 2.0), 1.0, "I").note == "nobody read it"
    assert given(fact(1.0), 1.0, "I").note == ""


def test_a_doubly_insulated_main_cable_in_tt_needs_no_protective_conductor() -> None:
    # IEC 60364-4-41, 412: double or reinforced insulation.
    def outcome(name: str, circuit: int, *, insulated: bool) -> Outcome:
        changes: Changes = {
            f"circuit[{circuit}].cable[0].protective_section_mm2": 0,
            f"circuit[{circuit}].double_insulated": insulated,
        }
        link = ("Main cable: cable 1", "outlet: cable 1")[circuit]
        return judged("protective-conductor", link, name, changes).unfavourable.outcome

    assert outcome(KIOSK, 0, insulated=True) is Outcome.NOT_APPLICABLE
    assert outcome(KIOSK, 0, insulated=False) is Outcome.FAIL
    assert outcome(KIOSK, 1, insulated=True) is Outcome.FAIL
    assert outcome(BAKERY, 0, insulated=True) is Outcome.FAIL


def test_a_separate_protective_conductor_of_unknown_metal_counts_as_aluminium() -> None:
    # IEC 60364-5-54, 543.1.3: 4 mm2 of copper, 16 mm2 of aluminium, unprotected.
    changes: Changes = {
        f"{CABLE}.protective_section_mm2": 2.5,
        f"{CABLE}.conductor": GONE,
        f"{CABLE}.section_mm2": 16,
        f"{CABLE}.protective_conductor_laid": "separate, unprotected",
    }
    one = judged("protective-conductor", "cable 1", SINGLE, changes)
    assert (one.unfavourable.limit, one.favourable.limit) == (16, 4)
    absent = found(
        "protective-conductor", "cable 1", SINGLE, {f"{CABLE}.protective_section_mm2": 0}
    )
    assert "There is no protective conductor" in absent.reason.template
    thin = found("protective-conductor", "cable 1", SINGLE, {f"{CABLE}.protective_section_mm2": 1})
    assert "There is no protective conductor" not in thin.reason.template


@pytest.mark.parametrize(
    ("hot", "long", "length_m"),
    [(True, None, 22), (False, None, 11), (False, True, 22), (True, False, 11)],
)
def test_a_faults_conductors_are_long_for_the_smallest_and_short_for_the_largest(
    hot: bool,
    long: bool | None,
    length_m: float,
) -> None:
    run = run_over(SINGLE, {f"{CABLE}.length_m": {"low": 11, "high": 22}})
    cables = run.installation.links_of(LinkKind.CABLE)
    found_conductors = conductors(run, cables, FaultKind.THREE_PHASE, hot=hot, long=long)
    share = length_m / YARD_CABLE.length_m
    celsius = 70 if hot else 20
    assert found_conductors.resistance_ohm == pytest.approx(
        YARD_CABLE.resistance_ohm(celsius) * share
    )
    assert found_conductors.reactance_ohm == pytest.approx(YARD_CABLE.reactance_ohm * share)


def test_an_unknown_insulation_may_be_as_hot_as_the_better_one() -> None:
    # IEC 60364-5-52, Table 52.1: 70 °C PVC, 90 °C XLPE.
    run = run_over(SINGLE, {f"{CABLE}.insulation": GONE})
    (cable,) = run.installation.links_of(LinkKind.CABLE)
    assert hottest_c(run, cable) == 90


def test_a_reading_stands_beside_the_whole_calculation() -> None:
    calculated = greatest_impedance(run_over(SINGLE, {LOOP: GONE}), 1, FaultKind.LINE_EARTH)
    larger = greatest_impedance(run_over(SINGLE, {LOOP: 2.0}), 1, FaultKind.LINE_EARTH)
    symbols = [one.symbol for one in calculated.steps]
    assert symbols[-1] == "Zs"
    assert [one.symbol for one in larger.steps][: len(symbols)] == [*symbols[:-1], "Zc"]
    assert larger.steps[len(symbols) - 1].result == calculated.ohm
    live = greatest_impedance(run_over(SINGLE), 1, FaultKind.LINE_NEUTRAL)
    assert live.steps[-1].symbol == "Zk"


def test_a_reading_that_may_vary_counts_at_its_own_bad_end() -> None:
    ranged: Changes = {LOOP: {"low": 1.0, "high": 2.0}}
    high, low = run_over(SINGLE, {LOOP: 2.0}), run_over(SINGLE, {LOOP: 0.29})
    for node in (1, 2):
        of_range = greatest_impedance(run_over(SINGLE, ranged), node, FaultKind.LINE_EARTH)
        assert of_range.ohm == greatest_impedance(high, node, FaultKind.LINE_EARTH).ohm
    small: Changes = {LOOP: {"low": 0.29, "high": 2.0}}
    least = least_impedance(run_over(SINGLE, small), 1, FaultKind.LINE_EARTH)
    assert least.ohm == least_impedance(low, 1, FaultKind.LINE_EARTH).ohm


FUSE: Changes = {
    "circuit[0].device": {"kind": "gG fuse", "rating_a": 63, "breaking_capacity_ka": 50}
}


def test_a_fuses_edges_reach_to_its_energies() -> None:
    # IEC 60269-1, Table 7, 63 A: 9000 A2s at least and 27 000 A2s at most, referred to 10 ms.
    run = run_over(SINGLE, FUSE)
    fuse = run.installation.final_circuit.device
    quick, slow = quick_edge_of(run, fuse), slow_edge_of(run, fuse)
    assert quick.points[-1].current_a == pytest.approx(math.sqrt(9000 / 0.01))
    assert slow.points[-1].current_a == pytest.approx(math.sqrt(27_000 / 0.01))
    assert quick.points[-1].time_s == slow.points[-1].time_s == 0.01


def test_a_fuse_of_uncertain_rating_is_the_quick_or_the_slow_one() -> None:
    def ends(rating: object) -> tuple[float, ...]:
        run = run_over(SINGLE, FUSE, {"circuit[0].device.rating_a": rating})
        fuse = run.installation.final_circuit.device
        quick, slow = quick_edge_of(run, fuse), slow_edge_of(run, fuse)
        edges = [edge.points[end].current_a for edge in (quick, slow) for end in (0, -1)]
        return tuple(edges)

    both = ends({"low": 50, "high": 63})
    assert both == (*ends(50)[:2], *ends(63)[2:])


@pytest.mark.parametrize(("slow_is_bad", "rating_a"), [(True, 32), (False, 25)])
def test_a_breaker_of_uncertain_rating_is_the_quick_or_the_slow_one(
    slow_is_bad: bool,
    rating_a: float,
) -> None:
    run = run_over(SINGLE, {"circuit[0].device.rating_a": {"low": 25, "high": 32}})
    trips, _, _ = band(run, run.installation.final_circuit.device, slow_is_bad=slow_is_bad)
    # IEC 60898-1, Table 7: B surely trips at 5 In within 0.1 s.
    assert trips.surely_trips_at_a(0.1) == pytest.approx(5 * rating_a)


@pytest.mark.parametrize("largest", [False, True])
def test_a_reading_that_says_nothing_of_a_fault_hides_none_of_those_behind_it(
    *, largest: bool
) -> None:
    between_lines: Changes = {
        "board[0].measured_fault_current_ka": 5.0,
        "board[0].measured_fault_between": "line-line",
    }
    value = 0.29 if largest else 2.0
    of = least_impedance if largest else greatest_impedance
    alone, both = (
        of(run_over(BAKERY, changes, {LOOP: value}), 2, FaultKind.LINE_EARTH).ohm
        for changes in ({}, between_lines)
    )
    assert both == alone
    without = of(run_over(BAKERY, {LOOP: GONE}), 2, FaultKind.LINE_EARTH).ohm
    assert (alone < without) is largest


def test_the_band_is_the_slow_one_unless_the_quick_one_is_asked_for() -> None:
    run = run_over(SINGLE, {"circuit[0].device.rating_a": {"low": 25, "high": 32}})
    trips, _, _ = band(run, run.installation.final_circuit.device)
    assert trips.surely_trips_at_a(0.1) == pytest.approx(5 * 32)


def test_a_selective_breaker_without_its_letter_is_not_guessed() -> None:
    device = {"kind": "selective main circuit-breaker", "rating_a": 35, "breaking_capacity_ka": 25}
    run = run_over(SINGLE, {"circuit[0].device": device})
    with pytest.raises(NotKnown):
        band(run, run.installation.final_circuit.device)


@pytest.mark.parametrize("rating_a", [63, 35])
def test_what_a_fuses_band_rests_on_is_said(rating_a: float) -> None:
    run = run_over(SINGLE, FUSE, {"circuit[0].device.rating_a": rating_a})
    _, words, sources = band(run, run.installation.final_circuit.device)
    own = tables.fuse_gates(rating_a=rating_a, household=False).own
    assert words.endswith("line between them" if own else "rating that have gates")
    assert set(tables.fuse_conventional(rating_a=rating_a).fusing_multiple.sources) <= set(sources)


@pytest.mark.parametrize(("letter", "celsius"), [("C", 30), ("K", 20), ("Z", 20)])
def test_the_temperature_at_which_a_breaker_is_calibrated(letter: str, celsius: float) -> None:
    # IEC 60898-1: 30 °C; makers of K and Z characteristics to IEC 60947-2: 20 °C.
    device = {
        "kind": "IEC 60947-2 circuit-breaker",
        "characteristic": letter,
        "rating_a": 32,
        "breaking_capacity_ka": 10,
        "enclosure_temperature_c": 35,
        "loaded_neighbours": 2,
    }
    finding = found("device-hold", "Yard outlet: device", SINGLE, {"circuit[0].device": device})
    (step,) = [one for one in finding.working if one.symbol == "kt"]
    assert {one.symbol: one.value for one in step.inputs}["T0"] == celsius


def test_of_a_contracted_current_and_power_the_smaller_one_counts() -> None:
    # 20 kVA at 400 V are 28.9 A.
    for current_a, limit in ((50, 20_000 / (3**0.5 * 400)), (25, 25)):
        both: Changes = {
            "supply.contracted_current_a": current_a,
            "supply.contracted_power_kva": 20,
        }
        finding = found("contracted-capacity", "", SINGLE, both)
        assert finding.limit == pytest.approx(limit)
        assert finding.carries_a == pytest.approx(limit)


def test_the_setting_of_an_adjustable_device_is_shown_as_its_rating() -> None:
    settable = {
        "kind": "IEC 60947-2 circuit-breaker",
        "rating_a": 63,
        "setting_a": 40,
        "magnetic_setting_a": 300,
        "breaking_capacity_ka": 10,
        "enclosure_temperature_c": 35,
    }
    for device, word in ((settable, "setting"), (None, "rat")):
        changes: Changes = {} if device is None else {"circuit[0].device": device}
        finding = found("device-rating", "Yard outlet: device", SINGLE, changes)
        (step,) = [one for one in finding.working if one.symbol == "In"]
        assert word in step.inputs[0].meaning
        assert finding.limit == (32 if device is None else 40)
