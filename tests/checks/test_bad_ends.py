"""Each question takes its own bad end of a range, and what meets a bound is within it."""

from __future__ import annotations

import pytest

from feasibility.checks.impedance import neutral_impedance, protective_impedance
from feasibility.checks.question import Run
from feasibility.installation.build import build_installation
from feasibility.installation.model import LinkKind
from feasibility.result import Finding, Outcome
from feasibility.tables import NotTabulated

from .hand import YARD_CABLE
from .sites import GONE, SINGLE, Changes, asked, drawing, found, site

KIOSK = "camp-site-kiosk"
CABLE = "circuit[0].cable[0]"
DEVICE = "Yard outlet: device"
RATING: Changes = {"circuit[0].device.rating_a": {"low": 25, "high": 32}}


def ends(check: str, link: str, name: str, *changes: Changes) -> tuple[Finding, Finding]:
    (judged,) = [
        one for one in asked(check, name, *changes) if one.unfavourable.link.endswith(link)
    ]
    return judged.unfavourable, judged.favourable


@pytest.mark.parametrize("check", ["device-rating", "device-hold", "device-share"])
def test_a_device_carries_the_smaller_rating_that_it_may_have(check: str) -> None:
    bad, good = ends(check, DEVICE, SINGLE, RATING)
    assert bad.limit is not None
    assert good.limit == pytest.approx(bad.limit * 32 / 25)


def test_a_station_faces_the_larger_rating_that_the_device_before_it_may_have() -> None:
    bad, good = ends("upstream-device", "", SINGLE, RATING)
    assert (bad.value, good.value) == (32, 25)


def test_a_station_without_such_a_limit_is_not_asked() -> None:
    assert asked("upstream-device", SINGLE, {"station.largest_upstream_device_a": GONE}) == ()


def test_an_outlet_that_may_stand_outdoors_counts_as_standing_there() -> None:
    changes: Changes = {
        "supply.earthing_system": "TN-C-S",
        "circuit[0].pen_conductor": False,
        "outlet.location": GONE,
        "supply.pen_loss_measure": "none",
    }
    bad, good = ends("pen-loss", "", SINGLE, changes)
    assert (bad.outcome, good.outcome) == (Outcome.CAUTION, Outcome.NOT_APPLICABLE)


@pytest.mark.parametrize(
    ("nameplate_a", "outcome"),
    # IEC 61000-3-2 is for equipment up to and including 16 A, IEC 61000-3-12 for more than 16 A
    # and up to and including 75 A per phase. Of the ninth harmonic nothing is known here.
    [(16, Outcome.CAUTION), (16.01, Outcome.PASS), (75, Outcome.PASS), (75.01, Outcome.CAUTION)],
)
def test_the_scopes_of_the_harmonic_standards_end_with_their_currents(
    nameplate_a: float, outcome: Outcome
) -> None:
    changes: Changes = {
        "station.nameplate_current_a": nameplate_a,
        "station.setting_a": 10,
        "station.settings_a": GONE,
    }
    finding = found("harmonic-current", "", SINGLE, changes)
    assert finding.outcome is outcome
    assert ("station.harmonic_9_percent" in finding.facts) == (nameplate_a == 16)


@pytest.mark.parametrize(("listed", "outcome"), [(True, Outcome.PASS), (False, Outcome.OPEN)])
def test_taps_that_are_said_to_exist_but_not_listed_leave_it_open(
    listed: bool,
    outcome: Outcome,
) -> None:
    changes = {"circuit[0].other_outlets_none": listed}
    assert found("dedicated-circuit", "", SINGLE, changes).outcome is outcome


