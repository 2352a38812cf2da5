"""What ampacities of cables and cords have in common: the ends of ranges, neutral, terminals."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import product
from typing import Any

from feasibility import tables
from feasibility.checks.working import step
from feasibility.code_basis import CodeBasis
from feasibility.installation.facts import Ends, Fact, NotKnown
from feasibility.installation.model import Installation, Link
from feasibility.result import Quantity, Step
from feasibility.tables import NotTabulated


def maximum_c(insulation: str) -> float:
    """Return the highest permitted conductor temperature of an insulation or cord grade."""
    return tables.maximum_conductor_temperature(insulation=insulation).value


@dataclass(frozen=True, slots=True, kw_only=True)
class Ampacity:
    """Continuous current-carrying capacity Iz of a piece of cable, all conductors in parallel."""

    value_a: float
    maximum_c: float
    ambient_c: float
    steps: tuple[Step, ...]


def air_with_sun(
    basis: CodeBasis, ambient_c: float, *, in_sun: bool
) -> tuple[float, tuple[Step, ...]]:
    """Return the air temperature that counts where the sun shines on a cable, and its working.

    IEC 60364-5-52, 522.11, asks that the sun is allowed for; the tables of Annex B hold without it.
    """
    if not in_sun:
        return ambient_c, ()
    rise = basis.limit("sun_on_cable_k").quantity("dTs", "addition for the sun")
    air = Quantity(value=ambient_c, unit="°C", symbol="Tair", meaning="air in the shade")
    value = ambient_c + rise.value
    return value, (
        step("T", "air that counts, with the sun", "Tair + dTs", [air, rise], value, "°C"),
    )


_WAYS_OF_LAYING = ("method", "construction", "grouping")


def _field(fact: Fact[Any]) -> str:
    return fact.path.rpartition(".")[2]


def choose(facts: tuple[Fact[Any], ...], ends: Ends, rate: Callable[..., Ampacity]) -> Ampacity:
    """Rate every combination of options and take the end that ``ends`` asks for.

    Where a table refuses a combination, a way of laying that the code basis filled in may fall away
    as long as others remain (not every method goes with every construction and grouping). Nothing
    else may: what the table refuses could be the unfavourable end, and the ranges are not known
    well enough.
    """
    missing = [fact for fact in facts if fact.is_open]
    if missing:
        raise NotKnown(missing)
    ends.note(facts)
    may_fall = [fact.filled and _field(fact) in _WAYS_OF_LAYING for fact in facts]
    options_of = [ends.options(fact) for fact in facts]
    stated = [(None,) if may else of for of, may in zip(options_of, may_fall, strict=True)]
    filled = [of if may else (None,) for of, may in zip(options_of, may_fall, strict=True)]
    rated: list[Ampacity] = []
    refused_with: NotTabulated | None = None
    for given in product(*stated):
        found: list[Ampacity] = []
        refusal: NotTabulated | None = None
        for assumed in product(*filled):
            options = [
                assumption if may else statement
                for may, statement, assumption in zip(may_fall, given, assumed, strict=True)
            ]
            try:
                found.append(rate(*options))
            except NotTabulated as refused:
                refusal = refused
        rated.extend(found)
        refused_with = refused_with if found else refusal
    if refused_with is not None:
        if not rated:
            raise refused_with
        deciding = [fact for fact, of in zip(facts, stated, strict=True) if len(of) > 1]
        raise NotKnown(deciding) from refused_with
    chosen = max if ends.favourable else min
    return chosen(rated, key=lambda one: one.value_a)


def loaded_conductors(installation: Installation, link: Link) -> int:
    """Return 2 where a link can only carry one phase and its neutral, else 3.

    From the outlet on its poles say so. The final circuit also feeds its taps: two where the
    station and every tap use the same phase.
    """
    two_poles = set(installation.outlet.word("poles").options) == {"2P+E"}
    final = installation.final_circuit.position
    if not two_poles or link.position < final:
        return 3
    if link.position > final:
        return 2
    used = {
        phase for phases in installation.station.word("phases").options for phase in _split(phases)
    }
    for demand in installation.demands:
        if demand.node > final:
            used |= demand.phases
    return 2 if len(used) == 1 else 3


def _split(phases: str) -> tuple[str, ...]:
    return tuple(phases[start : start + 2] for start in range(0, len(phases), 2))


def third_harmonic_percent(installation: Installation, ends: Ends) -> float:
    """Return the third harmonic that the station drives through the neutral, in % of the line."""
    if not ends.bad_if(installation.station.flag("needs_neutral"), bad=True):
        return 0.0
    return ends.high_is_bad(installation.station.number("third_harmonic_percent"))


def harmonic_factor(installation: Installation, link: Link, ends: Ends) -> Quantity | None:
    """Return the factor of IEC 60364-5-52 Table E.52.1 on the line current, if it matters.

    Asked of every cable that feeds the station; where the site draws too the factor is on the
    careful side, and the site's own harmonics stay unknown.
    """
    if loaded_conductors(installation, link) == 2:
        return None
    shares = third_harmonic_percents(installation, ends)
    candidates = [_line_factor(percent) for percent in shares]
    worst = min(candidates, key=lambda quantity: quantity.value)
    return None if worst.value == 1.0 else worst


def third_harmonic_percents(installation: Installation, ends: Ends) -> tuple[float, ...]:
    """Return the third harmonics to look at: between two steps Table E.52.1 is not monotonic."""
    highest = third_harmonic_percent(installation, ends)
    options = installation.station.number("third_harmonic_percent").options
    lowest = min(options, default=highest)
    steps = tables.third_harmonic_steps()
    return (highest, *(step for step in steps if lowest <= step < highest))


def _line_factor(percent: float) -> Quantity:
    factor, basis = tables.third_harmonic_factor(third_harmonic_percent=percent)
    if basis == "line":
        return factor
    neutral_per_line = 3 * percent / 100
    return Quantity(
        value=min(1.0, factor.value / neutral_per_line),
        unit="",
        meaning="third-harmonic factor, sized by the neutral current 3 h3 Ib",
        sources=factor.sources,
    )
