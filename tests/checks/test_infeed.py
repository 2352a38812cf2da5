"""Second sources, PEN conductor and IT: what they add, what is refused, what never counts."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from feasibility.assessment import Assessment
from feasibility.result import Outcome, Verdict

from .cases_of_infeed import TN_C_S, at_origin, on_board, on_circuit, photovoltaic
from .sites import (
    GONE,
    Changes,
    Data,
    assessed_quickly,
    changed,
    found,
    merged,
    outcomes,
    pick,
    quick,
    site_data,
    step_result,
    survey_of,
)

BAKERY = "bakery-yard"
MAIN_BOARD = "board 'Main board'"
QUICK = settings(max_examples=20, deadline=None, derandomize=True)


def test_generation_is_no_relief() -> None:
    without, with_it = quick(BAKERY), quick(BAKERY, on_board(photovoltaic(40)))
    assert with_it.current_limit_only_a == without.current_limit_only_a
    assert with_it.requested_current_a == without.requested_current_a
    for finding in without.findings:
        if finding.carries_a is not None:
            again = pick(with_it, finding.check, finding.link)
            assert again.carries_a == pytest.approx(finding.carries_a)


def test_photovoltaics_on_a_board_that_is_large_enough_carry() -> None:
    result = quick(BAKERY, on_board(photovoltaic(40)))
    assert result.verdict is Verdict.CARRIES
    assert quick(BAKERY, on_board(photovoltaic(), rated_current_a=80)).verdict is Verdict.UPGRADE


def test_a_demand_read_while_generation_ran_leaves_it_undecided() -> None:
    net = merged(on_board(photovoltaic()), {"board[0].demand.net_of_generation": True})
    result = quick(BAKERY, net)
    assert result.verdict is Verdict.UNDECIDED
    assert outcomes(result, Outcome.OPEN) == {"demand-without-generation"}


@pytest.mark.parametrize(
    ("stated", "outcome"),
    [(GONE, Outcome.OPEN), (True, Outcome.OPEN), (False, Outcome.PASS)],
)
def test_a_demand_may_be_read_while_generation_ran_behind_it(
    stated: object, outcome: Outcome
) -> None:
    """Kirchhoff: what feeds in at the shed lowers what is read at the main board before it."""
    behind = {
        "board[1].other_sources_none": GONE,
        "board[1].source": [photovoltaic()],
        "board[1].demand.net_of_generation": False,
        "board[0].demand.net_of_generation": stated,
    }
    finding = found("demand-without-generation", MAIN_BOARD, "river-depot", behind)
    assert finding.outcome is outcome
    shed = found("demand-without-generation", "board 'Shed board'", "river-depot", behind)
    assert shed.outcome is Outcome.PASS


@pytest.mark.parametrize(
    ("source", "verdict"),
    [
        (photovoltaic(kind="battery"), Verdict.CARRIES),
        (photovoltaic(kind="battery", islanding=True), Verdict.CARRIES),
        (photovoltaic(kind="battery", islanding=True, feeds_station=True), Verdict.UNDECIDED),
        (photovoltaic(kind="battery", islanding="unknown"), Verdict.UNDECIDED),
        (photovoltaic(kind="generator"), Verdict.UNDECIDED),
        (photovoltaic(kind="generator", changeover=True), Verdict.CARRIES),
        (photovoltaic(kind="generator", changeover=True, feeds_station=True), Verdict.UNDECIDED),
        (photovoltaic(kind="other"), Verdict.UNDECIDED),
        (photovoltaic(changeover="unknown"), Verdict.UNDECIDED),
    ],
)
def test_what_is_beyond_the_program_is_open(source: Data, verdict: Verdict) -> None:
    result = quick(BAKERY, on_board(source))
    assert result.verdict is verdict
    if verdict is Verdict.UNDECIDED:
        finding = pick(result, "second-sources", MAIN_BOARD)
        assert finding.outcome is Outcome.OPEN
        assert "specialist" in finding.reason.template or finding.facts


def test_a_changeover_source_adds_nothing_in_parallel() -> None:
    # Board builder's page: the largest supplier counts, not the sum, unless they run together.
    behind_a_switch = photovoltaic(60, kind="generator", changeover=True)
    result = quick(BAKERY, on_board(behind_a_switch, rated_current_a=63))
    assert result.verdict is Verdict.CARRIES
    finding = pick(result, "infeed-on-board")
    assert finding.outcome is Outcome.NOT_APPLICABLE


def test_a_source_on_a_branch_counts_where_it_branches_off() -> None:
    branch: Changes = {
        "board[1]": {
            "name": "Barn board",
            "demand": {"maximum_a": 0, "net_of_generation": False},
            "source": [photovoltaic(20)],
        },
        "circuit[2]": {
            "name": "Barn feeder",
            "starts_at": "Main board",
            "ends_at": "Barn board",
            "device": {"kind": "gG fuse", "rating_a": 35},
            "other_outlets_none": True,
        },
        "board[0].rated_current_a": 80,
    }
    finding = pick(_with_branch(branch), "infeed-on-board", MAIN_BOARD)
    assert finding.outcome is Outcome.FAIL
    assert finding.limit == pytest.approx(83)


def _with_branch(branch: Changes) -> Assessment:
    """Assess the bakery with a board and a circuit more."""
    data = site_data(BAKERY)
    data["board"].append(branch["board[1]"])
    data["circuit"].append(branch["circuit[2]"])
    rest = {key: value for key, value in branch.items() if key not in ("board[1]", "circuit[2]")}
    return assessed_quickly(survey_of(changed(data, rest)))


@pytest.mark.parametrize(
    ("ampacity_a", "rating_a", "greatest_a"),
    # Manual of a plug-in photovoltaic set after DIN VDE 0298-4 and VDE 0100-551: 1.5 mm2.
    [(17.5, 16, 1.5), (21, 16, 5), (23, 16, 7), (17.5, 13, 4.5), (23, 13, 10)],
)
def test_the_printed_infeed_behind_a_breaker(
    ampacity_a: float, rating_a: float, greatest_a: float
) -> None:
    changes = merged(
        on_circuit(1),
        {
            "circuit[1].cable[0].ampacity_a": ampacity_a,
            "circuit[1].device.rating_a": rating_a,
            "outlet.rating_a": 16,
        },
    )
    finding = found("infeed-behind-device", "Yard outlet: cable 1", BAKERY, changes)
    assert step_result(finding, "Igmax") == pytest.approx(greatest_a)
    assert finding.outcome is (Outcome.PASS if greatest_a >= 1 else Outcome.FAIL)


def test_what_feeds_in_at_the_origin_spares_a_circuit_with_its_own_device() -> None:
    own = {
        "circuit[0].device": {
            "kind": "gG fuse",
            "rating_a": 63,
            "breaking_capacity_ka": 50,
            "enclosure_temperature_c": 35,
        }
    }
    result = quick(BAKERY, at_origin(photovoltaic(20)), own)
    assert "infeed-behind-device" not in {one.check for one in result.findings}
    without = quick(BAKERY, at_origin(photovoltaic(20)))
    assert "infeed-behind-device" in outcomes(without, Outcome.FAIL)


@QUICK
@given(first=st.floats(0.1, 80), more=st.floats(0, 80))
def test_more_infeed_never_helps(first: float, more: float) -> None:
    rank = (Outcome.FAIL, Outcome.OPEN, Outcome.PASS)
    for check, link in (
        ("infeed-on-board", MAIN_BOARD),
        ("infeed-backwards", "service device"),
    ):
        ranks = [
            rank.index(found(check, link, BAKERY, on_board(photovoltaic(current))).outcome)
            for current in (first, first + more)
        ]
        assert ranks[1] <= ranks[0]


def test_nobody_looked_for_other_sources() -> None:
    for path in ("supply.other_sources_none", "board[0].other_sources_none"):
        result = quick(BAKERY, {path: GONE})
        assert result.verdict is Verdict.UNDECIDED
        assert outcomes(result, Outcome.OPEN) == {"second-sources"}


def test_tn_c_s_asks_where_the_pen_ends() -> None:
    assert quick(BAKERY, TN_C_S).verdict is Verdict.CARRIES
    not_known = merged(TN_C_S, {"circuit[1].pen_conductor": GONE})
    assert quick(BAKERY, not_known).verdict is Verdict.UNDECIDED
    to_the_outlet = merged(TN_C_S, {"circuit[1].pen_conductor": True})
    assert quick(BAKERY, to_the_outlet).verdict is Verdict.UPGRADE


def test_loss_of_the_pen_is_asked_outdoors_in_tn_c_s_only() -> None:
    indoors = merged(TN_C_S, {"outlet.location": "indoors"})
    assert found("pen-loss", "", BAKERY, indoors).outcome is Outcome.NOT_APPLICABLE
    assert found("pen-loss", "", BAKERY).outcome is Outcome.NOT_APPLICABLE
    assert found("pen-loss", "", BAKERY, TN_C_S).outcome is Outcome.CAUTION


@pytest.mark.parametrize("site", ["bakery-yard", "joinery-hall", "camp-site-kiosk"])
def test_an_it_system_is_refused(site: str) -> None:
    result = quick(site, {"supply.earthing_system": "IT"})
    assert result.verdict is Verdict.UNDECIDED
    finding = pick(result, "disconnection", "outlet'")
    assert finding.outcome is Outcome.OPEN
    assert "specialist" in finding.reason.template
