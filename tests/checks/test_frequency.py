"""The reactance of cables follows the frequency of the supply.

IEC 60364-5-52:2009, Annex G: 0.08 mohm/m at 50 Hz; a reactance is 2 pi f L, so 60 Hz gives 0.096.
"""

from __future__ import annotations

import pytest

from tests.checks.sites import Changes, found

BAKERY = "bakery-yard"
AT_50_HZ: Changes = {"supply.frequency_hz": 50}


def reactances(changes: Changes) -> list[float]:
    finding = found("disconnection", "circuit 'Main cable'", BAKERY, AT_50_HZ, changes)
    return [step.result for step in finding.working if step.symbol.startswith("X")]


def test_sixty_hertz_give_a_fifth_more() -> None:
    at_50, at_60 = reactances({}), reactances({"supply.frequency_hz": 60})
    assert at_50[0] == pytest.approx(2 * 0.08 * 14 / 1000)
    assert at_60 == pytest.approx([1.2 * one for one in at_50])


def test_a_frequency_that_nobody_knows_counts_as_the_higher_one_for_the_smallest_fault() -> None:
    unknown = reactances({"supply.frequency_hz": "unknown"})
    assert unknown == pytest.approx(reactances({"supply.frequency_hz": 60}))


def test_a_reactance_of_the_users_own_is_left_alone() -> None:
    own: Changes = {f"circuit[{number}].cable[0].reactance_ohm_per_km": 0.1 for number in (0, 1)}
    first = reactances(own)[0]
    assert first == pytest.approx(2 * 0.1 * 14 / 1000)
    assert reactances({**own, "supply.frequency_hz": 60})[0] == pytest.approx(first)
