"""What a check returns: outcomes, limits with their force, and the working behind a figure.

Nothing here computes electricity and nothing here formats text for a reader.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from feasibility.citation import Citation


class Outcome(StrEnum):
    """What a check found. ``open`` means it cannot be judged yet, never that it fails."""

    PASS = "pass"  # noqa: S105
    CAUTION = "caution"
    FAIL = "fail"
    OPEN = "open"
    NOT_APPLICABLE = "not-applicable"


class Force(StrEnum):
    """How strongly a limit binds. Only the first two can make a finding fail."""

    REQUIREMENT = "requirement"
    MAKERS_LIMIT = "maker's limit"
    RECOMMENDATION = "recommendation"
    PRACTICE = "practice"
    NUISANCE = "nuisance"

    @property
    def binds(self) -> bool:
        """Whether a breach is a failure (and limits the carryable current)."""
        return self in (Force.REQUIREMENT, Force.MAKERS_LIMIT)


class Sense(StrEnum):
    """On which side of its limit a value has to lie. Equality passes."""

    AT_MOST = "at most"
    AT_LEAST = "at least"


class Verdict(StrEnum):
    """The answer to the whole question."""

    CARRIES = "carries"
    CARRIES_REDUCED = "carries-reduced"
    UPGRADE = "upgrade"
    UNDECIDED = "undecided"


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """The two ends between which a reading should lie."""

    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """A number with its unit and its origin.

    ``symbol`` is how a working writes it (``It``), ``meaning`` what it is in words,
    ``sources`` where a tabled value comes from, ``origin`` where a site value comes from
    (``"measured"``, ``"read from label"``, ``"assumed: worst of A1 to C"``), ``note`` a warning
    that belongs to the value (an unconfirmed table cell, the user's own data sheet).
    """

    value: float
    unit: str
    symbol: str = ""
    meaning: str = ""
    sources: tuple[Citation, ...] = ()
    origin: str = ""
    note: str = ""

    def named(self, symbol: str, meaning: str = "") -> Quantity:
        """Return the same quantity under the symbol a working gives it."""
        return replace(self, symbol=symbol, meaning=meaning or self.meaning)


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One line of a working: ``symbol = formula = result``.

    ``formula`` is plain arithmetic in the symbols of ``inputs`` (``"It * ca * cg"``), with
    ``sqrt``, ``min`` and ``max`` allowed; tests evaluate it and compare it with ``result``.
    """

    symbol: str
    meaning: str
    formula: str
    inputs: tuple[Quantity, ...]
    result: float
    unit: str
    sources: tuple[Citation, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Message:
    """A sentence as a template and the values that go into it; a renderer formats the numbers."""

    template: str
    values: Mapping[str, Quantity | str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What one check found on one link (or on the whole path, then ``link`` is empty).

    ``carries_a`` is the largest continuous station current, per phase, that passes the check;
    None where the check does not depend on current. ``facts`` names the survey values that
    would have to be known better (outcome ``open``).
    """

    check: str
    question: str
    outcome: Outcome
    reason: Message
    force: Force = Force.REQUIREMENT
    link: str = ""
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    sense: Sense = Sense.AT_MOST
    carries_a: float | None = None
    depends_on_current: bool = False
    sources: tuple[Citation, ...] = ()
    working: tuple[Step, ...] = ()
    facts: tuple[str, ...] = ()

    @property
    def margin(self) -> float | None:
        """How far the value lies on the good side of its limit; negative is a breach."""
        if self.value is None or self.limit is None:
            return None
        distance = self.limit - self.value
        return distance if self.sense is Sense.AT_MOST else -distance

    @property
    def utilisation(self) -> float | None:
        """Share of the limit that is used; above 1 is a breach."""
        if not self.value or not self.limit:
            return None
        share = self.value / self.limit
        return share if self.sense is Sense.AT_MOST else 1 / share


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultLevel:
    """Largest and smallest current in A of one kind of fault; None where it is not known.

    ``facts`` are the survey values without which a figure is not known, ``lacking`` says so in
    words (or why a table refused), and is empty where both figures are known.
    """

    kind: str
    largest_a: float | None
    smallest_a: float | None
    facts: tuple[str, ...] = ()
    lacking: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NodeFaults:
    """The faults that are possible at a node of the feed path."""

    node: str
    levels: tuple[FaultLevel, ...]
