"""One surveyed value as the checks use it: known, a range, or open.

There is no single conservative value: a check takes the end of a range that is unfavourable to
itself, and a second run takes the favourable ends. What differs between the two runs is undecided.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import dataclass, field
from itertools import product
from typing import Any, Generic, TypeVar

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact(Generic[T]):
    """A value with all it may be: one option if known, several if it is a range, none if open.

    ``path`` is the place in the survey (``circuit[1].cable[2].length_m``), ``label`` the words
    for it, ``origin`` how it is known, ``reason`` why a range was put in its place and
    ``filled`` that it was not the surveyor who gave it.
    """

    path: str
    label: str
    unit: str
    options: tuple[T, ...]
    origin: str = ""
    reason: str = ""
    filled: bool = False

    @property
    def is_open(self) -> bool:
        """Whether nothing is known that could stand for it."""
        return not self.options

    @property
    def is_ranged(self) -> bool:
        """Whether it may be more than one thing."""
        return len(self.options) > 1


class NotKnown(Exception):
    """A check needs facts that are open."""

    def __init__(self, facts: Iterable[Fact[Any]]) -> None:
        self.facts = tuple(facts)
        super().__init__(", ".join(fact.label for fact in self.facts))


@dataclass(slots=True)
class Ends:
    """Takes one end of every range: all unfavourable, or all favourable ones.

    ``used`` collects the facts that were taken and are a range or were filled in, so that a
    finding can name them. ``settled`` holds, by the facts' paths, the one option that counts of
    a range on trial.
    """

    favourable: bool
    used: dict[str, Fact[Any]] = field(default_factory=dict)
    settled: Mapping[str, Any] = field(default_factory=dict)
    _found: dict[Hashable, tuple[Any, dict[str, Fact[Any]]]] = field(default_factory=dict)

    def options(self, fact: Fact[T]) -> tuple[T, ...]:
        """Return what a fact may be: all its options, or the one that is settled on trial."""
        return (self.settled[fact.path],) if fact.path in self.settled else fact.options

    def opposite(self) -> Ends:
        """Return what takes the other end of every range and notes what it took here."""
        return Ends(favourable=not self.favourable, used=self.used, settled=self.settled)

    def once(self, key: Hashable, find: Callable[[], T]) -> T:
        """Return what ``find`` returns, asking it once for each key.

        The facts that entered it are noted every time; what it raises is not remembered.
        """
        if key not in self._found:
            before = dict(self.used)
            self.used.clear()
            try:
                result = find()
                self._found[key] = (result, dict(self.used))
            finally:
                self.used.update(before)
        found, entered = self._found[key]
        self.used.update(entered)
        return found  # type: ignore[no-any-return]

    def worst(self, fact: Fact[T], score: Callable[[T], float]) -> T:
        """Return the option with the lowest score (the highest in the favourable run)."""
        (value,) = self.worst_of((fact,), score)
        return value  # type: ignore[no-any-return]

    def worst_of(
        self, facts: tuple[Fact[Any], ...], score: Callable[..., float]
    ) -> tuple[Any, ...]:
        """Return the combination of options with the lowest score (the highest if favourable).

        Raises NotKnown naming every open fact among ``facts``.
        """
        missing = [fact for fact in facts if fact.is_open]
        if missing:
            raise NotKnown(missing)
        self.note(facts)
        combinations = list(product(*(self.options(fact) for fact in facts)))
        if len(combinations) == 1:
            return combinations[0]
        chosen = max if self.favourable else min
        return chosen(combinations, key=lambda options: score(*options))

    def high_is_bad(self, fact: Fact[float]) -> float:
        """Return the highest possible value (the lowest in the favourable run)."""
        return self.worst(fact, lambda value: -value)

    def low_is_bad(self, fact: Fact[float]) -> float:
        """Return the lowest possible value (the highest in the favourable run)."""
        return self.worst(fact, lambda value: value)

    def bad_if(self, fact: Fact[bool], bad: bool) -> bool:  # noqa: FBT001
        """Return ``bad`` if it is possible (the opposite if possible in the favourable run)."""
        return self.worst(fact, lambda value: 0.0 if value is bad else 1.0)

    def known(self, fact: Fact[T]) -> T:
        """Return a value that must not be a range; NotKnown if it is one or is open."""
        options = self.options(fact)
        if len(options) != 1:
            raise NotKnown((fact,))
        return options[0]

    def note(self, facts: Iterable[Fact[Any]]) -> None:
        """Remember that these facts entered the result."""
        self.used.update({fact.path: fact for fact in facts if fact.is_ranged or fact.filled})
