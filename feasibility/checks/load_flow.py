"""The load flow at the requested current, confirmed by a second solver, for finding and report."""

from __future__ import annotations

from dataclasses import dataclass, replace

from feasibility.checks.operation import Operation
from feasibility.checks.question import Check, Run, finding, the_station, verdict_of
from feasibility.checks.second_opinion import at_voltages
from feasibility.checks.working import amount
from feasibility.clauses.power_quality import sequence_unbalance_percent
from feasibility.code_basis import Limit
from feasibility.installation.facts import NotKnown
from feasibility.installation.model import Link
from feasibility.network.records import Network
from feasibility.network.solution import NotSupplied, Solution
from feasibility.result import Finding, Outcome, Sense
from feasibility.tables import NotTabulated


@dataclass(frozen=True, slots=True, kw_only=True)
class NodeState:
    """Voltages of a node at the requested current and lowest supply voltage, in V.

    ``line_voltage_v`` is the lowest between two lines. ``phase_voltages_v`` are those of L1, L2 and
    L3 to the neutral there; None where a phase does not lead. ``unbalance_percent`` is negative
    over positive sequence, None where not all three lead.
    """

    name: str
    line_voltage_v: float
    phase_voltages_v: tuple[float | None, float | None, float | None]
    unbalance_percent: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class BranchState:
    """Currents of a circuit's cable or an own transformer, and its losses.

    ``current_a`` is that of the worst phase, ``phase_currents_a`` those of L1, L2 and L3,
    ``carries_a`` what the branch carries. With a single-phase station only its own phase counts
    (the others would relieve the neutral).
    """

    name: str
    current_a: float
    phase_currents_a: tuple[float, float, float]
    carries_a: float
    neutral_current_a: float
    loss_w: float

    @property
    def loading_percent(self) -> float:
        """The worst phase's current in percent of what the branch carries."""
        return 100 * self.current_a / self.carries_a


@dataclass(frozen=True, slots=True, kw_only=True)
class NetworkState:
    """The converged network, with the deviation between the two solvers.

    ``model`` is the network as the second solver was given it: conductors at their temperatures,
    each load as the power that it draws in this state, nodes and branches in the order of those
    here. ``constant_currents`` names the loads whose current stays when the voltage changes.
    """

    station_current_a: float
    nodes: tuple[NodeState, ...]
    branches: tuple[BranchState, ...]
    conductor_temperatures_c: dict[str, float]
    model: Network
    constant_currents: tuple[str, ...]
    solver_deviation: float


def _judge(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("load_flow_agreement")
    requested = run.requested().current_a
    try:
        deviation = run.operation.confirm(requested)
    except NotSupplied:
        deviation = float("nan")
    if deviation is None:
        return _collapsed(run, link, limit, requested)
    bound = run.basis.number("load_flow_agreement")
    agree = deviation <= bound
    words = "agree" if agree else "do not agree"
    single = not all(run.operation.phases_of_station())
    alone = " Loads on the other phases count only where they lower its voltage." if single else ""
    return finding(
        LOAD_FLOW,
        link,
        limit,
        Outcome.PASS if agree else Outcome.OPEN,
        "Two independent load-flow solvers " + words + " at the requested current." + alone,
        {"deviation": amount("d", "largest relative deviation", deviation, "")},
        value=deviation,
        bound=bound,
        sense=Sense.AT_MOST,
    )


def _collapsed(run: Run, link: Link, limit: Limit, requested: float) -> Finding:
    """Say up to which current there is an operating point."""
    operation = run.operation

    def supplied(station_a: float) -> float:
        return 1.0 if operation.state(station_a) is not None else -1.0

    most = operation.largest_current_a(supplied, requested)
    words = "The load cannot be supplied: the voltage collapses beyond {most} of the station."
    if most == 0:
        words = "The site's own demand cannot be supplied: its voltage collapses."
    found = finding(
        LOAD_FLOW,
        link,
        limit,
        verdict_of(limit, passes=False),
        words,
        {"most": amount("Imax", "largest current with an operating point", most, "A")},
        carries_a=most,
    )
    return replace(found, depends_on_current=True)


LOAD_FLOW = Check(
    name="load-flow",
    question="Is the load flow of the site certain?",
    links=the_station,
    judge=_judge,
)


def network_state(run: Run) -> NetworkState | None:
    """Return the converged network at the requested current, None where it cannot be solved."""
    operation = run.operation
    try:
        requested = run.requested().current_a
        deviation = operation.confirm(requested)
    except (NotKnown, NotTabulated, NotSupplied):
        return None
    state = operation.state(requested)
    if deviation is None or state is None:
        return None
    temperatures_c = operation.temperatures_c(requested)  # the network below belongs to them
    network = operation.network(requested)
    return NetworkState(
        station_current_a=requested,
        nodes=tuple(_node(operation, state, name) for name in network.nodes),
        branches=tuple(_branch(operation, state, branch.name) for branch in network.branches),
        conductor_temperatures_c=temperatures_c,
        model=at_voltages(network, state),
        constant_currents=tuple(one.name for one in network.loads if one.kind == "current"),
        solver_deviation=deviation,
    )


def _node(operation: Operation, state: Solution, name: str) -> NodeState:
    phases = operation.phases_at(name)
    volts = [
        float(one) if on else None for one, on in zip(state.voltage_v(name), phases, strict=True)
    ]
    _, positive, negative = state.sequence_voltages_v(name)
    unbalance = sequence_unbalance_percent(negative_v=abs(negative), positive_v=abs(positive))
    return NodeState(
        name=operation.words_of(name),
        line_voltage_v=state.lowest_line_voltage_v(name),
        phase_voltages_v=(volts[0], volts[1], volts[2]),
        unbalance_percent=float(unbalance) if all(phases) else None,
    )


def _branch(operation: Operation, state: Solution, name: str) -> BranchState:
    amperes = [float(one) for one in state.current_a(name)]
    return BranchState(
        name=operation.words_of(name),
        current_a=max(amperes),
        phase_currents_a=(amperes[0], amperes[1], amperes[2]),
        carries_a=operation.carries_a(name),
        neutral_current_a=state.neutral_current_a(name),
        loss_w=state.loss_w(name),
    )