def test_what_a_fuse_before_a_weak_breaker_means_stands_behind_the_figures() -> None:
    # IEC 60364-4-43, 434.5.1: a lower breaking capacity with another device before it.
    weak = found("breaking-capacity", DEVICE, SINGLE, {"circuit[0].device.breaking_capacity_ka": 3})
    assert weak.outcome is Outcome.OPEN
    assert weak.reason.template.startswith("The largest fault current at the device")
    assert "back-up pairing decides" in weak.reason.template
    (line,) = [one for one in weak.working if one.formula.endswith("/ 1000")]
    before = [one.symbol for one in weak.working]
    assert line.inputs[0].symbol == before[before.index(line.symbol) - 1]
    assert line.inputs[0].value == pytest.approx(1000 * line.result)


def test_an_inrush_that_is_held_exactly_is_held() -> None:
    # IEC 60898-1, Table 7: characteristic B holds 3 In.
    held = found("inrush", DEVICE, SINGLE).limit
    assert held is not None
    exact = found("inrush", DEVICE, SINGLE, {"station.inrush_peak_a": held * 2**0.5})
    assert exact.value == pytest.approx(held)
    assert exact.facts == ()
    (step,) = [one for one in exact.working if one.symbol == "Ih"]
    assert step.inputs[0].meaning == "from its band, for 10 ms or longer"


def test_an_inrush_that_nobody_knows_is_asked_for_only_where_it_is_too_large() -> None:
    unknown: Changes = {"station.inrush_peak_a": GONE}
    too_large = found("inrush", DEVICE, SINGLE, unknown)
    assert too_large.facts == ("station.inrush_peak_a",)
    fuse: Changes = {
        "circuit[0].device": {"kind": "gG fuse", "rating_a": 250, "breaking_capacity_ka": 50}
    }
    assert found("inrush", DEVICE, SINGLE, unknown, fuse).facts == ()


@pytest.mark.parametrize("phase", ["l1", "l2", "l3"])
def test_auxiliaries_of_any_phase_load_the_neutral(phase: str) -> None:
    changes = {f"station.auxiliary_{one}_w": 350 * (one == phase) for one in ("l1", "l2", "l3")}
    neutral = found("neutral-current", "cable 1", SINGLE, changes)
    # 350 W at 0.9 * 400 V / sqrt(3), and three times 3 % of 24.48 A.
    assert neutral.value == pytest.approx(350 / (0.9 * 400 / 3**0.5) + 0.09 * 24.48)


@pytest.mark.parametrize("of", [neutral_impedance, protective_impedance])
def test_a_long_return_conductor_is_the_bad_end(of) -> None:  # type: ignore[no-untyped-def]
    changes: Changes = {f"{CABLE}.length_m": {"low": 11, "high": 22}}
    run = Run.over(build_installation(site(SINGLE, changes)), favourable=False)
    (cable,) = run.installation.links_of(LinkKind.CABLE)
    assert of(cable, run.ends).resistance_20c_ohm == pytest.approx(YARD_CABLE.resistance_20c_ohm)


def test_a_neutral_of_its_own_section_and_one_like_the_line() -> None:
    # IEC 60228, class 2: 4 mm2, 4.61 ohm/km.
    def neutral(*changes: Changes) -> float:
        run = Run.over(build_installation(site(SINGLE, *changes)), favourable=False)
        (cable,) = run.installation.links_of(LinkKind.CABLE)
        found_ohm = neutral_impedance(cable, run.ends).resistance_20c_ohm
        assumed = run.ends.used.get("circuit[1].cable[1].neutral_section_mm2")
        assert (assumed is not None and assumed.filled) == (not changes)
        return found_ohm

    assert neutral({f"{CABLE}.neutral_section_mm2": 4}) == pytest.approx(0.022 * 4.61)
    with pytest.raises(NotTabulated):
        neutral({f"{CABLE}.neutral_section_mm2": 1})
    assert neutral() == pytest.approx(0.022 * 3.08)


def test_a_thick_cable_of_unknown_metal_counts_as_aluminium_for_its_drop() -> None:
    # IEC 60228: 16 mm2, 1.15 ohm/km of copper and 1.91 ohm/km of aluminium.
    changes: Changes = {f"{CABLE}.conductor": GONE, f"{CABLE}.section_mm2": 16}
    bad, good = ends("voltage-drop", "", SINGLE, changes)
    results = [
        next(one.result for one in finding.working if one.symbol == "dUc")
        for finding in (bad, good)
    ]
    assert results[0] / results[1] == pytest.approx(1.91 / 1.15, rel=0.1)


