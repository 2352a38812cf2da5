"""What the other published set of tables says of the cord, where the sets differ."""

from __future__ import annotations

from collections.abc import Sequence

from feasibility import tables
from feasibility.checks.cord_ampacity import cord_ampacity
from feasibility.checks.question import Check, Run, current_finding
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.result import Finding, Force


def _in_both_sets(installation: Installation) -> Sequence[Link]:
    """Return the cord if the other set has its grade and no data sheet speaks instead."""
    other = tables.cord_grades(table_set=installation.basis.choices["cord_second_table_set"])
    return [
        link
        for link in installation.links_of(LinkKind.CORD)
        if not link.data.has("ampacity_a") and set(link.data.word("grade").options) <= set(other)
    ]


def _judge(run: Run, link: Link) -> Finding:
    choice = "cord_second_table_set"
    rating = cord_ampacity(run.installation, link, run.ends, choice=choice)
    words = "the ampacity by the second published set of tables"
    limit = run.basis.limit("cord_second_set")
    return current_finding(SECOND_SET, link, run, limit, rating.value_a, rating.steps, words)


SECOND_SET = Check(
    name="cord-second-set",
    question="What does the other published set of tables say of the cord?",
    links=_in_both_sets,
    judge=_judge,
    depends_on_current=True,
    force=Force.RECOMMENDATION,
)

CHECKS = (SECOND_SET,)
