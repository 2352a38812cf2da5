"""What all generators of remedies share: hypothetical values, known figures, readings undone."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from feasibility.installation.facts import Fact
from feasibility.installation.model import Installation, Link
from feasibility.installation.resolve import Resolved
from feasibility.remedies.record import Kind, Part
from feasibility.result import Message, Quantity
from feasibility.survey.changes import Change

HYPOTHETICAL = "hypothetical: of a remedy, nobody saw it on site"

Ladder = Sequence[Part]
"""The same change in rising (or falling) steps; the first step that is enough is taken."""

_READINGS = (
    "measured_loop_impedance_ohm",
    "measured_fault_current_ka",
    "measured_fault_between",
)


def put(data: Resolved, **values: object) -> tuple[Change, ...]:
    """Return changes of a surveyed record's fields, labelled as hypothetical."""
    return tuple(
        Change(
            place=f"{data.path}.{field}",
            value={"value": value, "known": "assumed", "note": HYPOTHETICAL},
        )
        for field, value in values.items()
    )


def forget(data: Resolved, *fields: str) -> tuple[Change, ...]:
    """Return changes after which nobody knows these fields, as far as the survey names them.

    What stood on the old thing says nothing of the new one.
    """
    return tuple(
        Change(place=f"{data.path}.{field}", value="unknown")
        for field in fields
        if data.mentions(field)
    )


def without_readings(installation: Installation, from_node: int) -> tuple[Change, ...]:
    """Return changes that undo readings from a node of the path on: they were taken before."""
    places = [one for one in installation.places[from_node:] if one is not None]
    return tuple(change for place in places for change in forget(place, *_READINGS))


def known(fact: Fact[float]) -> float | None:
    """Return the one figure of a fact, None where it is open or a range."""
    return float(fact.options[0]) if len(fact.options) == 1 else None


def word(fact: Fact[str]) -> str | None:
    """Return the one word of a fact, None where it is open or a range."""
    return fact.options[0] if len(fact.options) == 1 else None


def part(
    kind: Kind,
    link: Link,
    template: str,
    values: dict[str, Quantity | str],
    changes: Iterable[Change],
    *,
    place: str = "",
    quantity: float = 1.0,
) -> Part:
    """Return a part of a remedy at a link."""
    return Part(
        kind=kind,
        place=place or link.data.path,
        link=link.name,
        words=Message(template=template, values={"link": link.name, **values}),
        changes=tuple(changes),
        quantity=quantity,
    )


def figure(value: float, unit: str) -> Quantity:
    """Return a figure for the words of a part."""
    return Quantity(value=value, unit=unit)
