"""A code basis with other choices acts: the reading of gG fuses, the factor for continuous loads.

Figures: BS 7671:2018, 433.1.201 (gG fuse: In <= Iz is enough), and a code with 1.25 for continuous
loads (210.19(A)(1) and 210.20(A) of the American code: device and conductor).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace

import pytest

from feasibility.code_basis import CodeBasis, code_basis, code_basis_names
from feasibility.installation import build
from feasibility.result import Finding, Outcome, Verdict

from .cases_of_current import FUSE
from .sites import SINGLE, drawing, found, merged, quick

AMPACITY = "circuit[0].cable[0].ampacity_a"
CABLE = "Yard outlet: cable 1"
DEVICE = "Yard outlet: device"


@contextmanager
def another_basis(
    limits: Mapping[str, float] | None = None, choices: Mapping[str, str] | None = None
) -> Iterator[None]:
    """Judge by the shipped code basis with some limits and choices replaced."""
    basis = code_basis("iec-60364")
    changed = {key: replace(basis.limit(key), value=value) for key, value in (limits or {}).items()}
    other = replace(
        basis, limits={**basis.limits, **changed}, choices={**basis.choices, **(choices or {})}
    )

    def the_other(_: str) -> CodeBasis:
        return other

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(build, "code_basis", the_other)
        yield


def fuse_on(ampacity_a: float) -> Finding:
    return found("overload-tripping", CABLE, SINGLE, merged(FUSE, {AMPACITY: ampacity_a}))


# 32 A: I2 = 51.2 A, so 1.45 Iz is enough from 35.31 A on; In <= Iz from 32 A on.
@pytest.mark.parametrize(
    ("ampacity_a", "by_current", "by_rating"),
    [
        (35.4, Outcome.PASS, Outcome.PASS),
        (35.2, Outcome.FAIL, Outcome.CAUTION),
        (32.0, Outcome.FAIL, Outcome.CAUTION),
        (31.9, Outcome.FAIL, Outcome.FAIL),
    ],
)
def test_both_readings_of_a_fuse(
    ampacity_a: float, by_current: Outcome, by_rating: Outcome
) -> None:
    strict = fuse_on(ampacity_a)
    with another_basis(choices={"gg_fuse_overload": "rated current"}):
        lenient = fuse_on(ampacity_a)
    assert (strict.outcome, lenient.outcome) == (by_current, by_rating)
    assert strict.value == pytest.approx(51.2)
    if by_rating is Outcome.CAUTION:
        assert "Some codes deem a gG fuse enough" in strict.reason.template
        assert "by its conventional current it would not be" in lenient.reason.template
        assert ("BS7671:2018", "433.1.201") in {(one.source, one.clause) for one in lenient.sources}
    else:
        assert "deem" not in strict.reason.template + lenient.reason.template


def test_the_fuse_reading_concerns_fuses_only() -> None:
    with another_basis(choices={"gg_fuse_overload": "rated current"}):
        finding = found("overload-tripping", CABLE, SINGLE, {AMPACITY: 31.9})
    assert finding.outcome is Outcome.FAIL


def test_a_choice_that_is_none_is_a_mistake_of_the_code_basis() -> None:
    with another_basis(choices={"gg_fuse_overload": "as usual"}), pytest.raises(KeyError):
        fuse_on(33)
    for name in code_basis_names():
        assert code_basis(name).choices["gg_fuse_overload"] in (
            "conventional current",
            "rated current",
        )


CONTINUOUS = {"continuous_load_factor": 1.25}


@pytest.mark.parametrize(
    ("check", "link", "limit_a"),
    [
        ("device-rating", DEVICE, 32 / 1.25),
        ("ampacity", CABLE, 41 / 1.25),
        ("ampacity", "cord", 34 / 1.25),
    ],
)
def test_a_factor_for_continuous_loads_acts(check: str, link: str, limit_a: float) -> None:
    for draws, outcome in ((0.99, Outcome.PASS), (1.01, Outcome.FAIL)):
        with another_basis(limits=CONTINUOUS):
            finding = found(check, link, SINGLE, drawing(draws * limit_a))
        assert finding.outcome is outcome
        assert finding.limit == pytest.approx(limit_a)
        assert finding.carries_a == pytest.approx(limit_a, rel=1e-3)
        assert "fc" in {quantity.symbol for one in finding.working for quantity in one.inputs}
        assert found(check, link, SINGLE, drawing(draws * limit_a)).outcome is Outcome.PASS


def test_a_factor_for_continuous_loads_reduces_what_is_carried() -> None:
    plain = quick(SINGLE, drawing(30))
    assert plain.verdict is Verdict.CARRIES
    with another_basis(limits=CONTINUOUS):
        reduced = quick(SINGLE, drawing(30))
    assert reduced.verdict is not Verdict.CARRIES
    assert reduced.current_limit_only_a is not None
    assert reduced.current_limit_only_a <= 32 / 1.25
