"""The voltage along the feed path in the worst cases, for whoever draws it."""

from __future__ import annotations

from dataclasses import dataclass

from feasibility.checks.feed_network import NO_LOAD
from feasibility.checks.question import Run
from feasibility.checks.voltage import lowest_accepted
from feasibility.checks.voltage_band import highest_voltage
from feasibility.installation.facts import NotKnown
from feasibility.installation.model import LinkKind
from feasibility.network.solution import NotSupplied, Solution
from feasibility.tables import NotTabulated
from feasibility.units import SQRT3, OutOfRange


@dataclass(frozen=True, slots=True, kw_only=True)
class VoltagePoint:
    """A node of the feed path, ``distance_m`` of cable and cord from the origin; voltages in V.

    ``loaded_v`` with the station at the requested current, ``idle_v`` with it off, both at the
    lowest supply voltage and the largest demand of the site.
    """

    name: str
    distance_m: float
    loaded_v: float
    idle_v: float


@dataclass(frozen=True, slots=True, kw_only=True)
class VoltageAlong:
    """The lowest phase's voltage at each node: between lines, or to neutral if single-phase.

    ``highest_v`` stands everywhere while nothing draws; ``accepted_from_v`` is the voltage from
    which the station operates.
    """

    between_lines: bool
    station_current_a: float
    nominal_v: float
    highest_v: float
    accepted_from_v: float
    points: tuple[VoltagePoint, ...]


def voltage_along(run: Run) -> VoltageAlong | None:
    """Return the voltages of a run, None where a fact is missing or the network has no solution."""
    try:
        return _voltage_along(run)
    except (NotKnown, NotTabulated, NotSupplied, OutOfRange):
        return None


def _voltage_along(run: Run) -> VoltageAlong | None:
    operation = run.operation
    requested = run.requested().current_a
    loaded, idle = operation.state(requested), operation.state(0.0)
    if loaded is None or idle is None:
        return None
    phases = operation.phases_of_station()
    three = all(phases)

    def voltage_v(state: Solution, node: str) -> float:
        if three:
            return state.lowest_line_voltage_v(node)
        return float(state.voltage_v(node)[phases.index(True)])

    nominal = operation.nominal_voltage_v
    return VoltageAlong(
        between_lines=three,
        station_current_a=requested,
        nominal_v=nominal if three else nominal / SQRT3,
        highest_v=highest_voltage(run)[0],
        accepted_from_v=lowest_accepted(run)[0],
        points=tuple(
            VoltagePoint(
                name=operation.words_of(node),
                distance_m=distance_m,
                loaded_v=voltage_v(loaded, node),
                idle_v=voltage_v(idle, node),
            )
            for node, distance_m in _distances_m(run).items()
        ),
    )


def _distances_m(run: Run) -> dict[str, float]:
    """Return the length from the origin to each node of the feed path, in its order."""
    lengths: dict[str, float] = {}
    for link in run.installation.links_of(LinkKind.CABLE, LinkKind.CORD):
        name = run.operation.branch_name(link)
        metres = run.ends.high_is_bad(link.data.number("length_m"))
        lengths[name] = lengths.get(name, 0.0) + metres
    network = run.operation.network(0.0)
    distances = {network.source_node: 0.0}
    for branch in network.branches:
        distances[branch.to_node] = distances[branch.from_node] + lengths.get(branch.name, 0.0)
    distances.pop(NO_LOAD, None)  # before the origin
    return distances
