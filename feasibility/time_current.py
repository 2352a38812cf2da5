"""What a time-current diagram of two devices in series shows, all of it computed here."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeVar

from feasibility.checks.carrying_capacity import ampacity
from feasibility.checks.devices_in_series import (
    Pair,
    pairs,
    quick_edge_of,
    slow_edge_of,
)
from feasibility.checks.fault_heating import LIVE, withstand_of
from feasibility.checks.fault_path import (
    largest_fault,
    smallest_earth_fault,
    smallest_live_fault,
)
from feasibility.checks.inrush import duration_s, inrush
from feasibility.checks.parallel_cables import unequal_cables
from feasibility.checks.question import Run
from feasibility.checks.selectivity import SELECTIVITY
from feasibility.clauses.adiabatic import LONGEST_S, SHORTEST_S
from feasibility.curves.bands import ContradictoryBandError
from feasibility.curves.edges import Edge
from feasibility.installation.facts import NotKnown
from feasibility.installation.model import Link, LinkKind
from feasibility.result import Finding, Message, Outcome
from feasibility.tables import NotTabulated
from feasibility.units import OutOfRange

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class DiagramPoint:
    """A current, r.m.s., and the time that belongs to it."""

    current_a: float
    time_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceCurve:
    """One device: by when it surely holds (``quick``) and by when it has operated (``slow``).

    Points by rising current, joined by straight lines in double logarithm. Left of the first point
    nothing happens. Right of the last the slow edge keeps its time, the quick one has none.
    """

    name: str
    words: str
    quick: tuple[DiagramPoint, ...]
    slow: tuple[DiagramPoint, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ConductorLimit:
    """What the weakest conductor behind the device on the load side stands."""

    name: str
    value: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeCurrent:
    """One diagram. What is not known is None, and ``missing`` says why.

    ``ampacity`` is Iz in A of the conductor with the smallest one, ``withstand`` k2S2 in A2s of the
    one with the smallest, valid from ``withstand_from_s`` to ``withstand_to_s``. ``start`` is the
    station's inrush, r.m.s. ``selective_up_to_a`` is None where the devices are selective for every
    current or nothing is sure; ``selectivity`` is the sentence of the finding.
    """

    upstream: str
    downstream: str
    before: DeviceCurve | None
    after: DeviceCurve | None
    ampacity: ConductorLimit | None
    withstand: ConductorLimit | None
    withstand_from_s: float
    withstand_to_s: float
    design_current_a: float | None
    start: DiagramPoint | None
    smallest_fault_a: float | None
    largest_fault_a: float | None
    selective_up_to_a: float | None
    outcome: Outcome
    selectivity: Message
    missing: tuple[str, ...]


def time_current_of(run: Run, findings: Sequence[Finding]) -> tuple[TimeCurrent, ...]:
    """Return one diagram for each two devices that follow one another, in feed order."""
    judged = {one.link: one for one in findings if one.check == SELECTIVITY.name}
    return tuple(
        _diagram(run, pair, judged[pair.downstream.name])
        for pair in pairs(run.installation)
        if pair.downstream.name in judged
    )


def _diagram(run: Run, pair: Pair, judged: Finding) -> TimeCurrent:
    missing: list[str] = []

    def ask(what: str, question: Callable[[], T]) -> T | None:
        try:
            return question()
        except (NotKnown, NotTabulated, OutOfRange, ContradictoryBandError) as refused:
            missing.append(f"{what}: {refused}")
            return None

    upstream, downstream = pair.upstream, pair.downstream
    conductors = _conductors_behind(run, downstream)
    return TimeCurrent(
        upstream=upstream.name,
        downstream=downstream.name,
        before=ask(upstream.name, lambda: _curve(run, upstream)),
        after=ask(downstream.name, lambda: _curve(run, downstream)),
        ampacity=ask("ampacity behind it", lambda: _ampacity(run, conductors)),
        withstand=ask("heating limit behind it", lambda: _withstand(run, conductors)),
        withstand_from_s=SHORTEST_S,
        withstand_to_s=LONGEST_S,
        design_current_a=ask("design current", lambda: _design_current_a(run, downstream)),
        start=ask("inrush", lambda: _start(run)),
        smallest_fault_a=ask("smallest fault current", lambda: _smallest_fault_a(run, downstream)),
        largest_fault_a=ask(
            "largest fault current", lambda: largest_fault(run, pair.fault_position).value_a
        ),
        selective_up_to_a=judged.value,
        outcome=judged.outcome,
        selectivity=judged.reason,
        missing=tuple(missing),
    )


def _curve(run: Run, device: Link) -> DeviceCurve:
    quick, slow = quick_edge_of(run, device), slow_edge_of(run, device)
    return DeviceCurve(
        name=device.name,
        words=_words(device),
        quick=_places(quick.points),
        slow=_places(slow.points),
    )


def _places(edge: Edge) -> tuple[DiagramPoint, ...]:
    return tuple(DiagramPoint(point.current_a, point.time_s) for point in edge)


_SHOWN = (
    ("characteristic", "characteristic "),
    ("rating_a", ""),
    ("setting_a", "Ir "),
    ("magnetic_setting_a", "Im "),
)


def _words(device: Link) -> str:
    """Return kind, rating and settings as surveyed, with what a range may be."""
    parts = [" or ".join(device.data.word("kind").options)]
    for field, before in _SHOWN:
        fact = device.data.number(field) if device.data.mentions(field) else None
        if fact is not None and fact.options:
            options: tuple[object, ...] = fact.options
            shown = " or ".join(f"{x:g}" if isinstance(x, float) else str(x) for x in options)
            parts.append(f"{before}{shown} {fact.unit}".rstrip())
    return ", ".join(parts)


def _conductors_behind(run: Run, device: Link) -> tuple[Link, ...]:
    """Return the cables of the device's circuit, and the cord behind the final one."""
    if device.kind is not LinkKind.DEVICE:
        return ()
    circuit = run.installation.circuits[device.position]
    cord = run.installation.links_of(LinkKind.CORD) if circuit.is_final else ()
    return (*circuit.cables, *cord)


