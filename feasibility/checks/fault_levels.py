"""Every fault current at every node of the feed path, for the report.

Each figure is the unfavourable end of everything that is not known exactly, so that the currents
that can flow lie between the two.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from feasibility.checks.fault_conductors import FaultKind
from feasibility.checks.fault_path import FaultCurrent, largest_at, live_kinds_at, smallest_at
from feasibility.checks.question import Run
from feasibility.installation.facts import Fact, NotKnown
from feasibility.installation.model import Installation, LinkKind
from feasibility.result import FaultLevel, NodeFaults
from feasibility.tables import NotTabulated
from feasibility.units import OutOfRange

NO_EARTH_FAULT = "IT"
"""Earthing system in which a first fault to earth drives no fault current worth the name."""


def fault_levels(run: Run) -> tuple[tuple[NodeFaults, ...], Mapping[str, Fact[Any]]]:
    """Return the fault currents at origin, boards, outlet and the station's terminals.

    And the facts that are a range or were filled in and entered them.
    """
    run.ends.used.clear()
    names = node_names(run.installation)
    found = tuple(_at(run, node, name) for node, name in enumerate(names))
    return found, dict(run.ends.used)


def node_names(installation: Installation) -> tuple[str, ...]:
    """Return the nodes of the feed path, the station's terminals last if a cord leads there."""
    cord = installation.links_of(LinkKind.CORD)
    return (*installation.nodes, "station") if cord else installation.nodes


def _at(run: Run, node: int, name: str) -> NodeFaults:
    kinds = live_kinds_at(run.installation, node)
    system = run.installation.supply.word("earthing_system").options
    if system != (NO_EARTH_FAULT,):
        kinds = (*kinds, FaultKind.LINE_EARTH)
    return NodeFaults(node=name, levels=tuple(_level(run, node, kind) for kind in kinds))


def _level(run: Run, node: int, kind: FaultKind) -> FaultLevel:
    facts: dict[str, str] = {}
    refusals: list[str] = []

    def attempt(of: Callable[[Run, int, FaultKind], FaultCurrent]) -> float | None:
        try:
            return of(run, node, kind).value_a
        except NotKnown as missing:
            facts.update({fact.path: fact.label for fact in missing.facts})
        except (NotTabulated, OutOfRange) as refused:
            refusals.append(str(refused))
        return None

    largest, smallest = attempt(largest_at), attempt(smallest_at)
    words = [f"not known: {', '.join(facts.values())}"] if facts else []
    return FaultLevel(
        kind=kind.value,
        largest_a=largest,
        smallest_a=smallest,
        facts=tuple(facts),
        lacking="; ".join(dict.fromkeys([*words, *refusals])),
    )
