"""What ampacities of cables and cords have in common: the ends of ranges, neutral, terminals."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import product
from typing import Any

from feasibility import tables
from feasibility.installation.facts import Ends, Fact, NotKnown
from feasibility.installation.model import Installation, Link
from feasibility.result import Quantity, Step
from feasibility.tables import NotTabulated

TERMINALS_C = 70.0
"""Terminals count as rated for this unless both ends are declared for more (code basis)."""

MAXIMUM_C = {"PVC": 70.0, "XLPE": 90.0, "60 C rubber": 60.0, "90 C thermosetting": 90.0}
"""Highest permitted conductor temperature: IEC 60364-5-52:2009 Table 52.1; cords by their grade."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ampacity:
    """Continuous current-carrying capacity Iz of a piece of cable, all conductors in parallel."""

    value_a: float
    maximum_c: float
    ambient_c: float
    in_parallel: int
    steps: tuple[Step, ...]


def choose(facts: tuple[Fact[Any], ...], ends: Ends, rate: Callable[..., Ampacity]) -> Ampacity:
    """Rate every combination of options and take the end that ``ends`` asks for.

    Where a table refuses a combination, options that the code basis filled in may fall away as
    long as others remain; what the surveyor stated must never fall away.
    """
    missing = [fact for fact in facts if fact.is_open]
    if missing:
        raise NotKnown(missing)
    ends.note(facts)
    stated = [fact.options if not fact.filled else (None,) for fact in facts]
    filled = [fact.options if fact.filled else (None,) for fact in facts]
    rated: list[Ampacity] = []
    for given in product(*stated):
        found: list[Ampacity] = []
        refusal: NotTabulated | None = None
        for assumed in product(*filled):
            options = [
                assumption if fact.filled else statement
                for fact, statement, assumption in zip(facts, given, assumed, strict=True)
            ]
            try:
                found.append(rate(*options))
            except NotTabulated as refused:
                refusal = refused
        if not found and refusal is not None:
            raise refusal
        rated.extend(found)
    chosen = max if ends.favourable else min
    return chosen(rated, key=lambda one: one.value_a)


def loaded_conductors(installation: Installation, link: Link) -> int:
    """Return 2 where the link only serves a single-phase station, else 3."""
    final = link.position == installation.final_circuit.position
    single = final and set(installation.outlet.word("poles").options) == {"2P+E"}
    return 2 if single else 3


def third_harmonic_percent(installation: Installation, ends: Ends) -> float:
    """Return the third harmonic that the station drives through the neutral, in % of the line."""
    if not ends.bad_if(installation.station.flag("needs_neutral"), bad=True):
        return 0.0
    return ends.high_is_bad(installation.station.number("third_harmonic_percent"))


def harmonic_factor(installation: Installation, link: Link, ends: Ends) -> Quantity | None:
    """Return the factor of IEC 60364-5-52 Table E.52.1 on the line current, if it matters.

    Asked where nothing but the station draws; what it drives through the neutral of a cable that
    also feeds the site is not known without the site's own harmonics.
    """
    shared = any(demand.node > link.position for demand in installation.demands)
    if shared or loaded_conductors(installation, link) == 2:
        return None
    percent = third_harmonic_percent(installation, ends)
    factor, basis = tables.third_harmonic_factor(third_harmonic_percent=percent)
    if factor.value == 1.0 and basis == "line":
        return None
    if basis == "line":
        return factor
    neutral_per_line = 3 * percent / 100
    return Quantity(
        value=min(1.0, factor.value / neutral_per_line),
        unit="",
        meaning="third-harmonic factor, sized by the neutral current 3 h3 Ib",
        sources=factor.sources,
    )
