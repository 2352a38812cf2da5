"""A JSON object as text that can be printed on any terminal."""

from __future__ import annotations

import json
import re
import unicodedata
from typing import Any

from feasibility.render.plain_lines import INVISIBLE

_NOT_PLAIN = re.compile(r"[^\n -~]")


def json_text(document: dict[str, Any]) -> str:
    """Return the object indented, with a line end at its end; the same object, the same bytes."""
    text = json.dumps(document, ensure_ascii=False, allow_nan=False, indent=2)
    return _NOT_PLAIN.sub(_visible, text) + "\n"


def _visible(found: re.Match[str]) -> str:
    """Escape what JSON allows raw but what steers a terminal or cannot be written as UTF-8."""
    character = found[0]
    if unicodedata.category(character) in INVISIBLE:
        return json.dumps(character)[1:-1]
    return character
