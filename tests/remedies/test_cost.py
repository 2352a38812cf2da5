"""What the search for remedies costs, in questions: the bound is our own (DEVELOPERS.md)."""

from __future__ import annotations

import copy
from dataclasses import dataclass
from typing import Any

import pytest

from feasibility.advice import Need, advise
from feasibility.assessment import Assessment, assess
from feasibility.checks.run import unfavourable_findings
from feasibility.remedies import offer, trial
from feasibility.remedies.of_station import lower_settings
from feasibility.render.advice_view import need_in_words
from feasibility.result import Outcome
from feasibility.survey.model import Survey

from ..checks.sites import assessed_quickly, changed, merged, site, site_data, survey_of
from ..demand_log.logs import logs_of
from .test_minimal import FAULTS

TRIALS, TRIALS_AT_LOWER_SETTING = 10, 10 / 3
CONFIRMED = 2 * (offer.MOST_OFFERED + offer.MOST_REDUCED)


@dataclass
class Count:
    """Questions on trial for the requested current, at a lower setting, and full assessments."""

    requested: int = 0
    lower: int = 0
    confirmed: int = 0


@pytest.fixture
def count(monkeypatch: pytest.MonkeyPatch) -> Count:
    """Count what is asked where it is asked, whatever the search itself keeps a book of."""
    counted, lower = Count(), False

    def asking(installation: Any, checks: Any, *, searches: bool) -> Any:
        found = unfavourable_findings(installation, checks, searches=searches)
        if not searches:
            counted.lower += len(found) * lower
            counted.requested += len(found) * (not lower)
        return found

    def assessing(survey: Survey, **options: Any) -> Assessment:
        counted.confirmed += 1
        return assess(survey, **(options | {"with_year": False}))

    def lowering(*arguments: Any) -> Any:
        nonlocal lower
        lower = True
        return lower_settings(*arguments)

    monkeypatch.setattr(trial, "unfavourable_findings", asking)
    monkeypatch.setattr(trial, "assess", assessing)
    monkeypatch.setattr(offer, "lower_settings", lowering)
    return counted


def row_of_boards(boards: int) -> Survey:
    """Return a site where every feeder is thin and long and every device small and weak.

    Behind it everything fails that fails in the tests of small remedies.
    """
    data = changed(site_data("bakery-yard"), merged(*FAULTS.values()))
    (main, outlet), (board,) = data["circuit"], data["board"]
    feeders, places = [], []
    for number in range(boards):
        feeder, place = copy.deepcopy(main), copy.deepcopy(board)
        place["name"] = feeder["ends_at"] = f"board {number}"
        feeder["name"] = f"feeder {number}"
        feeder["starts_at"] = f"board {number - 1}" if number else "origin"
        feeder["cable"][0] |= {"section_mm2": 1.5, "length_m": 80}
        if number:
            device = {"kind": "gG fuse", "rating_a": 16, "breaking_capacity_ka": 0.5}
            feeder["device"] = device | {"enclosure_temperature_c": 35}
        feeders.append(feeder)
        places.append(place)
    outlet["starts_at"] = feeders[-1]["ends_at"]
    return survey_of(data | {"circuit": [*feeders, outlet], "board": places})


def failures(assessment: Assessment) -> int:
    return sum(one.outcome is Outcome.FAIL for one in assessment.findings)


@pytest.mark.parametrize(
    ("survey", "fails", "costs"),
    [
        pytest.param(site("river-depot"), 12, 5, id="the shipped site of which most fails"),
        pytest.param(row_of_boards(3), 30, 5, id="everything wrong at many links"),
    ],
)
def test_a_search_asks_at_most_ten_times_the_questions_of_one_assessment(
    count: Count, survey: Survey, fails: int, costs: float
) -> None:
    before = assessed_quickly(survey)
    assert failures(before) >= fails
    advice = advise(before, logs_of(survey))
    questions = len(before.findings)
    assert costs * questions < count.requested <= TRIALS * questions
    assert count.lower <= TRIALS_AT_LOWER_SETTING * questions
    assert count.confirmed <= CONFIRMED
    assert advice.need in (Need.UPGRADE, Need.NO_LISTED_REMEDY)


def test_what_ended_early_does_not_claim_that_all_was_tried(
    count: Count, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(offer, "_TRIALS", 1)
    before = assessed_quickly(site("river-depot"))
    advice = advise(before, logs_of(before.survey))
    assert advice.ended_early
    assert count.requested <= len(before.findings)
    assert advice.remedies == ()
    assert "not all of them were tried together" in need_in_words(before, advice)
