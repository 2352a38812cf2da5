"""Offered remedies are enough, make nothing worse, and none of their parts is dispensable."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from feasibility.advice import advise
from feasibility.assessment import Assessment
from feasibility.remedies.record import Part, Remedy
from feasibility.result import Outcome
from feasibility.survey.changes import changed_survey

from ..checks.sites import Changes, assessed_quickly, merged, site
from ..demand_log.logs import logs_of

FAULTS: dict[str, Changes] = {
    "thin main cable": {"circuit[0].cable[0].section_mm2": 6},
    "thin final cable": {"circuit[1].cable[0].section_mm2": 2.5},
    "hot final cable": {"circuit[1].cable[0].ambient_c": 50},
    "grouped final cable": {
        "circuit[1].cable[0].grouped_circuits": 5,
        "circuit[1].cable[0].grouping": "bunched",
    },
    "long final cable": {"circuit[1].cable[0].length_m": 160},
    "thin cord": {"cord.section_mm2": 4},
    "drum": {"cord.layers_on_drum": 3},
    "type A": {"circuit[1].residual_current_device.type": "A"},
    "small contract": {"supply.contracted_current_a": 32},
    "small meter": {"supply.metering_continuous_a": 40},
    "worn outlet": {"outlet.condition": "worn contacts"},
    "damaged plug": {"cord.plug_condition": "damaged"},
    "not locked off": {"outlet.lockable_isolation": False},
    "small device": {"circuit[1].device.rating_a": 16},
    "low voltage": {"supply.tolerance_low_percent": 14},
    "setting not locked": {"station.setting_locked": False},
}

# Without a study of the year, which takes longest; the longer test takes the other sites as well.
QUICK_SITES = ("bakery-yard", "camp-site-kiosk")
SITES = (*QUICK_SITES, "joinery-hall", "market-hall")


def faulty(sites: tuple[str, ...]) -> st.SearchStrategy[tuple[str, list[str]]]:
    faults = st.sets(st.sampled_from(sorted(FAULTS)), min_size=1, max_size=3).map(sorted)
    return st.tuples(st.sampled_from(sites), faults)


def failing(assessment: Assessment) -> set[tuple[str, str]]:
    failed = [one for one in assessment.findings if one.outcome is Outcome.FAIL]
    return {(one.check, one.link) for one in failed}


def opened(assessment: Assessment) -> set[tuple[str, str]]:
    waiting = [one for one in assessment.findings if one.outcome is Outcome.OPEN]
    return {(one.check, one.link) for one in waiting}


def after(before: Assessment, parts: list[Part]) -> Assessment:
    changes = [change for part in parts for change in part.changes]
    return assessed_quickly(changed_survey(before.survey, changes))


def _is_enough_and_minimal(before: Assessment, remedy: Remedy) -> None:
    parts = [one.part for one in remedy.parts]
    changed = after(before, parts)
    assert failing(changed) == set()
    assert opened(changed) <= opened(before)
    for dropped in parts:
        rest = after(before, [one for one in parts if one is not dropped])
        worse = failing(rest) | (opened(rest) - opened(before))
        assert worse, f"{dropped.kind} can be left out"


def _remedies_are_minimal(case: tuple[str, list[str]]) -> None:
    name, faults = case
    before = assessed_quickly(site(name, merged(*(FAULTS[one] for one in faults))))
    advice = advise(before, logs_of(before.survey))
    for remedy in (*advice.remedies, *advice.reduced):
        _is_enough_and_minimal(before, remedy)


SLOW = [HealthCheck.too_slow, HealthCheck.data_too_large]
test_remedies_are_minimal = settings(
    max_examples=4, deadline=None, derandomize=True, suppress_health_check=SLOW
)(given(faulty(QUICK_SITES))(_remedies_are_minimal))
test_remedies_are_minimal_at_length = pytest.mark.campaign(
    settings(max_examples=200, deadline=None, suppress_health_check=SLOW)(
        given(faulty(SITES))(_remedies_are_minimal)
    )
)
