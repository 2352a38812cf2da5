"""Remedies at a device or a part: its release, another device, another residual-current device."""

from __future__ import annotations

from collections.abc import Iterator

from feasibility import tables
from feasibility.installation.model import Installation, Link, PathCircuit
from feasibility.remedies.record import Kind, Part
from feasibility.remedies.values import Ladder, figure, forget, known, part, put, word
from feasibility.survey.changes import Change
from feasibility.survey.circuit import Circuit
from feasibility.survey.device_kinds import ADJUSTABLE_BREAKER, MINIATURE_BREAKER

_STEPS = 6

_RELEASE_SHARES = tuple(share / 20 for share in range(20, 7, -1))
"""Overload settings from the rating down to 0.4 of it in steps of 0.05 (common practice, no
source)."""

_MAGNETIC_SHARES = (0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3)

SUITABLE_TYPES = ("A", "F", "B")
"""Types that are tried, in the order in which they detect more (IEC 60755)."""


_OF_THE_OLD_DEVICE = (
    "let_through_a2s",
    "backed_up_to_ka",
    "selective_up_to_ka",
    "continuous_a",
    "temperature_factor",
    "grouping_factor",
    "service_breaking_capacity_ka",
)


def stronger_device(installation: Installation, link: Link) -> Iterator[Ladder]:
    """Yield a higher release setting and the next larger devices of the same kind."""
    del installation
    kind, rating = word(link.data.word("kind")), known(link.data.number("rating_a"))
    if kind is None or rating is None:
        return
    setting = known(link.data.number("setting_a")) if kind == ADJUSTABLE_BREAKER else None
    if setting is not None:
        shares = [one for one in reversed(_RELEASE_SHARES) if one * rating > setting]
        yield [_set_release(link, share * rating) for share in shares]
    yield [
        _device(link, kind, one)
        for one in tables.standard_device_ratings(device=kind)
        if one > rating
    ][:_STEPS]


def weaker_device(installation: Installation, link: Link) -> Iterator[Ladder]:
    """Yield a lower release setting and the next smaller devices of the same kind."""
    del installation
    kind, rating = word(link.data.word("kind")), known(link.data.number("rating_a"))
    if kind is None or rating is None:
        return
    setting = known(link.data.number("setting_a")) if kind == ADJUSTABLE_BREAKER else None
    if setting is not None:
        shares = [one for one in _RELEASE_SHARES if one * rating < setting]
        yield [_set_release(link, share * rating) for share in shares]
    smaller = [one for one in tables.standard_device_ratings(device=kind) if one < rating]
    yield [_device(link, kind, one) for one in reversed(smaller)][:_STEPS]


def quicker_device(installation: Installation, link: Link) -> Iterator[Ladder]:
    """Yield a lower instantaneous setting, or a device with a quicker characteristic."""
    del installation
    kind = word(link.data.word("kind"))
    magnetic = known(link.data.number("magnetic_setting_a"))
    if kind == ADJUSTABLE_BREAKER and magnetic is not None:
        words = "Set the instantaneous release of {link} to {setting}."
        yield [
            part(
                Kind.RELEASE_SETTING,
                link,
                words,
                {"setting": figure(share * magnetic, "A")},
                put(link.data, magnetic_setting_a=share * magnetic),
                place=f"{link.data.path}.magnetic_setting_a",
            )
            for share in _MAGNETIC_SHARES
        ]
    letter = word(link.data.word("characteristic"))
    if kind == MINIATURE_BREAKER and letter in ("C", "D"):
        words = "Replace {link} by one with characteristic {letter}."
        yield [
            part(
                Kind.OTHER_DEVICE,
                link,
                words,
                {"letter": quicker},
                (
                    *put(link.data, characteristic=quicker),
                    *forget(link.data, "let_through_a2s", "selective_up_to_ka"),
                ),
            )
            for quicker in ("C", "B")
            if quicker < (letter or "")
        ]


def breaking_more(installation: Installation, link: Link) -> Iterator[Ladder]:
    """Yield devices of the same kind and rating with a higher breaking capacity."""
    del installation
    kind = word(link.data.word("kind"))
    present = known(link.data.number("breaking_capacity_ka")) or 0.0
    if kind is None:
        return
    words = "Replace {link} by one that breaks {capacity}."
    try:
        capacities = tables.breaking_capacities(device=kind)
    except tables.NotTabulated:
        return
    yield [
        part(
            Kind.OTHER_DEVICE,
            link,
            words,
            {"capacity": figure(capacity, "kA")},
            (
                *put(link.data, breaking_capacity_ka=capacity),
                *forget(link.data, "let_through_a2s", "backed_up_to_ka", "selective_up_to_ka"),
            ),
        )
        for capacity in capacities
        if capacity > present
    ][:_STEPS]


