"""Does the outlet suit the place where it is: water, dust, impact, isolation for work?"""

from __future__ import annotations

import re

from feasibility import tables
from feasibility.checks.question import Check, Run, finding, the_outlet, verdict_of
from feasibility.checks.working import step
from feasibility.installation.model import Link
from feasibility.result import Finding, Outcome, Quantity, Sense

_NUMERALS = re.compile(r"IP([0-6X])([0-9X])")
_JETS = (5, 6)
_WETTEST = ("none", "drops", "spray", "splashes", "jets", "waves", "immersion")


def _judge_protection(run: Run, link: Link) -> Finding:
    """Compare both numerals of the IP code with what the place asks for."""
    limit = run.basis.limit("degree_of_protection")
    outdoors = run.ends.worst(link.data.word("location"), lambda word: -float(word == "outdoors"))
    water = run.ends.worst(link.data.word("water"), lambda word: -float(_WETTEST.index(word)))
    needed = _second_numeral(run, water, outdoors=outdoors == "outdoors")
    solids = run.basis.limit("outdoor_first_numeral").quantity("N1", "first numeral")
    if needed is None:
        words = "Indoors and dry: no particular degree of protection is asked for."
        return finding(PROTECTION, link, limit, Outcome.NOT_APPLICABLE, words)
    code = run.ends.known(link.data.word("ip_code"))
    marked = _NUMERALS.findall(code)
    water_ok = any(_withstands(second, needed.value) for _, second in marked)
    solid_ok = outdoors != "outdoors" or any(
        first != "X" and int(first) >= solids.value for first, _ in marked
    )
    passes = water_ok and solid_ok
    first = f"{solids.value:.0f}" if outdoors == "outdoors" else "X"
    words = "meets" if passes else "misses"
    return finding(
        PROTECTION,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "The outlet's {code} " + words + " the {needed} that its place asks for ({place}).",
        {
            "code": code,
            "needed": f"IP{first}{needed.value:.0f}",
            "place": outdoors if water == "none" else f"{outdoors}, {water}",
        },
        working=(
            step("N2", "second numeral needed", "N0", [needed.named("N0")], needed.value, ""),
        ),
    )


def _second_numeral(run: Run, water: str, *, outdoors: bool) -> Quantity | None:
    """Return the second numeral that water at the place, or the open air, asks for."""
    of_water = (
        None
        if water == "none"
        else tables.outlet_rule(rule="second numeral of the IP code", condition=water)
    )
    if not outdoors:
        return of_water
    least = run.basis.limit("outdoor_second_numeral").quantity("N0", "second numeral outdoors")
    return least if of_water is None or of_water.value <= least.value else of_water


def _withstands(marked: str, needed: float) -> bool:
    """Whether a second numeral covers the needed one; 7 and up do not cover jets (IEC 60529)."""
    if marked == "X":
        return False
    return int(marked) >= needed and not (needed in _JETS and int(marked) > max(_JETS))


def _judge_impact(run: Run, link: Link) -> Finding:
    """Ask for protection against impact where vehicles move (IEC 60364-7-722: class AG2)."""
    limit = run.basis.limit("impact_code")
    if not run.ends.bad_if(link.data.flag("vehicle_traffic"), bad=True):
        words = "No vehicles move at the outlet."
        return finding(IMPACT, link, limit, Outcome.NOT_APPLICABLE, words)
    if link.data.flag("impact_guarded").options == (True,):
        words = "Vehicles move at the outlet; its position, or a guard, keeps them away from it."
        return finding(IMPACT, link, limit, Outcome.PASS, words)
    code = run.ends.known(link.data.word("ik_code"))
    least = limit.quantity("IK", "least impact code").value
    value = float(code.removeprefix("IK"))
    passes = value >= least
    words = "meets" if passes else "misses"
    return finding(
        IMPACT,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "Vehicles move at the outlet and nothing guards it; its {code} " + words + " {least}.",
        {"code": code, "least": f"IK{least:02.0f}"},
        value=value,
        bound=least,
        sense=Sense.AT_LEAST,
    )


def _judge_isolation(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("isolation")
    locks = run.ends.known(link.data.flag("lockable_isolation"))
    words = (
        "All live conductors of the outlet's circuit can be isolated and secured against being "
        "switched on again."
        if locks
        else "The outlet's circuit cannot be isolated on all live conductors and secured against "
        "being switched on again; fit a switch or a device that can be locked off."
    )
    return finding(ISOLATION, link, limit, verdict_of(limit, passes=locks), words)


PROTECTION = Check(
    name="degree-of-protection",
    question="Is the outlet protected against water and solid bodies at its place?",
    links=the_outlet,
    judge=_judge_protection,
)
IMPACT = Check(
    name="impact",
    question="Is the outlet protected against impact?",
    links=the_outlet,
    judge=_judge_impact,
)
ISOLATION = Check(
    name="isolation",
    question="Can the circuit be isolated and locked off for work?",
    links=the_outlet,
    judge=_judge_isolation,
)
CHECKS = (PROTECTION, IMPACT, ISOLATION)
