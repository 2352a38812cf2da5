"""The current at which a protective device surely operates within a time, by its standard."""

from __future__ import annotations

from collections.abc import Iterable

from feasibility import tables
from feasibility.checks.question import Run
from feasibility.citation import Citation
from feasibility.curves.bands import (
    BandPoint,
    FuseGates,
    TripBand,
    breaker_60898,
    breaker_60947,
    fuse_gg,
)
from feasibility.installation.facts import NotKnown
from feasibility.installation.model import Link
from feasibility.result import Quantity

Sources = tuple[Citation, ...]


def band(run: Run, device: Link, *, slow_is_bad: bool = True) -> tuple[TripBand, str, Sources]:
    """Return the time-current band of a device, in words what it is, and its sources.

    Ranges are taken at the end where the device operates late (``slow_is_bad``: disconnection,
    withstand, the device after another one) or early (False: nuisance tripping, the device before
    another one). NotKnown where kind, rating or a needed setting is open.
    """
    data, ends = device.data, run.ends
    take = ends.high_is_bad if slow_is_bad else ends.low_is_bad
    kind = ends.known(data.word("kind"))
    rating = take(data.number("rating_a"))
    if kind == "gG fuse":
        return _fuse(rating)
    if kind == "IEC 60898-1 circuit-breaker":
        sign = -1 if slow_is_bad else 1
        letter = ends.worst(data.word("characteristic"), lambda word: sign * "BCD".index(word))
        points, sources = _points("IEC 60898-1", letter, rating)
        fixed = breaker_60898(rating_a=rating, points=points)
        return fixed, f"characteristic {letter}, {rating:g} A", sources
    thermal = take(data.number("setting_a"))
    magnetic = take(data.number("magnetic_setting_a"))
    thermal_points, _ = _points("IEC 60947-2", "overload release", thermal)
    magnetic_points, sources = _points("IEC 60947-2", "short-circuit release", magnetic)
    adjustable = breaker_60947(
        thermal_setting_a=thermal,
        thermal_points=thermal_points,
        magnetic_setting_a=magnetic,
        magnetic_points=magnetic_points,
    )
    return adjustable, f"short-circuit setting {magnetic:g} A with its tolerance", sources


def operating_current(run: Run, device: Link, time_s: float) -> Quantity:
    """Return the smallest current at which the device has certainly operated within ``time_s``.

    NotKnown where kind, rating or a needed setting is open, or where the standard's band says
    nothing for this time.
    """
    standard_band, origin, sources = band(run, device)
    current = standard_band.surely_trips_at_a(time_s)
    if current is None:
        raise NotKnown((device.data.number("magnetic_setting_a"),))
    return Quantity(
        value=float(current),
        unit="A",
        symbol="Ia0",
        meaning=f"current that surely operates {device.name} within the time: {origin}",
        sources=sources,
    )


def conventional_multiple(run: Run, link: Link, kind: str, rating_a: float) -> Quantity:
    """Return the conventional tripping current of a circuit-breaker over its rating or setting.

    The smallest current of its standard at which it must have tripped, however long it takes.
    ``link`` is what it protects.
    """
    standard = kind.removesuffix(" circuit-breaker")
    characteristic = "overload release"
    if kind == "IEC 60898-1 circuit-breaker":
        device = run.installation.circuit_of(link).device
        # The conventional current is the same for every characteristic.
        characteristic = device.data.word("characteristic").options[0]
    rows = tables.breaker_points(
        standard=standard, characteristic=characteristic, rating_a=rating_a
    )
    row = min((row for row in rows if row.must_trip), key=lambda row: row.multiple)
    return Quantity(
        value=row.multiple,
        unit="",
        meaning="conventional tripping current as a multiple of the rating",
        sources=(row.source,),
        origin=standard,
    )


def _points(standard: str, characteristic: str, rating_a: float) -> tuple[list[BandPoint], Sources]:
    rows = tables.breaker_points(
        standard=standard, characteristic=characteristic, rating_a=rating_a
    )
    points = [
        BandPoint(
            multiple=row.multiple,
            must_trip=row.must_trip,
            t_min_s=row.t_min_s,
            t_max_s=row.t_max_s,
        )
        for row in rows
    ]
    return points, _once(row.source for row in rows if row.must_trip)


def _fuse(rating_a: float) -> tuple[TripBand, str, Sources]:
    conventional = tables.fuse_conventional(rating_a=rating_a)
    gates = tables.fuse_gates(rating_a=rating_a)
    melting = fuse_gg(
        rating_a=rating_a,
        non_fusing_multiple=conventional.non_fusing_multiple.value,
        fusing_multiple=conventional.fusing_multiple.value,
        conventional_time_s=conventional.time_h.value * 3600,
        gates=FuseGates(
            holds_10s_a=gates.imin_10s.value,
            melts_5s_a=gates.imax_5s.value,
            holds_0_1s_a=gates.imin_0_1s.value,
            melts_0_1s_a=gates.imax_0_1s.value,
        ),
    )
    sources = _once((*gates.imax_5s.sources, *gates.imax_0_1s.sources))
    return melting, f"gG {rating_a:g} A, gates and the line between them", sources


def _once(sources: Iterable[Citation]) -> Sources:
    return tuple(dict.fromkeys(sources))