def _set_release(link: Link, setting_a: float) -> Part:
    words = "Set the overload release of {link} to {setting}."
    changes = put(link.data, setting_a=setting_a)
    return part(Kind.RELEASE_SETTING, link, words, {"setting": figure(setting_a, "A")}, changes)


def _device(link: Link, kind: str, rating_a: float) -> Part:
    words = "Replace {link} by a device of the same kind, characteristic and class rated {rating}."
    changes = put(link.data, rating_a=rating_a)
    if kind == ADJUSTABLE_BREAKER and link.data.has("setting_a"):
        changes += put(link.data, setting_a=rating_a)
    changes += forget(link.data, *_OF_THE_OLD_DEVICE)
    return part(Kind.OTHER_DEVICE, link, words, {"rating": figure(rating_a, "A")}, changes)


def residual_current_device(installation: Installation, link: Link) -> Iterator[Ladder]:
    """Yield residual-current devices by rising type, of the present or the usual sensitivity."""
    circuit = installation.circuit_of(link)
    place = circuit.residual_current_device
    present = known(place.data.number("residual_current_ma"))
    usual = usual_residual_ma()
    sensitivities = list(dict.fromkeys((present or usual, usual)))
    yield [_residual(circuit, kind, ma) for ma in sensitivities for kind in SUITABLE_TYPES]
    if circuit.is_final:
        yield from unblocked_outlets(installation, link)


def usual_residual_ma() -> float:
    """Return the rated residual current of additional protection (IEC 60364-4-41, 411.3.3)."""
    condition = "alternating current, up to 32 A, general use by ordinary persons"
    return tables.residual_current_rule(
        rule="additional protection of socket-outlets", condition=condition
    ).value


def _residual(circuit: PathCircuit, kind: str, ma: float) -> Part:
    place = circuit.residual_current_device
    words = (
        "Fit a residual-current device of type {type}, {current}, rated {rating}, in circuit "
        "'{circuit}'."
    )
    rating = _residual_rating(circuit)
    return part(
        Kind.RESIDUAL_CURRENT_DEVICE,
        place,
        words,
        {
            "type": kind,
            "current": figure(ma, "mA"),
            "rating": figure(rating, "A"),
            "circuit": circuit.name,
        },
        new_residual(place, kind, ma, rating),
    )


def new_residual(place: Link, kind: str, ma: float, rating_a: float) -> tuple[Change, ...]:
    """Return changes to a separate, undelayed residual-current device."""
    return (
        *put(
            place.data,
            present=True,
            type=kind,
            residual_current_ma=ma,
            rating_a=rating_a,
            delay="none",
            combined=False,
        ),
        *forget(place.data, "delay_s"),
    )


def _residual_rating(circuit: PathCircuit) -> float:
    """Return the present rating, or the next one that the device of the circuit does not exceed."""
    present = known(circuit.residual_current_device.data.number("rating_a"))
    device = known(circuit.device.data.number("rating_a")) or 0.0
    if present is not None and present >= device:
        return present
    return next((one for one in tables.standard_device_ratings() if one >= device), device)


def stronger_residual(installation: Installation, link: Link) -> Iterator[Ladder]:
    """Yield residual-current devices of the present type with a higher rated current."""
    present = known(link.data.number("rating_a"))
    if present is None:
        return
    words = "Replace {link} by one rated {rating}."
    yield [
        part(
            Kind.RESIDUAL_CURRENT_DEVICE,
            link,
            words,
            {"rating": figure(one, "A")},
            put(link.data, rating_a=one),
        )
        for one in tables.standard_device_ratings()
        if one > present
    ][:_STEPS]
    yield from unblocked_outlets(installation, link)


def stronger_part(installation: Installation, link: Link) -> Iterator[Ladder]:
    """Yield parts of the same kind with a higher rated current."""
    del installation
    present = known(link.data.number("rating_a"))
    if present is None:
        return
    words = "Replace {link} by one rated {rating}."
    yield [
        part(
            Kind.OTHER_PART,
            link,
            words,
            {"rating": figure(one, "A")},
            (*put(link.data, rating_a=one), *forget(link.data, "continuous_a")),
        )
        for one in tables.standard_device_ratings()
        if one > present
    ][:_STEPS]


def unblocked_outlets(installation: Installation, link: Link) -> Iterator[Ladder]:
    """Yield the blocking of all other outlets on the circuit of a link."""
    circuit = installation.circuit_of(link)
    record = circuit.data.record
    outlets = record.other_outlet if isinstance(record, Circuit) else ()
    places = [
        f"{circuit.data.path}.other_outlet[{number}].blocked"
        for number, one in enumerate(outlets, start=1)
        if one.blocked is None or one.blocked.value is not True
    ]
    if places:
        words = "Block every other outlet on {link}, so that nothing can be plugged in there."
        changes = [Change(place=place, value=True) for place in places]
        yield [part(Kind.BLOCKED_OUTLET, circuit.link, words, {}, changes)]
