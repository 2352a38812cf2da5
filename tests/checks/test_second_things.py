"""What only shows with a second thing: a second source, a range, another place, a second branch.

The limits are those of the cases: IEC 60364-4-43, 433.1 (Ib <= In <= Iz, I2 <= 1.45 Iz); IEC
60364-5-55, 551.7.2 (Iz >= In + Ig); IEC 60364-5-54, 543.4.1 and 543.7. Of a range each question
takes its own bad end, which is a rule of this project.
"""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from feasibility.checks.overload_cover import protects_against_overload
from feasibility.checks.question import Run
from feasibility.checks.run import run_catalogue
from feasibility.installation.build import build_installation
from feasibility.installation.model import LinkKind
from feasibility.result import Finding, Outcome
from feasibility.survey.model import Survey

from ..demand_log.logs import logs_of, made_up
from .cases_of_demand_log import HALL, LOG
from .cases_of_infeed import ALUMINIUM, PEN_MM2, TN_C_S, at_origin, on_board, on_circuit
from .cases_of_infeed import photovoltaic as roof
from .sites import (
    CHECKS,
    GONE,
    SINGLE,
    Changes,
    asked,
    changed,
    found,
    merged,
    site,
    site_data,
    step_result,
)

BAKERY = "bakery-yard"
MAIN_BOARD = "board 'Main board'"
CABLE = "Yard outlet: cable 1"
SERVICE_RATING: Changes = {"supply.service_device.rating_a": {"low": 50, "high": 63}}


def ends(check: str, link: str, name: str, *changes: Changes) -> Sequence[Finding]:
    """Return what is found at the unfavourable and at the favourable end of all ranges."""
    (judged,) = [
        one for one in asked(check, name, *changes) if one.unfavourable.link.endswith(link)
    ]
    return judged.unfavourable, judged.favourable


def test_a_board_has_to_carry_the_largest_rating_that_the_device_before_it_may_have() -> None:
    board = on_board(roof(20), rated_current_a=83)
    bad, good = ends("infeed-on-board", MAIN_BOARD, BAKERY, board, SERVICE_RATING)
    assert (bad.limit, good.limit) == (63 + 20, 50 + 20)


def test_a_cable_has_left_what_the_largest_rating_leaves() -> None:
    device = {"circuit[1].device.rating_a": {"low": 25, "high": 32}}
    bad, good = ends("infeed-behind-device", CABLE, BAKERY, on_circuit(9), device)
    assert (bad.limit, good.limit) == (41 - 32, 41 - 25)


def test_a_device_carries_back_no_more_than_the_smallest_rating_it_may_have() -> None:
    bad, good = ends("infeed-backwards", "service device", BAKERY, on_board(roof()), SERVICE_RATING)
    assert (bad.limit, good.limit) == (50, 63)


def test_a_source_behind_a_changeover_switch_hides_none_of_those_listed_after_it() -> None:
    switched = roof(30, kind="generator", changeover=True)
    both = found("infeed-on-board", "", BAKERY, on_board(switched, roof(20)))
    assert step_result(both, "Ig") == 20
    assert both.limit == 63 + 20


def test_the_sources_are_numbered_from_one() -> None:
    (step,) = [
        one
        for one in found("infeed-on-board", "", BAKERY, on_board(roof(10), roof(5))).working
        if one.symbol == "Ig"
    ]
    assert step.formula == "I1 + I2"
    assert [one.value for one in step.inputs] == [10, 5]


def test_what_feeds_in_before_a_board_does_not_load_it_twice() -> None:
    # The infeed at the origin reaches the board through the device of 63 A alone.
    finding = found("infeed-on-board", "", BAKERY, on_board(roof(10)), at_origin(roof(20)))
    assert finding.limit == 63 + 10


def test_only_what_feeds_in_behind_a_device_flows_back_through_it() -> None:
    both = merged(on_circuit(1), on_board(roof(20)))
    assert found("infeed-backwards", "service device", BAKERY, both).value == 21
    assert found("infeed-backwards", "Yard outlet: device", BAKERY, both).value == 1
    at_the_origin = found("infeed-backwards", "service device", BAKERY, at_origin(roof(20)))
    assert at_the_origin.value == 20


@pytest.mark.parametrize(
    ("ampacity_a", "rating_a", "covered"),
    [
        (32, 32, True),
        (32 * 0.99, 32, False),
        (32, {"low": 25, "high": 32}, True),
        (30, {"low": 25, "high": 32}, False),
    ],
)
def test_the_device_protects_a_cable_against_overload(
    ampacity_a: float, rating_a: object, *, covered: bool
) -> None:
    # At 32 A both rules are met exactly: In = Iz and I2 = 1.45 In (IEC 60898-1) = 1.45 Iz.
    changes: Changes = {
        "circuit[0].cable[0].ampacity_a": ampacity_a,
        "circuit[0].device.rating_a": rating_a,
    }
    run = Run.over(build_installation(site(SINGLE, changes)), favourable=False)
    (cable,) = run.installation.links_of(LinkKind.CABLE)
    assert protects_against_overload(run, cable) is covered


def test_a_pen_of_unknown_metal_counts_as_aluminium() -> None:
    unknown = {"circuit[0].cable[0].conductor": GONE}
    bad, good = ends(
        "pen-section", "Main cable: cable 1", BAKERY, TN_C_S, ALUMINIUM, unknown, {PEN_MM2: 12}
    )
    assert (bad.limit, bad.outcome) == (16, Outcome.FAIL)
    assert (good.limit, good.outcome) == (10, Outcome.PASS)


def test_a_protective_conductor_of_unknown_metal_has_to_be_large_enough_for_aluminium() -> None:
    # IEC 60364-5-54, 543.7: 10 mm2 of copper, 16 mm2 of aluminium.
    changes: Changes = {
        "station.protective_conductor_current_ma": 11,
        "circuit[0].cable[0].conductor": GONE,
        "circuit[0].cable[0].construction": "single-core",
        "circuit[0].cable[0].protective_section_mm2": 12,
    }
    bad, good = ends("reinforced-protective-conductor", CABLE, SINGLE, changes)
    assert (bad.limit, good.limit) == (16, 10)


def test_a_log_that_nobody_added_the_generation_to_leaves_the_demand_open() -> None:
    """Such a survey is refused as contradictory; were it not, no demand would count as whole."""
    changes: Changes = {
        "board[0].other_sources_none": GONE,
        "board[0].source": [roof(10)],
        f"{LOG}.file": made_up("net-of-roof.csv", days=360, generation_added=False),
        f"{LOG}.generation_behind_meter": "none",
    }
    survey = Survey.model_validate(changed(site_data(HALL), changes))
    installation = build_installation(survey, logs_of(survey))
    (judged,) = run_catalogue(installation, (CHECKS["demand-without-generation"],)).judged
    assert judged.unfavourable.outcome is Outcome.OPEN
    assert "does not hold" in judged.unfavourable.reason.template
