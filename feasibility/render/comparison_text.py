"""A site as surveyed and with other values side by side, as text for a terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import zip_longest

from feasibility.assessment import Assessment
from feasibility.render.numbers import carried_text
from feasibility.render.plain_lines import COLUMNS, for_terminal, padded, wrapped
from feasibility.render.text import HEADLINES, result_rows
from feasibility.result import Finding
from feasibility.what_if import ChangedFinding

_LABEL_COLUMNS = 15
_SIDE_COLUMNS = (COLUMNS - _LABEL_COLUMNS) // 2


def comparison_text(
    before: Assessment,
    after: Assessment,
    changed: Sequence[ChangedFinding],
    assignments: Sequence[str],
) -> str:
    """Return both results side by side and the findings that change, at most 80 columns wide."""
    sections = (
        _changes(assignments),
        _side_by_side(before, after),
        _findings(changed),
    )
    return "\n\n".join("\n".join(lines) for lines in sections)


def _changes(assignments: Sequence[str]) -> Iterator[str]:
    yield "WHAT IF"
    for one in assignments:
        yield from wrapped(one, first="  - ")
    yield from wrapped("Nobody saw these values on site: the right-hand column is hypothetical.")


def _side_by_side(before: Assessment, after: Assessment) -> Iterator[str]:
    yield from _row("", "as surveyed", "with these values")
    yield from _row("Verdict", HEADLINES[before.verdict], HEADLINES[after.verdict])
    for (label, old), (_, new) in zip(result_rows(before), result_rows(after), strict=True):
        yield from _row(label, old, new)


def _row(label: str, before: str, after: str) -> Iterator[str]:
    for name, old, new in zip_longest([label], _narrow(before), _narrow(after), fillvalue=""):
        line = f"{padded(name, _LABEL_COLUMNS)}{padded(old, _SIDE_COLUMNS)}{new}"
        yield for_terminal(line.rstrip())


def _narrow(text: str) -> list[str]:
    """Return the text in lines of one side, with a blank column at the end."""
    return wrapped(text, columns=_SIDE_COLUMNS - 2)


def _findings(changed: Sequence[ChangedFinding]) -> Iterator[str]:
    yield "FINDINGS THAT CHANGE"
    if not changed:
        yield "  none"
    for one in changed:
        name = f"{one.check} ({one.link or 'whole path'})"
        yield from wrapped(f"{name}: {_words(one.before)} -> {_words(one.after)}", first="  - ")


def _words(finding: Finding | None) -> str:
    if finding is None:
        return "not asked"
    if finding.carries_a is None:
        return finding.outcome.value
    return f"{finding.outcome.value}, up to {carried_text(finding.carries_a)}"
