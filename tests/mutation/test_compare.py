"""The comparison of surviving mutants with their reasons finds what has none."""

from __future__ import annotations

from .compare import Reason, Survivor, compare, read_reasons, survivor_of

DIFFERENCE = """\
--- a/clauses/infeed.py
+++ b/clauses/infeed.py
@@ -1,3 +1,3 @@
 def greatest_infeed_a(*, ampacity_a, rating_a):
-    return ampacity_a - rating_a
+    return ampacity_a + rating_a
"""
FOUND = survivor_of("clauses.infeed.x_greatest_infeed_a__mutmut_1", DIFFERENCE)


def test_the_changed_lines_are_read() -> None:
    assert FOUND.removed == "return ampacity_a - rating_a"
    assert FOUND.added == "return ampacity_a + rating_a"


def test_a_survivor_without_a_reason_is_named() -> None:
    (line,) = compare([FOUND], [])
    assert "x_greatest_infeed_a" in line
    assert "ampacity_a + rating_a" in line


def test_a_reason_without_a_survivor_is_named() -> None:
    reason = Reason(name="infeed", added=r"ampacity_a \+", reason="for this test")
    assert compare([FOUND], [reason]) == []
    (line,) = compare([], [reason])
    assert "no survivor any more" in line


def test_a_reason_is_for_its_own_place_only() -> None:
    elsewhere = Survivor("clauses.overload.x_other__mutmut_1", FOUND.removed, FOUND.added)
    reason = Reason(name="infeed", added=r"ampacity_a \+", reason="for this test")
    assert not reason.explains(elsewhere)


def test_every_stated_reason_says_something() -> None:
    for reason in read_reasons():
        assert len(reason.reason) > 20
        assert reason.name
        assert reason.added
