"""Do switches, busbars and residual-current devices withstand the fault current where they stand?

They break no short-circuit themselves: their makers state the fault current they withstand behind a
named device (rated conditional short-circuit current).
"""

from __future__ import annotations

from collections.abc import Sequence

from feasibility.checks.fault_path import largest_live_fault
from feasibility.checks.question import Check, Run, finding, verdict_of
from feasibility.checks.working import amount, given, step
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.result import Finding, Force, Outcome


def _parts(installation: Installation) -> Sequence[Link]:
    return installation.links_of(LinkKind.PART, LinkKind.RESIDUAL_CURRENT_DEVICE)


def _judge(run: Run, link: Link) -> Finding:
    fact = link.data.number("conditional_fault_current_ka")
    if fact.is_open:
        run.needed[fact.path] = fact
        limit = run.basis.limit("conditional_rating_is_known")
        words = "Which fault current it withstands is not known: read its label or data sheet."
        return finding(CONDITIONAL, link, limit, Outcome.CAUTION, words, facts=(fact,))
    limit = run.basis.limit("conditional_fault_current")
    rating = run.ends.low_is_bad(fact)
    fault = largest_live_fault(run, link.position)
    value = fault.value_a / 1000
    passes = value <= rating
    words = "is within" if passes else "exceeds"
    return finding(
        CONDITIONAL,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "The largest fault current here, {value}, " + words + " the {bound} that it withstands "
        "behind the device its maker names.",
        {"value": amount("Ikmax", "", value, "kA"), "bound": amount("Icc", "", rating, "kA")},
        working=(
            *fault.steps,
            step("Icc", "conditional rating", "I", [given(fact, rating, "I")], rating, "kA"),
        ),
        value=value,
        bound=rating,
        unit="kA",
    )


CONDITIONAL = Check(
    name="conditional-fault-current",
    question="Does it withstand the largest fault current behind the device before it?",
    links=_parts,
    judge=_judge,
    force=Force.MAKERS_LIMIT,
)

CHECKS = (CONDITIONAL,)
