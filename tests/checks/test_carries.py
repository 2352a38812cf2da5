"""Each current check says what would pass it: asked again just below and just above, it agrees."""

from __future__ import annotations

import pytest

from feasibility.checks.catalogue import CATALOGUE
from feasibility.result import Finding, Outcome

from .sites import SINGLE, Changes, asked, drawing, found

SITES: dict[str, tuple[str, Changes]] = {
    "bakery-yard": ("bakery-yard", {}),
    "joinery-hall": ("joinery-hall", {}),
    "camp-site-kiosk": ("camp-site-kiosk", {}),
    "river-depot": ("river-depot", {}),
    "single circuit": (SINGLE, {}),
    "demand in kilowatts": (
        "bakery-yard",
        {"board[0].demand": {"maximum_kw": 15, "power_factor": 0.8}},
    ),
    "long cable": ("bakery-yard", {"circuit[1].cable[0].length_m": 120}),
}
ON_CURRENT = [check.name for check in CATALOGUE if check.depends_on_current]
ABOVE_ANYTHING_A = 900.0


def unfavourable(check: str, link: str, name: str, *changes: Changes) -> Finding:
    """Return the finding before a range that decides it leaves it open."""
    (judged,) = [one for one in asked(check, name, *changes) if one.unfavourable.link == link]
    return judged.unfavourable


@pytest.mark.parametrize("check", ON_CURRENT)
@pytest.mark.parametrize("label", SITES)
def test_the_current_that_a_check_lets_through_is_its_turning_point(label: str, check: str) -> None:
    name, changes = SITES[label]
    for judged in asked(check, name, changes, drawing(10)):
        one = judged.unfavourable
        if one.carries_a is None or one.carries_a > ABOVE_ANYTHING_A:
            continue
        if one.carries_a == 0:
            assert one.outcome in (Outcome.FAIL, Outcome.CAUTION)
            continue
        below, above = (
            unfavourable(check, one.link, name, changes, drawing(share * one.carries_a))
            for share in (0.999, 1.001)
        )
        assert below.outcome is Outcome.PASS, one.link
        assert above.outcome in (Outcome.FAIL, Outcome.CAUTION), one.link
        # What passes does not depend on what was asked for.
        assert below.carries_a == pytest.approx(one.carries_a, rel=1e-5)
        assert above.carries_a == pytest.approx(one.carries_a, rel=1e-5)


@pytest.mark.parametrize("label", SITES)
def test_most_links_name_a_current(label: str) -> None:
    name, changes = SITES[label]
    named = [
        judged.unfavourable.link
        for check in ON_CURRENT
        for judged in asked(check, name, changes)
        if judged.unfavourable.carries_a is not None
    ]
    assert len(named) >= 12


def test_a_path_that_is_full_without_the_station_carries_nothing() -> None:
    full = {"board[0].demand": {"maximum_a": 63.5}}
    service = found("device-rating", "service device", "bakery-yard", full)
    assert (service.outcome, service.carries_a) == (Outcome.FAIL, 0.0)


def test_a_limit_that_is_met_exactly_passes() -> None:
    exact = found("device-rating", "Yard outlet: device", SINGLE, drawing(32))
    assert (exact.outcome, exact.carries_a) == (Outcome.PASS, 32.0)
    shared = {"board[0].demand": {"maximum_a": 31 - 1e-6}}
    site = found("device-rating", "service device", "bakery-yard", drawing(32), shared)
    assert site.outcome is Outcome.PASS
    assert site.carries_a == pytest.approx(32, abs=1e-5)
