"""The drop that the station alone causes along the feed path, phase by phase.

What a voltmeter shows with the station on, less what it shows with the station off, holds nothing
of the other loads: they draw the same in both readings. So they are left out here, and the currents
are those of the station, each phase with its own.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from feasibility.checks.fault_conductors import FaultKind
from feasibility.checks.fault_impedance import pieces_between
from feasibility.checks.fault_levels import node_names
from feasibility.checks.fault_path import live_kinds_at
from feasibility.checks.impedance import line_impedance, neutral_impedance
from feasibility.checks.power_factor import factor_of_drop
from feasibility.checks.question import Run
from feasibility.installation.facts import Ends
from feasibility.installation.model import Installation, Link
from feasibility.network.load_flow import solve
from feasibility.network.records import Branch, Load, Network, PhaseValues
from feasibility.units import SQRT3, FloatArray

Celsius = Callable[[Link], float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Drops:
    """Drop in V from the origin to each node: one row a node, the origin first with zeros.

    ``to_neutral_v`` has a column for L1, L2 and L3, ``between_lines_v`` for L1-L2, L2-L3, L3-L1.
    """

    to_neutral_v: FloatArray
    between_lines_v: FloatArray


def neutral_reaches(installation: Installation, node: int) -> bool:
    """Whether a neutral runs to a node."""
    return FaultKind.LINE_NEUTRAL in live_kinds_at(installation, node)


def drops_of_station(
    run: Run,
    currents_a: PhaseValues,
    *,
    origin_line_voltage_v: float,
    celsius: Celsius,
    greatest: bool,
) -> Drops:
    """Return the drops that these currents of the station cause, other loads left out.

    ``celsius`` is the conductor temperature of each cable and the cord; ``greatest`` takes every
    range at the end that drops more, otherwise less. Where no neutral reaches the station the mean
    of the three currents counts for each. NotKnown names what is lacking, NotSupplied means that
    the network cannot carry the currents.
    """
    ends = Ends(favourable=not greatest, used=run.ends.used)
    installation = run.installation
    last = len(node_names(installation)) - 1
    branches = [_branch(installation, node, ends, celsius) for node in range(last)]
    network = Network(
        nominal_voltage_v=run.operation.nominal_voltage_v,
        source_node="0",
        source_voltage_v=origin_line_voltage_v,
        branches=tuple(branches),
        loads=(_load(run, branches, currents_a, greatest=greatest),),
        frequency_hz=50.0,
    )
    solution = solve(network)
    nodes = [str(node) for node in range(last + 1)]
    return Drops(
        to_neutral_v=_fallen([solution.voltage_v(node) for node in nodes]),
        between_lines_v=_fallen([solution.line_voltage_v(node) for node in nodes]),
    )


def _fallen(voltages: Sequence[FloatArray]) -> FloatArray:
    levels = np.array(voltages)
    fallen: FloatArray = levels[0] - levels
    return fallen


def _branch(installation: Installation, node: int, ends: Ends, celsius: Celsius) -> Branch:
    """Return the circuit, or the cord, from a node to the next one."""
    has_neutral = neutral_reaches(installation, node + 1)
    total = [0.0, 0.0, 0.0, 0.0]
    for link in pieces_between(installation, node, node + 1):
        line = line_impedance(link, ends)
        total[0] += line.resistance_at(celsius(link))
        total[1] += line.reactance_ohm
        if has_neutral:
            neutral = neutral_impedance(link, ends)
            total[2] += neutral.resistance_at(celsius(link))
            total[3] += neutral.reactance_ohm
    return Branch(
        name=str(node),
        from_node=str(node),
        to_node=str(node + 1),
        resistance_ohm=total[0],
        reactance_ohm=total[1],
        neutral_resistance_ohm=total[2],
        neutral_reactance_ohm=total[3],
        has_neutral=has_neutral,
    )


def _load(run: Run, branches: Sequence[Branch], currents_a: PhaseValues, *, greatest: bool) -> Load:
    line = sum(complex(branch.resistance_ohm, branch.reactance_ohm) for branch in branches)
    ends = Ends(favourable=not greatest, used=run.ends.used)
    factor = factor_of_drop(run.installation.station.number("power_factor"), ends, complex(line))
    counted = currents_a
    if not all(branch.has_neutral for branch in branches):
        mean = sum(currents_a) / 3
        counted = (mean, mean, mean)
    apparent = [current * run.operation.nominal_voltage_v / SQRT3 for current in counted]
    active = [va * factor for va in apparent]
    reactive = [va * float(np.sqrt(1 - factor**2)) for va in apparent]
    return Load(
        name="station",
        node=branches[-1].to_node,
        active_w=(active[0], active[1], active[2]),
        reactive_var=(reactive[0], reactive[1], reactive[2]),
        kind="current",
    )
