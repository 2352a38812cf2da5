"""Surveys for tests: a shipped example with a few fields changed, and what is found in it."""

from __future__ import annotations

import copy
import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from functools import cache
from typing import Any

import pytest

from feasibility import assessment as assessment_module
from feasibility.assessment import Assessment, assess
from feasibility.checks.catalogue import CATALOGUE
from feasibility.checks.load_flow import LOAD_FLOW
from feasibility.checks.question import Check
from feasibility.checks.run import Judged, merge, run_catalogue
from feasibility.examples import example_text
from feasibility.installation.build import build_installation
from feasibility.result import Finding, Outcome
from feasibility.survey.consistency import inconsistencies
from feasibility.survey.model import Survey

from ..demand_log.logs import logs_of

Data = dict[str, Any]
Changes = Mapping[str, Any]


class _Gone:
    def __repr__(self) -> str:
        return "gone"


GONE = _Gone()
"""In place of a value: the survey does not mention the field."""

SINGLE = "single circuit"
"""The bakery's yard without its main board: one circuit from the origin to the outlet."""

CHECKS: Mapping[str, Check] = {check.name: check for check in CATALOGUE}
WITHOUT_SECOND_SOLVER = tuple(check for check in CATALOGUE if check is not LOAD_FLOW)


SETTING_HOLDS: Changes = {
    "station.setting_limits": "whole station",
    "station.setting_locked": True,
    "station.setting_survives_restart": True,
    "station.setting_survives_lost_communication": True,
}


def third_harmonic(percent: Any) -> Changes:
    """Changes after which only this third harmonic is known of the station's distortion."""
    return {
        "station.third_harmonic_percent": percent,
        "station.current_distortion_percent": GONE,
    }


def drawing(current_a: float) -> Data:
    """Changes after which the station is set to exactly this current, per phase."""
    return {
        "station.settings_a": GONE,
        "station.setting_a": current_a,
        "station.setting_tolerance_percent": 0,
        "station.nameplate_current_a": 2000,
        **SETTING_HOLDS,
    }


def site_data(name: str) -> Data:
    """Return a fresh copy of a shipped site's plain data, or of the single circuit."""
    if name != SINGLE:
        return copy.deepcopy(_shipped(name))
    data = copy.deepcopy(_shipped("bakery-yard"))
    data["board"] = []
    data["supply"]["demand"] = {"maximum_a": 0}
    data["circuit"] = [data["circuit"][1] | {"starts_at": "origin"}]
    return data


@cache
def _shipped(name: str) -> Data:
    return tomllib.loads(example_text(name))


def keys_of(path: str) -> list[Any]:
    """Split ``circuit[1].cable[0].length_m`` into keys and positions."""
    parts = re.findall(r"\[\d+\]|[^.\[\]]+", path)
    return [int(part[1:-1]) if part.startswith("[") else part for part in parts]


def changed(data: Data, changes: Changes) -> Data:
    """Return a copy of plain survey data with the values at these paths replaced or left out."""
    result = copy.deepcopy(data)
    for path, value in changes.items():
        *parents, last = keys_of(path)
        place: Any = result
        for key in parents:
            place = place.setdefault(key, {}) if isinstance(place, dict) else place[key]
        if value is not GONE:
            place[last] = copy.deepcopy(value)
        elif isinstance(place, list) or last in place:
            del place[last]
    return result


def survey_of(data: Data) -> Survey:
    """Return the validated survey; data that contradict themselves are the test's own mistake."""
    assert inconsistencies(data) == []
    return Survey.model_validate(data)


def site(name: str, *changes: Changes) -> Survey:
    """Return a shipped site with changes, later ones over earlier ones."""
    return survey_of(changed(site_data(name), merged(*changes)))


def merged(*changes: Changes) -> Data:
    """Put several sets of changes together."""
    result: Data = {}
    for one in changes:
        result |= one
    return result


def assessed(name: str, *changes: Changes) -> Assessment:
    """Assess a changed site as the program does, second solver included."""
    survey = site(name, *changes)
    return assess(survey, sha256="0" * 64, demand_logs=logs_of(survey))


@contextmanager
def without_second_solver() -> Iterator[None]:
    """Assess without confirming the load flow by the second solver, which takes the longest."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(assessment_module, "CATALOGUE", WITHOUT_SECOND_SOLVER)
        patch.setattr(assessment_module, "network_state", lambda _: None)
        yield


def assessed_quickly(survey: Survey) -> Assessment:
    """Assess a survey without the second solver."""
    with without_second_solver():
        return assess(survey, sha256="0" * 64, demand_logs=logs_of(survey))


def quick(name: str, *changes: Changes) -> Assessment:
    """Assess a changed site without the second solver."""
    return assessed_quickly(site(name, *changes))


def asked(check: str, name: str, *changes: Changes) -> Sequence[Judged]:
    """Ask one check of the catalogue of a changed site."""
    survey = site(name, *changes)
    installation = build_installation(survey, logs_of(survey))
    return run_catalogue(installation, (CHECKS[check],)).judged


def found(check: str, link: str, name: str, *changes: Changes) -> Finding:
    """Return the one finding of a check on the link whose name ends so (empty: any)."""
    findings = [merge(one, flip_matters=True) for one in asked(check, name, *changes)]
    (finding,) = [one for one in findings if one.link.endswith(link)]
    return finding


def pick(assessment: Assessment, check: str, link: str = "") -> Finding:
    """Return the one finding of a check on such a link out of a whole assessment."""
    findings = [one for one in assessment.findings if one.check == check]
    (finding,) = [one for one in findings if one.link.endswith(link)]
    return finding


def outcomes(assessment: Assessment, outcome: Outcome) -> set[str]:
    """Return the names of the checks with this outcome."""
    return {one.check for one in assessment.findings if one.outcome is outcome}


def step_result(finding: Finding, symbol: str) -> float:
    """Return the result of the last line of a working for this symbol."""
    return [step.result for step in finding.working if step.symbol == symbol][-1]
