"""Layout of the chain picture: one bar per link, as long as the current it can still give.

All positions are in mm from the upper left corner. The requested current is a line across all
bars, the advised current a mark on each. What a bar means is told by outline and hatching, so
that the picture holds in black and white.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from statistics import median
from typing import TYPE_CHECKING

from feasibility.render.numbers import NOT_KNOWN, CurrentsBeside, number_text
from feasibility.render.scale import round_step
from feasibility.render.text_fit import BOLD, fit_name
from feasibility.render.words import OUTCOME_SIGNS
from feasibility.result import Outcome

if TYPE_CHECKING:
    from feasibility.assessment import Assessment
    from feasibility.chain import ChainLink

WIDTH = 180.0
BARS_FROM = 59.0
BARS_TO = 148.0
CARRIES_AT = 163.0
ADVISED_AT = WIDTH
NAME_FROM = 7.0
SIGN_AT = BARS_FROM - 1.5
NAME_WIDTH = SIGN_AT - 3.5 - NAME_FROM
NAME_SIZE = 2.5
HEAD = 11.0
FOOT = 1.5
GREATEST_ROW = 7.6
TWO_LINE_ROW = 5.5
LEAST_ROW = 4.2
ROOM_FOR_ROWS = 78.0
BAR_SHARE = 0.5
BREAK_BEFORE_END = 5.0
HATCH_STEP = 1.5
_SIGNED = (Outcome.FAIL, Outcome.CAUTION, Outcome.OPEN)
TICKS_ABOUT = 6
SHORTEST_SCALE_A = 0.1
BEYOND = 1.5
"""How far the scale reaches beyond the requested current and the weakest link."""


class BarStyle(StrEnum):
    """How a bar is drawn."""

    ENOUGH = "enough"
    SHORT = "short"
    UNCERTAIN = "uncertain"
    NOT_KNOWN = "not known"
    NO_LIMIT = "no limit"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One link's row. ``width`` is zero for no current; ``cut`` tells that it goes on.

    ``sign`` is that of the link's outcome, unless it passes: a part can carry enough and fail.
    """

    number: int
    sign: str
    name_lines: tuple[str, ...]
    name_y: float
    x: float
    y: float
    width: float
    height: float
    style: BarStyle
    hatching: str
    cut: bool
    break_x: float
    advised_x: float | None
    carries: str
    advised: str
    weakest: bool
    middle_y: float
    lower_y: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """One mark of the scale."""

    x: float
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainPicture:
    """The whole picture; ``requested_x`` is None where the requested current is not known."""

    width: float
    height: float
    scale_y: float
    bottom_y: float
    ticks: tuple[Tick, ...]
    bars: tuple[Bar, ...]
    requested_x: float | None
    requested_label_x: float
    requested: str


def chain_picture(assessment: Assessment, shown: CurrentsBeside) -> ChainPicture:
    """Lay out the chain picture of an assessment; ``shown`` formats its currents."""
    links = assessment.chain
    requested_a = assessment.requested_current_a
    full_a, step_a = scale_of(requested_a, [link.carries_a for link in links])
    row = min(GREATEST_ROW, max(LEAST_ROW, ROOM_FOR_ROWS / max(len(links), 1)))
    bars = tuple(
        _bar(
            link,
            number=number,
            top=HEAD + (number - 1) * row,
            row=row,
            full_a=full_a,
            requested_a=requested_a,
            weakest=bool(link.name) and link.name == assessment.weakest_link,
            shown=shown,
        )
        for number, link in enumerate(links, start=1)
    )
    line_x = None if requested_a is None else _x(requested_a, full_a)
    bottom = HEAD + len(links) * row
    return ChainPicture(
        width=WIDTH,
        height=_mm(bottom + FOOT),
        scale_y=HEAD - 1.5,
        bottom_y=_mm(bottom),
        ticks=_ticks(full_a, step_a),
        bars=bars,
        requested_x=line_x,
        requested_label_x=min(max(line_x or 0.0, BARS_FROM + 14), BARS_TO - 14),
        requested=shown.requested,
    )


