"""One survey end to end: the verdict table by changing a site, and what the assessment says."""

from __future__ import annotations

import pytest

from feasibility import assessment as assessment_module
from feasibility.assessment import SCHEMA_VERSION, Assessment, assess
from feasibility.checks.catalogue import CATALOGUE, MUST_BE_JUDGED, NOT_CHECKED
from feasibility.code_basis import UnknownCodeBasis
from feasibility.examples import example_names
from feasibility.result import Outcome, Verdict

from .checks.sites import GONE, Changes, assessed, drawing, merged, outcomes, pick, quick, site

BAKERY = "bakery-yard"

TOO_LITTLE: Changes = {"supply.metering_continuous_a": 40}
FAR_TOO_LITTLE: Changes = {"supply.metering_continuous_a": 25}
NO_PROTECTIVE: Changes = {"circuit[1].cable[0].protective_section_mm2": 0}
NOT_KNOWN: Changes = {"supply.earthing_system": "unknown"}


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ((), Verdict.CARRIES),
        ((TOO_LITTLE,), Verdict.CARRIES_REDUCED),
        ((FAR_TOO_LITTLE,), Verdict.UPGRADE),
        ((NOT_KNOWN,), Verdict.UNDECIDED),
        ((NO_PROTECTIVE,), Verdict.UPGRADE),
        ((NO_PROTECTIVE, NOT_KNOWN), Verdict.UPGRADE),
        ((NO_PROTECTIVE, TOO_LITTLE), Verdict.UPGRADE),
        ((NOT_KNOWN, TOO_LITTLE), Verdict.UNDECIDED),
        ((NOT_KNOWN, FAR_TOO_LITTLE), Verdict.UNDECIDED),
        ((NO_PROTECTIVE, NOT_KNOWN, TOO_LITTLE), Verdict.UPGRADE),
    ],
    ids=str,
)
def test_the_verdict_table_end_to_end(changes: tuple[Changes, ...], verdict: Verdict) -> None:
    assert quick(BAKERY, *changes).verdict is verdict


@pytest.mark.parametrize(
    ("name", "verdict"),
    [
        ("bakery-yard", Verdict.CARRIES),
        ("joinery-hall", Verdict.CARRIES_REDUCED),
        ("camp-site-kiosk", Verdict.CARRIES),
        ("old-mill", Verdict.UNDECIDED),
        ("river-depot", Verdict.UPGRADE),
    ],
)
def test_the_shipped_sites(name: str, verdict: Verdict) -> None:
    # Each site's file says in its first line what it is to show.
    assert assessed(name).verdict is verdict


def test_the_shipped_sites_show_every_verdict() -> None:
    assert {quick(name).verdict for name in example_names()} == set(Verdict)


def in_the_middle(result: Assessment) -> tuple[float | None, float | None]:
    return result.carryable_current_a, result.current_limit_only_a


def test_a_path_that_carries_offers_at_least_what_was_requested() -> None:
    result = quick(BAKERY)
    # 28 A with 2 % tolerance are 28.56 A, 32 A would be 32.64 A: above the 32 A breaker.
    assert in_the_middle(result) == (28.0, 28.0)
    assert result.requested_current_a == pytest.approx(24 * 1.02)
    assert result.weakest_link == "Yard outlet: device"


def test_a_request_between_two_settings_is_offered_as_it_is() -> None:
    # Nothing but the nameplate says what the station draws: 31 A, above the setting of 28 A.
    free = {"station.setting_a": GONE, "station.nameplate_current_a": 31}
    result = quick(BAKERY, free)
    assert result.verdict is Verdict.CARRIES
    assert in_the_middle(result) == (31.0, 31.0)


def test_a_reduced_current_is_a_setting_that_fits_with_its_tolerance() -> None:
    result = quick(BAKERY, TOO_LITTLE)
    limit = pick(result, "link-rating", "metering place").carries_a
    assert limit is not None
    # Offered: 10, 13, 16, 20 A.
    assert 16 * 1.02 <= limit < 20 * 1.02
    assert in_the_middle(result) == (16.0, 16.0)
    assert result.weakest_link == "metering place"


