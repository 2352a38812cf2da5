"""The time-current band of a protective device: by its standard, or by its maker's own curve."""

from __future__ import annotations

from collections.abc import Iterable

from feasibility import tables
from feasibility.checks.question import Run
from feasibility.citation import Citation
from feasibility.curves.bands import (
    BandPoint,
    CurveEdge,
    FuseGates,
    Release,
    TripBand,
    breaker,
    fuse_gg,
    makers_curve,
)
from feasibility.installation.facts import Fact, NotKnown
from feasibility.installation.model import Link
from feasibility.installation.resolve import Resolved
from feasibility.result import Quantity
from feasibility.survey.circuit import Device
from feasibility.survey.device_kinds import (
    ADJUSTABLE_BREAKER,
    CHARACTERISTICS_OF,
    FUSE,
    MINIATURE_BREAKER,
    OTHER_DEVICE,
    SELECTIVE_BREAKER,
)

_BY_DELAY = "ZBCKDE"
"""Characteristics by the current of their short-circuit release, rising."""

Sources = tuple[Citation, ...]
Described = tuple[TripBand, str, Sources]

MAKERS_CURVE = Citation(source="maker-data", clause="curve of the device as surveyed")
STANDARD_OF = {
    MINIATURE_BREAKER: "IEC 60898-1",
    ADJUSTABLE_BREAKER: "IEC 60947-2",
    SELECTIVE_BREAKER: "DIN VDE 0641-21",
}


def band(run: Run, device: Link, *, slow_is_bad: bool = True) -> Described:
    """Return the time-current band of a device, in words what it is, and its sources.

    Ranges are taken at the end where the device operates late (``slow_is_bad``: disconnection,
    withstand, the device after another one) or early (False: nuisance tripping, the device before
    another one). NotKnown where kind, rating or a needed setting is open, and for a device of
    another standard without its maker's curve.
    """
    data, ends = device.data, run.ends
    take = ends.high_is_bad if slow_is_bad else ends.low_is_bad
    kind = ends.known(data.word("kind"))
    rating = take(data.number("rating_a"))
    own = makers_points(data)
    if own:
        continuous = take(data.number("setting_a")) if is_adjustable(data, kind) else rating
        curve = makers_curve(continuous_a=continuous, points=own)
        return curve, f"the maker's own curve, {len(own)} points", (MAKERS_CURVE,)
    if kind == FUSE:
        return _fuse(data, rating)
    if kind == OTHER_DEVICE:
        raise NotKnown((curve_fact(data),))
    if is_adjustable(data, kind):
        return _adjustable(run, data, slow_is_bad=slow_is_bad)
    return _with_letter(run, data, kind, rating, slow_is_bad=slow_is_bad)


def operating_current(run: Run, device: Link, time_s: float) -> Quantity:
    """Return the smallest current at which the device has certainly operated within ``time_s``.

    NotKnown where kind, rating or a needed setting is open, or where the band says nothing for
    this time: then the maker's curve (or, for a small fuse, the fuse system) is needed.
    """
    trips, origin, sources = band(run, device)
    current = trips.surely_trips_at_a(time_s)
    if current is None:
        system = device.data.word("fuse_system")
        missing = device.data.word("kind").options == (FUSE,) and system.is_open
        raise NotKnown((system if missing else curve_fact(device.data),))
    return Quantity(
        value=float(current),
        unit="A",
        symbol="Ia0",
        meaning=f"current that surely operates {device.name} within the time: {origin}",
        sources=sources,
    )


def conventional_multiple(run: Run, device: Link, rating_a: float) -> Quantity:
    """Return the conventional tripping current of a device over its rating or overload setting.

    The smallest current of its standard at which it must have operated, however long it takes; for
    a device of another standard what its maker's curve gives within the conventional time of IEC
    60947-2. NotKnown without either.
    """
    kind = run.ends.known(device.data.word("kind"))
    if kind == FUSE:
        return tables.fuse_conventional(rating_a=rating_a).fusing_multiple
    standard = STANDARD_OF.get(kind, "IEC 60947-2")
    characteristic = "overload release"
    if standard != "IEC 60947-2":
        # The conventional current is the same for every characteristic of a standard.
        characteristic = CHARACTERISTICS_OF[kind][0]
    rows = tables.breaker_points(
        standard=standard, characteristic=characteristic, rating_a=rating_a
    )
    row = min((row for row in rows if row.must_trip), key=lambda row: row.multiple)
    meaning = "conventional tripping current as a multiple of the rating"
    if kind != OTHER_DEVICE:
        return Quantity(
            value=row.multiple, unit="", meaning=meaning, sources=(row.source,), origin=standard
        )
    current = band(run, device)[0].surely_trips_at_a(row.t_max_s or 0.0)
    if current is None:
        raise NotKnown((curve_fact(device.data),))
    return Quantity(
        value=current / rating_a,
        unit="",
        meaning=meaning,
        sources=(MAKERS_CURVE,),
        origin="the maker's own curve",
    )


def is_adjustable(data: Resolved, kind: str) -> bool:
    """Whether a device has settings: one to IEC 60947-2 that has no characteristic instead."""
    return kind == ADJUSTABLE_BREAKER and not data.has("characteristic")


def makers_points(data: Resolved) -> list[CurveEdge]:
    """Return the points of the maker's curve that the survey gives."""
    record = data.record
    return [
        CurveEdge(current_a=point.current_a, fastest_s=point.fastest_s, slowest_s=point.slowest_s)
        for point in (record.curve_point if isinstance(record, Device) else ())
    ]


