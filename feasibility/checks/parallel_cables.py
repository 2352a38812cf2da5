"""Cables in parallel that differ: each as a cable of its own, and how the current divides."""

from __future__ import annotations

from dataclasses import replace

from feasibility.installation.model import Link
from feasibility.installation.resolve import Resolved
from feasibility.survey.circuit import Cable

_NEVER_TAKEN_OVER = (
    "length_m",
    "section_mm2",
    "ampacity_a",
    "resistance_ohm_per_km",
    "neutral_resistance_ohm_per_km",
    "protective_resistance_ohm_per_km",
    "reactance_ohm_per_km",
)


def unequal_cables(link: Link) -> tuple[Link, ...]:
    """Return the cables that lie in parallel with a cable and differ from it, each as a link.

    What the survey does not state of them is as for the cable they accompany.
    """
    record = link.data.record
    if not isinstance(record, Cable):
        return ()
    return tuple(
        replace(
            link,
            name=f"{link.name}, parallel cable {number}",
            data=_merged(link.data, record, number),
        )
        for number in range(1, len(record.parallel_cable) + 1)
    )


def _merged(data: Resolved, record: Cable, number: int) -> Resolved:
    own = record.parallel_cable[number - 1]
    stated = {
        field: getattr(own, field)
        for field in type(own).model_fields
        if field in _NEVER_TAKEN_OVER or getattr(own, field) is not None
    }
    single = {"in_parallel": None, "parallel_cable": ()}
    return replace(
        data,
        record=record.model_copy(update={**single, **stated}),
        path=f"{data.path}.parallel_cable[{number}]",
        label=f"parallel cable {number} beside {data.label}",
    )
