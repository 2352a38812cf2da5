"""Which unknown facts decide: alone, only together, or not at all."""

from __future__ import annotations

import math

import pytest

from feasibility.advice import advise
from feasibility.open_facts import Decides, FactWeight
from feasibility.result import Verdict

from .checks.sites import Changes, quick
from .demand_log.logs import logs_of

BAKERY = "bakery-yard"
AIR = "circuit[1].cable[0].ambient_c"
GROUP = "circuit[1].cable[0].grouped_circuits"
BUNCHED = {"circuit[1].cable[0].grouping": "bunched"}


def weights(changes: Changes) -> tuple[Verdict, dict[str, FactWeight]]:
    assessment = quick(BAKERY, changes)
    facts = advise(assessment, logs_of(assessment.survey)).facts
    assert [one.effect_a for one in facts] == sorted((f.effect_a for f in facts), reverse=True)
    return assessment.verdict, {one.fact: one for one in facts}


def test_a_range_that_decides_alone_with_its_effect() -> None:
    """41 A (IEC 60364-5-52, Table B.52.4, 6 mm², C) times 0.50 at 60 °C (Table B.52.14, PVC)."""
    verdict, found = weights({AIR: {"low": 25, "high": 60}})
    assert verdict is Verdict.UNDECIDED
    weight = found["circuit[2].cable[1].ambient_c"]
    assert weight.decides is Decides.ALONE
    assert weight.lowest_a == pytest.approx(41 * 0.50)
    assert weight.highest_a == pytest.approx(32)  # the circuit-breaker's rating holds from there
    assert next(iter(found)) == "circuit[2].cable[1].ambient_c"


def test_a_range_that_changes_nothing_does_not_matter() -> None:
    verdict, found = weights({AIR: {"low": 25, "high": 30}})
    assert verdict is Verdict.CARRIES
    weight = found["circuit[2].cable[1].ambient_c"]
    assert weight.decides is Decides.NOT
    assert weight.effect_a == 0


def test_a_decided_verdict_is_decided_by_no_range_but_its_current_may_move() -> None:
    verdict, found = weights({AIR: {"low": 25, "high": 60}, "outlet.condition": "damaged"})
    assert verdict is Verdict.UPGRADE
    weight = found["circuit[2].cable[1].ambient_c"]
    assert weight.decides is Decides.NOT
    assert weight.effect_a == pytest.approx(32 - 20.5)


def test_each_of_two_ranges_is_enough_where_only_both_at_their_worst_fail() -> None:
    """41 x 0.79 (45 °C, B.52.14) = 32.4; 41 x 0.80 (two bunched, B.52.17) = 32.8; both 25.9 A."""
    changes = {AIR: {"low": 30, "high": 45}, GROUP: {"low": 1, "high": 2}, **BUNCHED}
    verdict, found = weights(changes)
    assert verdict is Verdict.UNDECIDED
    for field, best_a in (("ambient_c", 32.0), ("grouped_circuits", 32.0)):
        weight = found[f"circuit[2].cable[1].{field}"]
        assert weight.decides is Decides.ALONE
        assert weight.lowest_a == pytest.approx(41 * 0.79 * 0.80)
        assert weight.highest_a == pytest.approx(best_a)


def test_two_questions_with_a_fact_each_decide_only_together() -> None:
    verdict, found = weights({AIR: {"low": 25, "high": 60}, "outlet.condition": "unknown"})
    assert verdict is Verdict.UNDECIDED
    assert found["circuit[2].cable[1].ambient_c"].decides is Decides.TOGETHER
    assert found["outlet.condition"].decides is Decides.TOGETHER
    assert found["outlet.condition"].effect_a == 0


def test_a_missing_fact_that_is_the_only_one_decides_alone() -> None:
    verdict, found = weights({"outlet.condition": "unknown"})
    assert verdict is Verdict.UNDECIDED
    weight = found["outlet.condition"]
    assert weight.missing
    assert not weight.holds_current
    assert weight.decides is Decides.ALONE


def test_a_missing_fact_of_a_question_on_current_comes_first() -> None:
    verdict, found = weights(
        {"circuit[1].cable[0].section_mm2": "unknown", "cord.ambient_c": {"low": 20, "high": 45}}
    )
    assert verdict is Verdict.UNDECIDED
    first = next(iter(found.values()))
    assert first.fact == "circuit[2].cable[1].section_mm2"
    assert first.holds_current
    assert math.isinf(first.effect_a)


def test_a_site_without_anything_unknown_that_decides_has_no_weighty_fact() -> None:
    _, found = weights({})
    assert all(one.decides is Decides.NOT and one.effect_a == 0 for one in found.values())
