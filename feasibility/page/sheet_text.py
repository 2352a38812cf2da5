"""A survey sheet as text for a terminal or a plain printer, at most 80 columns."""

from __future__ import annotations

from collections.abc import Iterator

from feasibility.page.sheet import Sheet, SheetLine
from feasibility.render.numbers import THIN_SPACE
from feasibility.render.plain_lines import wrapped

_BLANK = "_" * 12
_BOX = f"[{THIN_SPACE}]{THIN_SPACE}"
"""Never parted from the word behind it."""
_INDENT = "    "


def sheet_text(sheet: Sheet) -> str:
    """Return the sheet with a blank or tick boxes for each value."""
    return "\n".join(_all_lines(sheet))


def _all_lines(sheet: Sheet) -> Iterator[str]:
    yield from wrapped(sheet.title)
    for note in sheet.notes:
        yield from wrapped(note)
    for part in sheet.parts:
        yield ""
        yield from wrapped(part.title.upper())
        for line in part.lines:
            yield from wrapped(_words(line), first=f"{line.mark or ' '} ", rest=_INDENT)


def _words(line: SheetLine) -> str:
    hint = f" ({line.hint})" if line.hint else ""
    if line.choices:
        boxes = " ".join(f"{_BOX}{word}" for word in line.choices)
        return f"{line.label}{hint}: {boxes}"
    return f"{line.label}{hint}: {_BLANK} {line.unit}".rstrip()
