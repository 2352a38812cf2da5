"""The assessment as plain text for a terminal: verdict first, 80 columns, no colour."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import groupby

from feasibility.advice import Advice
from feasibility.assessment import Assessment, Assumption, OpenFact
from feasibility.chain import ChainLink
from feasibility.render.advice_text import advice_sections
from feasibility.render.fault_view import FAULT_KINDS, fault_cells, lacking_words
from feasibility.render.generation_text import generation_section
from feasibility.render.numbers import (
    amount_text,
    carried_text,
    distinct_numbers,
    message_text,
    number_text,
    options_text,
    with_unit,
)
from feasibility.render.plain_lines import (
    COLUMNS,
    columns_of,
    escaped,
    for_terminal,
    padded,
    wrapped,
)
from feasibility.render.words import failed, opened
from feasibility.render.year_text import only_sometimes, year_heading, year_sentences
from feasibility.result import Finding, Outcome, Verdict

CLOSING = (
    "This is a calculation from what the survey states and on the assumptions above. It replaces "
    "neither the local code and the network operator's conditions nor the judgement of a licensed "
    "electrician, who inspects and tests the installation before the station is connected."
)

HEADLINES = {
    Verdict.CARRIES: "CARRIES THE REQUESTED CURRENT",
    Verdict.CARRIES_REDUCED: "CARRIES A REDUCED CURRENT",
    Verdict.UPGRADE: "UPGRADE NEEDED",
    Verdict.UNDECIDED: "UNDECIDED",
}
_NODE_COLUMNS = 22
_FAULT_COLUMNS = 14
_NAMED = 3
"""How many reasons the short sentence names before it only counts the rest."""
_WHOLE_PATH = "whole path"
_LABEL_COLUMNS = 15
_OUTCOME_COLUMNS = 16
_NAME_COLUMNS = 36
_FIGURE_COLUMNS = 9
_BAR_COLUMNS = COLUMNS - 2 - _NAME_COLUMNS - 1 - _FIGURE_COLUMNS - len(" caution")
_HEADROOM = 1.25
"""How far the scale of the chain goes beyond the largest current that is asked or advised."""


def to_text(assessment: Assessment, advice: Advice | None = None) -> str:
    """Return the whole assessment, and the advice if given, as text of at most 80 columns.

    Control characters of the survey are shown as escapes. No line end at the end.
    """
    sections = (
        _head(assessment),
        _chain(assessment),
        _fault_levels(assessment),
        _to_do(assessment),
        *advice_sections(assessment, advice),
        _year(assessment),
        generation_section(assessment.generation),
        _findings(assessment),
        _assumptions(assessment),
        _listed("CAUTIONS", [message_text(one) for one in assessment.cautions]),
        _listed("NOT CHECKED", list(assessment.not_checked)),
        wrapped(CLOSING),
    )
    return "\n\n".join("\n".join(lines) for lines in map(list, sections) if lines)


def verdict_in_words(assessment: Assessment) -> str:
    """Return the verdict and what decides it as one short paragraph, without line ends."""
    words = {
        Verdict.CARRIES: _carries,
        Verdict.CARRIES_REDUCED: _carries_reduced,
        Verdict.UPGRADE: _upgrade,
        Verdict.UNDECIDED: _undecided,
    }
    return escaped(words[assessment.verdict](assessment))


def _carries(assessment: Assessment) -> str:
    return (
        f"Carries: every link that was checked carries the requested {requested_text(assessment)} "
        "per phase continuously."
    )


def _carries_reduced(assessment: Assessment) -> str:
    return (
        f"Carries a reduced current: {carryable_text(assessment)} per phase continuously instead "
        f"of {requested_text(assessment)}{_in_hours(assessment)}; weakest link: "
        f"{_weakest(assessment)}."
    )


def _in_hours(assessment: Assessment) -> str:
    words = only_sometimes(assessment.year)
    return f" ({words})" if words else ""


def _upgrade(assessment: Assessment) -> str:
    whatever = [one for one in failed(assessment) if not one.depends_on_current]
    if whatever:
        named = _some([f"{one.check} ({_link(one)})" for one in whatever])
        return f"Upgrade needed, whatever the current: {named}."
    if not assessment.settings.counts:
        return (
            f"Upgrade needed: the supply does not carry the requested {requested_text(assessment)} "
            f"per phase{_in_hours(assessment)}, and no lower setting counts; weakest link: "
            f"{_weakest(assessment)}."
        )
    smallest = amount_text(assessment.settings.smallest_a, "A")
    return (
        f"Upgrade needed: the supply does not carry even the smallest setting, {smallest} per "
        f"phase; weakest link: {_weakest(assessment)}."
    )


def _undecided(assessment: Assessment) -> str:
    if assessment.open_facts:
        return f"Undecided; not known: {_some([one.label for one in assessment.open_facts])}."
    unjudged = [f"{one.check} ({_link(one)})" for one in opened(assessment)]
    if unjudged:
        return f"Undecided; could not be judged: {_some(unjudged)}."
    return "Undecided: a question that has to be judged was not asked."


def _some(names: list[str]) -> str:
    text = "; ".join(names[:_NAMED])
    more = len(names) - _NAMED
    return f"{text}; and {more} more" if more > 0 else text


def requested_text(assessment: Assessment) -> str:
    """Return the requested current, never rounded to the carryable current that it exceeds."""
    pair = (assessment.requested_current_a, assessment.current_limit_only_a)
    return with_unit(distinct_numbers(pair)[0], "A")


def carryable_text(assessment: Assessment) -> str:
    """Return the carryable current: the requested one as printed if all of it is carried."""
    return _setting_text(assessment, assessment.carryable_current_a)


def _setting_text(assessment: Assessment, current_a: float | None) -> str:
    if current_a is not None and current_a == assessment.requested_current_a:
        return requested_text(assessment)
    return carried_text(current_a)


def _link(finding: Finding) -> str:
    return finding.link or _WHOLE_PATH


def _weakest(assessment: Assessment) -> str:
    return assessment.weakest_link or "none known"


def _next_weakest(assessment: Assessment) -> str:
    named = [f"{one.name} ({carried_text(one.carries_a)})" for one in assessment.weakest_links[1:]]
    return "; ".join(named) or "none known"


def _head(assessment: Assessment) -> Iterator[str]:
    yield HEADLINES[assessment.verdict]
    yield from wrapped(verdict_in_words(assessment))
    yield ""
    site, surveyor = assessment.survey.site, assessment.survey.surveyor
    rows = (
        ("Site", f"{site.name} ({site.reference})"),
        ("Surveyed", f"{surveyor.date.isoformat()} by {surveyor.name}"),
        ("Judged by", f"{assessment.code_basis} (program version {assessment.program_version})"),
        *result_rows(assessment),
    )
    for label, text in rows:
        yield from wrapped(text, first=padded(label, _LABEL_COLUMNS))


def result_rows(assessment: Assessment) -> tuple[tuple[str, str], ...]:
    """Return label and words of each figure of the result."""
    return (
        ("Requested", _per_phase(requested_text(assessment), assessment.requested_current_a)),
        ("Carryable", _carryable_row(assessment)),
        ("Advised", _advised_row(assessment)),
        ("Weakest link", _weakest(assessment)),
        ("Next weakest", _next_weakest(assessment)),
        ("Settings", _settings_row(assessment)),
    )


def _per_phase(text: str, current_a: float | None) -> str:
    return "not known" if current_a is None else f"{text} per phase"


def _carryable_row(assessment: Assessment) -> str:
    if assessment.carryable_current_a is not None:
        words = _per_phase(carryable_text(assessment), assessment.carryable_current_a)
        return words if assessment.carryable_current_a else f"{words}: none of the settings"
    if assessment.current_limit_only_a is None:
        return "not determined"
    alone = _setting_text(assessment, assessment.current_limit_only_a)
    return f"not determined ({alone} per phase by current alone, as far as it is known)"


def _advised_row(assessment: Assessment) -> str:
    if assessment.advised_current_a is None:
        return "not determined"
    text = _setting_text(assessment, assessment.advised_current_a)
    return f"{text} per phase, with recommendations and practice counted as well"


def _settings_row(assessment: Assessment) -> str:
    settings = assessment.settings
    tolerance = f"tolerance {amount_text(settings.tolerance_percent, '%')}"
    if not settings.counts:
        tolerance += "; none is certain to hold, so the station may draw its maximum"
    if settings.offered_a:
        offered = ", ".join(number_text(one) for one in settings.offered_a)
        return f"{with_unit(offered, 'A')} per phase, {tolerance}"
    smallest = amount_text(settings.smallest_a, "A")
    return f"not listed; whole amperes from {smallest} are assumed, {tolerance}"


def _chain(assessment: Assessment) -> Iterator[str]:
    """Draw one bar per link; a bar ends before the mark of a current that it does not reach."""
    if not assessment.chain:
        return
    yield "CHAIN: what each link lets the station draw, in A per phase"
    requested_a = _finite(assessment.requested_current_a)
    offered = (assessment.current_limit_only_a, assessment.advised_current_a)
    wanted = [one for one in (requested_a, *map(_finite, offered)) if one is not None]
    scale_a = max(wanted, default=0.0) * _HEADROOM
    for one in assessment.chain:
        yield from _chain_rows(one, scale_a, requested_a)
    legend = "# carried   + more than is advised   | requested   > goes on   ? not known"
    yield f"  {legend}"


def _finite(current_a: float | None) -> float | None:
    return current_a if current_a is not None and math.isfinite(current_a) else None


def _chain_rows(link: ChainLink, scale_a: float, requested_a: float | None) -> Iterator[str]:
    name = escaped(link.name)
    if columns_of(name) > _NAME_COLUMNS:
        yield from wrapped(link.name, first="  ")
        name = ""
    if _is_unknown(link):
        figure = " ?"
    else:
        figure = " no limit" if link.carries_a is None else f" {carried_text(link.carries_a)}"
    room = _BAR_COLUMNS + _FIGURE_COLUMNS
    bar = _bar(link, scale_a, requested_a).ljust(room)[: room - len(figure)]
    outcome = "" if link.outcome is Outcome.NOT_APPLICABLE else link.outcome.value
    yield for_terminal(f"  {padded(name, _NAME_COLUMNS)} {bar}{figure} {outcome}")


def _is_unknown(link: ChainLink) -> bool:
    if link.carries_a is None:
        return link.outcome is Outcome.OPEN
    return math.isnan(link.carries_a)


def _bar(link: ChainLink, scale_a: float, requested_a: float | None) -> str:
    if scale_a <= 0:
        return ""
    cells = [" "] * _BAR_COLUMNS
    if _is_unknown(link):
        cells[0] = "?"
    else:
        carried = _length(link.carries_a, scale_a, requested_a)
        advised = _length(link.advised_a, scale_a, requested_a)
        for cell in range(carried):
            cells[cell] = "#" if cell < advised else "+"
        if carried == _BAR_COLUMNS:
            cells[-1] = ">"
    if requested_a is not None:
        cells[_cell(requested_a, scale_a)] = "|"
    return "".join(cells)


def _cell(current_a: float, scale_a: float) -> int:
    return min(int(current_a / scale_a * _BAR_COLUMNS), _BAR_COLUMNS - 1)


def _length(current_a: float | None, scale_a: float, requested_a: float | None) -> int:
    """Return a bar's length in cells; one that is too short ends before the mark's cell."""
    if current_a is None or current_a >= scale_a:
        return _BAR_COLUMNS
    cells = 0 if math.isnan(current_a) else max(int(current_a / scale_a * _BAR_COLUMNS), 0)
    if requested_a is None:
        return cells
    mark = _cell(requested_a, scale_a)
    return max(cells, mark + 1) if current_a >= requested_a else min(cells, max(mark - 1, 0))


def _fault_levels(assessment: Assessment) -> Iterator[str]:
    """List smallest and largest fault current of each kind at each node."""
    if not assessment.fault_levels:
        return
    yield "FAULT CURRENTS along the feed path, smallest to largest, in A"
    heads = "".join(padded(kind, _FAULT_COLUMNS) for kind in FAULT_KINDS)
    yield f"  {' ' * _NODE_COLUMNS}{heads}".rstrip()
    for one in assessment.fault_levels:
        cells = fault_cells(one, "-", "?")
        name = escaped(one.node)
        if max(columns_of(cell) for cell in cells) >= _FAULT_COLUMNS:
            named = [f"{kind} {cell}" for kind, cell in zip(FAULT_KINDS, cells, strict=True)]
            yield from wrapped(f"{one.node}: {', '.join(named)}", first="  ")
            continue
        if columns_of(name) >= _NODE_COLUMNS:
            yield from wrapped(one.node, first="  ")
            name = ""
        row = "".join(padded(cell, _FAULT_COLUMNS) for cell in cells)
        yield for_terminal(f"  {padded(name, _NODE_COLUMNS)}{row}")
    for words in lacking_words(assessment.fault_levels):
        yield from wrapped(words, first="  ? ")


def _to_do(assessment: Assessment) -> Iterator[str]:
    yield "WHAT TO DO"
    points = [f"{_link(one)}: {message_text(one.reason)}" for one in failed(assessment)]
    if assessment.verdict is Verdict.CARRIES_REDUCED:
        points.insert(0, f"Limit the station to {carryable_text(assessment)} per phase, or change:")
    points.extend(_find_out(one) for one in assessment.open_facts)
    if not points:
        yield "  Nothing that fails and nothing that is open."
    for point in points:
        yield from wrapped(point, first="  - ")


def _year(assessment: Assessment) -> Iterator[str]:
    """Say in which hours the requested current exceeds a limit, and what fits instead."""
    if assessment.year is None:
        return
    yield from wrapped(f"HOURS: {year_heading(assessment.year)}")
    for sentence in year_sentences(assessment.year):
        yield from wrapped(sentence, first="  - ")


def _find_out(fact: OpenFact) -> str:
    return f"Find out: {fact.label}. It decides {', '.join(fact.checks)}."


def _findings(assessment: Assessment) -> Iterator[str]:
    """List the findings under their questions, in the order in which the questions first come."""
    order = list(dict.fromkeys(one.question for one in assessment.findings))
    by_question = sorted(assessment.findings, key=lambda one: order.index(one.question))
    if by_question:
        yield "FINDINGS"
    for question, findings in groupby(by_question, key=lambda one: one.question):
        yield ""
        yield from wrapped(question)
        for one in findings:
            first = f"  {padded(one.outcome.value, _OUTCOME_COLUMNS)}"
            yield from wrapped(_finding_text(one), first=first)


def _finding_text(finding: Finding) -> str:
    text = f"{_link(finding)} [{finding.check}]: {message_text(finding.reason)}"
    if finding.outcome is Outcome.CAUTION:
        text += f" The limit is a matter of {finding.force.value}."
    if finding.outcome is not Outcome.PASS and finding.carries_a is not None:
        text += f" It passes up to {carried_text(finding.carries_a)} of the station."
    return text


def _assumptions(assessment: Assessment) -> Iterator[str]:
    return _listed("ASSUMPTIONS", [_assumption_text(one) for one in assessment.assumptions])


def _assumption_text(assumption: Assumption) -> str:
    by = "the surveyor" if assumption.by_surveyor else "the code basis"
    options = options_text(assumption.options, assumption.unit)
    return f"{assumption.label}: {options}, by {by} ({assumption.reason})"


def _listed(title: str, entries: list[str]) -> Iterator[str]:
    if entries:
        yield title
    for entry in entries:
        yield from wrapped(entry, first="  - ")
