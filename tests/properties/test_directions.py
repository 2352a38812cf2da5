"""What makes an installation worse never lets it carry more."""

from __future__ import annotations

import math
from collections.abc import Sequence

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from feasibility.checks.catalogue import CATALOGUE
from feasibility.checks.run import run_catalogue
from feasibility.installation.build import build_installation
from feasibility.result import Outcome
from feasibility.verdict import currents_of

from ..checks.sites import Changes, site

QUICK = settings(
    max_examples=20,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow],
)
LONG = settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])

ON_CURRENT = tuple(check for check in CATALOGUE if check.depends_on_current and check.force.binds)
SEARCH_TOLERANCE = 1e-5


def carries_a(name: str, *changes: Changes) -> float:
    """What requirements and makers' limits let through, not rounded to a setting."""
    judgement = run_catalogue(build_installation(site(name, *changes)), ON_CURRENT)
    findings = [one.unfavourable for one in judgement.judged]
    if any(one.outcome is Outcome.OPEN for one in findings):
        return math.nan
    limit = currents_of(findings).carryable_a
    return math.inf if limit is None else limit


# Last circuit of each site, and how many circuits lie before it.
SITES = {"bakery-yard": 1, "joinery-hall": 1, "camp-site-kiosk": 1, "river-depot": 2}
# Sections of IEC 60228 that the tables hold for copper.
SECTIONS_MM2 = (2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120, 150)
CABLES = {"bakery-yard": 2, "joinery-hall": 2, "camp-site-kiosk": 2, "river-depot": 3}


@st.composite
def worsened(draw: st.DrawFn) -> tuple[str, Changes, Changes]:
    """A site, a change, and a change that is worse in one respect."""
    name = draw(st.sampled_from(sorted(SITES)))
    circuit = draw(st.integers(0, CABLES[name] - 1))
    cable = f"circuit[{circuit}].cable[0]"
    fields: dict[str, tuple[str, st.SearchStrategy[float], bool]] = {
        "longer": (f"{cable}.length_m", st.floats(0.5, 400), True),
        "thinner": (f"{cable}.section_mm2", st.sampled_from(SECTIONS_MM2), False),
        "hotter": (f"{cable}.ambient_c", st.floats(10, 60), True),
        "more grouped": (f"{cable}.grouped_circuits", st.integers(1, 20), True),
        "hotter cord": ("cord.ambient_c", st.floats(10, 55), True),
        "longer cord": ("cord.length_m", st.floats(0.5, 100), True),
        "on a drum": ("cord.layers_on_drum", st.integers(0, 4), True),
        "weaker supply": ("supply.tolerance_low_percent", st.floats(0, 20), True),
        "smaller contract": ("supply.contracted_current_a", st.floats(5, 250), False),
        "smaller device": ("supply.service_device.rating_a", st.sampled_from(FUSES_A), False),
    }
    field, values, high_is_worse = fields[draw(st.sampled_from(sorted(fields)))]
    low, high = sorted((draw(values), draw(values)))
    better, worse = (low, high) if high_is_worse else (high, low)
    return name, {field: better}, {field: worse}


FUSES_A = (25, 32, 40, 50, 63, 80, 100, 125, 160, 200)
GROUPING = {f"circuit[{number}].cable[0].grouping": "bunched" for number in (0, 1)}


def _worse_never_carries_more(case: tuple[str, Changes, Changes]) -> None:
    name, better, worse = case
    bunched = GROUPING if "grouped" in next(iter(better)) else {}
    above = carries_a(name, bunched, better)
    below = carries_a(name, bunched, worse)
    if not math.isnan(above):
        assert not below > above * (1 + SEARCH_TOLERANCE) + SEARCH_TOLERANCE


test_worse_never_carries_more = QUICK(given(worsened())(_worse_never_carries_more))
test_worse_never_carries_more_at_length = pytest.mark.campaign(
    LONG(given(worsened())(_worse_never_carries_more))
)

PHASES = ("maximum_l1_a", "maximum_l2_a", "maximum_l3_a")


def _demand(amperes: Sequence[float], factor: float | None) -> Changes:
    stated: dict[str, float] = dict(zip(PHASES, amperes, strict=True))
    if factor is not None:
        stated["power_factor"] = factor
    return {"board[0].demand": stated}


amperes = st.tuples(*[st.floats(0, 120)] * 3)
factors = st.none() | st.floats(0.5, 1.0)


def _more_load_never_carries_more(
    name: str, load: tuple[float, ...], more: tuple[float, ...], factor: float | None
) -> None:
    total = [one + other for one, other in zip(load, more, strict=True)]
    below = carries_a(name, _demand(total, factor))
    above = carries_a(name, _demand(load, factor))
    assert below <= above * (1 + SEARCH_TOLERANCE) + SEARCH_TOLERANCE


_LOADS = given(st.sampled_from(sorted(SITES)), amperes, amperes, factors)
test_more_site_load_never_carries_more = QUICK(_LOADS(_more_load_never_carries_more))
test_more_site_load_never_carries_more_at_length = pytest.mark.campaign(
    LONG(_LOADS(_more_load_never_carries_more))
)


def _a_doubt_about_the_power_factor_never_carries_more(
    name: str, load: tuple[float, ...], factor: float
) -> None:
    known = carries_a(name, _demand(load, factor))
    unknown = carries_a(name, _demand(load, None))
    assert unknown <= known * (1 + SEARCH_TOLERANCE) + SEARCH_TOLERANCE


test_a_doubt_about_the_power_factor_never_carries_more = QUICK(
    given(st.sampled_from(sorted(SITES)), amperes, st.floats(0.5, 1.0))(
        _a_doubt_about_the_power_factor_never_carries_more
    )
)