@pytest.mark.parametrize(("limit_a", "offered_a"), [(20.39, 16.0), (20.41, 20.0)])
def test_a_setting_is_offered_only_if_it_fits_with_its_tolerance(
    limit_a: float, offered_a: float
) -> None:
    # 20 A with 2 % tolerance are 20.4 A.
    result = quick(BAKERY, {"outlet.continuous_a": limit_a})
    assert result.current_limit_only_a == offered_a


def test_below_the_smallest_setting_nothing_is_offered() -> None:
    result = quick(BAKERY, FAR_TOO_LITTLE)
    limit = pick(result, "link-rating", "metering place").carries_a
    assert limit is not None
    assert 0 < limit < 10 * 1.02
    assert in_the_middle(result) == (0.0, 0.0)


def test_what_no_current_mends_leaves_the_ampere_result_alone() -> None:
    result = quick(BAKERY, NO_PROTECTIVE)
    assert in_the_middle(result) == (None, 28.0)
    assert outcomes(result, Outcome.FAIL) == {"protective-conductor"}


def test_a_limit_that_is_not_known_leaves_no_carryable_current() -> None:
    result = quick(BAKERY, {"supply.metering_continuous_a": GONE})
    assert result.verdict is Verdict.UNDECIDED
    assert result.carryable_current_a is None


def test_an_open_question_of_another_kind_leaves_the_carryable_current() -> None:
    assert in_the_middle(quick(BAKERY, NOT_KNOWN)) == (28.0, 28.0)


def test_settings_that_are_not_listed_are_whole_amperes_from_6() -> None:
    result = quick(BAKERY, drawing(24), {"supply.metering_continuous_a": 40})
    limit = pick(result, "link-rating", "metering place").carries_a
    assert limit is not None
    assert result.carryable_current_a == int(limit)
    low = {"supply.metering_continuous_a": 26}
    assert quick(BAKERY, drawing(24), low).verdict is Verdict.UPGRADE
    enough = {"supply.metering_continuous_a": 28}
    assert quick(BAKERY, drawing(24), enough).verdict is Verdict.CARRIES_REDUCED


def test_every_question_is_asked_and_the_required_ones_are_judged() -> None:
    asked = {finding.check for finding in assessed(BAKERY).findings}
    stated_only = {
        "board-assumed-loading": "a board whose factor nobody read",
        "device-makers-factors": "a maker's factors for the enclosure",
        "continuous-current": "a maker's continuous current",
        "demand-diversity": "a diversity factor",
        "demand-log": "a measured log",
        "demand-log-energy": "the energy of a year beside a log",
        "demand-profile": "the energy of a year",
        "electrode-stability": "a TT supply",
        "fault-current-reading": "a fault current read at a board or the outlet",
        "neutral-section": "a neutral of its own section",
        "neutral-withstand": "a neutral of its own section",
        "parallel-cables": "cables in parallel",
        "demand-without-generation": "a second source",
        "infeed-backwards": "a second source",
        "infeed-behind-device": "a source behind a device",
        "infeed-highest-voltage": "a second source",
        "infeed-on-board": "a second source",
        "infeed-voltage-at-station": "a second source",
        "infeed-voltage-rise": "a second source",
        "pen-section": "TN-C or TN-C-S",
        "pen-through-device": "TN-C or TN-C-S",
        "residual-current-by-manual": "what the station's manual asks for",
        "residual-current-delay": "an adjustable delay",
        "residual-current-selectivity": "two devices in series",
        "service-current": "a service current that the maker declares",
        "supply-impedance": "a supply impedance that the maker permits",
        "transformer-loading": "an own transformer",
        "transformer-agreement": "an own transformer beside which a fault current is stated",
        "voltage-unbalance": "a station on one phase",
    }
    assert asked | set(stated_only) == {check.name for check in CATALOGUE}
    assert set(MUST_BE_JUDGED) <= asked
    # The questions without which no verdict is better than undecided.
    assert set(MUST_BE_JUDGED) == {
        "disconnection",
        "breaking-capacity",
        "short-circuit-withstand",
        "residual-current-type",
        "protective-conductor",
    }


