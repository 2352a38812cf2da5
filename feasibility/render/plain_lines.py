"""Lines for a terminal: what must not reach it raw is escaped, and no line grows too long."""

from __future__ import annotations

import unicodedata

from feasibility.render.numbers import MINUS, THIN_SPACE

COLUMNS = 80

INVISIBLE = {"Cc", "Cf", "Cn", "Co", "Cs", "Zl", "Zp"}
"""Control, format (direction marks), unassigned, private, surrogate, line and paragraph ends."""


def escaped(text: str) -> str:
    """Return the text with every control and invisible character written as an escape.

    A survey's names could otherwise move the cursor, hide words or turn the reading direction.
    """
    return "".join(_escape(one) if unicodedata.category(one) in INVISIBLE else one for one in text)


def visible(text: str) -> str:
    """Return the text as ``escaped`` does, but with its line ends and tabs, for a document."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(
        _escape(one) if one not in "\n\r\t" and unicodedata.category(one) in INVISIBLE else one
        for one in text
    )


def _escape(character: str) -> str:
    code = ord(character)
    if code <= 0xFF:
        return f"\\x{code:02x}"
    return f"\\u{code:04x}" if code <= 0xFFFF else f"\\U{code:08x}"


def columns_of(text: str) -> int:
    """Return how many columns a text takes at most (wide characters take two)."""
    return sum(2 if unicodedata.east_asian_width(one) in "WF" else 1 for one in text)


def wrapped(
    text: str, *, first: str = "", rest: str | None = None, columns: int = COLUMNS
) -> list[str]:
    """Return the text as lines of at most ``columns``, ``first`` and ``rest`` before them.

    Without ``rest`` further lines are indented as far as ``first`` is long. A figure is not
    parted from its unit; only a word that is longer than a line is broken.
    """
    indent = " " * columns_of(first) if rest is None else rest
    lines: list[str] = []
    line, filled = first, False
    for word in _words(escaped(text), columns - max(columns_of(first), columns_of(indent))):
        joined = f"{line} {word}" if filled else f"{line}{word}"
        if filled and columns_of(joined) > columns:
            lines.append(line)
            joined = f"{indent}{word}"
        line, filled = joined, True
    return [for_terminal(one) for one in (*lines, line)]


def padded(text: str, width: int) -> str:
    """Return the text with blanks behind it up to a width in columns."""
    return text + " " * (width - columns_of(text))


def _words(text: str, room: int) -> list[str]:
    """Return the words of a text, those without room for them in pieces."""
    pieces: list[str] = []
    for word in text.split(" "):
        piece = ""
        for one in word:
            if columns_of(piece + one) > room:
                pieces.append(piece)
                piece = ""
            piece += one
        if piece:
            pieces.append(piece)
    return pieces


def for_terminal(line: str) -> str:
    """Return the line without the two characters that few terminal fonts and encodings have."""
    return line.replace(THIN_SPACE, " ").replace(MINUS, "-").rstrip()