def scale_of(
    requested_a: float | None, carries_a: Sequence[float | None]
) -> tuple[float, float | None]:
    """Return the current at the end of the scale and the distance of its marks.

    The scale shows the requested current and the weakest link well; what lies far beyond is cut.
    With nothing known at all it is one ampere long and has no marks.
    """
    known = [one for one in carries_a if one is not None and one > 0]
    if requested_a is None and not known:
        return 1.0, None
    middle = requested_a if requested_a is not None else median(known)
    wanted = BEYOND * max(middle, min(known, default=middle))
    end_a = max(min(wanted, 1.05 * max([middle, *known])), SHORTEST_SCALE_A)
    step_a = round_step(end_a / TICKS_ABOUT)
    return step_a * math.ceil(end_a / step_a), step_a


def _ticks(full_a: float, step_a: float | None) -> tuple[Tick, ...]:
    if step_a is None:
        return ()
    count = round(full_a / step_a)
    return tuple(
        Tick(x=_x(number * step_a, full_a), text=number_text(number * step_a))
        for number in range(count + 1)
    )


def _bar(
    link: ChainLink,
    *,
    number: int,
    top: float,
    row: float,
    full_a: float,
    requested_a: float | None,
    weakest: bool,
    shown: CurrentsBeside,
) -> Bar:
    style = bar_style(link, requested_a)
    height = row * BAR_SHARE
    y = top + (row - height) / 2
    carries_a = full_a if link.carries_a is None else link.carries_a
    width = _x(carries_a, full_a) - BARS_FROM
    lines = fit_name(
        link.name,
        NAME_WIDTH / (BOLD if weakest else 1),
        NAME_SIZE,
        2 if row >= TWO_LINE_ROW else 1,
    )
    hatched = style in (BarStyle.SHORT, BarStyle.UNCERTAIN)
    return Bar(
        number=number,
        sign=OUTCOME_SIGNS[link.outcome] if link.outcome in _SIGNED else "",
        name_lines=lines,
        name_y=_mm(top + row / 2 + NAME_SIZE * (0.36 - 0.52 * (len(lines) - 1))),
        x=BARS_FROM,
        y=_mm(y),
        width=_mm(width),
        height=_mm(height),
        style=style,
        hatching=hatching(BARS_FROM, y, width, height) if hatched else "",
        cut=carries_a > full_a,
        break_x=BARS_TO - BREAK_BEFORE_END,
        advised_x=_advised_x(link, full_a),
        carries=NOT_KNOWN if style is BarStyle.NOT_KNOWN else shown.carried(link.carries_a),
        advised=shown.carried(link.advised_a),
        weakest=weakest,
        middle_y=_mm(top + row / 2),
        lower_y=_mm(top + row),
    )


def bar_style(link: ChainLink, requested_a: float | None) -> BarStyle:
    """Return how a link's bar is drawn."""
    if link.carries_a is None:
        return BarStyle.NOT_KNOWN if link.outcome is Outcome.OPEN else BarStyle.NO_LIMIT
    if link.outcome is Outcome.OPEN:
        return BarStyle.UNCERTAIN
    if requested_a is not None and link.carries_a < requested_a:
        return BarStyle.SHORT
    return BarStyle.ENOUGH


def _advised_x(link: ChainLink, full_a: float) -> float | None:
    if link.advised_a is None or link.advised_a > full_a:
        return None
    return _x(link.advised_a, full_a)


def _x(current_a: float, full_a: float) -> float:
    share = min(max(current_a / full_a, 0.0), 1.0)
    return _mm(BARS_FROM + (BARS_TO - BARS_FROM) * share)


def hatching(x: float, y: float, width: float, height: float) -> str:
    """Return the path of lines at 45 degrees that fill a rectangle."""
    pieces = []
    start = HATCH_STEP - height
    while start < width:
        left, right = max(start, 0.0), min(start + height, width)
        if right > left:
            pieces.append(
                f"M{_mm(x + left)} {_mm(y + height - (left - start))}"
                f"L{_mm(x + right)} {_mm(y + height - (right - start))}"
            )
        start += HATCH_STEP
    return "".join(pieces)


def _mm(length: float) -> float:
    return round(length, 2)