def test_a_conductor_that_fits_at_one_end_does_not_hide_that_it_is_too_thin_at_the_other() -> None:
    marked = {"outlet.terminals_from_mm2": 4, "outlet.terminals_to_mm2": 16}
    ranged: Changes = {f"{CABLE}.section_mm2": {"low": 2.5, "high": 12}}
    bad, good = ends("terminal-range", "outlet", SINGLE, marked, ranged)
    assert (bad.value, bad.outcome) == (2.5, Outcome.FAIL)
    assert (good.value, good.outcome) == (12, Outcome.PASS)


def test_a_neutral_like_the_line_has_the_data_sheets_ampacity_too() -> None:
    own: Changes = {f"{CABLE}.ampacity_a": 35, f"{CABLE}.neutral_section_mm2": 6}
    assert found("neutral-current", "cable 1", SINGLE, own).limit == pytest.approx(35)
    smaller = {**own, f"{CABLE}.neutral_section_mm2": 4}
    # IEC 60364-5-52, Table B.52.4, method C: 4 mm2, 32 A.
    assert found("neutral-current", "cable 1", SINGLE, smaller).limit == pytest.approx(32)


def test_a_neutral_names_a_current_only_where_it_is_full_before_the_line() -> None:
    assert found("neutral-current", "cable 1", SINGLE).carries_a is None


def test_a_neutral_that_is_not_there_carries_no_current() -> None:
    without: Changes = {f"{CABLE}.neutral_section_mm2": 0}
    links = [one.unfavourable.link for one in asked("neutral-current", SINGLE, without)]
    assert links == ["cord"]


def test_a_demand_is_asked_about_generation_only_where_something_feeds_in() -> None:
    assert asked("demand-without-generation", "bakery-yard") == ()


def test_what_the_site_draws_is_what_flows_beside_the_station() -> None:
    finding = found("ampacity", "Main cable: cable 1", "bakery-yard")
    step = next(one for one in finding.working if one.symbol == "Ib")
    parts = {one.symbol: one.value for one in step.inputs}
    assert finding.value is not None
    assert parts == {"Is": 24.48, "Ie": pytest.approx(finding.value - 24.48)}


@pytest.mark.parametrize(("ampacity_a", "within"), [(24.6, True), (24.48, True), (24.4, False)])
def test_a_current_and_its_rating_in_a_sentence(ampacity_a: float, *, within: bool) -> None:
    # 24 A and 2 % of tolerance through a cable that feeds nothing else.
    finding = found("ampacity", "cable 1", SINGLE, {f"{CABLE}.ampacity_a": ampacity_a})
    assert (finding.outcome is Outcome.PASS) is within
    assert ("is within" in finding.reason.template, "exceeds" in finding.reason.template) == (
        within,
        not within,
    )
    assert finding.carries_a is not None
    assert finding.carries_a == pytest.approx(ampacity_a)
    assert (finding.carries_a >= 24.48) is within


def test_a_cable_that_others_load_too_names_what_is_left_for_the_station() -> None:
    main = found("ampacity", "Main cable: cable 1", "bakery-yard")
    assert main.carries_a is not None
    assert 50 < main.carries_a < 60
    full = found("ampacity", "Main cable: cable 1", "bakery-yard", drawing(main.carries_a))
    assert full.value == pytest.approx(76, rel=1e-6)
    endless: Changes = {
        f"{CABLE}.ampacity_a": 6000,
        f"{CABLE}.length_m": 0.001,
        "circuit[1].cable[0].length_m": 0.001,
        "cord.length_m": 0.001,
    }
    without = found("ampacity", "Main cable: cable 1", "bakery-yard", endless)
    assert (without.outcome, without.carries_a) == (Outcome.PASS, None)
