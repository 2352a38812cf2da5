"""How wide a text is, so that it can be wrapped or shortened before it is placed in a picture."""

from __future__ import annotations

import re
import unicodedata

from feasibility.render.plain_lines import visible

_NARROW = frozenset("iljftrI.,:;'|!()[]/\\ \u202f\u00a0·-")
_BROAD = frozenset("mwMWGOQDHNUÄÖÜ@%&—…ΩΜΝΗΦΨωφψщшжмюЩШЖМЮФыЫ")
_BLANKS = re.compile(r"[^\S\u00a0\u202f]+")
"""Blanks at which a line may end: all but those that do not break."""
ELLIPSIS = "…"
BOLD = 1.12
"""How much wider bold letters are."""


def text_width(text: str, size: float) -> float:
    """Return an upper estimate of a text's width, in the unit of the font size ``size``."""
    return size * sum(_em(character) for character in text)


def _em(character: str) -> float:
    if unicodedata.combining(character):
        return 0.0
    if unicodedata.east_asian_width(character) in "WF":
        return 1.05
    if character in _NARROW:
        return 0.42
    if character in _BROAD:
        return 1.0
    return 0.74 if character.isupper() else 0.67


def shorten(text: str, width: float, size: float) -> str:
    """Return the text, cut with an ellipsis if it is wider than ``width``."""
    text = visible(text)
    if text_width(text, size) <= width:
        return text
    kept = ""
    for character in text:
        if text_width(kept + character + ELLIPSIS, size) > width:
            break
        kept += character
    return kept.rstrip() + ELLIPSIS


def wrap(text: str, width: float, size: float, lines: int) -> tuple[str, ...]:
    """Return a text in at most ``lines`` lines; what is left over is cut with an ellipsis.

    Breaks are at blanks, never between a figure and its unit; a word wider than a line is broken
    where the line ends.
    """
    found: list[str] = []
    rest = _BLANKS.sub(" ", visible(text)).strip(" ")
    while rest and len(found) < lines - 1:
        taken = _first_line(rest, width, size)
        found.append(taken.rstrip())
        rest = rest[len(taken) :].lstrip()
    if rest:
        found.append(shorten(rest, width, size))
    return tuple(found)


def fit_name(name: str, width: float, size: float, lines: int) -> tuple[str, ...]:
    """Return a link's name in at most ``lines`` lines.

    A name that is too long loses the end of its first part; what stands behind the last colon
    (``cable 2``) tells it from its neighbours and is kept.
    """
    whole = wrap(name, width, size, lines)
    if not whole or not whole[-1].endswith(ELLIPSIS):
        return whole
    head, colon, tail = name.rpartition(": ")
    if not colon:
        return whole
    if lines > 1:
        return (*wrap(head, width, size, lines - 1), shorten(tail, width, size))
    tail = shorten(tail, width / 2, size)
    return (f"{shorten(head, width - text_width(f': {tail}', size), size)}: {tail}",)


def _first_line(text: str, width: float, size: float) -> str:
    """Return as much of a text as one line holds, at least one character."""
    end = 0
    while end < len(text) and text_width(text[: end + 1], size) <= width:
        end += 1
    if end == len(text):
        return text
    blank = text.rfind(" ", 0, end + 1)
    return text[:blank] if blank > 0 else text[: max(end, 1)]
