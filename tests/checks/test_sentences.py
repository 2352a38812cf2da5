"""What a finding says: each half of a sentence that hangs on a condition, seen both ways.

Limits are held against their sources by the cases; here it is our own sentences that are compared.
"""

from __future__ import annotations

import datetime as dt

import pytest

from feasibility.checks.conductor import loaded_conductors
from feasibility.installation.build import build_installation
from feasibility.installation.model import LinkKind
from feasibility.render.numbers import message_text
from feasibility.result import Finding, Outcome

from ..demand_log.logs import made_up
from .cases_of_demand_log import HALL
from .sites import GONE, SINGLE, Changes, found, merged, site
from .test_demand_log import with_log

KIOSK = "camp-site-kiosk"
DEVICE = "circuit[0].residual_current_device"


def logged(days: float, **changes: object) -> Finding:
    file = made_up(f"{days:g} {sorted(changes)} {list(changes.values())}.csv", days=days, **changes)  # type: ignore[arg-type]
    return found("demand-log", "", HALL, with_log(file))


def test_a_log_of_exactly_the_days_that_a_year_needs_is_a_year() -> None:
    # NFPA 70:2023, 220.87: maximum demand data of one year; two weeks of gaps are our own rule.
    full = logged(350)
    assert (full.outcome, full.value, full.limit) == (Outcome.PASS, 350, 350)
    assert full.reason.template.startswith("The log {file}")
    assert full.reason.template.endswith("they count {factor} times.")
    assert "why" not in full.reason.values


def test_a_log_of_less_says_what_it_has_not_seen() -> None:
    short = logged(300, seasons=1)
    assert short.outcome is Outcome.CAUTION
    assert short.reason.template.startswith("The log {file}")
    assert "since {why}" in short.reason.template
    why = str(short.reason.values["why"])
    assert "quarter of an hour" in why
    assert " and it has not seen every season" in why


def test_only_factors_that_raise_the_demand_are_reasons() -> None:
    # Rows of a minute need no factor for peaks, so that nothing but the missing weeks is said.
    short = logged(346, interval_s=60.0)
    assert short.reason.values["why"] == "it ends before the year does"
    assert short.reason.values["factor"].value == 1.0  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("gaps", "words"),
    [
        (0, "without a gap"),
        (1, "with a gap of 2 h"),
        (2, "with 2 gaps, the longest 2 h"),
    ],
)
def test_gaps_of_a_log_are_counted(gaps: int, words: str) -> None:
    finding = logged(360, gap_count=gaps, longest_gap_s=7200.0 if gaps else 0.0)
    assert finding.reason.values["gaps"] == words


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({}, "there is type B"),
        ({f"{DEVICE}": {"present": False}}, "there is none"),
    ],
)
def test_the_residual_current_device_that_is_there_is_named(changes: Changes, said: str) -> None:
    asks = {"station.required_residual_current_type": "A"}
    finding = found("residual-current-by-manual", "", SINGLE, merged(changes, asks))
    assert finding.reason.values["found"] == said
    serves = "does not serve" not in finding.reason.template
    assert serves == (finding.outcome is Outcome.PASS) == (said != "there is none")


@pytest.mark.parametrize(
    ("kind", "outcome", "words"),
    [
        ("alternating", Outcome.PASS, "alternating residual current only; {type} suits it"),
        ("pulsating", Outcome.FAIL, "does not detect"),
    ],
)
def test_type_ac_suits_alternating_residual_current_only(
    kind: str, outcome: Outcome, words: str
) -> None:
    # IEC 60755: type AC is for alternating residual currents.
    changes: Changes = {f"{DEVICE}.type": "AC", "station.residual_current_kind": kind}
    finding = found("residual-current-type", "", SINGLE, changes)
    assert finding.outcome is outcome
    assert words in finding.reason.template


def test_the_type_test_of_a_sound_outlet_is_told_where_the_standard_has_one() -> None:
    # IEC 60309-1:2021, clause 22, from memory: 32 A is tested with 42 A for one hour, 50 K.
    for link in ("outlet", "plug"):
        text = message_text(found("visible-condition", link, SINGLE).reason)
        assert text.startswith("The survey reports no visible damage. New, it passed a test with")
    inlet = found("visible-condition", "cord", SINGLE)
    assert inlet.reason.template == "The survey reports no visible damage."
    unknown: Changes = {"outlet.rating_a": GONE}
    assert "New" not in found("visible-condition", "outlet", SINGLE, unknown).reason.template
    fixed: Changes = {"outlet.kind": "fixed connection"}
    assert "New" not in found("visible-condition", "outlet", KIOSK, fixed).reason.template


