"""Harmonic currents of the station against what the supply is strong enough for.

Up to 16 A per phase IEC 61000-3-2 holds, above it up to 75 A IEC 61000-3-12, above that the network
operator assesses. A three-phase station counts as balanced three-phase equipment (Table 3; Tables 4
and 5 permit more under conditions and are not used).
"""

from __future__ import annotations

from collections.abc import Iterable

from feasibility import tables
from feasibility.checks.harmonic_comparison import (
    Compare,
    Compared,
    emissions,
    in_amperes,
    in_percent,
)
from feasibility.checks.question import Check, Run, finding, the_station, verdict_of
from feasibility.checks.supply_strength import (
    is_public,
    not_public,
    rated_current,
    supply_strength,
    three_phase,
)
from feasibility.checks.working import amount, given, step
from feasibility.clauses.power_quality import short_circuit_ratio
from feasibility.code_basis import Limit
from feasibility.installation.facts import NotKnown
from feasibility.installation.model import Link
from feasibility.result import Finding, Force, Outcome, Quantity, Sense, Step

BALANCED = "balanced three-phase"
OTHER = "other than balanced three-phase"


def ratio_of(run: Run) -> tuple[float, tuple[Step, ...]]:
    """Return the short-circuit ratio Rsce of the station at its supply, with its working."""
    strength = supply_strength(run)
    rated, steps = rated_current(run)
    line_v = run.operation.nominal_voltage_v
    ratio = float(
        short_circuit_ratio(
            short_circuit_power_va=strength.short_circuit_va,
            current_a=rated,
            line_voltage_v=line_v,
        )
    )
    inputs = [
        strength.power,
        given(run.installation.supply.number("nominal_voltage_v"), line_v, "Un"),
        amount("Iequ", "input current of the worst phase", rated, "A"),
    ]
    meaning = "short-circuit ratio of the station at this supply"
    formula = "1000 * Ssc / (sqrt(3) * Un * Iequ)"
    last = step("Rsce", meaning, formula, inputs, ratio, "")
    return ratio, (*strength.steps, *steps, last)