@pytest.mark.parametrize("left_out", MUST_BE_JUDGED)
def test_a_catalogue_that_forgets_a_required_question_decides_nothing(
    left_out: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    rest = tuple(check for check in CATALOGUE if check.name != left_out)
    monkeypatch.setattr(assessment_module, "CATALOGUE", rest)
    assert assess(site(BAKERY), sha256="").verdict is Verdict.UNDECIDED


def test_the_assessment_says_what_it_stands_on() -> None:
    result = assessed(BAKERY)
    assert result.schema_version == SCHEMA_VERSION
    assert result.survey_sha256 == "0" * 64
    assert "IEC 60364" in result.code_basis
    assert result.not_checked == NOT_CHECKED
    cited = {citation.source for finding in result.findings for citation in finding.sources}
    assert cited <= set(result.sources)
    assert result.network is not None
    assert result.network.solver_deviation < 1e-6
    assert result.network.station_current_a == result.requested_current_a


def test_the_same_survey_gives_the_same_assessment() -> None:
    assert assessed(BAKERY) == assessed(BAKERY)


def test_the_chain_shows_each_link_at_its_own_limit() -> None:
    result = quick(BAKERY)
    bars = {link.name: link for link in result.chain}
    assert bars["Yard outlet: cable 1"].carries_a == pytest.approx(41.0)
    assert bars["outlet"].carries_a == pytest.approx(32.0)
    assert bars["outlet"].advised_a == pytest.approx(25.6)
    least = min(link.carries_a for link in result.chain if link.carries_a is not None)
    assert least == pick(result, "device-rating", "Yard outlet: device").carries_a
    names = [link.name for link in result.chain]
    assert names[0] == "contracted capacity"
    assert names[-1] == "station"
    assert names.index("Main cable: cable 1") < names.index("Yard outlet: device")


def test_cautions_are_told_with_their_link() -> None:
    result = quick(BAKERY, {"station.setting_a": 28})
    links = {message.values["link"] for message in result.cautions}
    assert links == {"board 'Main board'", "outlet", "Yard outlet: device"}


def test_a_board_of_which_nobody_read_the_rating_is_told_however_that_is_written() -> None:
    left_out, unknown = quick(BAKERY), quick(BAKERY, {"board[0].rated_current_a": "unknown"})
    (told,) = [one for one in left_out.cautions if one.values["link"] == "board 'Main board'"]
    assert told in unknown.cautions
    assert (left_out.verdict, left_out.carryable_current_a) == (
        unknown.verdict,
        unknown.carryable_current_a,
    )
    read = quick(BAKERY, {"board[0].rated_current_a": 80})
    assert len(read.cautions) == len(left_out.cautions) - 1


def test_a_code_basis_that_is_not_there_is_named() -> None:
    with pytest.raises(UnknownCodeBasis, match="iec-60364"):
        quick(BAKERY, {"code_basis": "nowhere"})


def test_what_the_tables_refuse_is_an_open_finding_not_an_error() -> None:
    free = {"station.setting_a": GONE}
    result = quick(BAKERY, merged(free, {"circuit[1].cable[0].section_mm2": 7}))
    assert result.verdict is Verdict.UNDECIDED
    assert "ampacity" in outcomes(result, Outcome.OPEN)


@pytest.mark.parametrize(
    "changes",
    [
        {"circuit[1].cable[0].length_m": 5000},
        {"supply.tolerance_low_percent": 30, "circuit[1].cable[0].length_m": 3000},
        {"board[0].demand.maximum_l1_a": 6000},
    ],
    ids=str,
)
def test_a_network_that_cannot_work_is_a_no_and_not_an_error(changes: Changes) -> None:
    assert assessed(BAKERY, changes).verdict in (Verdict.UPGRADE, Verdict.UNDECIDED)


def test_without_any_board_the_demand_on_the_service_has_to_be_stated() -> None:
    silent: Changes = {
        "board": [],
        "circuit[1].starts_at": "origin",
        "circuit[0]": GONE,
        "outlet.measured_loop_impedance_ohm": GONE,
    }
    result = quick("bakery-yard", silent)
    assert result.verdict is Verdict.UNDECIDED
    stated = quick("bakery-yard", {**silent, "supply.demand": {"maximum_a": 60}})
    assert stated.verdict is not Verdict.CARRIES
