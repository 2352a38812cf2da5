"""What was assumed, what is open, what is to be watched, and what the report does not say."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from feasibility.render.finding_out import how_to_find_out
from feasibility.render.numbers import message_text, options_text
from feasibility.result import Outcome

if TYPE_CHECKING:
    from feasibility.assessment import Assessment
    from feasibility.result import Finding

SCOPE = (
    "The report answers one question: whether the links from the service to the terminals of the "
    "station carry its steady current, at the lowest supply voltage and together with what the "
    "site already draws. It says what was checked, on what assumptions, and what was not checked; "
    "it does not say that the installation is free from danger.",
    "It rests on the survey named on every page. It holds only for the installation as surveyed, "
    "and no longer once a device, a cable, a setting or the demand of the site has changed.",
    "It does not replace the inspection and testing of the installation. The national wiring "
    "rules, the conditions of the network operator and the instructions of the makers prevail over "
    "it, and the decision is that of the licensed electrician who signs.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class AssumptionRow:
    """One range that stood for a value."""

    label: str
    fact: str
    range: str
    reason: str
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenFactRow:
    """One fact to find out, how, and the numbers of the findings that wait for it."""

    label: str
    fact: str
    how: str
    blocks: str


def assumption_rows(assessment: Assessment) -> tuple[AssumptionRow, ...]:
    """Return the ranges that entered a finding, with reason and author."""
    return tuple(
        AssumptionRow(
            label=one.label,
            fact=one.fact,
            range=options_text(one.options, one.unit),
            reason=one.reason,
            by="surveyor" if one.by_surveyor else "code basis",
        )
        for one in assessment.assumptions
    )


def open_fact_rows(assessment: Assessment) -> tuple[OpenFactRow, ...]:
    """Return the open facts with the findings that wait for each."""
    return tuple(
        OpenFactRow(
            label=one.label,
            fact=one.fact,
            how=how_to_find_out(one.fact),
            blocks=", ".join(
                number
                for number, finding in _numbered(assessment, Outcome.OPEN)
                if one.fact in finding.facts
            ),
        )
        for one in assessment.open_facts
    )


def cautions(assessment: Assessment) -> tuple[str, ...]:
    """Return the cautions, each sentence once, with its links and the numbers of its findings."""
    found: dict[str, list[tuple[str, str]]] = {}
    for number, one in _numbered(assessment, Outcome.CAUTION):
        found.setdefault(message_text(one.reason), []).append((one.link, number))
    return tuple(
        f"{', '.join(dict.fromkeys(link for link, _ in places))}: {sentence} "
        f"({'finding' if len(places) == 1 else 'findings'} "
        f"{', '.join(number for _, number in places)})"
        for sentence, places in found.items()
    )


def _numbered(assessment: Assessment, outcome: Outcome) -> Iterator[tuple[str, Finding]]:
    """Yield the findings of an outcome with the numbers that they have in the report."""
    for number, one in enumerate(assessment.findings, start=1):
        if one.outcome is outcome:
            yield str(number), one


def outcome_counts(assessment: Assessment) -> dict[Outcome, int]:
    """Return how many findings have each outcome."""
    found = [one.outcome for one in assessment.findings]
    return {outcome: found.count(outcome) for outcome in Outcome}
