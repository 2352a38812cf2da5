"""The overcurrent devices of the feed path in their order, and the edges of their bands."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from feasibility import tables
from feasibility.checks.device_band import band
from feasibility.checks.question import Run
from feasibility.citation import Citation
from feasibility.curves.bands import CurvePoint, TripBand
from feasibility.curves.edges import Edge, quick_edge, slow_edge
from feasibility.installation.facts import Fact
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.installation.resolve import Resolved

FUSE = "gG fuse"

_ENERGY_TIME_S = 0.01
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
    """The station's own input device: fields of the station that begin with ``input_device_``."""

    def _fact(self, field: str, fill: str) -> Fact[Any]:
        return super()._fact(f"input_device_{field}", fill or f"device.{field}")


def station_device(installation: Installation) -> Link | None:
    """Return the station's own overcurrent device, None where the survey names none."""
    station = installation.station
    if not any(station.mentions(f"input_device_{name}") for name in ("kind", "rating_a")):
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
    """Return by when a device has operated; NotKnown where kind, rating or a setting is open."""
    found, origin, sources = band(run, device, slow_is_bad=True)
    then: tuple[CurvePoint, ...] = ()
    if run.ends.known(device.data.word("kind")) == FUSE:
        rating = run.ends.high_is_bad(device.data.number("rating_a"))
        energy = tables.fuse_energy(rating_a=rating).prearcing_max
        then = (_at_energy(energy.value),)
        sources = (*sources, *energy.sources)
    points = slow_edge(found, then=then)
    return DeviceEdge(points=points, band=found, origin=origin, sources=sources)


def quick_edge_of(run: Run, device: Link) -> DeviceEdge:
    """Return for how long a device surely holds; NotKnown as above."""
    found, origin, sources = band(run, device, slow_is_bad=False)
    then: tuple[CurvePoint, ...] = ()
    if run.ends.known(device.data.word("kind")) == FUSE:
        rating = run.ends.low_is_bad(device.data.number("rating_a"))
        energy = tables.fuse_energy(rating_a=rating).prearcing_min
        then = (_at_energy(energy.value),)
        sources = (*sources, *energy.sources)
    points = quick_edge(found, then=then)
    return DeviceEdge(points=points, band=found, origin=origin, sources=sources)


def _at_energy(energy_a2s: float) -> CurvePoint:
    return CurvePoint(math.sqrt(energy_a2s / _ENERGY_TIME_S), _ENERGY_TIME_S)


def kind_in_words(run: Run, device: Link) -> str:
    """Return what a device is, for a sentence."""
    return f"{run.ends.known(device.data.word('kind'))} of {device.name}"
