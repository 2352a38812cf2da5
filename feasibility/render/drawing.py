"""Layout of the one-line drawing: the feed path from the supply down to the station.

Positions are in mm from the upper left corner of a sheet. A sheet has one or two columns, each
read from top to bottom; where a column ends, a lettered mark leads to the next one. The symbols
themselves are drawn by the templates after IEC 60617 (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from feasibility.render.details import detail_texts
from feasibility.render.text_fit import BOLD, fit_name, wrap

if TYPE_CHECKING:
    from feasibility.chain import PathElement

WIDTH = 180.0
SLOT = 16.0
LEAD = 7.0
"""Room above and below a column for the mark that leads on."""
ROWS_AT_MOST = 13
ROWS_IN_ONE_COLUMN = 7
LINE_X = 13.0
NUMBER_X = 3.0
TEXT_X = 25.0
NAME_SIZE = 2.6
DETAIL_SIZE = 2.4
LINE_HEIGHT = 3.3


class Symbol(StrEnum):
    """The graphical symbols that the templates can draw."""

    NETWORK = "network"
    TRANSFORMER = "transformer"
    BOUNDARY = "boundary"
    METER = "meter"
    FUSE = "fuse"
    CIRCUIT_BREAKER = "circuit_breaker"
    RESIDUAL_CURRENT_DEVICE = "residual_current_device"
    SWITCH_DISCONNECTOR = "switch_disconnector"
    CHANGEOVER_SWITCH = "changeover_switch"
    CONTACTOR = "contactor"
    BUSBAR = "busbar"
    TERMINAL = "terminal"
    CABLE = "cable"
    CORD = "cord"
    OUTLET = "outlet"
    PLUG = "plug"
    ADAPTER = "adapter"
    STATION = "station"
    BOX = "box"


_BY_KIND: Mapping[str, Symbol] = {
    "transformer": Symbol.TRANSFORMER,
    "contracted capacity": Symbol.BOUNDARY,
    "metering": Symbol.METER,
    "residual-current device": Symbol.RESIDUAL_CURRENT_DEVICE,
    "cable": Symbol.CABLE,
    "outlet": Symbol.OUTLET,
    "plug": Symbol.PLUG,
    "flexible cord": Symbol.CORD,
    "inlet": Symbol.PLUG,
    "station": Symbol.STATION,
    "board": Symbol.BUSBAR,
}
_BY_DETAIL: Mapping[str, Symbol] = {
    "gG fuse": Symbol.FUSE,
    "IEC 60898-1 circuit-breaker": Symbol.CIRCUIT_BREAKER,
    "IEC 60947-2 circuit-breaker": Symbol.CIRCUIT_BREAKER,
    "selective main circuit-breaker": Symbol.CIRCUIT_BREAKER,
    "switch-disconnector": Symbol.SWITCH_DISCONNECTOR,
    "interlocked switch": Symbol.SWITCH_DISCONNECTOR,
    "changeover switch": Symbol.CHANGEOVER_SWITCH,
    "contactor": Symbol.CONTACTOR,
    "busbar": Symbol.BUSBAR,
    "terminal block": Symbol.TERMINAL,
    "fuse base": Symbol.FUSE,
    "adapter": Symbol.ADAPTER,
    "fixed connection": Symbol.TERMINAL,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """One element: its symbol's centre and its lines of text, the first ``bold`` ones its name."""

    symbol: Symbol
    x: float
    y: float
    number: str
    number_x: float
    text_x: float
    lines: tuple[TextLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TextLine:
    """One line of text beside a symbol."""

    text: str
    y: float
    is_name: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column: its line from ``top`` to ``bottom`` and the letters that lead in and on."""

    x: float
    top: float
    bottom: float
    enters: str
    leaves: str
    elements: tuple[Placed, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One picture; a drawing has several if the feed path is long."""

    width: float
    height: float
    columns: tuple[Column, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """What is drawn in one row, before it has a place."""

    symbol: Symbol
    number: str
    name: str
    details: tuple[str, ...]


def one_line_drawing(path: Sequence[PathElement], supply: Item) -> tuple[Sheet, ...]:
    """Lay out the drawing: the supply, then the elements of the feed path."""
    items = [supply, *items_of(path)]
    sizes = column_sizes(len(items))
    columns_per_sheet = 1 if len(sizes) == 1 else 2
    sheets: list[Sheet] = []
    start = 0
    for first in range(0, len(sizes), columns_per_sheet):
        on_sheet = sizes[first : first + columns_per_sheet]
        columns = []
        for place, size in enumerate(on_sheet):
            columns.append(
                _column(
                    items[start : start + size],
                    x=place * WIDTH / columns_per_sheet,
                    width=WIDTH / columns_per_sheet,
                    enters=_letter(first + place - 1) if start else "",
                    leaves=_letter(first + place) if start + size < len(items) else "",
                )
            )
            start += size
        height = max(column.bottom for column in columns) + LEAD
        sheets.append(Sheet(width=WIDTH, height=_mm(height), columns=tuple(columns)))
    return tuple(sheets)


def column_sizes(rows: int) -> tuple[int, ...]:
    """Return how many rows each column gets; those of one sheet are as even as can be."""
    if rows <= ROWS_IN_ONE_COLUMN:
        return (rows,)
    sizes: list[int] = []
    rest = rows
    while rest:
        on_sheet = min(rest, 2 * ROWS_AT_MOST)
        first = math.ceil(on_sheet / 2)
        sizes += [first, on_sheet - first] if on_sheet > 1 else [1]
        rest -= on_sheet
    return tuple(sizes)


def items_of(path: Sequence[PathElement]) -> list[Item]:
    """Return what is drawn for each element; links are numbered as in the chain, boards are not."""
    items: list[Item] = []
    number = 0
    for element in path:
        is_link = element.kind != "board"
        number += is_link
        items.append(
            Item(
                symbol=symbol_of(element),
                number=str(number) if is_link else "",
                name=element.name,
                details=detail_texts(element),
            )
        )
    return items


def symbol_of(element: PathElement) -> Symbol:
    """Return the symbol of an element; a box stands for what has none or is not known."""
    for detail in element.details:
        if isinstance(detail, str) and detail in _BY_DETAIL:
            return _BY_DETAIL[detail]
    return _BY_KIND.get(element.kind, Symbol.BOX)


def _column(items: Sequence[Item], *, x: float, width: float, enters: str, leaves: str) -> Column:
    text_width = width - TEXT_X - 2.0
    return Column(
        x=_mm(x + LINE_X),
        top=LEAD,
        bottom=_mm(LEAD + len(items) * SLOT),
        enters=enters,
        leaves=leaves,
        elements=tuple(
            _placed(item, x=x, y=LEAD + (row + 0.5) * SLOT, text_width=text_width)
            for row, item in enumerate(items)
        ),
    )


def _placed(item: Item, *, x: float, y: float, text_width: float) -> Placed:
    names = fit_name(item.name, text_width, NAME_SIZE * BOLD, 2)
    details = wrap(" · ".join(item.details), text_width, DETAIL_SIZE, 2)
    texts = [(text, True) for text in names] + [(text, False) for text in details]
    first_y = y - (len(texts) - 1) * LINE_HEIGHT / 2 + 0.36 * NAME_SIZE
    return Placed(
        symbol=item.symbol,
        x=_mm(x + LINE_X),
        y=_mm(y),
        number=item.number,
        number_x=_mm(x + NUMBER_X),
        text_x=_mm(x + TEXT_X),
        lines=tuple(
            TextLine(text=text, y=_mm(first_y + row * LINE_HEIGHT), is_name=is_name)
            for row, (text, is_name) in enumerate(texts)
        ),
    )


def _letter(index: int) -> str:
    """Return the mark of the ``index``-th turn: A to Z, then A1, B1, ..."""
    lap = index // 26
    return chr(ord("A") + index % 26) + (str(lap) if lap else "")


def _mm(length: float) -> float:
    return round(length, 2)
