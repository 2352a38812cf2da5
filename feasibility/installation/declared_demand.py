"""The demand of a board as somebody declared it: a maximum, or its connected loads."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from feasibility.installation.facts import Fact
from feasibility.installation.model import DeclaredDemand, DemandAt, Link, LinkKind
from feasibility.installation.resolve import Resolved
from feasibility.load_profile.record import LoadProfile
from feasibility.survey.demand import ConnectedLoad, Demand
from feasibility.survey.stated import Stated

_ALL_PHASES = "L1L2L3"
_PHASES = ("L1", "L2", "L3")
NOTHING: Fact[float] = Fact(path="", label="nothing", unit="", options=(0.0,))
"""What is drawn on a phase that a load or tap is not connected to."""

PerPhase = tuple[Fact[float], Fact[float], Fact[float]]


def declared_demands_at(
    demand: Demand | None, data: Resolved, where: str, node: int
) -> tuple[DemandAt, ...]:
    """Return the demand, one entry for each connected load that the survey lists.

    ``data`` is the resolved demand. It stays open where nobody declares a maximum: the energy of a
    year with its load profile is the mean of many customers and shows none.
    """
    stated = _Declared(demand, data, where, node)
    if demand is not None and demand.load:
        return tuple(stated.loads(demand))
    return (stated.maximum(),)


class _Declared:
    """One declared demand, with what all of its entries have in common."""

    def __init__(self, demand: Demand | None, data: Resolved, where: str, node: int) -> None:
        self.data, self.where, self.node = data, where, node
        self.factors = _factors(data)
        self.shape = profile_of(data)
        link = Link(name=f"demand of '{where}'", kind=LinkKind.DEMAND, position=node, data=data)
        stated = [] if demand is None else [demand.diversity_factor]
        stated += [] if demand is None else [one.diversity_factor for one in demand.load]
        given = [one for one in stated if one is not None and not one.unknown]
        self.declared = DeclaredDemand(
            path=data.path,
            where=where,
            link=link,
            declared_by="" if demand is None else demand.declared_by or "",
            diversity=any(one.value != 1 for one in given),
            measured=all(_is_measured(one) for one in given),
            energy_kwh=data.number("annual_energy_kwh"),
            profile=self.shape,
            lacking=self._lacking(demand),
        )

    def maximum(self) -> DemandAt:
        """Return a demand that is stated as one maximum, open where none is."""
        data = self.data
        power_kw = data.number("maximum_kw") if data.has("maximum_kw") else None
        first, second, third = (data.number(f"maximum_l{phase}_a") for phase in (1, 2, 3))
        if not any(data.has(f"maximum_l{phase}_a") for phase in (1, 2, 3)):
            first = second = third = self.declared.lacking or data.number("maximum_a")
        return DemandAt(
            node=self.node,
            where=self.where,
            phase_a=(first, second, third) if power_kw is None else None,
            power_kw=power_kw,
            power_factor=data.number("power_factor"),
            factors=self.factors,
            declared=self.declared,
            shape=self.shape,
        )

    def loads(self, demand: Demand) -> Iterator[DemandAt]:
        """Yield each connected load."""
        for number, load in enumerate(demand.load, start=1):
            data = Resolved(
                record=load,
                kind="load",
                path=f"{self.data.path}.load[{number}]",
                label=f"load '{load.name}' of '{self.where}'",
                basis=self.data.basis,
            )
            yield self._load(load, data)

    def _load(self, load: ConnectedLoad, data: Resolved) -> DemandAt:
        phases = data.word("phases").options
        on = phases[0] if len(phases) == 1 else _ALL_PHASES
        by_power = data.has("connected_kw")
        amperes, each = data.number("connected_a"), data.number("connected_kw")
        balanced = by_power and phases == (_ALL_PHASES,)
        if by_power and not phases:
            each = _share_of_each_phase(each, data)
        return DemandAt(
            node=self.node,
            where=f"{self.where}: {load.name}",
            phase_a=None if by_power else _on(on, amperes),
            phase_kw=_on(on, each) if by_power and not balanced else None,
            power_kw=each if balanced else None,
            power_factor=data.number("power_factor", fill="demand.power_factor"),
            factors=(*_factors(data), *self.factors),
            declared=self.declared,
            shape=self.shape,
        )

    def _lacking(self, demand: Demand | None) -> Fact[float] | None:
        """Return the fact that would show the maximum where only energy or a profile is known."""
        data = self.data
        fields = ("maximum_a", "maximum_kw", *(f"maximum_l{phase}_a" for phase in (1, 2, 3)))
        if any(data.has(field) for field in fields) or (demand is not None and demand.load):
            return None
        label = data.number("maximum_a").label
        if self.shape is not None or not data.number("annual_energy_kwh").is_open:
            label = f"a measured or declared maximum of the demand of '{self.where}'"
        return Fact(path=f"{data.path}.maximum_a", label=label, unit="A", options=())


def _factors(data: Resolved) -> tuple[Fact[float], ...]:
    """Return the diversity factor, where one is stated; otherwise everything is on at once."""
    return (data.number("diversity_factor"),) if data.has("diversity_factor") else ()


def profile_of(data: Resolved) -> LoadProfile | None:
    """Return the standard load profile of a demand, None where no single one is stated."""
    names: tuple[Any, ...] = data.word("load_profile").options
    if len(names) != 1:
        return None
    energy = data.number("annual_energy_kwh").options
    return LoadProfile(name=names[0], annual_energy_kwh=energy[0] if len(energy) == 1 else None)


def _is_measured(factor: Stated[float]) -> bool:
    return factor.known == "measured" or factor.value == 1


def _on(phases: str, fact: Fact[float]) -> PerPhase:
    first, second, third = (fact if name in phases else NOTHING for name in _PHASES)
    return first, second, third


def _share_of_each_phase(power: Fact[float], data: Resolved) -> Fact[float]:
    """Return what may be on each phase of a load whose phases nobody knows."""
    share = data.basis.ranges["load.phase_share"]
    options = {power_kw * float(one) for power_kw in power.options for one in share.options}
    return replace(power, options=tuple(sorted(options)), reason=share.reason, filled=True)