def _judge_ratio(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("short_circuit_ratio")
    if not is_public(run):
        return not_public(RATIO, link, limit)
    rated, _ = rated_current(run)
    from_a, up_to_a = _scope(run)
    if not from_a < rated <= up_to_a:
        words = (
            "At {value} per phase no short-circuit ratio is declared: IEC 61000-3-12 is for more "
            "than {from} and up to {to}."
        )
        values: dict[str, Quantity | str] = {
            "value": amount("Iequ", "rated input current", rated, "A"),
            "from": amount("Imin", "", from_a, "A"),
            "to": amount("Imax", "", up_to_a, "A"),
        }
        return finding(RATIO, link, limit, Outcome.NOT_APPLICABLE, words, values)
    ratio, steps = ratio_of(run)
    fact = run.installation.station.number("declared_short_circuit_ratio")
    shown = amount("Rsce", "short-circuit ratio", ratio, "")
    if fact.is_open:
        words = (
            "The supply has {value} times the power of the station; which ratio its maker declares "
            "is not known: {fact}."
        )
        values = {"value": shown, "fact": fact.label}
        return finding(
            RATIO, link, limit, Outcome.CAUTION, words, values, working=steps, facts=(fact,)
        )
    declared = run.ends.high_is_bad(fact)
    passes = ratio >= declared
    words = (
        "The short-circuit power of the supply is {value} times that of the station; its maker "
        "declares at least {limit}"
    )
    words += "." if passes else ": ask the network operator before the station is ordered."
    return finding(
        RATIO,
        link,
        limit,
        verdict_of(limit, passes=passes),
        words,
        {"value": shown, "limit": given(fact, declared, "Rdecl")},
        working=steps,
        value=ratio,
        bound=declared,
        sense=Sense.AT_LEAST,
    )


def _scope(run: Run) -> tuple[float, float]:
    number = run.basis.number
    return number("harmonic_scope_from_a"), number("harmonic_scope_up_to_a")


def _judge_harmonics(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("harmonic_current")
    if not is_public(run):
        return not_public(HARMONICS, link, limit)
    rated, rated_steps = rated_current(run)
    from_a, up_to_a = _scope(run)
    if rated > up_to_a:
        return _above_scope(run, link, rated, rated_steps)
    if rated <= from_a:
        limit = run.basis.limit("harmonic_current_up_to_16_a")
        bounds = tables.class_a_harmonic_limits()
        compared = _compared(run, bounds, in_amperes(rated, bounds))
        return _answer(link, limit, compared, rated_steps)
    ratio, steps = ratio_of(run)
    kind = BALANCED if three_phase(run) else OTHER
    least = tables.smallest_short_circuit_ratio(equipment=kind)
    if ratio < least:
        return _too_weak(link, limit, ratio, least, steps)
    lower, upper = tables.harmonic_limits(equipment=kind, short_circuit_ratio=ratio)
    compared = _compared(run, lower.percent, in_percent(ratio, lower, upper))
    return _answer(link, limit, compared, steps)


def _above_scope(run: Run, link: Link, rated_a: float, steps: Iterable[Step]) -> Finding:
    """Say that beyond the tables nothing but the operator's assessment answers."""
    words = (
        "At {value} per phase no table of limits holds any more: the network operator assesses "
        "the station. Ask before it is ordered."
    )
    values = {"value": amount("Iequ", "rated input current", rated_a, "A")}
    limit = run.basis.limit("harmonic_current_above_75_a")
    return finding(HARMONICS, link, limit, Outcome.CAUTION, words, values, working=steps)


def _too_weak(
    link: Link, limit: Limit, ratio: float, least: float, steps: Iterable[Step]
) -> Finding:
    words = (
        "The short-circuit power of the supply is only {value} times that of the station; below "
        "{limit} times there are no limits to compare with, and the network operator must agree."
    )
    return finding(
        HARMONICS,
        link,
        limit,
        Outcome.CAUTION,
        words,
        {
            "value": amount("Rsce", "short-circuit ratio", ratio, ""),
            "limit": amount("Rmin", "smallest ratio of the table", least, ""),
        },
        working=steps,
        value=ratio,
        bound=least,
        sense=Sense.AT_LEAST,
    )


def _compared(run: Run, names: Iterable[str], compare: Compare) -> list[Compared]:
    """Compare every harmonic with its limit.

    One of which nothing is known, or that could exceed its limit for all that is known, leaves the
    question unanswered (NotKnown), unless one that is stated exceeds its limit already.
    """
    known, missing = emissions(run, names)
    found = [compare(one) for one in known]
    broken = [one for one in found if one.emission.stated and one.exceeds]
    doubtful = [*missing, *(one.emission.fact for one in found if one.exceeds)]
    if doubtful and not broken:
        raise NotKnown(doubtful)
    return broken or found


def _answer(link: Link, limit: Limit, found: list[Compared], steps: Iterable[Step]) -> Finding:
    """Answer by the harmonic that uses most of its limit."""
    worst = max(found, key=lambda one: one.share)
    words = (
        "The harmonic that uses most of its limit is the {name}: {value}, which "
        + ("exceeds" if worst.exceeds else "is within")
        + " the limit of {limit}."
    )
    return finding(
        HARMONICS,
        link,
        limit,
        verdict_of(limit, passes=not worst.exceeds),
        words,
        {
            "name": worst.words,
            "value": amount("h", worst.words, worst.value, worst.unit),
            "limit": amount("L", "limit", worst.limit, worst.unit),
        },
        working=(*steps, *(one.line for one in found)),
        value=worst.value,
        bound=worst.limit,
        unit=worst.unit,
    )


RATIO = Check(
    name="short-circuit-ratio",
    question="Is the supply strong enough for what the station's maker declares?",
    links=the_station,
    judge=_judge_ratio,
    force=Force.RECOMMENDATION,
)
HARMONICS = Check(
    name="harmonic-current",
    question="Are the station's harmonic currents within the limits for this supply?",
    links=the_station,
    judge=_judge_harmonics,
    force=Force.RECOMMENDATION,
)

CHECKS = (RATIO, HARMONICS)
