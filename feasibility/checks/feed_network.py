"""The feed path as a network: its cables, and what the station and the site draw.

One object serves one run (all ranges unfavourable, or all favourable); conductors have the
temperatures last found by whoever solves the network.
"""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass, field

from feasibility.checks.carrying_capacity import ampacity
from feasibility.checks.conductor import Ampacity
from feasibility.checks.impedance import Impedance, line_impedance, neutral_impedance
from feasibility.checks.own_transformer import (
    Windings,
    described,
    no_load_facts,
    no_load_voltage,
    winding_facts,
    worst_windings,
    zero_sequence,
)
from feasibility.checks.power_factor import factor_of_drop
from feasibility.installation.facts import Ends, NotKnown
from feasibility.installation.model import DemandAt, Installation, Link, LinkKind
from feasibility.installation.resolve import Resolved
from feasibility.network.records import Branch, Load, Network
from feasibility.units import SQRT3

STATION = "station"
TRANSFORMER = "transformer"
NO_LOAD = "transformer without load"
"""The node before an own transformer: its low voltage as it stands without load."""

_TOLERANCE = "upstream_tolerance_low_percent"


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
    _transformer: Branch | None = None

    @property
    def nominal_voltage_v(self) -> float:
        """Nominal voltage between lines."""
        return self.ends.known(self.installation.supply.number("nominal_voltage_v"))

    def lowest_source_voltage_v(self) -> float:
        """Return the lowest voltage between lines at the source.

        That is the origin with the site's load on, or an own transformer without load. A band
        stated for the origin counts beside the tolerance of the medium voltage where somebody
        stated that too; the lower one of both.
        """
        supply, own = self.installation.supply, self._own_transformer()
        stated = supply.has("lowest_voltage_v")
        voltages = [self.ends.low_is_bad(supply.number("lowest_voltage_v"))] if stated else []
        if own is not None and (not stated or own.has(_TOLERANCE)):
            voltages.append(no_load_voltage(own, self.ends, _TOLERANCE, -1)[0])
        if voltages:
            return min(voltages)
        percent = self.ends.high_is_bad(supply.number("tolerance_low_percent"))
        return self.nominal_voltage_v * (1 - percent / 100)

    def _own_transformer(self) -> Resolved | None:
        """Return an own transformer that the network holds.

        One of which data are lacking gives way to a voltage that is stated for the origin; without
        that NotKnown names the data where they are taken.
        """
        own = described(self.installation)
        if own is None or not self.installation.supply.has("lowest_voltage_v"):
            return own
        needed = (*winding_facts(own), *no_load_facts(own))
        return None if any(fact.is_open for fact in needed) else own

    def transformer_branch(self) -> Branch | None:
        """Return an own transformer as a branch from its voltage without load to the origin.

        Its neutral part is (Z0 - Z1) / 3, and none where Z0 is the smaller one: that drops more
        voltage in the phase with the largest load. A stated zero-sequence impedance counts at the
        angle of the windings. With equal loads on all phases it plays no part.
        """
        own = self._own_transformer()
        if own is None:
            return None
        if self._transformer is None:
            self._transformer = self._transformer_of(own)
        return self._transformer

    def transformer_rated_a(self) -> float:
        """Return the rated current of an own transformer; NotKnown without its rating plate."""
        own = described(self.installation)
        if own is None:
            raise NotKnown((self.installation.supply.word("kind"),))
        found, _ = worst_windings(own, self.ends, lambda one: one.rated_va / one.rated_voltage_v)
        return found.rated_va / (SQRT3 * found.rated_voltage_v)

    def _transformer_of(self, own: Resolved) -> Branch:
        found, _ = worst_windings(own, self.ends, _drop_of_resistive_load)
        line = complex(found.resistance_ohm, found.reactance_ohm)
        neutral = self._beyond_line(own, line)
        return Branch(
            name=TRANSFORMER,
            from_node=NO_LOAD,
            to_node=self._node(0),
            resistance_ohm=line.real,
            reactance_ohm=line.imag,
            neutral_resistance_ohm=neutral.real,
            neutral_reactance_ohm=neutral.imag,
            has_neutral=True,
        )

    def _beyond_line(self, own: Resolved, line: complex) -> complex:
        """Return (Z0 - Z1) / 3, not negative in either part.

        Where all loads are equal it plays no part in this state, only in others of the same
        network: then it decides nothing, and nothing has to be known.
        """
        equal = self._loads_are_equal()
        try:
            zero = zero_sequence(own)
        except NotKnown:
            if equal:
                return 0j
            raise
        option = max(zero.fact.options) if equal else self.ends.high_is_bad(zero.fact)
        parts = [
            zero.part_ohm(option, which, one) for which, one in enumerate((line.real, line.imag))
        ]
        whole = complex(*parts) + zero.apart_ohm(option) * line / abs(line)
        difference = (whole - line) / 3
        return complex(max(difference.real, 0.0), max(difference.imag, 0.0))

    def _loads_are_equal(self) -> bool:
        alike = [len(set(one.apparent_va)) == 1 for one in self.drawn()]
        return all(self.phases_of_station()) and all(alike)

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

    def three_phase_node(self) -> str:
        """Return the last node that all three phases reach: the station, or the board before it."""
        if all(self.phases_of_station()):
            return STATION
        return self._node(self.installation.final_circuit.position)

    def phases_at(self, node: str) -> tuple[bool, bool, bool]:
        """Return which phases lead to a node: behind the last board only those of the station."""
        circuits = len(self.installation.circuits)
        if node in (STATION, self._node(circuits)):
            return self.phases_of_station()
        return (True, True, True)

    def words_of(self, name: str) -> str:
        """Return the surveyed name of a node or branch of the network."""
        if name in (STATION, TRANSFORMER, NO_LOAD, "cord"):
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
        own = self.transformer_branch()
        return Network(
            nominal_voltage_v=self.nominal_voltage_v,
            source_node=self._node(0) if own is None else NO_LOAD,
            source_voltage_v=self.lowest_source_voltage_v(),
            branches=tuple(branches) if own is None else (own, *branches),
            loads=tuple(self._loads(station_a)),
            frequency_hz=50.0,
        )

    def _loads(self, station_a: float) -> list[Load]:
        voltage = self.nominal_voltage_v / SQRT3
        fact = self.installation.station.number("power_factor")
        own = factor_of_drop(fact, self.ends, self._line_up_to(None))
        on = self.phases_of_station()
        stations = tuple(station_a * voltage if phase else 0.0 for phase in on)
        loads = [_load(STATION, STATION, stations, own, constant_power=False)]
        for number, one in enumerate(self.drawn()):
            factor = one.power_factor
            if factor is None:
                line = self._line_up_to(one.demand.node)
                factor = factor_of_drop(one.demand.power_factor, self.ends, line)
            loads.append(
                _load(
                    f"demand {number + 1}: {one.demand.where}",
                    self._node(one.demand.node),
                    one.apparent_va if all(on) else self._without_relief(one, factor, on),
                    factor,
                    constant_power=one.constant_power,
                )
            )
        return loads

    def _line_up_to(self, node: int | None) -> complex:
        """Return resistance, cold, and reactance of the line to a node (None: the station)."""
        pieces = [one.line for one in self._cables() if node is None or one.link.position < node]
        own = self.transformer_branch()
        line = complex(own.resistance_ohm, own.reactance_ohm) if own is not None else 0j
        return line + sum(complex(one.resistance_20c_ohm, one.reactance_ohm) for one in pieces)

    def _without_relief(
        self, one: Drawn, power_factor: float, on: tuple[bool, bool, bool]
    ) -> tuple[float, float, float]:
        """Return a load without the phases that would raise a single-phase station's voltage.

        What they drop along the neutral raises it, unless it lies within a right angle of it: a
        load of much reactive power on one phase, or a neutral of much reactance on the other.
        """
        shared = [
            piece.neutral
            for piece in self._cables()
            if piece.link.kind is LinkKind.CABLE and piece.link.position < one.demand.node
        ]
        neutral = complex(
            sum(piece.resistance_20c_ohm for piece in shared),
            sum(piece.reactance_ohm for piece in shared),
        )
        own = self.transformer_branch()
        if own is not None:
            neutral += complex(own.neutral_resistance_ohm, own.neutral_reactance_ohm)
        station, lag = on.index(True), math.acos(power_factor)

        def lowers(phase: int) -> bool:
            angle = 2 * math.pi / 3 * (station - phase) - lag
            return (cmath.rect(1.0, angle) * neutral).real > 0

        first, second, third = (
            va if on[phase] or lowers(phase) else 0.0 for phase, va in enumerate(one.apparent_va)
        )
        return (first, second, third)

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


def _drop_of_resistive_load(found: Windings) -> float:
    """Score windings by how little voltage a load of nearly unity power factor loses in them."""
    return -(found.resistance_ohm + 0.1 * found.reactance_ohm)
