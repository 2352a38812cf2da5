"""The installation in operation: what flows and which voltages stand for a station current.

One object serves all checks of one run (all ranges unfavourable, or all favourable). Facts that
enter a network state are noted again for each check that asks for it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from scipy.optimize import brentq

from feasibility.checks.carrying_capacity import ampacity
from feasibility.checks.conductor import Ampacity
from feasibility.checks.impedance import Impedance, line_impedance, neutral_impedance
from feasibility.checks.second_opinion import at_voltages
from feasibility.clauses.conductor_temperature import conductor_temperature_c
from feasibility.installation.facts import Ends, Fact
from feasibility.installation.model import DemandAt, Installation, Link, LinkKind
from feasibility.network.load_flow import solve
from feasibility.network.pandapower_model import solve_pandapower
from feasibility.network.records import Branch, Load, Network
from feasibility.network.solution import NotSupplied, Solution, compare
from feasibility.units import SQRT3

STATION = "station"
UNLIMITED_A = 2000.0
"""Where the search for a limit ends: no link of a low-voltage site is larger."""

_TEMPERATURE_TOLERANCE_C = 0.001

_OVERHEATED_K = 60.0
"""So far above its permitted temperature a conductor is followed (our own rule): hotter is no
state a cable survives, and the search for a limit must not diverge there."""


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
class Operation:
    """Answers: which current flows through a link, which voltage stands at the station."""

    installation: Installation
    ends: Ends
    _states: dict[float, Solution | None] = field(default_factory=dict)
    _deviations: dict[float, float] = field(default_factory=dict)
    _temperatures_c: dict[int, float] = field(default_factory=dict)
    _facts: dict[str, Fact[Any]] = field(default_factory=dict)
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
        return Drawn(
            demand=demand,
            apparent_va=apparent,
            power_factor=factor,
            constant_power=demand.phase_a is None,
        )

    def current_through(self, position: int, station_a: float) -> float:
        """Return the current of the worst phase through the links at ``position``.

        Loads with a known power factor add as phasors to the station's current, the others
        arithmetically (all of them if the station's own power factor is a range), all at the
        voltages of the converged network.
        """
        if not self._loaded_below(position):
            return station_a
        state = self.state(station_a)
        if state is None:
            return math.inf
        on = np.array(self.phases_of_station(), dtype=float)
        angle = math.acos(self.station_power_factor())
        unsure = self.installation.station.number("power_factor").is_ranged
        phasor = station_a * on * np.exp(-1j * angle) * _direction(state.voltage_phasor_v(STATION))
        arithmetic = np.zeros(3)
        for one in self._below(position):
            voltage = state.voltage_phasor_v(self._node(one.demand.node))
            amperes = _amperes(one, voltage, self.nominal_voltage_v / SQRT3)
            if one.power_factor is None or unsure:
                arithmetic += amperes
            else:
                lag = np.exp(-1j * math.acos(one.power_factor))
                phasor = phasor + amperes * lag * _direction(voltage)
        return float(np.max(np.abs(phasor) + arithmetic))

    def carries_only_the_station(self, position: int) -> bool:
        """Whether nothing but the station draws through the links at ``position``."""
        return not self._loaded_below(position)

    def _below(self, position: int) -> list[Drawn]:
        return [one for one in self.drawn() if one.demand.node > position]

    def _loaded_below(self, position: int) -> bool:
        behind = [d for d in self.installation.demands if d.node > position]
        return any(self._draw(demand) for demand in behind)

    def station_voltage_v(self, station_a: float) -> float:
        """Lowest voltage at the station: between lines, or to neutral if single-phase."""
        state = self.state(station_a)
        if state is None:
            return 0.0
        if all(self.phases_of_station()):
            return float(state.lowest_line_voltage_v(STATION))
        phase = self.phases_of_station().index(True)
        return float(state.voltage_v(STATION)[phase])

    def state(self, station_a: float) -> Solution | None:
        """Return the converged network at this station current; None if the voltage collapses."""
        key = round(station_a, 9)
        if key not in self._states:
            outer = dict(self.ends.used)
            self.ends.used.clear()
            try:
                self._states[key] = self._solve(station_a)
            finally:
                self._facts.update(self.ends.used)
                self.ends.used.update(outer)
        self.ends.note(self._facts.values())
        return self._states[key]

    def confirm(self, station_a: float) -> float | None:
        """Solve this state once more with pandapower and let its result stand.

        Returns the largest relative deviation between the two solvers, None where the voltage
        collapses in both. Raises NotSupplied if only the second solver finds that.
        """
        first = self.state(station_a)
        if first is None:
            return None
        key = round(station_a, 9)
        if key not in self._deviations:
            self.temperatures_c(station_a)
            second = solve_pandapower(at_voltages(self.network(station_a), first))
            self._deviations[key] = compare(first, second)
            self._states[key] = second
        return self._deviations[key]

    def words_of(self, name: str) -> str:
        """Return the surveyed name of a node or branch of the network."""
        if name in (STATION, "cord"):
            return name
        kind, number = name.split()
        if kind == "node":
            return self.installation.nodes[int(number)]
        return self.installation.circuits[int(number)].name

    def _solve(self, station_a: float) -> Solution | None:
        solution: Solution | None = None
        for _ in range(12):
            try:
                solution = solve(self.network(station_a))
            except NotSupplied:
                return None
            if self._warm(solution) < _TEMPERATURE_TOLERANCE_C:
                break
        return solution

    def _warm(self, solution: Solution) -> float:
        """Take the conductor temperatures over from the currents; return the largest change."""
        largest = 0.0
        for number, piece in enumerate(self._cables()):
            iz = piece.ampacity
            amperes = float(np.max(solution.current_a(self._branch_name(piece.link))))
            temperature = conductor_temperature_c(
                current_a=amperes,
                ampacity_a=iz.value_a,
                ambient_c=iz.ambient_c,
                maximum_c=iz.maximum_c,
            )
            temperature = min(float(temperature), iz.maximum_c + _OVERHEATED_K)
            largest = max(largest, abs(temperature - self._temperatures_c.get(number, math.inf)))
            self._temperatures_c[number] = temperature
        return largest

    def temperatures_c(self, station_a: float) -> dict[str, float]:
        """Return the conductor temperature of each cable and the cord at this station current."""
        state = self.state(station_a)
        if state is None:
            return {}
        self._warm(state)
        return {
            piece.link.name: self._temperatures_c[number]
            for number, piece in enumerate(self._cables())
        }

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
            total = sums.setdefault(self._branch_name(piece.link), [0.0, 0.0, 0.0, 0.0])
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

    def _branch_name(self, link: Link) -> str:
        return "cord" if link.kind is LinkKind.CORD else f"circuit {link.position}"

    def _ends_of(self, branch: str) -> tuple[str, str]:
        last = len(self.installation.circuits)
        if branch == "cord":
            return self._node(last), STATION
        position = int(branch.removeprefix("circuit "))
        return self._node(position), self._node(position + 1)

    def largest_current_a(self, margin: Callable[[float], float], start_a: float) -> float:
        """Return the largest station current whose ``margin`` is not negative.

        The margin must fall with the current. Returns 0 if nothing passes and UNLIMITED_A if
        no current that a low-voltage site knows is too large.
        """
        if margin(0.0) < 0:
            return 0.0
        low, high = 0.0, max(start_a, 1.0)
        while margin(high) >= 0:
            low, high = high, high * 1.6
            if high > UNLIMITED_A:
                return UNLIMITED_A
        root = float(brentq(lambda amperes: max(margin(amperes), -1e9), low, high, xtol=1e-6))
        return root if margin(root) >= 0 else max(0.0, root - 2e-6)


def _direction(voltage: Any) -> Any:
    return voltage / np.abs(voltage)


def _amperes(one: Drawn, voltage: Any, nominal_v: float) -> Any:
    reference = np.abs(voltage) if one.constant_power else nominal_v
    return np.array(one.apparent_va) / reference


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
