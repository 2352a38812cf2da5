"""Surveyed values of an element of the feed path as short texts."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from feasibility.render.numbers import THIN_SPACE, number_text, quantity_text
from feasibility.result import Quantity

if TYPE_CHECKING:
    from feasibility.chain import PathElement

_LETTERS = {
    "protective device": ("characteristic", frozenset({"B", "C", "D", "E", "K", "Z"})),
    "residual-current device": ("type", frozenset({"AC", "A", "F", "B", "B+"})),
    "cable": (
        "method",
        frozenset({"A1", "A2", "B1", "B2", "C", "D1", "D2", "E", "F", "G"}),
    ),
}
"""What a bare letter means on each kind of element."""

_TOLD = (
    ("setting of", "set to "),
    ("short-time setting", "short-time "),
    ("short-time delay", "delayed "),
    ("short-circuit setting", "instantaneous "),
    ("nameplate current", "nameplate "),
)
"""What a figure is, by what its meaning begins with, where its unit alone does not tell."""

_CELSIUS = re.compile(r"\b(\d+) C\b")


def detail_texts(element: PathElement) -> tuple[str, ...]:
    """Return the details of an element, in their order, each with its unit or its word."""
    return tuple(_detail_text(element.kind, detail) for detail in element.details)


def _detail_text(kind: str, detail: Quantity | str) -> str:
    if isinstance(detail, Quantity):
        if detail.meaning.startswith("clock position"):
            return f"{number_text(detail.value)}{THIN_SPACE}h"
        told = next((word for start, word in _TOLD if detail.meaning.startswith(start)), "")
        return f"{told}{quantity_text(detail)}"
    word, letters = _LETTERS.get(kind, ("", frozenset()))
    return f"{word} {detail}" if detail in letters else _CELSIUS.sub(r"\1 °C", detail)