def curve_fact(data: Resolved) -> Fact[float]:
    """Return the maker's curve as the fact that is missing."""
    described = data.word("description")
    what = f" ({described.options[0]})" if described.options else ""
    return Fact(
        path=f"{data.path}.curve_point",
        label=f"maker's time-current curve of {data.label}{what}",
        unit="",
        options=(),
    )


def _with_letter(
    run: Run, data: Resolved, kind: str, rating_a: float, *, slow_is_bad: bool
) -> Described:
    """Return the band of a circuit-breaker of fixed rating with a characteristic."""
    sign = -1 if slow_is_bad else 1
    fill = "" if kind == MINIATURE_BREAKER else "none"
    letter = run.ends.worst(
        data.word("characteristic", fill=fill), lambda word: sign * _BY_DELAY.index(word)
    )
    standard = STANDARD_OF[kind]
    points, sources = _points(standard, letter, rating_a)
    releases = [Release(base_a=rating_a, points=points)]
    if kind == ADJUSTABLE_BREAKER:
        overload, more = _points(standard, "overload release", rating_a)
        releases.append(Release(base_a=rating_a, points=overload))
        sources = _once((*sources, *more))
    trips = breaker(continuous_a=rating_a, releases=releases)
    return trips, f"characteristic {letter}, {rating_a:g} A", sources


def _adjustable(run: Run, data: Resolved, *, slow_is_bad: bool) -> Described:
    """Return the band of an adjustable circuit-breaker from its settings and their tolerances.

    A delayed short-circuit release without a known instantaneous one may also act at once.
    """
    take = run.ends.high_is_bad if slow_is_bad else run.ends.low_is_bad
    thermal = take(data.number("setting_a"))
    overload, sources = _points("IEC 60947-2", "overload release", thermal)
    releases = [Release(base_a=thermal, points=overload)]
    words: list[str] = []
    delayed = data.mentions("short_time_setting_a")
    held_to = 1.0
    if not delayed or data.has("magnetic_setting_a"):
        magnetic = take(data.number("magnetic_setting_a"))
        points, more = _points("IEC 60947-2", "short-circuit release", magnetic)
        if delayed:  # up to its tolerance the delayed release acts, not this one
            held_to = magnetic
            points = [point for point in points if point.must_trip]
        releases.append(Release(base_a=magnetic, points=points))
        sources = _once((*sources, *more))
        words.append(f"short-circuit setting {magnetic:g} A")
    if delayed:
        setting = take(data.number("short_time_setting_a"))
        delay = take(data.number("short_time_delay_s"))
        delayed_releases, more = _delayed(setting, delay, max(setting, held_to))
        releases += delayed_releases
        sources = _once((*sources, *more))
        words.append(f"short-time setting {setting:g} A with {delay:g} s")
    trips = breaker(continuous_a=thermal, releases=releases)
    return trips, " and ".join(words) + ", with tolerance", sources


def _delayed(setting_a: float, delay_s: float, held_to_a: float) -> tuple[list[Release], Sources]:
    """Return a delayed short-circuit release; it keeps its delay up to ``held_to_a``.

    That is the instantaneous setting, or its own one where that is not known.
    """
    held = tables.release_tolerance(item="current held, share of the setting")
    operates = tables.release_tolerance(item="current that operates, share of the setting")
    kept = tables.release_tolerance(item="time held, share of the delay")
    beyond = tables.release_tolerance(item="time to open beyond the delay")
    # Rounded: 0.2 s and 0.1 s are 0.3 s, not a hair more.
    kept_s, opened_s = round(delay_s * kept.value, 6), round(delay_s + beyond.value, 6)
    holds = BandPoint(multiple=held.value, must_trip=False, t_min_s=kept_s)
    trips = BandPoint(multiple=operates.value, must_trip=True, t_max_s=opened_s)
    releases = [
        Release(base_a=setting_a, points=[trips]),
        Release(base_a=held_to_a, points=[holds]),
    ]
    used = (held, operates, kept, beyond)
    return releases, _once(source for one in used for source in one.sources)


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
    return points, _once(row.source for row in rows)


def _fuse(data: Resolved, rating_a: float) -> Described:
    household = data.word("fuse_system").options in (("D",), ("D0",))
    conventional = tables.fuse_conventional(rating_a=rating_a)
    sources = [*conventional.fusing_multiple.sources]
    gates = None
    try:
        found = tables.fuse_gates(rating_a=rating_a, household=household)
    except tables.NotTabulated:
        words = "conventional currents only"
    else:
        sources += [source for one in (found.imax_5s, found.imax_0_1s) for source in one.sources]
        gates = FuseGates(
            holds_10s_a=found.imin_10s.value,
            melts_5s_a=found.imax_5s.value,
            holds_0_1s_a=found.imin_0_1s.value,
            melts_0_1s_a=found.imax_0_1s.value,
        )
        words = "gates and the line between them"
        if not found.own:
            words = "between the next smaller and the next larger rating that have gates"
    melting = fuse_gg(
        rating_a=rating_a,
        non_fusing_multiple=conventional.non_fusing_multiple.value,
        fusing_multiple=conventional.fusing_multiple.value,
        conventional_time_s=conventional.time_h.value * 3600,
        gates=gates,
    )
    return melting, f"gG {rating_a:g} A, {words}", _once(sources)


def _once(sources: Iterable[Citation]) -> Sources:
    return tuple(dict.fromkeys(sources))
