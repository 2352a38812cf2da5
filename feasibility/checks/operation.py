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

from feasibility.checks.feed_network import STATION, TRANSFORMER, Drawn, FeedNetwork
from feasibility.checks.second_opinion import at_voltages
from feasibility.clauses.conductor_temperature import conductor_temperature_c
from feasibility.installation.facts import Fact
from feasibility.network.load_flow import solve
from feasibility.network.pandapower_model import solve_pandapower
from feasibility.network.solution import NotSupplied, Solution, compare
from feasibility.units import SQRT3

UNLIMITED_A = 2000.0
"""Where the search for a limit ends: no link of a low-voltage site is larger."""

_TEMPERATURE_TOLERANCE_C = 0.001

_OVERHEATED_K = 60.0
"""So far above its permitted temperature a conductor is followed (our own rule): hotter is no
state a cable survives, and the search for a limit must not diverge there."""


@dataclass(slots=True)
class Operation(FeedNetwork):
    """Answers: which current flows through a link, which voltage stands at the station.

    ``searches = False`` leaves out how much a link would carry; no outcome depends on that.
    """

    searches: bool = True
    _states: dict[float, Solution | None] = field(default_factory=dict)
    _deviations: dict[float, float] = field(default_factory=dict)
    _facts: dict[str, Fact[Any]] = field(default_factory=dict)

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

    def origin_voltage_v(self, station_a: float) -> float:
        """Lowest voltage at the origin: between lines, or to neutral of a single-phase station."""
        state = self.state(station_a)
        if state is None:
            return 0.0
        origin = self._node(0)
        if all(self.phases_of_station()):
            return float(state.lowest_line_voltage_v(origin))
        return float(state.voltage_v(origin)[self.phases_of_station().index(True)])

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
            amperes = float(np.max(solution.current_a(self.branch_name(piece.link))))
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

    def carries_a(self, branch: str) -> float:
        """Return what a branch carries: its piece of cable that carries least.

        Of an own transformer its rated current.
        """
        if branch == TRANSFORMER:
            return self.transformer_rated_a()
        own = [one for one in self._cables() if self.branch_name(one.link) == branch]
        return float(min(one.ampacity.value_a for one in own))

    def largest_current_a(self, margin: Callable[[float], float], start_a: float) -> float:
        """Return the largest station current whose ``margin`` is not negative.

        The margin must fall with the current. Returns 0 if nothing passes and UNLIMITED_A if
        no current that a low-voltage site knows is too large, or if nothing is searched for.
        """
        if not self.searches:
            return UNLIMITED_A
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
