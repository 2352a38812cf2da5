"""Overcurrent protective devices: ratings, fuse gates and energies, breaker test points."""

from __future__ import annotations

from dataclasses import dataclass, replace

from feasibility.citation import Citation
from feasibility.result import Quantity
from feasibility.tables.errors import NotTabulated
from feasibility.tables.loader import table
from feasibility.tables.lookup import band, citation, distinct, exact, only, quantity, select
from feasibility.tables.record import Row

EVERY_EDITION = "every"


@dataclass(frozen=True, slots=True, kw_only=True)
class FuseGates:
    """Currents in A: must hold 10 s, must have operated at 5 s, and the same for 0.1 s.

    ``own`` is False where they are those of the neighbouring ratings.
    """

    imin_10s: Quantity
    imax_5s: Quantity
    imin_0_1s: Quantity
    imax_0_1s: Quantity
    own: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class FuseConventional:
    """Conventional time in h, and the multiples of the rating that hold and that operate in it."""

    time_h: Quantity
    non_fusing_multiple: Quantity
    fusing_multiple: Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class FuseEnergy:
    """I2t in A2 s: pre-arcing limits at 0.01 s, and the limits of fuse system A."""

    prearcing_min: Quantity
    prearcing_max: Quantity
    system_a_prearcing_min: Quantity
    system_a_operating_max: Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class BreakerPoint:
    """One test point of a circuit-breaker.

    ``must_trip`` False: holds ``multiple`` for ``t_min_s``. True: opens at the latest after
    ``t_max_s`` and, where given, not before ``t_min_s``. ``multiple_of``: In, Ir or Im.
    """

    multiple: float
    multiple_of: str
    must_trip: bool
    t_min_s: float | None
    t_max_s: float | None
    start: str
    reference_ambient_c: float | None
    source: Citation
    note: str


def standard_device_ratings(*, device: str = "") -> tuple[float, ...]:
    """Return the usual rated currents in A, rising; of one kind of device, or of all kinds."""
    rows = table("device_ratings").rows
    chosen = select(rows, {"device": device}) if device else rows
    return tuple(sorted({row.number("rating_a") for row in chosen}))


_GATES = {
    "imin_10s": ("smallest for 10 s", "Imin(10 s)"),
    "imax_5s": ("largest for 5 s", "Imax(5 s)"),
    "imin_0_1s": ("smallest for 0.1 s", "Imin(0.1 s)"),
    "imax_0_1s": ("largest for 0.1 s", "Imax(0.1 s)"),
}
_HOUSEHOLD = "IEC60269-3:2010"


def fuse_gates(*, rating_a: float, household: bool = False) -> FuseGates:
    """Return the gates of a gG fuse-link (IEC 60269-1, Table 3).

    ``household`` adds the ratings that IEC 60269-3 lists for the fuse systems D and D0 (35 A, and
    below 16 A). A rating above 16 A that is in use but has no gates of its own holds like the next
    smaller and melts like the next larger one. Raises NotTabulated.
    """
    source = table("fuse_gates")
    rows = [row for row in source.rows if household or row.text("standard_id") != _HOUSEHOLD]
    ratings = sorted({row.number("rating_a") for row in rows})
    if rating_a not in standard_device_ratings(device="gG fuse") or rating_a < ratings[0]:
        raise NotTabulated(parameter="rating_a", value=rating_a, permitted=ratings)
    smaller = max(rating for rating in ratings if rating <= rating_a)
    larger = min(rating for rating in ratings if rating >= rating_a)

    def gate(name: str, like_a: float) -> Quantity:
        words, symbol = _GATES[name]
        row = only(rows, {"rating_a": like_a, "gate": words})
        note = "" if like_a == rating_a else f"no gate of its own, taken like {like_a:g} A"
        meaning = f"gG {rating_a:g} A, {words}"
        return quantity(source, row, "current_a", symbol=symbol, meaning=meaning, note=note)

    return FuseGates(
        imin_10s=gate("imin_10s", smaller),
        imax_5s=gate("imax_5s", larger),
        imin_0_1s=gate("imin_0_1s", smaller),
        imax_0_1s=gate("imax_0_1s", larger),
        own=smaller == larger,
    )


def fuse_conventional(*, rating_a: float) -> FuseConventional:
    """Return conventional time and currents of a gG fuse-link (IEC 60269-1, Table 2).

    Raises NotTabulated for a rating that no gG fuse has.
    """
    source = table("fuse_conventional")
    ratings = standard_device_ratings(device="gG fuse")
    if rating_a not in ratings:
        raise NotTabulated(parameter="rating_a", value=rating_a, permitted=ratings)
    row = band(source.rows, "rating_over_a", "rating_up_to_a", rating_a, "rating_a")
    return FuseConventional(
        time_h=quantity(source, row, "time_h", meaning="conventional time"),
        non_fusing_multiple=quantity(
            source, row, "non_fusing_multiple", meaning="conventional non-fusing current / In"
        ),
        fusing_multiple=quantity(
            source, row, "fusing_multiple", meaning="conventional fusing current / In"
        ),
    )


