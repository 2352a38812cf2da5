"""What an electrician should read after the installation: drops, loops, currents, temperatures.

The voltage figures are those of the station alone, as the difference of readings with and without
it shows them. Each has two ends: conductors at 20 °C, short and thick; and conductors as warm as
the steady state makes them, long and thin. Nothing is said where a fact is lacking.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from feasibility import tables
from feasibility.checks.fault_conductors import COLD_C, FaultKind, cold_cord_loop_ohm, hottest_c
from feasibility.checks.fault_impedance import cold_range
from feasibility.checks.fault_levels import node_names
from feasibility.checks.fault_path import live_kinds_at
from feasibility.checks.fault_sources import voltage_to_earth_v
from feasibility.checks.question import Run
from feasibility.checks.station_alone import Drops, drops_of_station, neutral_reaches
from feasibility.citation import Citation
from feasibility.expected_continuity import expected_continuity
from feasibility.initial_tests import InitialTest, initial_tests
from feasibility.installation.facts import NotKnown
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.network.records import PhaseValues
from feasibility.network.solution import NotSupplied
from feasibility.result import Finding, Quantity, Span, Verdict
from feasibility.tables import NotTabulated
from feasibility.units import SQRT3, OutOfRange

PHASES = ("L1", "L2", "L3")
TO_NEUTRAL, BETWEEN_LINES = "line and neutral", "lines"
_DISCONNECTION = "disconnection"


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpectedNode:
    """What should be read at a node of the feed path; None where it is not known.

    ``drop_v`` is the drop from the origin on each phase of the station, ``section_drop_v`` that
    from the node before, ``voltage_v`` what stands here with the nominal voltage at the origin; all
    three are those between ``voltage_between``. ``loop_ohm`` is the earth-fault loop with cold
    conductors, ``loop_permitted_ohm`` its largest value by calculation with hot conductors,
    ``loop_advised_ohm`` the largest one that a reading with cold conductors should show (in TT both
    are the largest resistance of the electrode). ``protective_ohm`` and
    ``line_and_protective_ohm`` are those of the section that leads here, dead and at 20 °C.
    ``fault_current_a`` is what an instrument shows
    that divides the nominal voltage by the impedance between ``fault_between``. ``lacking`` says in
    words what is not known.
    """

    node: str
    section: str
    voltage_between: str
    voltage_v: Span | None
    drop_v: Span | None
    section_drop_v: Span | None
    protective_ohm: Span | None
    line_and_protective_ohm: Span | None
    loop_ohm: Span | None
    loop_permitted_ohm: float | None
    loop_advised_ohm: float | None
    fault_between: str
    fault_current_a: Span | None
    lacking: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PermittedTemperature:
    """The most that a part of a link may reach: a rise over the air around in K, or a temperature.

    ``unit`` is K for a rise at rated current, °C for a temperature in service.
    """

    link: str
    part: str
    value: float
    unit: str
    sources: tuple[Citation, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpectedReadings:
    """Everything for the sheet of the commissioning.

    ``test_current_a`` is the current per phase of the station at which the drops hold: what it
    draws at the setting in force or, where only a lower one carries, at the largest that carries.
    ``verdict_stands`` is False where the assessment does not let the station be connected as the
    site was surveyed: then the figures hold for the site before its change. ``tests`` come before
    energising, in this order.
    """

    test_current_a: float | None
    phases: tuple[str, ...]
    verdict_stands: bool
    nodes: tuple[ExpectedNode, ...]
    temperatures: tuple[PermittedTemperature, ...]
    tests: tuple[InitialTest, ...]


def expected_readings(
    run: Run, findings: Sequence[Finding], verdict: Verdict, test_current_a: float | None
) -> ExpectedReadings:
    """Return what should be read; ``run`` is the one that takes the unfavourable ends."""
    noted = dict(run.ends.used)
    try:
        phases = run.operation.phases_of_station()
    except NotKnown:
        phases = (False, False, False)
    drops, lacking = _drops(run, phases, test_current_a)
    permitted = _permitted_loops(run, findings)
    names = node_names(run.installation)
    nodes = [
        _node(run, node, name, drops, lacking, permitted.get(node, (None, None)))
        for node, name in enumerate(names)
    ]
    temperatures = tuple(_temperatures(run))
    run.ends.used.clear()
    run.ends.used.update(noted)
    return ExpectedReadings(
        test_current_a=test_current_a,
        phases=tuple(name for name, on in zip(PHASES, phases, strict=True) if on),
        verdict_stands=verdict in (Verdict.CARRIES, Verdict.CARRIES_REDUCED),
        nodes=tuple(nodes),
        temperatures=temperatures,
        tests=initial_tests(run),
    )


def section_name(installation: Installation, node: int) -> str:
    """Return what leads to a node from the one before: a circuit, or the cord; nothing at 0."""
    if node == 0:
        return ""
    if node <= len(installation.circuits):
        return installation.circuits[node - 1].name
    return "cord"


def steady_celsius(run: Run, current_a: float) -> Mapping[str, float]:
    """Return the conductor temperatures in the steady state, the hottest permitted if not known."""
    links = run.installation.links_of(LinkKind.CABLE, LinkKind.CORD)
    try:
        found = run.operation.temperatures_c(current_a)
    except (NotKnown, NotTabulated, OutOfRange):
        found = {}
    return {link.name: found.get(link.name) or hottest_c(run, link) for link in links}


def _drops(
    run: Run, phases: tuple[bool, bool, bool], current_a: float | None
) -> tuple[tuple[Drops, Drops] | None, str]:
    """Return the smallest and the largest drops, or what is lacking for them in words."""
    if current_a is None or not any(phases):
        return None, "drop: the current of the station is not known"
    each = [current_a if on else 0.0 for on in phases]
    currents: PhaseValues = (each[0], each[1], each[2])
    try:
        warm = steady_celsius(run, current_a)
        origin = run.operation.nominal_voltage_v
        least = drops_of_station(
            run, currents, origin_line_voltage_v=origin, celsius=lambda _: COLD_C, greatest=False
        )
        most = drops_of_station(
            run,
            currents,
            origin_line_voltage_v=origin,
            celsius=lambda link: warm[link.name],
            greatest=True,
        )
    except NotKnown as missing:
        return None, f"drop: not known: {missing}"
    except NotSupplied:
        return None, "drop: the network cannot carry this current"
    except (NotTabulated, OutOfRange) as refused:
        return None, f"drop: {refused}"
    return (least, most), ""


def _node(
    run: Run,
    node: int,
    name: str,
    drops: tuple[Drops, Drops] | None,
    lacking: str,
    permitted: tuple[float | None, float | None],
) -> ExpectedNode:
    to_neutral = neutral_reaches(run.installation, node)
    words = [lacking] if lacking else []
    loop, loop_lacks = _loop(run, node)
    fault_kind, fault, fault_lacks = _fault(run, node)
    protective, with_line, dead_lacks = expected_continuity(run, node)
    words += [one for one in (dead_lacks, loop_lacks, fault_lacks) if one]
    drop = None if drops is None else _drop_at(run, node, drops, to_neutral=to_neutral)
    section = None
    if drops is not None and node > 0:
        section = _drop_at(run, node, drops, to_neutral=to_neutral, before=node - 1)
    voltage = None
    if drop is not None:
        nominal = run.operation.nominal_voltage_v / (SQRT3 if to_neutral else 1.0)
        voltage = Span(low=nominal - drop.high, high=nominal - drop.low)
    return ExpectedNode(
        node=name,
        section=section_name(run.installation, node),
        voltage_between=TO_NEUTRAL if to_neutral else BETWEEN_LINES,
        voltage_v=voltage,
        drop_v=drop,
        section_drop_v=section,
        protective_ohm=protective,
        line_and_protective_ohm=with_line,
        loop_ohm=loop,
        loop_permitted_ohm=permitted[0],
        loop_advised_ohm=permitted[1],
        fault_between=fault_kind,
        fault_current_a=fault,
        lacking=tuple(words),
    )


def _drop_at(
    run: Run, node: int, drops: tuple[Drops, Drops], *, to_neutral: bool, before: int = 0
) -> Span:
    """Return the drop between two nodes on the phases of the station, all of which are alike."""
    phase = run.operation.phases_of_station().index(True)

    def between(one: Drops) -> float:
        levels = one.to_neutral_v if to_neutral else one.between_lines_v
        return float(levels[node, phase] - levels[before, phase])

    low, high = between(drops[0]), between(drops[1])
    return Span(low=low, high=high)


def _loop(run: Run, node: int) -> tuple[Span | None, str]:
    """Return the earth-fault loop at a node with cold conductors; in TT and IT it is read only."""
    system = run.installation.supply.word("earthing_system").options
    if not system or not all(word.startswith("TN") for word in system):
        words = system[0] if len(system) == 1 else "earthing system not known"
        return None, f"loop: not calculated ({words})"
    try:
        low, high = cold_range(run, node, FaultKind.LINE_EARTH)
    except NotKnown as missing:
        return None, f"loop: not known: {missing}"
    except (NotTabulated, OutOfRange) as refused:
        return None, f"loop: {refused}"
    return Span(low=low.ohm, high=high.ohm), ""


def _fault(run: Run, node: int) -> tuple[str, Span | None, str]:
    """Return between what a fault current is read at a node, and what the instrument shows."""
    kinds = live_kinds_at(run.installation, node)
    to_neutral = FaultKind.LINE_NEUTRAL in kinds
    kind = FaultKind.LINE_NEUTRAL if to_neutral else FaultKind.LINE_LINE
    try:
        low, high = cold_range(run, node, kind)
        volts = voltage_to_earth_v(run) if to_neutral else run.operation.nominal_voltage_v / 2
    except NotKnown as missing:
        return kind.value, None, f"fault current: not known: {missing}"
    except (NotTabulated, OutOfRange) as refused:
        return kind.value, None, f"fault current: {refused}"
    return kind.value, Span(low=volts / high.ohm, high=volts / low.ohm), ""


def _permitted_loops(
    run: Run, findings: Iterable[Finding]
) -> dict[int, tuple[float | None, float | None]]:
    """Return the largest loop (hot by calculation, cold as read) at the end of each circuit.

    What the finding on disconnection states at the far end; at the outlet of a final circuit the
    cord's own loop is taken off the reading.
    """
    by_link = {one.link: one for one in findings if one.check == _DISCONNECTION}
    found: dict[int, tuple[float | None, float | None]] = {}
    for circuit in run.installation.circuits:
        finding = by_link.get(circuit.link.name)
        results = {} if finding is None else {s.symbol: s.result for s in finding.working}
        electrode = results.get("RAmax")
        hot, cold = results.get("Zsmax", electrode), results.get("Zmmax", electrode)
        node = circuit.position + 1
        found[node] = (hot, cold)
        if circuit.is_final and run.installation.cord is not None:
            found[node + 1] = (hot, cold)
            if electrode is None:
                found[node] = (None, _without_cord(run, cold))
    return found


def _without_cord(run: Run, cold_ohm: float | None) -> float | None:
    """Return what the outlet may show of the loop that is advised at the end of the cord."""
    if cold_ohm is None:
        return None
    try:
        return cold_ohm - cold_cord_loop_ohm(run)[0]
    except NotKnown:
        return None


def _temperatures(run: Run) -> Iterator[PermittedTemperature]:
    for link in run.installation.links:
        for part, limit in _limits_of(run, link):
            yield PermittedTemperature(
                link=link.name,
                part=part,
                value=limit.value,
                unit=limit.unit,
                sources=limit.sources,
            )


TERMINALS, INSULATION, GRIP, COVER = (
    "terminals and contacts",
    "insulation of the conductors",
    "what is held in the hand",
    "cover",
)
"""The parts of a link whose temperature is read."""

_MINIATURE = "IEC 60898-1 circuit-breaker"


def _terminal_row(link: Link) -> str:
    """Return the row of the table for the terminals of a device or another part."""
    if link.kind is LinkKind.RESIDUAL_CURRENT_DEVICE:
        return "terminal of a residual-current device, IEC 61008-1"
    if link.kind is LinkKind.DEVICE and link.data.word("kind").options == (_MINIATURE,):
        return "terminal of a circuit-breaker, IEC 60898-1"
    return "terminal of a device, IEC 60947"


def _limits_of(run: Run, link: Link) -> Iterator[tuple[str, Quantity]]:
    kind = link.kind
    socket = run.installation.outlet.word("kind").options != ("fixed connection",)
    if kind in (LinkKind.OUTLET, LinkKind.PLUG) and socket:
        yield (
            TERMINALS,
            tables.outlet_rule(rule="temperature rise of terminals, at most", condition="all"),
        )
    elif kind in (LinkKind.DEVICE, LinkKind.RESIDUAL_CURRENT_DEVICE, LinkKind.PART):
        yield TERMINALS, tables.permitted_temperature(part=_terminal_row(link))
    elif kind in (LinkKind.CABLE, LinkKind.CORD):
        word = link.data.word("grade" if kind is LinkKind.CORD else "insulation")
        for name in word.options[:1] if len(word.options) == 1 else ():
            yield INSULATION, tables.maximum_conductor_temperature(insulation=name)
    if kind is LinkKind.PLUG:
        yield GRIP, tables.permitted_temperature(part="held in the hand, not metal")
    if kind in (LinkKind.OUTLET, LinkKind.DEVICE):
        yield COVER, tables.permitted_temperature(part="touched but not held, not metal")
