"""The first page: the verdict, its figures, the chain, what to do next and what is amiss.

Whether all of it fits on the page is an estimate in mm from the sizes in the style sheet, so that
the next section knows whether to start a new one; it errs towards "does not fit".
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from feasibility.render.chain_picture import ChainPicture, chain_picture
from feasibility.render.figures_view import Figure, figures_of, notes_of
from feasibility.render.next_steps import Task, shortfall_title, shortfalls, steps
from feasibility.render.text_fit import text_width
from feasibility.render.words import verdict_reason, verdict_sentence

if TYPE_CHECKING:
    from feasibility.advice import Advice
    from feasibility.assessment import Assessment
    from feasibility.render.numbers import CurrentsBeside

PAGE = 257.0
WIDTH = 180.0
MM_PER_POINT = 25.4 / 72
LINE = 1.36
BODY, SMALL, SENTENCE, TITLE, FIGURE = 9.0, 7.5, 13.0, 10.0, 12.0
HEADINGS = 3 * (5.0 + BODY * LINE * MM_PER_POINT)
VERDICT_FRAME = 12.5
FIGURES_FRAME = 7.0
FIGURE_WIDTH = 41.0
REMARK_LINES = 3
LEGEND_LINES = 3
NOTE_GAP = 1.6
TASK_GAP = 0.9
TASK_WIDTH = 172.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstPage:
    """Everything on the first page, from top to bottom; ``fits`` tells whether it is only one."""

    verdict: str
    sentence: str
    reason: str
    figures: tuple[Figure, ...]
    notes: tuple[str, ...]
    chain: ChainPicture
    steps: tuple[Task, ...]
    shortfall_title: str
    shortfalls: tuple[Task, ...]
    fits: bool


def first_page(assessment: Assessment, advice: Advice | None, shown: CurrentsBeside) -> FirstPage:
    """Return the first page; ``shown`` formats its currents."""
    sentence, reason = verdict_sentence(assessment), verdict_reason(assessment)
    figures, notes = figures_of(assessment, shown), notes_of(assessment, shown)
    chain = chain_picture(assessment, shown)
    to_do, amiss = steps(assessment, advice), shortfalls(assessment)
    return FirstPage(
        verdict=assessment.verdict.value,
        sentence=sentence,
        reason=reason,
        figures=figures,
        notes=notes,
        chain=chain,
        steps=to_do,
        shortfall_title=shortfall_title(amiss),
        shortfalls=amiss,
        fits=fits_one_page(
            title=assessment.survey.site.name,
            sentence=sentence,
            reason=reason,
            figures=[one.value for one in figures],
            notes=notes,
            picture_height=chain.height,
            tasks=[one.text for one in (*to_do, *amiss)],
        ),
    )


def fits_one_page(
    *,
    title: str,
    sentence: str,
    reason: str,
    figures: Sequence[str],
    notes: Iterable[str],
    picture_height: float,
    tasks: Iterable[str],
) -> bool:
    """Tell whether verdict, figures, chain picture and tasks fit on one page."""
    figure_lines = max(lines_of(one, FIGURE, FIGURE_WIDTH) for one in figures)
    height = (
        _height([title], TITLE, WIDTH)
        + VERDICT_FRAME
        + _height([sentence], SENTENCE, WIDTH - 12)
        + _height([reason], BODY, WIDTH - 12)
        + FIGURES_FRAME
        + figure_lines * FIGURE * LINE * MM_PER_POINT
        + (1 + REMARK_LINES) * SMALL * LINE * MM_PER_POINT
        + sum(_height([one], BODY, WIDTH) + NOTE_GAP for one in notes)
        + HEADINGS
        + picture_height
        + LEGEND_LINES * SMALL * LINE * MM_PER_POINT
        + sum(_height([one], BODY, TASK_WIDTH) + TASK_GAP for one in tasks)
    )
    return height <= PAGE


def lines_of(text: str, points: float, width: float) -> int:
    """Return how many lines a text takes at most."""
    return -int(-text_width(text, points * MM_PER_POINT) // width)


def _height(texts: Iterable[str], points: float, width: float) -> float:
    return sum(lines_of(text, points, width) * points * LINE * MM_PER_POINT for text in texts)