def fuse_energy(*, rating_a: float) -> FuseEnergy:
    """Return the I2t limits of a gG fuse-link (IEC 60269-1 Table 7, 60269-2 fuse system A).

    Raises NotTabulated.
    """

    def energy(name: str) -> Quantity:
        source = table("fuse_energy")
        row = only(source.rows, {"rating_a": rating_a, "limit": name})
        meaning = f"gG {rating_a:g} A, {name}"
        return quantity(source, row, "energy_a2s", symbol="I2t", meaning=meaning)

    return FuseEnergy(
        prearcing_min=energy("smallest pre-arcing at 0.01 s"),
        prearcing_max=energy("largest pre-arcing at 0.01 s"),
        system_a_prearcing_min=energy("smallest pre-arcing, fuse system A"),
        system_a_operating_max=energy("largest operating, fuse system A"),
    )


def greatest_fuse_energies(*, rating_a: float) -> tuple[Quantity, Quantity]:
    """Return the largest pre-arcing and the largest operating I2t in A2 s of a gG fuse-link.

    A rating without limits of its own counts like the next larger one that has them. Raises
    NotTabulated.
    """
    ratings = sorted({row.number("rating_a") for row in table("fuse_energy").rows})
    larger = [rating for rating in ratings if rating >= rating_a]
    if rating_a not in standard_device_ratings(device="gG fuse") or not larger:
        raise NotTabulated(parameter="rating_a", value=rating_a, permitted=ratings)
    energy = fuse_energy(rating_a=larger[0])
    return energy.prearcing_max, energy.system_a_operating_max


def breaker_points(
    *, standard: str, characteristic: str, rating_a: float, edition: str = "2003"
) -> tuple[BreakerPoint, ...]:
    """Return the test points that bound the time-current curve, by rising multiple.

    ``standard``: ``IEC 60898-1`` (characteristic B, C, D), ``IEC 60947-2`` (``overload release``,
    ``short-circuit release``, or the instantaneous points of a letter B, C, D, K, Z alone) or
    ``DIN VDE 0641-21`` (E). ``edition`` concerns IEC 60898-1 alone: until ``2003`` the hold test
    at the lower multiple only holds 0.1 s, in ``2015`` it also has a longest time (from memory).
    Raises NotTabulated.
    """
    family = select(
        table("breaker_test_points").rows, {"family": standard, "characteristic": characteristic}
    )
    editions = ("2003", "2015")
    if edition not in editions:
        raise NotTabulated(parameter="edition", value=edition, permitted=editions)
    points = [
        row
        for row in family
        if row.text("edition") in (EVERY_EDITION, edition) and _covers(row, rating_a)
    ]
    if not points:
        raise NotTabulated(
            parameter="rating_a", value=rating_a, permitted=distinct(family, "rating_up_to_a")
        )
    points.sort(key=lambda row: (row.number("current_multiple"), row.text("must_trip")))
    return tuple(_point(row) for row in points)


def release_tolerance(*, item: str) -> Quantity:
    """Return one tolerance of the short-time release of an adjustable breaker, by its name."""
    return exact("breaker_release_tolerances", "value", {"item": item}, meaning=item)


def let_through_energy(
    *, characteristic: str, energy_class: int, rating_a: float, breaking_capacity_ka: float
) -> Quantity:
    """Return the largest I2t in A2 s that an energy limiting class permits.

    Source: EN 60898-1, Annex ZA; up to 32 A, mostly from memory. Raises NotTabulated.
    """
    source = table("breaker_energy_classes")
    rows = select(
        source.rows,
        {
            "characteristic": characteristic,
            "energy_class": energy_class,
            "breaking_capacity_ka": breaking_capacity_ka,
        },
    )
    row = band(rows, "rating_over_a", "rating_up_to_a", rating_a, "rating_a")
    meaning = f"largest let-through I2t, {characteristic}{rating_a:g}, class {energy_class}"
    return quantity(source, row, "let_through_a2s", symbol="I2t", meaning=meaning)


def breaking_capacities(*, device: str) -> tuple[float, ...]:
    """Return the usual breaking capacities in kA, rising. Raises NotTabulated."""
    rows = select(table("breaking_capacities").rows, {"device": device})
    return tuple(sorted(row.number("breaking_capacity_ka") for row in rows))


def service_breaking_ka(*, device: str, breaking_capacity_ka: float) -> Quantity:
    """Return the service short-circuit capacity Ics in kA that goes with a rated one.

    Source: IEC 60898-1, Table 18: a share of Icn, but not below a fixed value. Raises NotTabulated.
    """
    source = table("service_breaking_ratio")
    rows = select(source.rows, {"device": device})
    row = band(rows, "over_ka", "up_to_ka", breaking_capacity_ka, "breaking_capacity_ka")
    meaning = f"service short-circuit capacity beside {breaking_capacity_ka:g} kA, {device}"
    share = quantity(source, row, "service_factor", symbol="Ics", meaning=meaning)
    least = row.optional_number("at_least_ka") or 0.0
    return replace(share, value=max(share.value * breaking_capacity_ka, least), unit="kA")


def _covers(row: Row, rating_a: float) -> bool:
    low, high = row.optional_number("rating_over_a"), row.optional_number("rating_up_to_a")
    if not rating_a > 0:
        return False
    return (low is None or rating_a > low) and (high is None or rating_a <= high)


def _point(row: Row) -> BreakerPoint:
    return BreakerPoint(
        multiple=row.number("current_multiple"),
        multiple_of=row.text("multiple_of"),
        must_trip=row.text("must_trip") == "yes",
        t_min_s=row.optional_number("t_min_s"),
        t_max_s=row.optional_number("t_max_s"),
        start=row.text("start"),
        reference_ambient_c=row.optional_number("reference_ambient_c"),
        source=citation(table("breaker_test_points"), row),
        note=row.text("note"),
    )
