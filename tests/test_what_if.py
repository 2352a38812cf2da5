"""Two assessments side by side: what changes is listed, what stays is not."""

from __future__ import annotations

import pytest

from feasibility.render.comparison_text import comparison_text
from feasibility.result import Outcome
from feasibility.what_if import changed_findings

from .checks.sites import GONE, quick

BAKERY = "bakery-yard"


def test_a_site_beside_itself_changes_nothing() -> None:
    site = quick(BAKERY)
    assert changed_findings(site, quick(BAKERY)) == ()
    assert "FINDINGS THAT CHANGE\n  none" in comparison_text(site, site, (), [])


def test_what_changes_is_named_with_its_outcome_and_current() -> None:
    before = quick(BAKERY)
    # IEC 60364-5-52:2009, Table B.52.4 (copper, PVC, method C, three loaded): 4 mm² carries 32 A,
    # 6 mm² 41 A; in methods B2 4 mm² carries 27 A.
    after = quick(BAKERY, {"circuit[1].cable[0].section_mm2": 4})
    changed = {(one.check, one.link): one for one in changed_findings(before, after)}
    one = changed["ampacity", "Yard outlet: cable 1"]
    assert one.before is not None
    assert one.after is not None
    assert one.before.carries_a == pytest.approx(41)
    assert one.after.carries_a == pytest.approx(32)
    assert ("link-rating", "plug") not in changed


def test_a_question_that_is_no_longer_asked_is_named() -> None:
    before = quick(BAKERY)
    after = quick(BAKERY, {"outlet.kind": "fixed connection", "cord": GONE})
    gone = [one for one in changed_findings(before, after) if one.after is None]
    assert ("link-rating", "plug") in {(one.check, one.link) for one in gone}
    back = [one for one in changed_findings(after, before) if one.before is None]
    assert {one.link for one in back} == {one.link for one in gone}


def test_both_results_stand_side_by_side_in_a_terminal() -> None:
    before = quick(BAKERY)
    after = quick(BAKERY, {"outlet.condition": "damaged"})
    changed = changed_findings(before, after)
    assert [one.check for one in changed] == ["visible-condition"]
    assert changed[0].after is not None
    assert changed[0].after.outcome is Outcome.FAIL
    text = comparison_text(before, after, changed, ["outlet.condition=damaged", "x=" + "y" * 200])
    assert max(len(line) for line in text.splitlines()) <= 80
    assert "Verdict        CARRIES THE REQUESTED CURRENT   UPGRADE NEEDED" in text
    assert "visible-condition (outlet): pass -> fail" in text
    assert "hypothetical" in text


def test_the_links_behind_the_weakest_one_are_named_in_order() -> None:
    """Ratings: circuit-breaker and outlet 32 A, cord 34 A (BS 7671, Table 4F3A, 6 mm²)."""
    weak = quick(BAKERY, {"outlet.rating_a": 63, "cord.plug_rating_a": 63}).weakest_links
    assert [one.name for one in weak] == [
        "Yard outlet: device",
        "cord",
        "Yard outlet: residual-current device",
    ]
    assert [one.carries_a for one in weak] == pytest.approx([32, 34, 40])
    assert weak[0].check == "device-rating"
