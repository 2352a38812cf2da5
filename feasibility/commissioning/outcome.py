"""What a comparison of readings with predictions found. Frozen; nothing here computes."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from enum import StrEnum

from feasibility.result import Message, Span


class Agreement(StrEnum):
    """Whether readings and prediction agree within their tolerance."""

    WITHIN = "within what was expected"
    DIFFERS = "differs"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True, kw_only=True)
class DropResult:
    """The drop of the station's current over the links between two nodes.

    ``conductors`` is L1-N or L1-L2. ``extra_ohm`` is the resistance that the reading shows beside
    the prediction, ``likely_ohm`` the middle of it, both None unless there is more than predicted.
    ``hidden_ohm`` is the most that could be there unseen. Losses in W at the requested current.
    """

    from_node: str
    to_node: str
    links: tuple[str, ...]
    conductors: str
    current_a: float
    measured_v: float
    expected_v: Span
    tolerance_v: float
    agreement: Agreement
    extra_ohm: Span | None
    likely_ohm: float | None
    likely_loss_w: float | None
    hidden_ohm: float
    hidden_loss_w: float

    @property
    def is_more(self) -> bool:
        """Whether the drop is larger than predicted beyond the tolerance."""
        return self.agreement is Agreement.DIFFERS and self.extra_ohm is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class LoopResult:
    """The loop of a line and the protective conductor between two nodes, or up to a node.

    ``from_node`` is empty for the first node that was read: then all before it is in the loop.
    ``permitted_ohm`` and ``advised_ohm`` bound the whole loop up to the node, ``read_ohm``.
    """

    from_node: str
    to_node: str
    links: tuple[str, ...]
    conductor: str
    read_ohm: float
    measured_ohm: float
    expected_ohm: Span | None
    tolerance_ohm: float
    permitted_ohm: float | None
    advised_ohm: float | None
    agreement: Agreement
    extra_ohm: Span | None

    @property
    def is_more(self) -> bool:
        """Whether the loop is larger than predicted beyond the tolerance."""
        return self.agreement is Agreement.DIFFERS and self.extra_ohm is not None

    @property
    def is_above_permitted(self) -> bool:
        """Whether the whole loop exceeds what disconnection permits, even with hot conductors."""
        return self.permitted_ohm is not None and self.read_ohm > self.permitted_ohm


@dataclass(frozen=True, slots=True, kw_only=True)
class CurrentResult:
    """The current of the station in one phase against what was assessed."""

    phase: str
    measured_a: float
    assessed_a: float
    tolerance_a: float
    agreement: Agreement


@dataclass(frozen=True, slots=True, kw_only=True)
class TemperatureResult:
    """A temperature, carried over to the requested current and a warm day.

    ``limit`` is a rise in K or a temperature in °C by ``unit``, ``at_request`` what is compared
    with it. ``above_similar_k`` is the difference to the coolest like part, as measured.
    """

    link: str
    part: str
    conductor: str
    measured_c: float
    rise_k: float
    at_request: float
    limit: float
    unit: str
    above_similar_k: float
    agreement: Agreement
    remark: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspect:
    """Where a resistance is too high: the links, the conductors, how much, and why likely."""

    links: tuple[str, ...]
    conductors: tuple[str, ...]
    likely_ohm: float | None
    likely_loss_w: float | None
    evidence: tuple[Message, ...]
    causes: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """A record compared with an assessment; ``notes`` say what was taken for granted."""

    site: str
    reference: str
    survey_sha256: str
    read_by: str
    date: dt.date
    in_operation_a: float
    agreement: Agreement
    suspects: tuple[Suspect, ...]
    drops: tuple[DropResult, ...]
    loops: tuple[LoopResult, ...]
    currents: tuple[CurrentResult, ...]
    temperatures: tuple[TemperatureResult, ...]
    not_compared: tuple[str, ...]
    notes: tuple[str, ...]
