"""Questions on trial: with one range settled, and without searching how much a link carries."""

from __future__ import annotations

import pytest

from feasibility.checks.run import run_catalogue, settle, unfavourable_findings
from feasibility.examples import example_names
from feasibility.installation.build import build_installation
from feasibility.installation.facts import Ends, Fact, NotKnown
from feasibility.installation.model import Installation
from feasibility.result import Finding

from ..demand_log.logs import logs_of
from .sites import WITHOUT_SECOND_SOLVER, site


def installation_of(name: str) -> Installation:
    survey = site(name)
    return build_installation(survey, logs_of(survey))


def key(one: Finding) -> tuple[str, str]:
    return one.check, one.link


@pytest.mark.parametrize("name", example_names())
def test_no_outcome_depends_on_the_search_for_what_a_link_carries(name: str) -> None:
    installation = installation_of(name)
    judged = run_catalogue(installation, WITHOUT_SECOND_SOLVER).judged
    quick = unfavourable_findings(installation, WITHOUT_SECOND_SOLVER, searches=False)
    assert [key(one) for one in quick] == [key(one.unfavourable) for one in judged]
    for one, full in zip(quick, judged, strict=True):
        assert one.outcome is full.unfavourable.outcome
        value = full.unfavourable.value
        assert one.value == (None if value is None else pytest.approx(value, rel=1e-6))


def test_with_the_search_the_unfavourable_findings_are_those_of_the_catalogue() -> None:
    installation = installation_of("bakery-yard")
    judged = run_catalogue(installation, WITHOUT_SECOND_SOLVER).judged
    found = unfavourable_findings(installation, WITHOUT_SECOND_SOLVER, searches=True)
    assert list(found) == [one.unfavourable for one in judged]


def test_a_settled_range_lies_between_its_ends_in_every_answer() -> None:
    installation = installation_of("old-mill")
    judgement = run_catalogue(installation, WITHOUT_SECOND_SOLVER)
    fact = judgement.assumed_facts["circuit[2].cable[1].ambient_c"]
    assert fact.is_ranged
    for option in fact.options:
        trial = settle(judgement, fact, option, again=lambda _: True)
        for one, before in zip(trial.judged, judgement.judged, strict=True):
            worst, low = before.unfavourable.carries_a, one.unfavourable.carries_a
            best, high = before.favourable.carries_a, one.favourable.carries_a
            if None not in (worst, low):
                assert low >= worst - 1e-5  # type: ignore[operator]
            if None not in (best, high):
                assert high <= best + 1e-5  # type: ignore[operator]


def test_what_no_range_enters_is_not_asked_again() -> None:
    installation = installation_of("old-mill")
    judgement = run_catalogue(installation, WITHOUT_SECOND_SOLVER)
    fact = judgement.assumed_facts["circuit[2].cable[1].ambient_c"]
    trial = settle(judgement, fact, fact.options[0], again=lambda _: True)
    for one, before in zip(trial.judged, judgement.judged, strict=True):
        entered = any(other.path == fact.path for other in before.facts)
        assert entered or one is before
    assert (
        settle(judgement, fact, fact.options[0], again=lambda _: False).judged == judgement.judged
    )


def test_a_settled_option_counts_at_both_ends_and_makes_a_range_known() -> None:
    fact = Fact(path="a.b", label="b of a", unit="A", options=(1.0, 2.0, 5.0))
    for favourable in (False, True):
        ends = Ends(favourable=favourable, settled={"a.b": 2.0})
        assert ends.high_is_bad(fact) == ends.low_is_bad(fact) == ends.known(fact) == 2.0
        assert ends.opposite().high_is_bad(fact) == 2.0
        assert ends.opposite().favourable is not favourable
        assert set(ends.used) == {"a.b"}
    with pytest.raises(NotKnown):
        Ends(favourable=False).known(fact)
    assert Ends(favourable=False).opposite().high_is_bad(fact) == 1.0
