"""What a remedy is: one or several changes, how much they disturb, and what they would give."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from feasibility.result import Message, Verdict
from feasibility.survey.changes import Change


class Kind(StrEnum):
    """What is done, in the order of how much it disturbs (our own order, common practice).

    First what only the station or its cord needs, then work inside a board, then what others on
    the site notice, then work on cables, then new parts of the installation, last what needs
    permanent control of loads or the network operator.
    """

    LOWER_SETTING = "lower-setting"
    HOLDING_SETTING = "holding-setting"
    UNWOUND_CORD = "unwound-cord"
    OTHER_CORD = "other-cord"
    RELEASE_SETTING = "release-setting"
    OTHER_DEVICE = "other-device"
    RESIDUAL_CURRENT_DEVICE = "residual-current-device"
    OTHER_PART = "other-part"
    OTHER_OUTLET = "other-outlet"
    BLOCKED_OUTLET = "blocked-outlet"
    MOVED_LOADS = "moved-loads"
    UNGROUPED_CABLE = "ungrouped-cable"
    RELOCATED_CABLE = "relocated-cable"
    PARALLEL_CABLE = "parallel-cable"
    LARGER_CABLE = "larger-cable"
    NEW_CIRCUIT = "new-circuit"
    LOAD_MANAGEMENT = "load-management"
    ENLARGED_SERVICE = "enlarged-service"

    @property
    def disturbance(self) -> int:
        """Place in the order, the smallest disturbance first."""
        return list(Kind).index(self)

    @property
    def unit(self) -> str:
        """What a price is for: a metre of cable, or each."""
        return "m" if self in _BY_LENGTH else "each"


_BY_LENGTH = (
    Kind.OTHER_CORD,
    Kind.RELOCATED_CABLE,
    Kind.PARALLEL_CABLE,
    Kind.LARGER_CABLE,
    Kind.NEW_CIRCUIT,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One change: its kind, the place in the survey and the link it concerns, what is done.

    ``quantity`` counts in the kind's unit. ``changes`` are hypothetical: nobody saw them on site.
    """

    kind: Kind
    place: str
    link: str
    words: Message = field(compare=False)
    changes: tuple[Change, ...]
    quantity: float = 1.0

    @property
    def key(self) -> tuple[Kind, str]:
        """What a remedy does at most once: this kind of change at this place."""
        return self.kind, self.place


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferedPart:
    """A part of an offered remedy, and the current that it alone would let through, in A.

    ``alone_a`` counts current only, rounded down to a setting; None where nothing limits it or
    what limits it is not known.
    """

    part: Part
    alone_a: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """One or several changes that together are enough, none of them dispensable.

    ``requested_a`` is what the station asks of the changed site (at constant power less than before
    where the voltage is higher), ``carries_a`` the largest current that the changed site carries by
    current, both per phase in A. ``verdict`` is what the same checks say of it: undecided where
    questions stay open that were open before. ``reduced`` says that the station then runs at a
    lower setting than requested.
    ``price`` is the sum of the user's own prices, None where one of them is not listed.
    """

    parts: tuple[OfferedPart, ...]
    requested_a: float | None
    carries_a: float | None
    verdict: Verdict
    reduced: bool = False
    price: float | None = None

    @property
    def disturbance(self) -> tuple[int, ...]:
        """Order of disturbance: the worst part counts first, then the next."""
        return disturbance_of(one.part for one in self.parts)


def disturbance_of(parts: Iterable[Part]) -> tuple[int, ...]:
    """Return the order of a set of parts: by its worst part, then by the next, then by number."""
    return tuple(sorted((part.kind.disturbance for part in parts), reverse=True))


@dataclass(frozen=True, slots=True, kw_only=True)
class Prices:
    """The user's own prices: by kind of remedy, for the kind's unit."""

    currency: str
    by_kind: Mapping[Kind, float]

    def of(self, parts: Iterable[Part]) -> float | None:
        """Return the sum for these parts; None where one of them has no price."""
        listed = [(part, self.by_kind.get(part.kind)) for part in parts]
        if any(price is None for _, price in listed):
            return None
        return sum(part.quantity * (price or 0.0) for part, price in listed)
