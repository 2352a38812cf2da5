"""Is the protective conductor fit for a standing current? IEC 60364-5-54, 543.7.

Above 10 mA: 10 mm² copper or 16 mm² aluminium, or a second protective conductor of at least the
same section to a terminal of its own, or the supply cut off when continuity is lost; behind an
IEC 60309 outlet 2.5 mm² as a core of a multicore cable.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from feasibility.checks.question import Check, Run, finding, verdict_of
from feasibility.checks.working import given, step
from feasibility.code_basis import Limit
from feasibility.installation.facts import Fact
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.result import Finding, Outcome, Quantity, Sense


def _at_the_station(installation: Installation) -> Sequence[Link]:
    return [*installation.final_circuit.cables, *installation.links_of(LinkKind.CORD)]


def _judge(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("reinforced_protective_conductor")
    current_fact = run.installation.station.number("protective_conductor_current_ma")
    current = run.ends.high_is_bad(current_fact)
    threshold = limit.quantity("Imax", "standing current without reinforcement")
    values = {"current": given(current_fact, current, "Ipe"), "threshold": threshold}
    if current <= threshold.value:
        words = "The standing current of {current} is within {threshold}."
        return finding(REINFORCED, link, limit, Outcome.PASS, words, values)
    section_fact = link.data.number("protective_section_mm2")
    section = run.ends.low_is_bad(section_fact)
    least = _least_section(run, link)
    outcome, words, facts = _answer(run, link, limit, section, least.value)
    shown = given(section_fact, section, "Spe")
    alone = words in (_LARGE_ENOUGH, _TOO_SMALL)
    return finding(
        REINFORCED,
        link,
        limit,
        outcome,
        words,
        {**values, "section": shown, "least": least},
        working=(
            step("Smin", "least single conductor", "Smin", [least], least.value, "mm²"),
            step("Spe", "protective conductor", "S", [shown.named("S")], section, "mm²"),
        ),
        value=section if alone else None,
        bound=least.value if alone else None,
        unit="mm²",
        sense=Sense.AT_LEAST,
        facts=facts,
    )


_LARGE_ENOUGH = (
    "For a standing current of {current} the protective conductor of {section} meets {least}."
)
_SECOND = (
    "For a standing current of {current} a second protective conductor of at least the same "
    "section runs beside that of {section}."
)
_MONITORED = (
    "For a standing current of {current} the supply is cut off when the protective conductor of "
    "{section} loses its continuity."
)
_TOO_SMALL = (
    "For a standing current of {current} the protective conductor of {section} is below {least}: "
    "a second or a monitored protective conductor, or a larger one, is needed."
)


def _least_section(run: Run, link: Link) -> Quantity:
    plugged = run.ends.known(run.installation.outlet.word("kind")) == "IEC 60309"
    key = "reinforced_section_mm2"
    if plugged and _is_multicore(run, link):
        key = "reinforced_plug_section_mm2"
    elif link.kind is LinkKind.CABLE:
        metal = run.ends.worst(link.data.word("conductor"), lambda word: float(word == "copper"))
        key = key if metal == "copper" else "reinforced_section_aluminium_mm2"
    return run.basis.limit(key).quantity("Smin", "least section")


def _is_multicore(run: Run, link: Link) -> bool:
    if link.kind is LinkKind.CORD:
        return True
    construction = link.data.word("construction")
    return run.ends.worst(construction, lambda word: float(word == "multicore")) == "multicore"


def _answer(
    run: Run, link: Link, limit: Limit, section: float, least_mm2: float
) -> tuple[Outcome, str, tuple[Fact[Any], ...]]:
    """Look for another way where one conductor is too small; open where nobody spoke of any."""
    if section >= least_mm2:
        return Outcome.PASS, _LARGE_ENOUGH, ()
    second = link.data.number("second_protective_section_mm2")
    monitored = run.installation.station.flag("protective_conductor_monitored")
    if not second.is_open and run.ends.low_is_bad(second) >= section:
        return Outcome.PASS, _SECOND, ()
    if not monitored.is_open and run.ends.bad_if(monitored, bad=False):
        return Outcome.PASS, _MONITORED, ()
    asked: list[Fact[Any]] = [monitored]
    if link.kind is LinkKind.CABLE:
        asked.append(second)
    missing = tuple(fact for fact in asked if fact.is_open)
    run.needed.update({fact.path: fact for fact in missing})
    outcome = Outcome.OPEN if missing else verdict_of(limit, passes=False)
    return outcome, _TOO_SMALL, missing


REINFORCED = Check(
    name="reinforced-protective-conductor",
    question="Is the protective conductor fit for the station's standing current?",
    links=_at_the_station,
    judge=_judge,
)

CHECKS = (REINFORCED,)
