"""The site and the station at many moments: load flow, and what is free on each link then."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from feasibility.checks.feed_network import STATION, Drawn
from feasibility.checks.neutral import NeutralLimit
from feasibility.checks.operation import UNLIMITED_A, Operation
from feasibility.checks.question import NOISE
from feasibility.network.circuit import PHASES
from feasibility.network.records import Network
from feasibility.network.solution import ComplexArray
from feasibility.network.year_flow import Flow, Progress, lowest_line_voltage_v, solve_steps
from feasibility.units import SQRT3, FloatArray
from feasibility.year.limits import LinkLimits

Places = NDArray[np.intp]


@dataclass(slots=True, kw_only=True)
class Site:
    """What is drawn through the time: ``shares`` as ``Series`` has them, for ``count`` moments.

    ``phases`` is 1 where everything is alike on all three phases at every moment: one is enough.
    """

    operation: Operation
    shares: Sequence[FloatArray | None]
    count: int
    drawn: list[Drawn] = field(init=False)
    phases: int = field(init=False)

    def __post_init__(self) -> None:
        self.drawn = self.operation.drawn()
        alike = all(self.operation.phases_of_station())
        alike = alike and all(len(set(one.apparent_va)) == 1 for one in self.drawn)
        varying = [one for one in self.shares if one is not None]
        self.phases = 1 if alike and all(bool((one == one[:, :1]).all()) for one in varying) else 3

    def share(self, number: int, places: Places | slice) -> FloatArray:
        """Return the share of one drawn load at the given moments, one row if it is constant."""
        found = self.shares[number]
        if found is None:
            return np.ones((1, self.phases))
        return found[places, : self.phases]

    def at(
        self,
        station_a: FloatArray,
        *,
        places: Places | slice = slice(None),
        warmed_by_a: float,
        on_step: Progress | None = None,
    ) -> Moments:
        """Return the states at these moments, the station drawing ``station_a`` in each.

        Conductors are as warm as ``warmed_by_a`` and the largest demand make them: no moment warms
        them more, so that no voltage comes out too high. A state of the operation must stand there.
        """
        self.operation.state(warmed_by_a)
        network = self.operation.network(1.0)
        active = np.empty((len(station_a), len(network.loads), self.phases))
        reactive = np.empty_like(active)
        for number, load in enumerate(network.loads):
            share = station_a[:, np.newaxis]
            if load.name != STATION:
                share = self.share(number - 1, places)
            active[:, number] = np.array(load.active_w[: self.phases]) * share
            reactive[:, number] = np.array(load.reactive_var[: self.phases]) * share
        flow = solve_steps(network, active_w=active, reactive_var=reactive, on_step=on_step)
        return Moments(site=self, network=network, flow=flow, places=places, station_a=station_a)


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """What others draw through the links at one position: state, phase.

    ``phasor`` is the sum of loads of known power factor, ``arithmetic`` that of the others, as
    ``Operation.current_through`` has them. ``along`` is the part of the phasor in the direction of
    the station's current, ``across`` the square of the rest.
    """

    phasor: ComplexArray
    arithmetic: FloatArray
    along: FloatArray
    across: FloatArray


@dataclass(slots=True, kw_only=True)
class Moments:
    """Solved states, and the current that is free at each as its voltages have it."""

    site: Site
    network: Network
    flow: Flow
    places: Places | slice
    station_a: FloatArray
    _beside: dict[int, Beside] = field(default_factory=dict)

    def station_voltage_v(self) -> FloatArray:
        """Lowest voltage at the station: between lines, or to neutral if single-phase."""
        on = self.site.operation.phases_of_station()
        voltage = self.voltage_v(STATION)
        if all(on):
            return lowest_line_voltage_v(voltage)
        return np.asarray(np.abs(voltage[:, on.index(True)]))

    def voltage_v(self, node: str) -> ComplexArray:
        """Return the voltages at a node: state, phase; of the source where nothing is supplied."""
        found = self.flow.voltage_v(node)
        if self.flow.supplied.all():
            return found
        source_v = self.network.source_voltage_v / SQRT3 * PHASES[: self.flow.phases]
        return np.where(self.flow.supplied[:, np.newaxis], found, source_v)

    def beside(self, position: int) -> Beside:
        """Return what others draw through the links at ``position``."""
        nodes = [one.demand.node for one in self.site.drawn if one.demand.node > position]
        # The same for all positions up to the next node with a load.
        key = min(nodes, default=len(self.site.operation.installation.circuits) + 1)
        if key not in self._beside:
            self._beside[key] = self._sum(key)
        return self._beside[key]

    def _sum(self, node: int) -> Beside:
        """Return the sum of the loads from a node on."""
        unsure = self.site.operation.installation.station.number("power_factor").is_ranged
        here = [n for n, one in enumerate(self.site.drawn) if one.demand.node == node]
        if here:
            beyond = self.beside(node)
            phasor, arithmetic = beyond.phasor.copy(), beyond.arithmetic.copy()
        else:
            shape = (len(self.station_a), self.flow.phases)
            phasor, arithmetic = np.zeros(shape, dtype=np.complex128), np.zeros(shape)
        for number in here:
            one = self.site.drawn[number]
            voltage = self.voltage_v(self.network.loads[number + 1].node)
            amperes = self._amperes(number, voltage)
            if one.power_factor is None or unsure:
                arithmetic += amperes
            else:
                phasor += amperes * _lagging(one.power_factor, voltage)
        station = _lagging(self.site.operation.station_power_factor(), self.voltage_v(STATION))
        turned = np.conj(station) * phasor
        return Beside(
            phasor=phasor, arithmetic=arithmetic, along=turned.real, across=turned.imag**2
        )

    def _amperes(self, number: int, voltage: ComplexArray) -> FloatArray:
        one = self.site.drawn[number]
        nominal_v = self.site.operation.nominal_voltage_v / SQRT3
        reference_v = np.abs(voltage) if one.constant_power else nominal_v
        apparent = np.array(one.apparent_va[: self.flow.phases])
        return np.asarray(apparent * self.site.share(number, self.places) / reference_v)

    def free_a(self, limits: LinkLimits, slope_v_per_a: float) -> FloatArray:
        """Return the station's current that is free on a link at each moment; not below zero.

        Exact where the station draws it in this very state; elsewhere the voltages are a little
        other ones. ``UNLIMITED_A`` where nothing limits it. ``slope_v_per_a`` is by how much a
        further ampere lowers the voltage at the station.
        """
        free = np.full(len(self.station_a), UNLIMITED_A)
        if limits.constant_a is not None:
            free = np.minimum(free, limits.constant_a)
        if limits.total_a is not None:
            free = np.minimum(free, self._below_total(limits.link.position, limits.total_a))
        for one in limits.neutral:
            free = np.minimum(free, self._below_neutral(limits.link.position, one))
        if limits.voltage_v is not None:
            free = np.minimum(free, self._above_voltage(limits.voltage_v, slope_v_per_a))
        # Without an operating point nothing is free but less than was tried.
        free = np.where(self.flow.supplied, free, np.minimum(free, self.station_a / 2))
        return np.asarray(np.maximum(np.nan_to_num(free, nan=0.0), 0.0))

    def _below_total(self, position: int, limit_a: float) -> FloatArray:
        """Solve |I s + P| + A = limit for the station's current I in each phase.

        With P split along and across the direction s: (I + along)^2 + across^2 = (limit - A)^2.
        """
        beside = self.beside(position)
        left = limit_a - beside.arithmetic
        noise = NOISE * limit_a
        full = (left < -noise) | (np.abs(beside.phasor) > left + noise)
        roots = np.sqrt(np.maximum(left**2 - beside.across, 0.0)) - beside.along
        on = np.array(self.site.operation.phases_of_station())[: self.flow.phases]
        free = np.where(on, roots, np.inf)
        return np.asarray(np.where(full, 0.0, free).min(axis=1))

    def _above_voltage(self, least_v: float, slope_v_per_a: float) -> FloatArray:
        spare_v = self.station_voltage_v() - least_v
        if slope_v_per_a > 0:
            return np.asarray(self.station_a + spare_v / slope_v_per_a)
        return np.where(spare_v >= 0, self.station_a, 0.0)

    def _below_neutral(self, position: int, limit: NeutralLimit) -> FloatArray:
        beside = self.beside(position)
        site = (np.abs(beside.phasor) + beside.arithmetic).max(axis=1)
        left = limit.capacity_a - site - limit.auxiliary_a
        if limit.per_station_a == 0:
            return np.where(left < -NOISE * limit.capacity_a, 0.0, np.inf)
        return np.asarray(np.maximum(left, 0.0) / limit.per_station_a)


def _lagging(power_factor: float, voltage: ComplexArray) -> ComplexArray:
    """Return the direction of a current of this power factor at these voltages."""
    return np.asarray(np.exp(-1j * math.acos(power_factor)) * voltage / np.abs(voltage))
