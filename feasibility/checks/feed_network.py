"""The feed path as a network: its cables, and what the station and the site draw.

One object serves one run (all ranges unfavourable, or all favourable); conductors have the
temperatures last found by whoever solves the network.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from feasibility.checks.carrying_capacity import ampacity
from feasibility.checks.conductor import Ampacity
from feasibility.checks.impedance import Impedance, line_impedance, neutral_impedance
from feasibility.installation.facts import Ends
from feasibility.installation.model import DemandAt, Installation, Link, LinkKind
from feasibility.network.records import Branch, Load, Network
from feasibility.units import SQRT3

STATION = "station"


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """A load of the site at a node: per-phase volt-amperes at nominal voltage, lagging."""

    demand: DemandAt
    apparent_va: tuple[float, float, float]
    power_factor: float | None
    constant_power: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A piece of cable, or the cord, as the network sees it."""

    link: Link
    ampacity: Ampacity
    line: Impedance
    neutral: Impedance


@dataclass(slots=True)
class FeedNetwork:
    """The network of one run, for any station current."""

    installation: Installation
    ends: Ends
    _temperatures_c: dict[int, float] = field(default_factory=dict)
    _pieces: list[Piece] = field(default_factory=list)
    _drawn: list[Drawn] | None = None

    @property
    def nominal_voltage_v(self) -> float:
        """Nominal voltage between lines."""
        return self.ends.known(self.installation.supply.number("nominal_voltage_v"))

    def lowest_origin_voltage_v(self) -> float:
        """Lowest voltage between lines at the origin, with the site's load on."""
        supply = self.installation.supply
        if supply.has("lowest_voltage_v"):
            return self.ends.low_is_bad(supply.number("lowest_voltage_v"))
        percent = self.ends.high_is_bad(supply.number("tolerance_low_percent"))
        return self.nominal_voltage_v * (1 - percent / 100)

    def phases_of_station(self) -> tuple[bool, bool, bool]:
        """Which phases the station is connected to."""
        phases = self.ends.known(self.installation.station.word("phases"))
        return ("L1" in phases, "L2" in phases, "L3" in phases)

    def station_power_factor(self) -> float:
        """Power factor of the station, lagging."""
        return self.ends.low_is_bad(self.installation.station.number("power_factor"))

    def drawn(self) -> list[Drawn]:
        """Return every load of the site beside the station; NotKnown names open demands."""
        if self._drawn is None:
            self._drawn = [
                one for demand in self.installation.demands if (one := self._draw(demand))
            ]
        return self._drawn

    def _draw(self, demand: DemandAt) -> Drawn | None:
        voltage = self.nominal_voltage_v / SQRT3
        options = demand.power_factor.options
        factor = options[0] if len(options) == 1 else None
        if demand.power_kw is not None:
            lowest = self.ends.low_is_bad(demand.power_factor)
            power = 1000 * self.ends.high_is_bad(demand.power_kw) / 3 / lowest
            apparent = (power, power, power)
        elif demand.phase_kw is not None:
            lowest = self.ends.low_is_bad(demand.power_factor)
            each = [1000 * self.ends.high_is_bad(fact) / lowest for fact in demand.phase_kw]
            apparent = (each[0], each[1], each[2])
        else:
            assert demand.phase_a is not None  # noqa: S101 - one of the three is given
            amperes = [self.ends.high_is_bad(fact) for fact in demand.phase_a]
            apparent = (amperes[0] * voltage, amperes[1] * voltage, amperes[2] * voltage)
        if not any(apparent):
            return None
        share = math.prod(self.ends.high_is_bad(factor) for factor in demand.factors)
        return Drawn(
            demand=demand,
            apparent_va=(share * apparent[0], share * apparent[1], share * apparent[2]),
            power_factor=factor,
            constant_power=demand.phase_a is None,
        )

    def words_of(self, name: str) -> str:
        """Return the surveyed name of a node or branch of the network."""
        if name in (STATION, "cord"):
            return name
        kind, number = name.split()
        if kind == "node":
            return self.installation.nodes[int(number)]
        return self.installation.circuits[int(number)].name

    def _cables(self) -> list[Piece]:
        if not self._pieces:
            self._pieces = [
                Piece(
                    link=link,
                    ampacity=ampacity(self.installation, link, self.ends),
                    line=line_impedance(link, self.ends),
                    neutral=neutral_impedance(link, self.ends),
                )
                for link in self.installation.links_of(LinkKind.CABLE, LinkKind.CORD)
            ]
        return self._pieces

    def network(self, station_a: float) -> Network:
        """Return the feed path as a network, conductors at the temperatures last found."""
        sums: dict[str, list[float]] = {}
        for number, piece in enumerate(self._cables()):
            temperature = self._temperatures_c.get(number, piece.ampacity.ambient_c)
            total = sums.setdefault(self.branch_name(piece.link), [0.0, 0.0, 0.0, 0.0])
            total[0] += piece.line.resistance_at(temperature)
            total[1] += piece.line.reactance_ohm
            total[2] += piece.neutral.resistance_at(temperature)
            total[3] += piece.neutral.reactance_ohm
        branches = [
            Branch(
                name=name,
                from_node=self._ends_of(name)[0],
                to_node=self._ends_of(name)[1],
                resistance_ohm=total[0],
                reactance_ohm=total[1],
                neutral_resistance_ohm=total[2],
                neutral_reactance_ohm=total[3],
                has_neutral=True,
            )
            for name, total in sums.items()
        ]
        return Network(
            nominal_voltage_v=self.nominal_voltage_v,
            source_node=self._node(0),
            source_voltage_v=self.lowest_origin_voltage_v(),
            branches=tuple(branches),
            loads=tuple(self._loads(station_a)),
            frequency_hz=50.0,
        )

    def _loads(self, station_a: float) -> list[Load]:
        voltage = self.nominal_voltage_v / SQRT3
        own = self._power_factor_for_voltage()
        on = self.phases_of_station()
        stations = tuple(station_a * voltage if phase else 0.0 for phase in on)
        loads = [_load(STATION, STATION, stations, own, constant_power=False)]
        loads.extend(
            _load(
                f"{number} {one.demand.where}",
                self._node(one.demand.node),
                self._without_relief(one.apparent_va, on),
                own if one.power_factor is None else one.power_factor,
                constant_power=one.constant_power,
            )
            for number, one in enumerate(self.drawn())
        )
        return loads

    def _power_factor_for_voltage(self) -> float:
        """Return the end of the power factor's range that drops more voltage along the path."""
        cables = self._cables()
        resistance = sum(piece.line.resistance_20c_ohm for piece in cables)
        reactance = sum(piece.line.reactance_ohm for piece in cables)

        def kept(factor: float) -> float:
            return -float(resistance * factor + reactance * math.sqrt(1 - factor**2))

        return float(self.ends.worst(self.installation.station.number("power_factor"), kept))

    @staticmethod
    def _without_relief(
        apparent_va: tuple[float, float, float], on: tuple[bool, bool, bool]
    ) -> tuple[float, float, float]:
        """Return the load without phases that would relieve a single-phase station's neutral."""
        if all(on):
            return apparent_va
        kept = [va if phase else 0.0 for va, phase in zip(apparent_va, on, strict=True)]
        return (kept[0], kept[1], kept[2])

    def _node(self, number: int) -> str:
        last = len(self.installation.circuits)
        if number == last and self.installation.cord is None:
            return STATION
        return f"node {number}"

    def branch_name(self, link: Link) -> str:
        """Return the branch of the network that a cable or the cord belongs to."""
        return "cord" if link.kind is LinkKind.CORD else f"circuit {link.position}"

    def _ends_of(self, branch: str) -> tuple[str, str]:
        last = len(self.installation.circuits)
        if branch == "cord":
            return self._node(last), STATION
        position = int(branch.removeprefix("circuit "))
        return self._node(position), self._node(position + 1)


def _load(
    name: str,
    node: str,
    apparent_va: tuple[float, ...],
    power_factor: float,
    *,
    constant_power: bool,
) -> Load:
    sine = math.sqrt(1 - power_factor**2)
    active = [va * power_factor for va in apparent_va]
    reactive = [va * sine for va in apparent_va]
    return Load(
        name=name,
        node=node,
        active_w=(active[0], active[1], active[2]),
        reactive_var=(reactive[0], reactive[1], reactive[2]),
        kind="power" if constant_power else "current",
    )
