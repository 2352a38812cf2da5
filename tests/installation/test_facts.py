"""Known values, ranges and open facts, and which end of them a run takes."""

from __future__ import annotations

import pytest

from feasibility.installation.facts import Ends, Fact, NotKnown

WORST, BEST = Ends(favourable=False), Ends(favourable=True)


def fact(*options: float, path: str = "a.b", filled: bool = False) -> Fact[float]:
    return Fact(path=path, label=f"label of {path}", unit="A", options=options, filled=filled)


KNOWN, RANGED, OPEN = fact(3.0), fact(1.0, 2.0, 5.0), fact()


def test_what_a_fact_is_follows_from_its_options() -> None:
    assert (KNOWN.is_open, KNOWN.is_ranged) == (False, False)
    assert (RANGED.is_open, RANGED.is_ranged) == (False, True)
    assert (OPEN.is_open, OPEN.is_ranged) == (True, False)


def test_each_run_takes_its_own_end() -> None:
    assert WORST.high_is_bad(RANGED) == 5.0
    assert BEST.high_is_bad(RANGED) == 1.0
    assert WORST.low_is_bad(RANGED) == 1.0
    assert BEST.low_is_bad(RANGED) == 5.0
    assert WORST.worst(RANGED, lambda value: abs(value - 2)) == 2.0
    assert BEST.worst(RANGED, lambda value: abs(value - 2)) == 5.0


def test_a_known_value_is_the_same_at_both_ends() -> None:
    for ends in (WORST, BEST):
        assert ends.high_is_bad(KNOWN) == ends.low_is_bad(KNOWN) == ends.known(KNOWN) == 3.0


def test_a_flag_is_bad_where_it_may_be() -> None:
    maybe: Fact[bool] = Fact(path="f", label="f", unit="", options=(True, False))
    surely: Fact[bool] = Fact(path="f", label="f", unit="", options=(True,))
    assert WORST.bad_if(maybe, bad=True) is True
    assert WORST.bad_if(maybe, bad=False) is False
    assert BEST.bad_if(maybe, bad=True) is False
    assert BEST.bad_if(maybe, bad=False) is True
    assert WORST.bad_if(surely, bad=False) is True


def test_combinations_are_judged_together() -> None:
    other = fact(1.0, 10.0, path="c.d")
    assert WORST.worst_of((RANGED, other), lambda a, b: a * b) == (1.0, 1.0)
    assert BEST.worst_of((RANGED, other), lambda a, b: a * b) == (5.0, 10.0)
    assert WORST.worst_of((RANGED, other), lambda a, b: a / b) == (1.0, 10.0)


@pytest.mark.parametrize("ends", [WORST, BEST])
def test_open_facts_are_never_made_up(ends: Ends) -> None:
    for take in (ends.high_is_bad, ends.low_is_bad, ends.known):
        with pytest.raises(NotKnown, match="label of"):
            take(OPEN)
    with pytest.raises(NotKnown) as caught:
        ends.worst_of((RANGED, OPEN, fact(path="x.y")), lambda *_: 0.0)
    assert [one.path for one in caught.value.facts] == ["a.b", "x.y"]


def test_what_has_to_be_known_exactly_must_not_be_a_range() -> None:
    with pytest.raises(NotKnown):
        WORST.known(RANGED)


def test_ranges_that_were_taken_are_remembered_and_known_values_are_not() -> None:
    ends = Ends(favourable=False)
    ends.high_is_bad(KNOWN)
    assert ends.used == {}
    ends.low_is_bad(RANGED)
    assert ends.used == {"a.b": RANGED}
    filled = fact(70.0, path="cable.ends", filled=True)
    ends.low_is_bad(filled)
    assert set(ends.used) == {"a.b", "cable.ends"}


def test_what_was_asked_once_is_remembered_with_the_facts_that_entered_it() -> None:
    ends = Ends(favourable=False)
    asked: list[float] = []

    def find() -> float:
        asked.append(ends.high_is_bad(RANGED))
        return asked[-1]

    ends.note((fact(7.0, 8.0, path="earlier"),))
    assert ends.once("key", find) == 5.0
    assert set(ends.used) == {"earlier", "a.b"}
    ends.used.clear()
    assert ends.once("key", find) == 5.0
    assert set(ends.used) == {"a.b"}
    assert ends.once("other key", find) == 5.0
    assert asked == [5.0, 5.0]


def test_what_is_refused_is_asked_again_and_keeps_what_was_noted_before() -> None:
    ends = Ends(favourable=False)
    ends.note((RANGED,))
    for _ in range(2):
        with pytest.raises(NotKnown):
            ends.once("key", lambda: ends.known(OPEN))
        assert set(ends.used) == {"a.b"}
