"""Selectivity of two devices against published limits, and what it may never do.

Published: a breaker maker's table of short-circuit limits behind gG fuses (see the CSV file), the
rule of 1.6 : 1 between gG fuses (IEC 60269-1; a fuse maker's glossary names 100 A and 160 A), and
the two rules of a trade page: circuit-breakers at 1.6 : 1 are selective in the overload range only.
"""

from __future__ import annotations

import csv
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from feasibility.render.numbers import message_text
from feasibility.result import Finding, Force, Outcome, Verdict

from .cases_of_series import LEVEL_KA, WEAK
from .sites import GONE, SINGLE, Changes, found, merged, outcomes, quick, step_result

FUSES_A = (16, 20, 25, 32, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630)
LIMITS = Path(__file__).with_name("fuse_before_breaker_limits.csv")


def published() -> list[dict[str, str]]:
    with LIMITS.open(encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def fuse(rating_a: float) -> Changes:
    return {
        "supply.service_device": {
            "kind": "gG fuse",
            "rating_a": rating_a,
            "breaking_capacity_ka": 120,
        }
    }


def adjustable(setting_a: float, magnetic_a: float) -> Changes:
    return {
        "supply.service_device": {
            "kind": "IEC 60947-2 circuit-breaker",
            "rating_a": setting_a,
            "setting_a": setting_a,
            "magnetic_setting_a": magnetic_a,
            "breaking_capacity_ka": 25,
        }
    }


def miniature(letter: str, rating_a: float, where: str = "circuit[0].device") -> Changes:
    return {
        where: {
            "kind": "IEC 60898-1 circuit-breaker",
            "characteristic": letter,
            "rating_a": rating_a,
            "breaking_capacity_ka": 6,
        }
    }


def behind(rating_a: float) -> Changes:
    device = {"kind": "gG fuse", "rating_a": rating_a, "breaking_capacity_ka": 120}
    return {"circuit[0].device": device}


def judged(*changes: Changes) -> Finding:
    return found("selectivity", "", SINGLE, {LEVEL_KA: 9}, *changes)


def limit_a(*changes: Changes) -> float:
    """Return the limit, and more than any current where there is none."""
    finding = judged(*changes)
    return 1e9 if finding.value is None else finding.value


@pytest.mark.parametrize(
    "row", [row for row in published() if float(row["fuse_a"]) in FUSES_A], ids=str
)
def test_no_limit_behind_a_fuse_exceeds_what_a_maker_publishes(row: dict[str, str]) -> None:
    rating = float(row["breaker_a"])
    finding = judged(fuse(float(row["fuse_a"])), miniature(row["characteristic"], rating))
    assert finding.outcome is Outcome.CAUTION
    assert finding.value is not None
    claimed = [finding.value]
    if "again" in finding.reason.values:
        claimed.append(finding.reason.values["again"].value)  # type: ignore[union-attr]
    if row["limit_ka"]:
        assert max(claimed) <= 1000 * float(row["limit_ka"])
    else:
        # Not selective in a short-circuit: ours must end where the breaker's release surely acts.
        assert finding.value <= {"B": 5, "C": 10}[row["characteristic"]] * rating


@pytest.mark.parametrize("row", [row for row in published() if row["fuse_a"] == "125"], ids=str)
def test_nor_does_one_by_the_energy_class_of_the_breaker(row: dict[str, str]) -> None:
    """The breakers of the table have 6 kA; class 3 lets less through than melts 125 A (46 kA2s)."""
    classified = {"circuit[0].device.energy_limiting_class": 3}
    pair = merged(fuse(125), miniature(row["characteristic"], float(row["breaker_a"])))
    assert limit_a(pair, classified) <= 1000 * float(row["limit_ka"])


def test_the_energy_class_reaches_up_to_the_breaking_capacity() -> None:
    """B16 of 6 kA, class 3: 35 000 A2s (EN 60898-1, Annex ZA, from memory); 125 A fuse: 46 000."""
    classified = {"circuit[0].device.energy_limiting_class": 3}
    finding = judged(fuse(125), miniature("B", 16), classified)
    assert finding.outcome is Outcome.CAUTION
    assert finding.value == 6000
    assert judged(fuse(100), miniature("B", 16), classified).value == pytest.approx(820)


@pytest.mark.parametrize(
    ("share", "outcome"), [(0.99, Outcome.PASS), (1.0, Outcome.PASS), (1.01, Outcome.CAUTION)]
)
def test_a_makers_let_through_energy_is_held_or_melts_the_fuse(
    share: float, outcome: Outcome
) -> None:
    """63 A fuse: 9000 A2s (IEC 60269-1, Table 7)."""
    energy = {"circuit[0].device.let_through_a2s": 9000 * share}
    finding = judged(fuse(63), miniature("B", 16), energy)
    assert finding.outcome is outcome
    assert ("does not melt" in message_text(finding.reason)) is (outcome is Outcome.PASS)


def test_energy_in_a_short_circuit_says_nothing_of_an_overload() -> None:
    energy = {"circuit[0].device.let_through_a2s": 8000}
    finding = judged(fuse(63), miniature("B", 32), energy)
    assert finding.outcome is Outcome.CAUTION
    assert finding.value == pytest.approx(149.09, rel=1e-3)
    assert finding.reason.values["again"].value == 9000  # type: ignore[union-attr]


def test_the_published_table_has_cells_of_both_kinds() -> None:
    cells = published()
    assert len(cells) == 19 * 14
    assert sum(not row["limit_ka"] for row in cells) > 60


@pytest.mark.parametrize(("small", "large"), list(pairwise(FUSES_A)))
def test_neighbouring_fuses_are_not_selective(small: int, large: int) -> None:
    """IEC 60269-1: only from 1.6 : 1 on, that is two steps of the series R 10."""
    assert judged(fuse(large), behind(small)).outcome is Outcome.CAUTION


@pytest.mark.parametrize(("small", "large"), list(zip(FUSES_A, FUSES_A[2:], strict=False)))
def test_fuses_two_steps_apart_are_totally_selective(small: int, large: int) -> None:
    finding = judged(fuse(large), behind(small))
    assert finding.outcome is Outcome.PASS
    assert finding.value is None
    assert step_result(finding, "Emin") >= step_result(finding, "Emax")


def test_the_pair_that_a_fuse_maker_names() -> None:
    assert judged(fuse(160), behind(100)).outcome is Outcome.PASS


@pytest.mark.parametrize(
    ("letter", "rating_a", "release_a"),
    # IEC 60898-1, Table 7: not before 0.1 s at 3, 5 and 10 In.
    [("B", 63, 189), ("C", 63, 315), ("D", 63, 630), ("C", 40, 200)],
)
def test_two_breakers_are_selective_up_to_the_release_before(
    letter: str, rating_a: float, release_a: float
) -> None:
    finding = judged(miniature(letter, rating_a, "supply.service_device"), miniature("B", 16))
    assert finding.outcome is Outcome.CAUTION
    assert finding.value == pytest.approx(release_a)
    assert "ratio of the ratings" in message_text(finding.reason)


def test_the_lower_limit_of_an_adjustable_release_counts() -> None:
    """IEC 60947-2, 8.3.3.1.2: the short-circuit release may act from 0.8 Im."""
    finding = judged(adjustable(100, 1000), miniature("C", 32))
    assert finding.value == pytest.approx(800)


@pytest.mark.parametrize("rating_a", [32, 40])
def test_a_breaker_of_nearly_the_same_rating_is_not_selective(rating_a: float) -> None:
    finding = judged(miniature("B", rating_a, "supply.service_device"), miniature("B", 32))
    assert finding.outcome is Outcome.CAUTION
    assert finding.value is not None
    assert finding.value < 1.45 * 40
    assert "ratio" not in message_text(finding.reason)


def test_a_smaller_device_before_is_said_to_operate_first() -> None:
    finding = judged(fuse(32), miniature("B", 32))
    assert message_text(finding.reason).startswith("Not selective")
    assert finding.value == pytest.approx(1.25 * 32)


def test_a_selective_main_breaker_holds_its_delay() -> None:
    """DIN VDE 0641-21: 0.05 s at 5 In, so by constant I2t 0.1 s at 5 In over the root of two."""
    selective = {
        "supply.service_device": {
            "kind": "selective main circuit-breaker",
            "characteristic": "E",
            "rating_a": 63,
            "breaking_capacity_ka": 25,
        }
    }
    finding = judged(selective, miniature("B", 16))
    assert finding.value == pytest.approx(5 * 63 / 2**0.5)


def test_makers_curves_count_instead_of_the_bands() -> None:
    """Points read off two curves: 1 s and 10 s apart up to 1000 A, then the first may act."""
    points = [(80, 7200), (120, 600), (200, 60), (400, 8), (1000, 1)]
    before = {
        "supply.service_device": {
            "kind": "other",
            "description": "old fuse",
            "rating_a": 63,
            "breaking_capacity_ka": 25,
            "curve_point": [{"current_a": a, "fastest_s": s} for a, s in points],
        }
    }
    later = [(30, 3600), (60, 60), (100, 10), (160, 0.05)]
    after = {
        "circuit[0].device": {
            "kind": "other",
            "description": "old breaker",
            "rating_a": 20,
            "breaking_capacity_ka": 6,
            "curve_point": [{"current_a": a, "slowest_s": s} for a, s in later],
        }
    }
    finding = judged(before, after)
    assert finding.value == pytest.approx(1000)
    assert "the maker's own curve" in finding.working[-1].meaning
    assert judged(before, after, {LEVEL_KA: 0.99}, WEAK).outcome is Outcome.PASS


@pytest.mark.parametrize(
    ("place", "side"),
    [("supply.service_device", "slowest_s"), ("circuit[0].device", "fastest_s")],
)
def test_a_curve_of_the_wrong_side_alone_judges_nothing(place: str, side: str) -> None:
    device = {
        "kind": "other",
        "description": "old device",
        "rating_a": 40,
        "breaking_capacity_ka": 25,
        "curve_point": [{"current_a": 200, side: 10}],
    }
    finding = judged({place: device})
    assert finding.outcome is Outcome.CAUTION
    assert finding.value is None
    assert any(fact.endswith("curve_point") for fact in finding.facts)
    (diagram,) = quick(SINGLE, {place: device}).time_current
    assert any("maker's time-current curve" in words for words in diagram.missing)


def test_a_slow_earlier_device_that_may_be_anything_is_taken_at_its_worst() -> None:
    unknown = {"circuit[0].device.characteristic": "unknown"}
    worst = limit_a(fuse(100), miniature("B", 32), unknown)
    assert worst == min(limit_a(fuse(100), miniature(letter, 32)) for letter in "BCD")
    assert worst < limit_a(fuse(100), miniature("B", 32))


def test_the_makers_table_counts_for_more_and_for_less() -> None:
    told = {"circuit[0].device.selective_with": "gG 63 A"}
    for limit_ka, outcome in ((10, Outcome.PASS), (0.2, Outcome.CAUTION)):
        table = {**told, "circuit[0].device.selective_up_to_ka": limit_ka}
        finding = judged(fuse(63), miniature("B", 32), table)
        assert finding.outcome is outcome
        assert finding.value == 1000 * limit_ka
        assert "gG 63 A" in message_text(finding.reason)


@pytest.mark.parametrize(("limit_ka", "words"), [(5.2, "as much as"), (5.1999, "less than")])
def test_the_sentence_on_the_makers_table_turns_at_the_fault_current(
    limit_ka: float, words: str
) -> None:
    table = {
        "circuit[0].device.selective_with": "gG 63 A",
        "circuit[0].device.selective_up_to_ka": limit_ka,
    }
    finding = found("selectivity", "", SINGLE, table, {LEVEL_KA: 5.2})
    assert words in message_text(finding.reason)
    assert (finding.outcome is Outcome.PASS) is (limit_ka == 5.2)


def test_an_unknown_limit_of_the_makers_table_leaves_the_bands() -> None:
    unknown = {
        "circuit[0].device.selective_up_to_ka": "unknown",
        "circuit[0].device.selective_with": "gG 63 A",
    }
    assert limit_a(fuse(63), miniature("B", 16), unknown) == pytest.approx(450)


def test_nothing_of_it_decides_the_verdict() -> None:
    good = {
        "circuit[0].device.selective_up_to_ka": 10,
        "circuit[0].device.selective_with": "gG 63 A",
        "station.inrush_peak_a": 40,
        "station.inrush_duration_ms": 10,
    }
    bad = {"station.inrush_peak_a": 90_000}
    unknown = {"station.inrush_peak_a": GONE, "station.inrush_duration_ms": GONE}
    results = [quick(SINGLE, changes) for changes in (good, bad, unknown)]
    assert {one.verdict for one in results} == {Verdict.CARRIES}
    assert not {"selectivity", "inrush"} & outcomes(results[0], Outcome.CAUTION)
    for one in results[1:]:
        assert {"selectivity", "inrush"} <= outcomes(one, Outcome.CAUTION)
        judged_forces = {f.force for f in one.findings if f.check in ("selectivity", "inrush")}
        assert judged_forces == {Force.RECOMMENDATION, Force.NUISANCE}


QUICK = settings(max_examples=60, deadline=None, derandomize=True)
levels = st.floats(0.4, 50)


@QUICK
@given(st.sampled_from(FUSES_A), st.sampled_from(FUSES_A), st.sampled_from("BCD"), levels)
def test_a_larger_fuse_before_a_breaker_never_lowers_the_limit(
    one: int, other: int, letter: str, level_ka: float
) -> None:
    small, large = sorted((one, other))
    common = merged(miniature(letter, 32), WEAK, {LEVEL_KA: level_ka})
    assert limit_a(fuse(small), common) <= limit_a(fuse(large), common)


@QUICK
@given(st.sampled_from(FUSES_A), st.sampled_from(FUSES_A), st.sampled_from(FUSES_A))
def test_a_larger_fuse_before_a_fuse_never_lowers_the_limit(
    one: int, other: int, after: int
) -> None:
    small, large = sorted((one, other))
    assert limit_a(fuse(small), behind(after)) <= limit_a(fuse(large), behind(after))


@QUICK
@given(st.floats(16, 200), st.floats(16, 200), st.floats(2, 12), st.sampled_from((6, 16, 32, 63)))
def test_a_larger_breaker_before_never_lowers_the_limit(
    one: float, other: float, multiple: float, after: float
) -> None:
    small, large = sorted((one, other))
    ends = [
        limit_a(adjustable(setting, multiple * setting), miniature("C", after))
        for setting in (small, large)
    ]
    assert ends[0] <= ends[1] * (1 + 1e-9)


@QUICK
@given(st.sampled_from(FUSES_A), st.sampled_from("BCD"), st.floats(1, 63), levels, levels)
def test_a_pass_stays_one_where_less_can_flow(
    before: int, letter: str, after: float, one: float, other: float
) -> None:
    low, high = sorted((one, other))
    pair = merged(fuse(before), miniature(letter, after), WEAK)
    outcome = [judged(pair, {LEVEL_KA: level}).outcome for level in (low, high)]
    assert outcome[0] is Outcome.PASS or outcome[1] is not Outcome.PASS
