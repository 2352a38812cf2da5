"""Remedies at the outlet: one in good order in its place, one that can be locked off."""

from __future__ import annotations

from collections.abc import Iterator

from feasibility import tables
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.remedies.record import Kind, Part
from feasibility.remedies.values import Ladder, figure, forget, known, part, put, word
from feasibility.result import Quantity
from feasibility.survey.changes import Change

DEGREES_OF_PROTECTION = ("IP44", "IP54", "IP65", "IP66/IP67")
"""Enclosures that are tried, in the order in which they keep out more water (IEC 60529)."""

_OF_THE_OLD_OUTLET = ("terminals_from_mm2", "terminals_to_mm2", "continuous_a", "last_inspection")


def same_outlet(installation: Installation, link: Link) -> Iterator[Ladder]:
    """Yield outlets of the present rating, new, for the station's conductors and the place."""
    rating = known(link.data.number("rating_a"))
    if rating is None:
        return
    yield [_outlet(installation, link, rating, code) for code in DEGREES_OF_PROTECTION]


def larger_outlet(installation: Installation, link: Link) -> Iterator[Ladder]:
    """Yield outlets of the next larger ratings, each with the plug that fits it on the cord."""
    present = known(link.data.number("rating_a"))
    if present is None or not _is_socket(installation):
        return
    code = word(link.data.word("ip_code"))
    codes = [one for one in (code, DEGREES_OF_PROTECTION[-1]) if one is not None]
    yield [
        _outlet(installation, link, rating, one)
        for rating in tables.outlet_ratings()
        for one in dict.fromkeys(codes)
        if rating > present
    ]


def _is_socket(installation: Installation) -> bool:
    return any(one.kind is LinkKind.PLUG for one in installation.links)


def _outlet(installation: Installation, link: Link, rating_a: float, code: str) -> Part:
    words = "Replace the {link} by a new one: {rating}, {contacts}, {code}"
    contacts = contacts_for(installation)
    interlocked = needs_interlock(installation, rating_a)
    values: dict[str, Quantity | str] = {
        "rating": figure(rating_a, "A"),
        "contacts": contacts[0] if contacts else "contacts as present",
        "code": code,
    }
    words += ", interlocked with a switch." if interlocked else "."
    return part(
        Kind.OTHER_OUTLET,
        link,
        words,
        values,
        new_outlet(installation, link, rating_a, code),
    )


def needs_interlock(installation: Installation, rating_a: float) -> bool:
    """Whether an outlet of this rating must not be unplugged under load."""
    least = installation.basis.number("unplugging_under_load")
    return _is_socket(installation) and rating_a >= least


def contacts_for(installation: Installation) -> tuple[str, int] | None:
    """Return poles and clock position that station and supply ask for; None if not known."""
    station, supply = installation.station, installation.supply
    phases, voltage = word(station.word("phases")), known(supply.number("nominal_voltage_v"))
    frequencies = supply.number("frequency_hz").options
    if phases is None or voltage is None or not frequencies:
        return None
    neutral = station.flag("needs_neutral").options != (False,)
    poles = ("3P+N+E" if neutral else "3P+E") if phases == "L1L2L3" else "2P+E"
    volts = voltage / 3**0.5 if poles == "2P+E" else voltage
    fitting = tables.industrial_outlet(
        poles=poles, voltage_v=round(volts), frequency_hz=int(frequencies[0])
    )
    return (poles, fitting[0].clock_position) if fitting else None


def new_outlet(
    installation: Installation, link: Link, rating_a: float, code: str
) -> tuple[Change, ...]:
    """Return changes to a new outlet, and to a plug on the cord that fits it."""
    data = link.data
    changes = put(data, rating_a=rating_a, condition="no damage seen", ip_code=code)
    changes += put(data, lockable_isolation=True, neutral_earth_bridge=False)
    contacts = contacts_for(installation) if _is_socket(installation) else None
    if contacts is not None:
        changes += put(data, poles=contacts[0], clock_position=contacts[1])
    if needs_interlock(installation, rating_a):
        changes += put(data, interlocked_switch=True)
    changes += forget(data, *_OF_THE_OLD_OUTLET)
    return changes + _fitting_plug(installation, rating_a, contacts)


def _fitting_plug(
    installation: Installation, rating_a: float, contacts: tuple[str, int] | None
) -> tuple[Change, ...]:
    """Return changes to a plug that fits; none where the present one does."""
    cord = installation.cord
    if cord is None or not _is_socket(installation):
        return ()
    wanted: dict[str, object] = {"plug_rating_a": rating_a}
    if contacts is not None:
        wanted |= {"plug_poles": contacts[0], "plug_clock_position": contacts[1]}
    if all(cord.number(field).options == (value,) for field, value in wanted.items()):
        return ()
    return (
        *put(cord, plug_condition="no damage seen", **wanted),
        *forget(cord, "plug_terminals_from_mm2", "plug_terminals_to_mm2"),
    )


def locked_off(installation: Installation, link: Link) -> Iterator[Ladder]:
    """Yield a switch or device by which the circuit can be isolated and locked off."""
    del installation
    words = "Fit a switch that isolates all live conductors of the {link} and can be locked off."
    changes = put(link.data, lockable_isolation=True)
    place = f"{link.data.path}.lockable_isolation"
    yield [part(Kind.OTHER_PART, link, words, {}, changes, place=place)]
