"""The installation along the feed path: links, circuits, demands, everything as facts."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from feasibility.code_basis import CodeBasis, Limit
from feasibility.demand_log.record import DemandLog, LoggedValues
from feasibility.installation.facts import Fact
from feasibility.installation.resolve import Resolved
from feasibility.load_profile.record import LoadProfile
from feasibility.survey.model import Survey

SERVICE = -1
"""Position of the links at the origin: they carry what all nodes of the path draw."""


class LinkKind(StrEnum):
    """What a link of the feed path is."""

    TRANSFORMER = "transformer"
    CONTRACT = "contracted capacity"
    METERING = "metering"
    DEVICE = "protective device"
    RESIDUAL_CURRENT_DEVICE = "residual-current device"
    CABLE = "cable"
    PART = "part"
    OUTLET = "outlet"
    PLUG = "plug"
    CORD = "flexible cord"
    INLET = "inlet"
    STATION = "station"
    CIRCUIT = "circuit"
    BOARD = "board"
    DEMAND = "demand"


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """One thing that carries the current, in feed order.

    ``position`` is the number of its circuit on the path (SERVICE at the origin, the number of
    circuits for outlet, plug, cord, inlet and station). ``frequency`` is that of the supply, which
    a cable's or cord's reactance follows. A link carries
    the loads of all nodes behind it: node ``n`` is the end of circuit ``n - 1``, node 0 the origin.
    """

    name: str
    kind: LinkKind
    position: int
    data: Resolved
    detail: str = ""
    frequency: Fact[float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PathCircuit:
    """A circuit of the feed path.

    ``link`` stands for the circuit as a whole in findings that concern no single link of it.
    """

    position: int
    name: str
    starts_at: str
    ends_at: str
    device: Link
    own_device: bool
    residual_current_device: Link
    link: Link
    cables: tuple[Link, ...]
    is_final: bool

    @property
    def data(self) -> Resolved:
        """The circuit's own surveyed fields."""
        return self.link.data


@dataclass(frozen=True, slots=True, kw_only=True)
class LoggedDemand:
    """A demand that is stated as a measured log, and by what its maxima are multiplied.

    ``path`` is its place in the survey, ``link`` what findings on it refer to. ``lacking`` is the
    fact without which the log is no evidence, None if it is one. ``profile`` shapes the time that
    was not logged, ``energy_kwh`` is what the meter counts in a year.
    """

    path: str
    where: str
    link: Link
    log: DemandLog | None
    energy_kwh: Fact[float]
    profile: LoadProfile | None
    factors: tuple[Limit, ...]
    lacking: Fact[float] | None

    @property
    def factor(self) -> float:
        """All factors together."""
        return math.prod(one.value for one in self.factors if one.value is not None)

    def counted(self, values: LoggedValues) -> float:
        """Return what counts of a logged maximum, in the unit of the log."""
        return values.maximum * self.factor


@dataclass(frozen=True, slots=True, kw_only=True)
class DeclaredDemand:
    """A demand that somebody declared, or of which only the energy of a year is known.

    ``path`` is its place in the survey, ``link`` what findings on it refer to. ``diversity`` says
    that only a share of a connected load counts, ``measured`` that every such share is measured.
    ``lacking`` is the fact that would show its maximum, None if there is one.
    """

    path: str
    where: str
    link: Link
    declared_by: str
    diversity: bool
    measured: bool
    energy_kwh: Fact[float]
    profile: LoadProfile | None
    lacking: Fact[float] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DemandAt:
    """What is drawn at a node of the path beside the station, per phase.

    ``phase_a`` holds the current of each phase, ``phase_kw`` its power; where ``power_kw`` is given
    instead it is a balanced three-phase power. What counts is these times all ``factors``: shares
    of a connected load that draw at the same time. ``logged`` says that it is by a measured log,
    ``declared`` that it is (a load of) a declared demand, ``shape`` how it runs over the year
    (None: constant at its maximum, or as logged). Where the power factor is not known exactly
    (``power_factor`` is open or a range) the current adds arithmetically. ``where`` names the board
    or outlet.
    """

    node: int
    where: str
    phase_a: tuple[Fact[float], Fact[float], Fact[float]] | None
    power_kw: Fact[float] | None
    power_factor: Fact[float]
    phase_kw: tuple[Fact[float], Fact[float], Fact[float]] | None = None
    factors: tuple[Fact[float], ...] = ()
    logged: LoggedDemand | None = None
    declared: DeclaredDemand | None = None
    shape: LoadProfile | None = None

    @property
    def phases(self) -> set[str]:
        """The phases it can draw from: all three unless it is a tap or a load of one phase."""
        per_phase = self.phase_a or self.phase_kw
        if per_phase is None:
            return {"L1", "L2", "L3"}
        named = zip(("L1", "L2", "L3"), per_phase, strict=True)
        return {name for name, fact in named if fact.path}


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceAt:
    """A second source; ``place`` names the board (or the origin) that it, or its circuit, is on.

    ``node`` is the node of the path behind which it feeds in, ``on_path`` whether its own board
    (or the origin) is that node. ``on_circuit`` is the position of the path's circuit that it feeds
    into behind the device, None where it feeds a board; then its node is that circuit's end.
    ``branch`` are the cables between the node and the source that are not on the path. ``output``
    is the file with what it delivered, None where there is none or it was not given.
    """

    data: Resolved
    name: str
    place: str
    node: int
    on_path: bool
    on_circuit: int | None
    branch: tuple[Link, ...] = ()
    output: DemandLog | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedingPlace:
    """The origin or a board, which something else than the network may feed."""

    name: str
    data: Resolved
    demand: Resolved
    node: int
    on_path: bool
    sources: tuple[SourceAt, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Installation:
    """Everything the checks ask about. ``links`` runs from the service to the station."""

    survey: Survey
    basis: CodeBasis
    supply: Resolved
    transformer: Resolved | None
    """What is or may be the customer's own transformer; None in a public network."""
    station: Resolved
    outlet: Resolved
    cord: Resolved | None
    circuits: tuple[PathCircuit, ...]
    links: tuple[Link, ...]
    demands: tuple[DemandAt, ...]
    places: tuple[Resolved | None, ...]
    """What was surveyed at each node: nothing at the origin, then boards, then the outlet."""
    feeding_places: tuple[FeedingPlace, ...]
    circuit_sources: tuple[SourceAt, ...]

    @property
    def logged(self) -> tuple[LoggedDemand, ...]:
        """Every demand that is stated as a measured log."""
        return tuple(one.logged for one in self.demands if one.logged is not None)

    @property
    def declared(self) -> tuple[DeclaredDemand, ...]:
        """Every demand that is declared, or known by its energy only; each once."""
        found = (one.declared for one in self.demands if one.declared is not None)
        return tuple({one.path: one for one in found}.values())

    @property
    def final_circuit(self) -> PathCircuit:
        """The circuit that ends at the outlet."""
        return self.circuits[-1]

    @property
    def nodes(self) -> tuple[str, ...]:
        """Names of the nodes along the path: origin, boards, outlet."""
        return ("origin", *(circuit.ends_at for circuit in self.circuits))

    def circuit_of(self, link: Link) -> PathCircuit:
        """Return the circuit that a link belongs to; the final one from the outlet on."""
        return self.circuits[min(link.position, len(self.circuits) - 1)]

    def links_of(self, *kinds: LinkKind) -> tuple[Link, ...]:
        """Return the links of these kinds in feed order."""
        return tuple(link for link in self.links if link.kind in kinds)
