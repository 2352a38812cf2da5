"""A small radial supply as plain records: branches, loads, and the source that feeds them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, get_args

LoadKind = Literal["power", "current"]
PhaseValues = tuple[float, float, float]


class NetworkError(ValueError):
    """The records do not describe a radial network that can be solved."""


def _require_not_negative(owner: str, **values: float) -> None:
    for parameter, value in values.items():
        if not (math.isfinite(value) and value >= 0):
            message = f"{owner}: {parameter} = {value} is not a finite number of zero or above"
            raise NetworkError(message)


def _three_finite(values: Sequence[float]) -> bool:
    return len(values) == 3 and all(math.isfinite(value) for value in values)


def _require_positive(owner: str, **values: float) -> None:
    for parameter, value in values.items():
        if not (math.isfinite(value) and value > 0):
            message = f"{owner}: {parameter} = {value} is not a finite number above zero"
            raise NetworkError(message)


@dataclass(frozen=True, slots=True, kw_only=True)
class Branch:
    """A cable or any other series impedance, over its whole length, running away from the source.

    ``resistance_ohm`` and ``reactance_ohm`` belong to one line conductor (the positive-sequence
    impedance Z1), the ``neutral_`` values to the neutral conductor (Zn); the temperature is already
    in them. The neutral is earthed at the source only and every load lies between line and
    neutral, so the zero-sequence impedance is Z0 = Z1 + 3 Zn (symmetrical components of a four-wire
    line without mutual coupling: R. Roeper, Kurzschlußströme in Drehstromnetzen, from memory).
    A branch without a neutral has zero neutral impedance here and carries no neutral current.
    """

    name: str
    from_node: str
    to_node: str
    resistance_ohm: float
    reactance_ohm: float
    neutral_resistance_ohm: float
    neutral_reactance_ohm: float
    has_neutral: bool

    def __post_init__(self) -> None:
        """Refuse impedances that no conductor has."""
        _require_not_negative(
            f"branch {self.name!r}",
            resistance_ohm=self.resistance_ohm,
            reactance_ohm=self.reactance_ohm,
            neutral_resistance_ohm=self.neutral_resistance_ohm,
            neutral_reactance_ohm=self.neutral_reactance_ohm,
        )
        if self.resistance_ohm == 0 and self.reactance_ohm == 0:
            message = f"branch {self.name!r} has no impedance: join its two nodes instead"
            raise NetworkError(message)
        if not self.has_neutral and (self.neutral_resistance_ohm or self.neutral_reactance_ohm):
            message = f"branch {self.name!r} has no neutral but a neutral impedance"
            raise NetworkError(message)


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """A load from each line conductor to neutral; negative power is generation.

    ``active_w`` and ``reactive_var`` (positive: lagging) hold the three phases at the nominal
    line-to-neutral voltage. Kind ``"power"`` keeps them at any voltage; kind ``"current"`` keeps
    the magnitude of the current and the power factor, so that the power follows the voltage.
    """

    name: str
    node: str
    active_w: PhaseValues
    reactive_var: PhaseValues
    kind: LoadKind

    def __post_init__(self) -> None:
        """Refuse anything but three finite powers a phase and a known kind."""
        for powers in (self.active_w, self.reactive_var):
            if not _three_finite(powers):
                message = f"load {self.name!r} does not give three finite powers: {powers}"
                raise NetworkError(message)
        if self.kind not in get_args(LoadKind):
            message = f"load {self.name!r}: kind {self.kind!r} is neither 'power' nor 'current'"
            raise NetworkError(message)

    @property
    def balanced(self) -> bool:
        """Whether the three phases are the same."""
        return len(set(self.active_w)) == 1 and len(set(self.reactive_var)) == 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """An ideal source of ``source_voltage_v`` (line to line) and the tree of branches it feeds.

    Raises NetworkError, in words, for anything that is not a tree fed from the source, and for an
    unbalanced load where no neutral reaches from the source.
    """

    nominal_voltage_v: float
    source_node: str
    source_voltage_v: float
    branches: tuple[Branch, ...]
    loads: tuple[Load, ...]
    frequency_hz: float

    def __post_init__(self) -> None:
        """Check numbers, names, tree and neutral."""
        _require_positive(
            "network",
            nominal_voltage_v=self.nominal_voltage_v,
            source_voltage_v=self.source_voltage_v,
            frequency_hz=self.frequency_hz,
        )
        if not self.branches:
            message = "the network has no branches"
            raise NetworkError(message)
        _refuse_repeated("branch", [branch.name for branch in self.branches])
        _refuse_repeated("load", [load.name for load in self.loads])
        self._check_tree()
        self._check_loads()

    @property
    def nodes(self) -> tuple[str, ...]:
        """The source first, then the far end of each branch in the order of the branches."""
        return (self.source_node, *(branch.to_node for branch in self.branches))

    @property
    def balanced(self) -> bool:
        """Whether every load is the same on all three phases."""
        return all(load.balanced for load in self.loads)

    def branches_with_neutral(self) -> frozenset[str]:
        """Names of the branches whose neutral is unbroken back to the source."""
        feeding = {branch.to_node: branch for branch in self.branches}

        def reaches(branch: Branch) -> bool:
            while branch.has_neutral:
                if branch.from_node == self.source_node:
                    return True
                branch = feeding[branch.from_node]
            return False

        return frozenset(branch.name for branch in self.branches if reaches(branch))

    def _check_tree(self) -> None:
        feeding: dict[str, Branch] = {}
        for branch in self.branches:
            if branch.to_node == self.source_node:
                message = f"branch {branch.name!r} runs back to the source node"
                raise NetworkError(message)
            if branch.to_node in feeding:
                other = feeding[branch.to_node].name
                message = (
                    f"node {branch.to_node!r} is fed twice, by {other!r} and {branch.name!r}: "
                    "the network is not radial"
                )
                raise NetworkError(message)
            feeding[branch.to_node] = branch
        for branch in self.branches:
            self._check_fed(branch, feeding)

    def _check_fed(self, branch: Branch, feeding: dict[str, Branch]) -> None:
        upstream = branch
        for _ in self.branches:
            if upstream.from_node == self.source_node:
                return
            if upstream.from_node not in feeding:
                message = f"node {upstream.from_node!r} is not connected to the source"
                raise NetworkError(message)
            upstream = feeding[upstream.from_node]
        message = f"branch {branch.name!r} lies in or behind a loop that the source does not feed"
        raise NetworkError(message)

    def _check_loads(self) -> None:
        with_neutral = self.branches_with_neutral()
        reached = {b.to_node for b in self.branches if b.name in with_neutral} | {self.source_node}
        known = set(self.nodes)
        for load in self.loads:
            if load.node not in known:
                message = f"load {load.name!r} hangs on node {load.node!r}, which does not exist"
                raise NetworkError(message)
            if load.node not in reached and not load.balanced:
                message = (
                    f"load {load.name!r} is unbalanced, but no neutral reaches node {load.node!r}"
                )
                raise NetworkError(message)


def _refuse_repeated(what: str, names: list[str]) -> None:
    seen: set[str] = set()
    for name in names:
        if name in seen:
            message = f"two items are called {what} {name!r}"
            raise NetworkError(message)
        seen.add(name)
