"""Figures with a unit in a text, and all figures of an assessment's JSON."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterator

UNITS = "kA|kVA|kWh|kW|mA|mm²|A²s|mΩ|Ω|ms|°C|A|V|W|m|s|h|%"
WITH_UNIT = re.compile(rf"(?<![\w.,\-])(\d[\d\u202f]*(?:\.\d+)?)[\u202f ]({UNITS})(?![\w²])")
_GROUP_BEFORE = re.compile(r"(?<!\d)\d{1,3}(?:[\u202f ]\d{3})* $")
_NUMBER = re.compile(r"\d[\d\u202f]*(?:\.\d+)?")


def figures_of(document: object) -> Iterator[float]:
    """Yield every number of a JSON document, those inside its texts too, without sign."""
    if isinstance(document, bool) or document is None:
        return
    if isinstance(document, (int, float)):
        yield abs(float(document))
    elif isinstance(document, str):
        yield from (float(one.replace("\u202f", "")) for one in _NUMBER.findall(document))
    elif isinstance(document, dict):
        for value in document.values():
            yield from figures_of(value)
    elif isinstance(document, list):
        for value in document:
            yield from figures_of(value)


def figures_that_differ(text: str, document: object) -> list[str]:
    """Return the figures with a unit in the text that are no figure of the document.

    A figure of the text may be rounded to its last digit, or down to it (currents that a link
    still carries).
    """
    known = sorted(set(figures_of(document)))
    missing = []
    for found in WITH_UNIT.finditer(text):
        readings = [found[1]]
        # The reader gives the narrow space between thousands of a drawing as a blank.
        if grouped := _GROUP_BEFORE.search(text, max(0, found.start() - 12), found.start()):
            readings.append(grouped[0] + found[1])
        if not any(_is_known(reading, known) for reading in readings):
            missing.append(found[0])
    return missing


def _is_known(reading: str, known: list[float]) -> bool:
    digits = reading.replace("\u202f", "").replace(" ", "")
    last_digit = 10.0 ** -len(digits.partition(".")[2])
    low, high = float(digits) - 0.501 * last_digit, float(digits) + 1.001 * last_digit
    at = bisect_left(known, low)
    return at < len(known) and known[at] <= high