def _ampacity(run: Run, conductors: Sequence[Link]) -> ConductorLimit | None:
    found = [
        ConductorLimit(name=link.name, value=ampacity(run.installation, link, run.ends).value_a)
        for link in conductors
    ]
    return min(found, key=lambda one: one.value, default=None)


def _withstand(run: Run, conductors: Sequence[Link]) -> ConductorLimit | None:
    """Return the least k2S2 of a line conductor, of cables in parallel that of a single one."""
    found = []
    for link in conductors:
        for cable in (link, *unequal_cables(link)):
            fact = cable.data.number("section_mm2")
            section = run.ends.low_is_bad(fact)
            energy = withstand_of(run, cable, fact, section, LIVE).permitted_a2s
            found.append(ConductorLimit(name=link.name, value=energy))
    return min(found, key=lambda one: one.value, default=None)


def _design_current_a(run: Run, device: Link) -> float:
    return run.operation.current_through(device.position, run.requested().current_a)


def _start(run: Run) -> DiagramPoint | None:
    current_a, time_s = inrush(run)[0], duration_s(run)
    return DiagramPoint(current_a, time_s) if current_a > 0 and time_s > 0 else None


def _smallest_fault_a(run: Run, device: Link) -> float | None:
    """Return the smallest fault current at the end of the circuit, an earth fault only in TN."""
    if device.kind is not LinkKind.DEVICE:
        return None
    circuit = run.installation.circuits[device.position]
    live_a = smallest_live_fault(run, circuit).value_a
    system = run.ends.known(run.installation.supply.word("earthing_system"))
    if not system.startswith("TN"):
        return live_a
    return min(live_a, smallest_earth_fault(run, circuit).value_a)
