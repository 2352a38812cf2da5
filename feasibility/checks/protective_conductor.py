"""Is the protective conductor there and large enough? IEC 60364-5-54, 543.1.

By Table 54.2; a smaller one by calculation (543.1.2).
"""

from __future__ import annotations

from collections.abc import Sequence

from feasibility import tables
from feasibility.checks.protective_calculation import by_calculation, laid
from feasibility.checks.question import Check, Run, finding, verdict_of
from feasibility.checks.working import given, step
from feasibility.code_basis import Limit
from feasibility.installation.facts import Fact
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.result import Finding, Outcome, Quantity, Sense, Step

_MECHANICAL = {
    "separate, protected": "separate_protected_copper_mm2",
    "separate, unprotected": "separate_unprotected_copper_mm2",
}
_TT_LIMITS = {
    "copper": "tt_protective_copper_mm2",
    "aluminium": "tt_protective_aluminium_mm2",
}


def _cables(installation: Installation) -> Sequence[Link]:
    return installation.links_of(LinkKind.CABLE, LinkKind.CORD)


def _judge(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("protective_conductor")
    fact = link.data.number("protective_section_mm2")
    if _double_insulated_tt(run, link):
        words = "TT, double or reinforced insulation throughout: no protective conductor is needed."
        return finding(PROTECTIVE, link, limit, Outcome.NOT_APPLICABLE, words)
    section = run.ends.low_is_bad(fact)
    if section <= 0:
        words = "There is no protective conductor in this piece of cable."
        return finding(PROTECTIVE, link, limit, verdict_of(limit, passes=False), words)
    mechanical = _mechanical_limit(run, link, section)
    if mechanical is not None:
        least = mechanical.quantity("Smin", "least section of a separate protective conductor")
        if section < least.value:
            return _compared(link, mechanical, fact, section, least, _TOO_WEAK)
    least, line_step = _by_table(run, link)
    if section >= least.value:
        return _compared(link, limit, fact, section, least, _BY_TABLE, line_step)
    return by_calculation(PROTECTIVE, run, link, limit, fact, section)


_BY_TABLE = "The protective conductor of {value} meets the {bound} of the table."
_TOO_WEAK = (
    "The separate protective conductor of {value} is below {bound}, the least that stays whole."
)


def _compared(
    link: Link,
    limit: Limit,
    fact: Fact[float],
    section: float,
    least: Quantity,
    words: str,
    *before: Step,
) -> Finding:
    return finding(
        PROTECTIVE,
        link,
        limit,
        verdict_of(limit, passes=section >= least.value),
        words,
        {"value": given(fact, section, "Spe"), "bound": least},
        working=(*before, step("Smin", "least section", "Smin", [least], least.value, "mm²")),
        value=section,
        bound=least.value,
        unit="mm²",
        sense=Sense.AT_LEAST,
    )


def _double_insulated_tt(run: Run, link: Link) -> bool:
    circuit = run.installation.circuit_of(link)
    insulated = circuit.data.flag("double_insulated").options == (True,)
    return _systems(run) == ("TT",) and insulated and not circuit.is_final


def _systems(run: Run) -> tuple[str, ...]:
    return run.installation.supply.word("earthing_system").options


def _mechanical_limit(run: Run, link: Link, section: float) -> Limit | None:
    """Return the least section of a conductor that neither a cable nor a conduit protects."""
    key = _MECHANICAL.get(laid(run, link, section))
    if key is None:
        return None
    metal = run.ends.worst(link.data.word("conductor"), lambda word: float(word == "copper"))
    return run.basis.limit(key if metal == "copper" else "separate_aluminium_mm2")


def _by_table(run: Run, link: Link) -> tuple[Quantity, Step]:
    """Return the section of Table 54.2, and the line conductor's it follows from."""
    line_fact = link.data.number("section_mm2")
    line = run.ends.high_is_bad(line_fact)
    least = tables.minimum_protective_section(line_section_mm2=line).named("Smin")
    inputs = [given(line_fact, line, "S")]
    line_step = step("S", "section of the line conductor", "S", inputs, line, "mm²")
    metals = ("copper",) if link.kind is LinkKind.CORD else link.data.word("conductor").options
    if _systems(run) == ("TT",) and metals:
        enough = [
            run.basis.limit(_TT_LIMITS[metal]).quantity("Smin", "enough in a TT system")
            for metal in metals
        ]
        greatest = max(enough, key=lambda one: one.value)
        least = min(least, greatest, key=lambda one: one.value)
    return least, line_step


PROTECTIVE = Check(
    name="protective-conductor",
    question="Is the protective conductor there and large enough?",
    links=_cables,
    judge=_judge,
)

CHECKS = (PROTECTIVE,)
