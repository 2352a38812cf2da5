"""Statements on protective devices that contradict one another, or that no device can meet.

Like ``consistency``: plain data, no code basis, no table; what is unknown is passed over.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from feasibility.survey.device_kinds import (
    ADJUSTABLE_BREAKER,
    CHARACTERISTICS_OF,
    FUSE,
    MINIATURE_BREAKER,
    OTHER_DEVICE,
    SELECTIVE_BREAKER,
)
from feasibility.survey.plain_data import (
    Inconsistency,
    KeyPath,
    Table,
    at_most,
    finite,
    is_stated,
    items,
    number,
    single,
    table,
    tables,
    text,
)

# Scopes of IEC 60898-1 (clause 1) and DIN VDE 0641-21: at most 125 A. Largest fuse-links of the
# systems: D0 (size D03), D (size DV), cylindrical (22 x 58), lists of fuse-links (common practice).
LARGEST_A = {MINIATURE_BREAKER: 125, SELECTIVE_BREAKER: 125}
LARGEST_FUSE_A = {"D0": 100, "D": 200, "cylindrical": 125}

# Scope of IEC 60898-1 (clause 1): rated short-circuit capacity of at most 25 kA.
MINIATURE_BREAKER_LARGEST_KA = 25

_SETTINGS = ("setting_a", "short_time_setting_a", "short_time_delay_s", "magnetic_setting_a")
_SHORT_TIME = ("short_time_setting_a", "short_time_delay_s")


def device_inconsistencies(data: Table) -> Iterator[Inconsistency]:
    """Find every contradiction in the devices of a survey."""
    for path, device in _devices(data):
        for rule in (_rating, _breaking, _belongs_to_kind, _characteristic, _settings, _curve):
            yield from rule(path, device)
    for position, circuit in tables(data, "circuit"):
        yield from _combined(("circuit", position), circuit)


def _devices(data: Table) -> Iterator[tuple[KeyPath, Table]]:
    yield ("supply", "service_device"), table(table(data, "supply"), "service_device")
    for position, circuit in tables(data, "circuit"):
        yield ("circuit", position, "device"), table(circuit, "device")


def _rating(path: KeyPath, device: Table) -> Iterator[Inconsistency]:
    kind, rating_a = text(device, "kind"), number(device, "rating_a") or 0.0
    yield from at_most(device, path, "continuous_a", "rating_a")
    largest_a = LARGEST_A.get(kind or "")
    if largest_a is not None and rating_a > largest_a:
        expected = f"at most {largest_a} A for a device of kind {kind}"
        if kind == MINIATURE_BREAKER:
            expected += f"; a larger one is an {ADJUSTABLE_BREAKER}"
        yield Inconsistency((*path, "rating_a"), single(device, "rating_a"), expected)
    system = text(device, "fuse_system") or ""
    largest_a = LARGEST_FUSE_A.get(system)
    if kind == FUSE and largest_a is not None and rating_a > largest_a:
        expected = f"at most {largest_a} A for a fuse of system {system}"
        yield Inconsistency((*path, "rating_a"), single(device, "rating_a"), expected)
    capacity_ka = number(device, "breaking_capacity_ka") or 0.0
    if kind == MINIATURE_BREAKER and capacity_ka > MINIATURE_BREAKER_LARGEST_KA:
        expected = f"at most {MINIATURE_BREAKER_LARGEST_KA} kA for an {MINIATURE_BREAKER}"
        key = "breaking_capacity_ka"
        yield Inconsistency((*path, key), single(device, key), expected)


def _breaking(path: KeyPath, device: Table) -> Iterator[Inconsistency]:
    """Ics is at most Icn or Icu, and a back-up pairing permits no less than the device alone."""
    yield from at_most(device, path, "service_breaking_capacity_ka", "breaking_capacity_ka")
    yield from at_most(device, path, "breaking_capacity_ka", "backed_up_to_ka")


def _belongs_to_kind(path: KeyPath, device: Table) -> Iterator[Inconsistency]:
    """Find fields that a device of this kind cannot have, and a kind that says nothing."""
    kind = text(device, "kind")
    if kind == OTHER_DEVICE and not is_stated(device, "description"):
        expected = "with kind = other a description of what the device is, as far as it can be read"
        yield Inconsistency((*path, "description"), None, expected)
    if kind in (None, OTHER_DEVICE):
        return
    for key, owner in (
        ("fuse_system", FUSE),
        ("release", ADJUSTABLE_BREAKER),
        ("energy_limiting_class", MINIATURE_BREAKER),
    ):
        if kind != owner and is_stated(device, key):
            expected = f"nothing here, since the device is of kind {kind}; only a {owner} has one"
            yield Inconsistency((*path, key), single(device, key), expected)
    if kind != ADJUSTABLE_BREAKER:
        for key in _SETTINGS:
            if is_stated(device, key):
                expected = f"no setting, since the device is of kind {kind}, without any"
                yield Inconsistency((*path, key), single(device, key), expected)


def _characteristic(path: KeyPath, device: Table) -> Iterator[Inconsistency]:
    kind, letter = text(device, "kind"), text(device, "characteristic")
    if kind == FUSE and is_stated(device, "characteristic"):
        expected = f"no characteristic for a device of kind {kind}"
        yield Inconsistency((*path, "characteristic"), single(device, "characteristic"), expected)
    letters = CHARACTERISTICS_OF.get(kind or "")
    if letters and letter and letter not in letters:
        expected = f"one of {', '.join(letters)} for a device of kind {kind}"
        yield Inconsistency((*path, "characteristic"), letter, expected)
    if kind == ADJUSTABLE_BREAKER and letter:
        for key in _SETTINGS:
            if is_stated(device, key):
                expected = f"either settings or a characteristic; {letter} is given already"
                yield Inconsistency((*path, key), single(device, key), expected)


def _settings(path: KeyPath, device: Table) -> Iterator[Inconsistency]:
    if text(device, "kind") not in (None, ADJUSTABLE_BREAKER, OTHER_DEVICE):
        return
    for low, high in (
        ("setting_a", "rating_a"),
        ("setting_a", "short_time_setting_a"),
        ("setting_a", "magnetic_setting_a"),
        ("short_time_setting_a", "magnetic_setting_a"),
    ):
        yield from at_most(device, path, low, high)
    if text(device, "release") == "thermal-magnetic":
        for key in _SHORT_TIME:
            if is_stated(device, key):
                expected = "nothing here: only an electronic release has a short-time setting"
                yield Inconsistency((*path, key), single(device, key), expected)
    if is_stated(device, "short_time_delay_s") and "short_time_setting_a" not in device:
        expected = 'the short-time setting that is delayed, or short_time_setting_a = "unknown"'
        yield Inconsistency((*path, "short_time_setting_a"), None, expected)


def _curve(path: KeyPath, device: Table) -> Iterator[Inconsistency]:
    """Find curve points that are no curve: more current never takes longer."""
    points = [point for _, point in tables(device, "curve_point")]
    if len(points) != len(items(device, "curve_point")):
        return
    for position, point in enumerate(points):
        here = (*path, "curve_point", position)
        fastest_s, slowest_s = finite(point.get("fastest_s")), finite(point.get("slowest_s"))
        if point.get("fastest_s") is None and point.get("slowest_s") is None:
            yield Inconsistency((*here, "slowest_s"), None, "fastest_s, slowest_s, or both")
        if fastest_s is not None and slowest_s is not None and fastest_s > slowest_s:
            expected = f"at most slowest_s, which is {slowest_s:g}"
            yield Inconsistency((*here, "fastest_s"), fastest_s, expected)
    yield from _falling((*path, "curve_point"), points)


def _falling(path: KeyPath, points: Sequence[Table]) -> Iterator[Inconsistency]:
    last: dict[str, float] = {}
    for position, point in enumerate(points):
        current_a = finite(point.get("current_a"))
        less_a = last.get("current_a")
        if current_a is not None and less_a is not None and current_a <= less_a:
            expected = f"points by rising current, each current once; {less_a:g} A stands before it"
            yield Inconsistency((*path, position, "current_a"), point["current_a"], expected)
        for key in ("fastest_s", "slowest_s"):
            time_s, earlier_s = finite(point.get(key)), last.get(key)
            if time_s is not None and earlier_s is not None and time_s > earlier_s:
                expected = (
                    f"at most {earlier_s:g}, the time at a smaller current before it: "
                    "more current never takes longer"
                )
                yield Inconsistency((*path, position, key), point[key], expected)
        known = {key: finite(point.get(key)) for key in ("current_a", "fastest_s", "slowest_s")}
        last |= {key: value for key, value in known.items() if value is not None}


def _combined(path: KeyPath, circuit: Table) -> Iterator[Inconsistency]:
    """Find a residual-current device that cannot be one unit with the device beside it."""
    residual, device = table(circuit, "residual_current_device"), table(circuit, "device")
    if single(residual, "combined") is not True:
        return
    here = (*path, "residual_current_device")
    kind = text(device, "kind")
    if kind in (FUSE, SELECTIVE_BREAKER):
        expected = f"false: a device of kind {kind} is no unit with residual-current protection"
        yield Inconsistency((*here, "combined"), True, expected)  # noqa: FBT003
    ratings_a = number(residual, "rating_a"), number(device, "rating_a")
    if kind == MINIATURE_BREAKER and None not in ratings_a and ratings_a[0] != ratings_a[1]:
        expected = f"{ratings_a[1]:g}, the rating of the circuit-breaker it is one unit with"
        yield Inconsistency((*here, "rating_a"), single(residual, "rating_a"), expected)
