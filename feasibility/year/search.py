"""What is free on every link at every moment, and the largest steady current that always fits."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from feasibility.checks.operation import Operation
from feasibility.network.year_flow import Progress
from feasibility.units import FloatArray
from feasibility.year.limits import LinkLimits
from feasibility.year.moments import Moments, Site

NOISE_A = 1e-6
"""Currents that differ by less are the same: the solvers know them no better."""

_CRITICAL_SHARE = 1.03
_MOST_CRITICAL = 3000
_SEARCH_TOLERANCE_A = 1e-7
_ROUNDS = 30


@dataclass(frozen=True, slots=True, kw_only=True)
class Free:
    """Free currents through the time, in A.

    ``requested`` are the states at the requested current and ``exceeded`` says of each link where
    it would exceed a limit; ``of_links`` are free currents, ``path`` the least of them at each
    moment, and ``fixed_a`` the largest steady current that exceeds nothing at any moment. ``dark``
    is where the requested current cannot be supplied at all.
    """

    requested: Moments
    dark: NDArray[np.bool_]
    exceeded: tuple[NDArray[np.bool_], ...]
    of_links: tuple[FloatArray, ...]
    path: FloatArray
    fixed_a: float

    def lasting(self, moments: NDArray[np.intp]) -> Free:
        """Return them where each state lasts for so many moments; ``requested`` stays as it is."""
        return replace(
            self,
            dark=np.repeat(self.dark, moments),
            exceeded=tuple(np.repeat(one, moments) for one in self.exceeded),
            of_links=tuple(np.repeat(one, moments) for one in self.of_links),
            path=np.repeat(self.path, moments),
        )


def free_currents(
    site: Site, limits: tuple[LinkLimits, ...], requested_a: float, on_step: Progress | None
) -> Free:
    """Return the free currents: solved at the requested current, then at what that leaves free."""

    def told(before: int) -> Progress | None:
        if on_step is None:
            return None
        return lambda done, states: on_step(before + done, 2 * states)

    warm_a = _warming_current_a(site.operation, limits, requested_a)
    slope = _slope_v_per_a(site.operation, warm_a)
    asked = np.full(site.count, requested_a)
    first = site.at(asked, warmed_by_a=warm_a, on_step=told(0))
    of_links = [first.free_a(one, slope) for one in limits]
    exceeded = tuple(requested_a > free + NOISE_A for free in of_links)
    second = site.at(_least(of_links), warmed_by_a=warm_a, on_step=told(site.count))
    of_links = [second.free_a(one, slope) for one in limits]
    _down_to_supplied(site, limits, second, of_links, warm_a, slope)
    fixed_a = _largest_fixed(site, limits, of_links, slope)
    return Free(
        requested=first,
        dark=~first.flow.supplied,
        exceeded=exceeded,
        of_links=tuple(of_links),
        path=_least(of_links),
        fixed_a=fixed_a,
    )


def _least(of_links: list[FloatArray]) -> FloatArray:
    return np.asarray(np.min(of_links, axis=0))


def _warming_current_a(
    operation: Operation, limits: tuple[LinkLimits, ...], requested_a: float
) -> float:
    """Return the current that warms the conductors: the requested one if it can be supplied."""
    total = min((one.total_a for one in limits if one.total_a is not None), default=0.0)
    for current_a in (requested_a, min(total, requested_a), 0.5 * min(total, requested_a)):
        if operation.state(current_a) is not None:
            return current_a
    return 0.0


def _slope_v_per_a(operation: Operation, current_a: float) -> float:
    """Return by how much an ampere of the station lowers its voltage, at the largest demand."""
    if current_a <= 0 or operation.state(0.0) is None:
        return 0.0
    lost_v = operation.station_voltage_v(0.0) - operation.station_voltage_v(current_a)
    return lost_v / current_a


def _down_to_supplied(
    site: Site,
    limits: tuple[LinkLimits, ...],
    moments: Moments,
    of_links: list[FloatArray],
    warm_a: float,
    slope: float,
) -> None:
    """Lower the free current of moments that were not supplied until they are."""
    dark = np.flatnonzero(~moments.flow.supplied)
    tried_a = moments.station_a[dark] / 2
    for _ in range(_ROUNDS):
        if not dark.size:
            return
        again = site.at(tried_a, places=dark, warmed_by_a=warm_a)
        for one, free in zip(limits, of_links, strict=True):
            free[dark] = np.minimum(again.free_a(one, slope), tried_a)
        left = ~again.flow.supplied
        dark, tried_a = dark[left], tried_a[left] / 2
    for free in of_links:
        free[dark] = 0.0  # not even the site's own demand is supplied


def _largest_fixed(
    site: Site, limits: tuple[LinkLimits, ...], of_links: list[FloatArray], slope: float
) -> float:
    """Return the largest steady current, with voltages and temperatures at that very current.

    The moments that are near the least free current are solved again at it until it stands; their
    free currents are taken over.
    """
    path = _least(of_links)
    fixed_a = float(path.min())
    for _ in range(_ROUNDS):
        if fixed_a <= 0 or site.operation.state(fixed_a) is None:
            break
        near = np.flatnonzero(path <= fixed_a * _CRITICAL_SHARE + 0.1)
        near = near[np.argsort(path[near], kind="stable")[:_MOST_CRITICAL]]
        again = site.at(np.full(len(near), fixed_a), places=near, warmed_by_a=fixed_a)
        found = [again.free_a(one, slope) for one in limits]
        least = float(np.min(found))
        settled = abs(least - fixed_a) < _SEARCH_TOLERANCE_A
        fixed_a = min(least, fixed_a) if settled else least
        if settled:
            for free, new in zip(of_links, found, strict=True):
                free[near] = np.maximum(np.minimum(free[near], new), fixed_a)
            break
    return fixed_a