INSPECTED = "outlet.last_inspection"


@pytest.mark.parametrize(
    ("days", "outcome", "words"),
    [
        (1095, Outcome.PASS, "within the usual"),
        (1461, Outcome.PASS, "within the usual"),
        (1462, Outcome.CAUTION, "more than the usual"),
    ],
)
def test_how_long_ago_an_inspection_was_is_said(days: int, outcome: Outcome, words: str) -> None:
    # DGUV Regulation 3, table 1A: fixed installations every four years, 1461 days.
    last = site(SINGLE).surveyor.date - dt.timedelta(days=days)
    finding = found("last-inspection", "", SINGLE, {INSPECTED: last})
    assert finding.value == pytest.approx(days / 365.25)
    assert finding.outcome is outcome
    assert words in finding.reason.template


@pytest.mark.parametrize(("year", "passes"), [(2016, False), (2017, True), (2018, True)])
def test_the_edition_of_the_very_year_counts(year: int, *, passes: bool) -> None:
    finding = found("changed-use", "", SINGLE, {"outlet.erected_year": year})
    assert (finding.outcome is Outcome.PASS) is passes
    assert ("changed use" in finding.reason.template) is not passes


@pytest.mark.parametrize("bridged", [True, False])
def test_whether_neutral_and_protective_conductor_are_joined_is_said(*, bridged: bool) -> None:
    changes: Changes = {"outlet.neutral_earth_bridge": bridged}
    finding = found("neutral-earth-bridge", "", SINGLE, changes)
    assert (finding.outcome is Outcome.FAIL) is bridged
    assert ("remove the bridge" in finding.reason.template) is bridged


def test_a_bridge_that_nobody_measured_shows_at_any_device_before_it() -> None:
    not_measured: Changes = {"outlet.neutral_earth_bridge": GONE}
    finding = found("neutral-earth-bridge", "", "bakery-yard", not_measured)
    assert finding.outcome is Outcome.CAUTION
    assert finding.facts == ("outlet.neutral_earth_bridge",)


def test_a_degree_of_protection_without_a_numeral_for_water_gives_none() -> None:
    # IEC 60529: an X stands where nothing is declared.
    for code, outcome in (("IP4X", Outcome.FAIL), ("IP44", Outcome.PASS)):
        finding = found("degree-of-protection", "", SINGLE, {"outlet.ip_code": code})
        assert finding.outcome is outcome


def test_two_loaded_conductors_where_station_and_tap_use_the_same_phase() -> None:
    # IEC 60364-5-52, 523.6.2: only conductors that carry load are counted.
    def conductors(*changes: Changes) -> int:
        installation = build_installation(site(KIOSK, *changes))
        return loaded_conductors(installation, installation.final_circuit.cables[0])

    def tapped(phases: str) -> Changes:
        return {
            "circuit[1].other_outlets_none": GONE,
            "circuit[1].other_outlet": [{"name": "tap", "rating_a": 6, "phases": phases}],
        }

    assert conductors(tapped("L1")) == 2
    assert conductors(tapped("L2")) == 3
    assert conductors(tapped("L2"), {"station.phases": "L2"}) == 2
    assert conductors(tapped("L1L2L3")) == 3


def test_before_and_behind_an_outlet_of_two_poles() -> None:
    kiosk, yard = build_installation(site(KIOSK)), build_installation(site(SINGLE))
    for installation, expected in ((kiosk, [3, 2, 2]), (yard, [3, 3])):
        links = installation.links_of(LinkKind.CABLE, LinkKind.CORD)
        assert [loaded_conductors(installation, link) for link in links] == expected


def test_a_conductor_that_is_too_small_alone_may_be_monitored() -> None:
    # IEC 60364-5-54, 543.7: the supply is cut off when continuity is lost.
    small: Changes = {
        "station.protective_conductor_current_ma": 11,
        "circuit[0].cable[0].protective_section_mm2": 6,
        "circuit[0].cable[0].construction": "single-core",
    }
    check, link = "reinforced-protective-conductor", "cable 1"
    for monitored, outcome in ((True, Outcome.PASS), (False, Outcome.FAIL)):
        changes = merged(
            small,
            {
                "station.protective_conductor_monitored": monitored,
                "circuit[0].cable[0].second_protective_section_mm2": 0,
            },
        )
        finding = found(check, link, SINGLE, changes)
        assert finding.outcome is outcome
