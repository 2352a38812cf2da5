"""The overcurrent devices of the feed path in their order, and the edges of their bands."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from feasibility import tables
from feasibility.checks.device_band import band, curve_fact, makers_points
from feasibility.checks.question import Run
from feasibility.citation import Citation
from feasibility.curves.bands import CurvePoint, TripBand
from feasibility.curves.edges import Edge, quick_edge, slow_edge
from feasibility.installation.facts import Fact, NotKnown
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.installation.resolve import Resolved
from feasibility.survey.device_kinds import FUSE

_OWN = "input_device_"
"""How the station's fields on its own overcurrent device begin."""

ENERGY_TIME_S = 0.01
"""Time to which IEC 60269-1, Table 7 refers its limits of the pre-arcing I2t."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Two neighbouring devices; a fault behind ``downstream`` flows through both."""

    upstream: Link
    downstream: Link

    @property
    def fault_position(self) -> int:
        """Position on the path of the largest fault current that both have to clear."""
        return max(self.downstream.position, 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceEdge:
    """One edge of a device's band, in words what it is, and its sources."""

    points: Edge
    band: TripBand
    origin: str
    sources: tuple[Citation, ...]


class _StationDevice(Resolved):
    """The station's own input device: fields of the station that begin with ``_OWN``."""

    def _fact(self, field: str, fill: str) -> Fact[Any]:
        return super()._fact(f"{_OWN}{field}", fill or f"device.{field}")

    def has(self, field: str) -> bool:
        return super().has(f"{_OWN}{field}")

    def mentions(self, field: str) -> bool:
        return super().mentions(f"{_OWN}{field}")


def station_device(installation: Installation) -> Link | None:
    """Return the station's own overcurrent device, None where the survey names none."""
    station = installation.station
    if not any(station.mentions(f"{_OWN}{name}") for name in ("kind", "rating_a")):
        return None
    data = _StationDevice(
        record=station.record,
        kind=station.kind,
        path=station.path,
        label=station.label,
        basis=station.basis,
    )
    position = len(installation.circuits)
    return Link(name="station", kind=LinkKind.STATION, position=position, data=data)


def devices(installation: Installation) -> Sequence[Link]:
    """Return every overcurrent device that the current passes, from the service on."""
    own = station_device(installation)
    return (*installation.links_of(LinkKind.DEVICE), *([own] if own else []))


def pairs(installation: Installation) -> tuple[Pair, ...]:
    """Return each two devices that follow one another."""
    return tuple(
        Pair(upstream=before, downstream=after) for before, after in pairwise(devices(installation))
    )


def slow_edge_of(run: Run, device: Link) -> DeviceEdge:
    """Return by when a device has operated.

    NotKnown where kind, rating or a setting is open, or a maker's curve does not give this side.
    """
    found, origin, sources = band(run, device, slow_is_bad=True)
    energy = _melting(run, device)
    then = () if energy is None else (_at_energy(energy.prearcing_max.value),)
    if energy is not None:
        sources = (*sources, *energy.prearcing_max.sources)
    points = slow_edge(found, then=then)
    if not points:
        raise NotKnown((curve_fact(device.data),))
    return DeviceEdge(points=points, band=found, origin=origin, sources=sources)


def quick_edge_of(run: Run, device: Link) -> DeviceEdge:
    """Return for how long a device surely holds; NotKnown as above."""
    found, origin, sources = band(run, device, slow_is_bad=False)
    energy = _melting(run, device, slow_is_bad=False)
    then = () if energy is None else (_at_energy(energy.prearcing_min.value),)
    if energy is not None:
        sources = (*sources, *energy.prearcing_min.sources)
    points = quick_edge(found, then=then)
    if not points:
        raise NotKnown((curve_fact(device.data),))
    return DeviceEdge(points=points, band=found, origin=origin, sources=sources)


def _melting(run: Run, device: Link, *, slow_is_bad: bool = True) -> tables.FuseEnergy | None:
    """Return the I2t limits of a gG fuse, None for any other device or a rating without them.

    A maker's own curve stands without them: it says for itself how far it reaches.
    """
    if run.ends.known(device.data.word("kind")) != FUSE or makers_points(device.data):
        return None
    take = run.ends.high_is_bad if slow_is_bad else run.ends.low_is_bad
    try:
        return tables.fuse_energy(rating_a=take(device.data.number("rating_a")))
    except tables.NotTabulated:
        return None


def _at_energy(energy_a2s: float) -> CurvePoint:
    return CurvePoint(math.sqrt(energy_a2s / ENERGY_TIME_S), ENERGY_TIME_S)
