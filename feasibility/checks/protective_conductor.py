"""Is the protective conductor there and large enough? IEC 60364-5-54, 543.1."""

from __future__ import annotations

from collections.abc import Sequence

from feasibility import tables
from feasibility.checks.question import Check, Run, finding, verdict_of
from feasibility.checks.working import given, step
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.result import Finding, Outcome, Sense


def _cables(installation: Installation) -> Sequence[Link]:
    return installation.links_of(LinkKind.CABLE, LinkKind.CORD)


def _judge(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("protective_conductor")
    fact, line_fact = link.data.number("protective_section_mm2"), link.data.number("section_mm2")
    section = run.ends.low_is_bad(fact)
    if section <= 0:
        return finding(
            PROTECTIVE,
            link,
            limit,
            verdict_of(limit, passes=False),
            "There is no protective conductor in this piece of cable.",
        )
    line = run.ends.high_is_bad(line_fact)
    least = tables.minimum_protective_section(line_section_mm2=line).named("Smin")
    passes = section >= least.value
    template = (
        "The protective conductor of {value} meets the {bound} of the table."
        if passes
        else "The protective conductor of {value} is smaller than the {bound} of the table; "
        "whether it withstands the fault has to be calculated with the device's let-through energy."
    )
    inputs = [given(line_fact, line, "S")]
    return finding(
        PROTECTIVE,
        link,
        limit,
        Outcome.PASS if passes else Outcome.OPEN,
        template,
        {"value": given(fact, section, "Spe"), "bound": least},
        working=(
            step("S", "section of the line conductor", "S", inputs, line, "mm²"),
            step("Smin", "Table 54.2", "Smin", [least], least.value, "mm²"),
        ),
        value=section,
        bound=least.value,
        unit="mm²",
        sense=Sense.AT_LEAST,
    )


PROTECTIVE = Check(
    name="protective-conductor",
    question="Is the protective conductor there and large enough?",
    links=_cables,
    judge=_judge,
)

CHECKS = (PROTECTIVE,)
