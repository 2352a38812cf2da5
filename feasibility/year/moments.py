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
from feasibility.network.records import Load, Network
from feasibility.network.solution import ComplexArray
from feasibility.network.year_flow import Flow, Progress, solve_steps
from feasibility.units import SQRT3, FloatArray
from feasibility.year.limits import LinkLimits

Places = NDArray[np.intp]


@dataclass(slots=True, kw_only=True)
class Site:
    """What is drawn through the time: ``shares`` as ``Series`` has them, for ``count`` moments."""

    operation: Operation
    shares: Sequence[FloatArray | None]
    count: int
    drawn: list[Drawn] = field(init=False)

    def __post_init__(self) -> None:
        self.drawn = self.operation.drawn()

    def share(self, number: int, places: Places | slice) -> FloatArray:
        """Return the share of one drawn load at the given moments, one row if it is constant."""
        found = self.shares[number]
        return np.ones((1, 3)) if found is None else found[places]

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
        steps = len(station_a)
        active = np.empty((steps, len(network.loads), 3))
        reactive = np.empty_like(active)
        for number, load in enumerate(network.loads):
            share = station_a[:, np.newaxis]
            if load.name != STATION:
                share = self.share(number - 1, places)
            active[:, number] = np.array(load.active_w) * share
            reactive[:, number] = np.array(load.reactive_var) * share
        flow = solve_steps(network, active_w=active, reactive_var=reactive, on_step=on_step)
        return Moments(site=self, network=network, flow=flow, places=places, station_a=station_a)


@dataclass(slots=True, kw_only=True)
class Moments:
    """Solved states, and the current that is free at each as its voltages have it."""

    site: Site
    network: Network
    flow: Flow
    places: Places | slice
    station_a: FloatArray
    _beside: dict[int, tuple[ComplexArray, FloatArray]] = field(default_factory=dict)

    def station_voltage_v(self) -> FloatArray:
        """Lowest voltage at the station: between lines, or to neutral if single-phase."""
        on = self.site.operation.phases_of_station()
        voltage = self.voltage_v(STATION)
        if all(on):
            return np.asarray(np.abs(voltage - np.roll(voltage, -1, axis=1)).min(axis=1))
        return np.asarray(np.abs(voltage[:, on.index(True)]))

    def voltage_v(self, node: str) -> ComplexArray:
        """Return the voltages at a node: state, phase; of the source where nothing is supplied."""
        found = self.flow.voltage_v(node)
        source_v = self.network.source_voltage_v / SQRT3 * PHASES
        return np.where(self.flow.supplied[:, np.newaxis], found, source_v)

    def beside(self, position: int) -> tuple[ComplexArray, FloatArray]:
        """Return what others draw through the links at ``position``: state, phase.

        The first is the phasor sum of loads of known power factor, the second the arithmetic sum of
        the others, as ``Operation.current_through`` has them.
        """
        if position not in self._beside:
            self._beside[position] = self._sum(position)
        return self._beside[position]

    def _sum(self, position: int) -> tuple[ComplexArray, FloatArray]:
        operation = self.site.operation
        unsure = operation.installation.station.number("power_factor").is_ranged
        phasor = np.zeros((len(self.station_a), 3), dtype=np.complex128)
        arithmetic = np.zeros((len(self.station_a), 3))
        loads: dict[int, Load] = dict(enumerate(self.network.loads[1:]))
        for number, one in enumerate(self.site.drawn):
            if one.demand.node <= position:
                continue
            voltage = self.voltage_v(loads[number].node)
            reference = (
                np.abs(voltage) if one.constant_power else operation.nominal_voltage_v / SQRT3
            )
            share = self.site.share(number, self.places)
            amperes = np.array(one.apparent_va) * share / reference
            if one.power_factor is None or unsure:
                arithmetic += amperes
            else:
                lag = np.exp(-1j * math.acos(one.power_factor))
                phasor += amperes * lag * voltage / np.abs(voltage)
        return phasor, arithmetic

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
        """Solve |I s + P| + A = limit for the station's current I in each phase."""
        operation = self.site.operation
        phasor, arithmetic = self.beside(position)
        left = limit_a - arithmetic
        squares = np.abs(phasor) ** 2
        full = (left < -NOISE * limit_a) | (squares > (left + NOISE * limit_a) ** 2)
        voltage = self.voltage_v(STATION)
        lag = np.exp(-1j * math.acos(operation.station_power_factor()))
        along = (np.conj(lag * voltage / np.abs(voltage)) * phasor).real
        roots = np.sqrt(np.maximum(along**2 + left**2 - squares, 0.0)) - along
        on = np.array(operation.phases_of_station())
        free = np.where(on, roots, np.inf)
        return np.asarray(np.where(full, 0.0, free).min(axis=1))

    def _above_voltage(self, least_v: float, slope_v_per_a: float) -> FloatArray:
        spare_v = self.station_voltage_v() - least_v
        if slope_v_per_a > 0:
            return np.asarray(self.station_a + spare_v / slope_v_per_a)
        return np.where(spare_v >= 0, self.station_a, 0.0)

    def _below_neutral(self, position: int, limit: NeutralLimit) -> FloatArray:
        phasor, arithmetic = self.beside(position)
        site = (np.abs(phasor) + arithmetic).max(axis=1)
        left = limit.capacity_a - site - limit.auxiliary_a
        if limit.per_station_a == 0:
            return np.where(left < -NOISE * limit.capacity_a, 0.0, np.inf)
        return np.asarray(np.maximum(left, 0.0) / limit.per_station_a)
