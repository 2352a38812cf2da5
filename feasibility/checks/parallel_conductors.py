"""What conductors in parallel ask for beside their ampacity: IEC 60364-5-52, 523.7."""

from __future__ import annotations

from collections.abc import Sequence

from feasibility.checks.carrying_capacity import sharing
from feasibility.checks.parallel_cables import unequal_cables
from feasibility.checks.question import Check, Run, finding, verdict_of
from feasibility.checks.working import amount
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.result import Finding, Force

_MEASURE = (
    " A loose or broken branch overloads the others: measure the current of each under load."
    " Whether the one device before them clears a fault within a single branch, which is fed from"
    " both ends, was not judged."
)


def _in_parallel(installation: Installation) -> Sequence[Link]:
    return [
        link
        for link in installation.links_of(LinkKind.CABLE)
        if unequal_cables(link) or any(n > 1 for n in link.data.number("in_parallel").options)
    ]


def _judge(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("parallel_conductors")
    others = unequal_cables(link)
    if not others:
        words = (
            "The cables in parallel count as equal in section, metal, length and way of laying, "
            "without branches."
        )
        return finding(PARALLEL, link, limit, verdict_of(limit, passes=True), words + _MEASURE)
    _, shares = sharing((link, *others), run.ends)
    words = (
        "The cables in parallel differ. By their impedances the stated cable takes {first} of the "
        "current, the largest share of those beside it is {largest}."
    )
    return finding(
        PARALLEL,
        link,
        limit,
        verdict_of(limit, passes=False),
        words + _MEASURE,
        {
            "first": amount("s1", "share", 100 * shares[0], "%"),
            "largest": amount("s", "share", 100 * max(shares[1:]), "%"),
        },
    )


PARALLEL = Check(
    name="parallel-cables",
    question="Do the cables in parallel share the current?",
    links=_in_parallel,
    judge=_judge,
    force=Force.RECOMMENDATION,
)

CHECKS = (PARALLEL,)
