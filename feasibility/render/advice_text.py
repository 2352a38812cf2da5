"""The advice as sections of the text for a terminal."""

from __future__ import annotations

from collections.abc import Iterator

from feasibility.advice import Advice
from feasibility.assessment import Assessment
from feasibility.render.advice_view import AdviceView, FactRow, RemedyRow, advice_view
from feasibility.render.plain_lines import wrapped


def advice_sections(assessment: Assessment, advice: Advice | None) -> tuple[Iterator[str], ...]:
    """Return the sections of the advice; none where there is no advice."""
    if advice is None:
        return ()
    view = advice_view(assessment, advice)
    return (
        _upgrade(view.need, view.without_remedy),
        _remedies("CHANGES THAT WOULD BE ENOUGH, the smallest first", view.remedies),
        _remedies("ENOUGH FOR A LOWER SETTING", view.reduced),
        _note(view),
        _facts(view.facts),
    )


def _note(view: AdviceView) -> Iterator[str]:
    if view.remedies or view.reduced:
        yield from wrapped(view.hypothetical)


def _upgrade(need: str, without_remedy: tuple[str, ...]) -> Iterator[str]:
    yield "UPGRADE"
    yield from wrapped(need, first="  ")
    for one in without_remedy:
        yield from wrapped(f"No remedy is listed against: {one}", first="  - ")


def _remedies(title: str, rows: tuple[RemedyRow, ...]) -> Iterator[str]:
    if not rows:
        return
    yield title
    for number, row in enumerate(rows, start=1):
        first = f"  {number}. "
        for part in row.parts:
            words = f"{part.words} ({part.alone})" if part.alone else part.words
            yield from wrapped(words, first=first)
            first = "     "
        price = f" Price: {row.price}." if row.price else ""
        yield from wrapped(row.result + price, first="     = ")


def _facts(rows: tuple[FactRow, ...]) -> Iterator[str]:
    if not rows:
        return
    yield "FACTS THAT ARE NOT KNOWN EXACTLY, by their effect on the carryable current"
    for row in rows:
        if row.matters:
            yield from wrapped(f"{row.label}: {row.current}; {row.decides}", first="  - ")
    others = [row.label for row in rows if not row.matters]
    if others:
        yield from wrapped(
            f"Matter neither for current nor verdict: {'; '.join(others)}", first="  - "
        )
