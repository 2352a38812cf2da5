"""Findings by question, and every working as lines of a hand calculation."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from feasibility.render.numbers import (
    EN_DASH,
    NOT_KNOWN,
    WORKING_DIGITS,
    carried_text,
    citations_text,
    message_text,
    quantity_text,
    result_text,
    symbol_text,
    symbols_in,
    value_and_limit,
    working_text,
)
from feasibility.render.words import OUTCOME_SIGNS, OUTCOME_WORDS
from feasibility.result import Finding, Outcome, Quantity, Sense, Step

if TYPE_CHECKING:
    from feasibility.assessment import Assessment
    from feasibility.citation import Citation

REQUESTED = "R"
"""The mark of the working of the requested current."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingRow:
    """One finding; ``number`` is also the mark of its working."""

    number: str
    sign: str
    word: str
    outcome: str
    force: str
    link: str
    sentence: str
    value: str
    limit: str
    margin: str
    carries: str

    @property
    def has_figures(self) -> bool:
        """Whether any figure stands beside the sentence."""
        figures = {self.value, self.limit, self.carries}
        return not figures <= {EN_DASH, NOT_KNOWN}


@dataclass(frozen=True, slots=True, kw_only=True)
class QuestionGroup:
    """All findings of one question."""

    question: str
    rows: tuple[FindingRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkingLine:
    """One step: the equation, what it is, and where its inputs come from.

    ``seen_in`` is the number of the earlier working that writes the step out, if one does.
    """

    equation: str
    meaning: str
    remarks: str
    seen_in: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Working:
    """All steps behind one finding, with the rule that it was judged by."""

    number: str
    title: str
    link: str
    lines: tuple[WorkingLine, ...]
    rule: str


def question_groups(findings: Sequence[Finding]) -> tuple[QuestionGroup, ...]:
    """Return the findings grouped by question, both in their own order."""
    groups: dict[str, list[FindingRow]] = {}
    for number, finding in enumerate(findings, start=1):
        groups.setdefault(finding.question, []).append(_row(str(number), finding))
    return tuple(QuestionGroup(question=name, rows=tuple(rows)) for name, rows in groups.items())


def _row(number: str, finding: Finding) -> FindingRow:
    value, limit, margin = value_and_limit(finding)
    bound = "≤" if finding.sense is Sense.AT_MOST else "≥"
    carries = carried_text(finding.carries_a)
    if finding.carries_a is None and finding.depends_on_current:
        carries = NOT_KNOWN if finding.outcome is Outcome.OPEN else EN_DASH
    return FindingRow(
        number=number,
        sign=OUTCOME_SIGNS[finding.outcome],
        word=OUTCOME_WORDS[finding.outcome],
        outcome=finding.outcome.value,
        force="" if finding.outcome is Outcome.NOT_APPLICABLE else finding.force.value,
        link=f"{finding.link or 'whole feed path'}:",
        sentence=message_text(finding.reason),
        value=value,
        limit=limit if limit == EN_DASH else f"{bound} {limit}",
        margin=margin,
        carries=carries,
    )


def workings(assessment: Assessment) -> tuple[Working, ...]:
    """Return the working of the requested current, then that of each finding.

    A step that stands in an earlier working already is not written out again; its line gives the
    result and where the step is found.
    """
    seen: dict[Step, str] = {}
    found = []
    if assessment.requested_working:
        found.append(
            Working(
                number=REQUESTED,
                title="Requested current",
                link="station",
                lines=_lines(assessment.requested_working, REQUESTED, seen, assessment.sources),
                rule="",
            )
        )
    for number, finding in enumerate(assessment.findings, start=1):
        if finding.working or (finding.sources and finding.outcome is not Outcome.NOT_APPLICABLE):
            found.append(_working(str(number), finding, seen, assessment.sources))
    return tuple(found)


def _working(
    number: str, finding: Finding, seen: dict[Step, str], sources: Mapping[str, str]
) -> Working:
    in_steps = {one for step in finding.working for one in cited_in(step)}
    rules = [one for one in finding.sources if one not in in_steps]
    return Working(
        number=number,
        title=finding.question,
        link=finding.link,
        lines=_lines(finding.working, number, seen, sources),
        rule=citations_text(rules, sources),
    )


def cited_in(step: Step) -> tuple[Citation, ...]:
    """Return every citation of a step and of its inputs."""
    return (*step.sources, *(one for quantity in step.inputs for one in quantity.sources))


def _lines(
    steps: Sequence[Step], number: str, seen: dict[Step, str], sources: Mapping[str, str]
) -> tuple[WorkingLine, ...]:
    lines = []
    results: set[tuple[str, float]] = set()
    for step in steps:
        earlier = seen.setdefault(step, number)
        if earlier != number:
            lines.append(_reference(step, earlier))
        else:
            lines.append(
                WorkingLine(
                    equation=working_text(step),
                    meaning=step.meaning,
                    remarks=_remarks(step, results, sources),
                    seen_in="",
                )
            )
        results.add((step.symbol, step.result))
    return tuple(lines)


def _reference(step: Step, earlier: str) -> WorkingLine:
    return WorkingLine(
        equation=f"{symbol_text(step.symbol)} = {result_text(step)}",
        meaning=step.meaning,
        remarks="",
        seen_in=earlier,
    )


def _remarks(step: Step, results: set[tuple[str, float]], sources: Mapping[str, str]) -> str:
    """Return what each input is and where it comes from, then the formula's own sources.

    The result of a line above needs no remark.
    """
    parts = [
        _input_remark(quantity, step, sources)
        for quantity in step.inputs
        if (quantity.symbol, quantity.value) not in results
    ]
    if step.sources:
        parts.append(f"formula: {citations_text(step.sources, sources)}")
    return "; ".join(part for part in parts if part)


def _input_remark(quantity: Quantity, step: Step, sources: Mapping[str, str]) -> str:
    said = quantity.meaning if quantity.meaning != step.meaning else ""
    noted = quantity.note if quantity.note not in _notes(quantity.sources) else ""
    origin = ", ".join(
        part for part in (quantity.origin, noted, citations_text(quantity.sources, sources)) if part
    )
    told = f"{said} ({origin})" if said and origin else said or origin
    symbol = symbol_text(quantity.symbol)
    if quantity.symbol not in symbols_in(step):
        # Given beside the formula only, so that its figure would stand nowhere else.
        symbol = f"{symbol} = {quantity_text(quantity, WORKING_DIGITS)}"
    return f"{symbol}: {told}" if told else ""


def _notes(citations: Iterable[Citation]) -> set[str]:
    return {one.note for one in citations}
