"""Whether the verdict fits on its page, so that the next section knows whether to start a new one.

An estimate in mm from the sizes in the style sheet; it errs towards "does not fit".
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from feasibility.render.text_fit import text_width

PAGE = 257.0
WIDTH = 180.0
MM_PER_POINT = 25.4 / 72
LINE = 1.36
BODY, SMALL, SENTENCE, TITLE, FIGURE = 9.0, 7.5, 15.0, 10.0, 12.0
HEADINGS = 3 * (5.0 + BODY * LINE * MM_PER_POINT)
VERDICT_FRAME = 12.5
FIGURES_FRAME = 7.0
FIGURE_WIDTH = 41.0
REMARK_LINES = 3
LEGEND_LINES = 3
NOTE_GAP = 1.6
TASK_GAP = 0.9
TASK_WIDTH = 172.0


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
