"""The one place where figures, units, formulas and citations become text.

Figures get meaningful digits. Two things are never rounded away: a difference between a value and
its limit, and the last tenth of a current that a link still carries (that is rounded down).
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from feasibility.result import Quantity

if TYPE_CHECKING:
    from feasibility.citation import Citation
    from feasibility.result import Finding, Message, Step

THIN_SPACE = "\u202f"
"""Narrow and not breaking: a unit stays with its figure."""
MINUS = "\u2212"
EN_DASH = "\u2013"
NOT_DETERMINED = "not determined"
NOT_KNOWN = "not known"

TEXT_DIGITS = 3
WORKING_DIGITS = 4
_ALL_DIGITS = 17
_SMALLEST_PLAIN = 1e-4
_LARGEST_PLAIN = 1e6
_GROUPED_FROM = 10_000
_NOISE = 1e-12
"""Relative difference that only the arithmetic of the machine makes."""

_PLACEHOLDER = re.compile(r"\{(\w+)\}")

_UNITS = {
    "ohm": "Ω",
    "mohm": "mΩ",
    "Mohm": "MΩ",
    "mm2": "mm²",
    "A2s": "A²s",
    "A2 s": "A²s",
    "1": "",
    "C": "°C",
}
_SUPERSCRIPT = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")


def number_text(value: float | None, digits: int = TEXT_DIGITS) -> str:
    """Return a figure with ``digits`` significant digits, without trailing zeros.

    Whole digits are never cut off: 4838.5 is ``4839``. None is an en dash, what is not a number
    is ``not determined``.
    """
    if value is None:
        return EN_DASH
    if math.isnan(value):
        return NOT_DETERMINED
    if math.isinf(value):
        return "∞" if value > 0 else f"{MINUS}∞"
    if value == 0:
        return "0"
    if not _SMALLEST_PLAIN <= abs(value) < _LARGEST_PLAIN:
        return _power_of_ten(value, digits)
    return _plain(value, _decimals(value, digits))


def _decimals(value: float, digits: int) -> int:
    """Return how many decimals ``digits`` significant digits of a value leave."""
    return max(0, digits - 1 - math.floor(math.log10(abs(value))))


def _plain(value: float, decimals: int) -> str:
    text = f"{abs(value):.{decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    whole, point, rest = text.partition(".")
    if int(whole) >= _GROUPED_FROM:
        whole = f"{int(whole):,}".replace(",", THIN_SPACE)
    return _signed(value, f"{whole}{point}{rest}")


def _power_of_ten(value: float, digits: int) -> str:
    mantissa, _, exponent = f"{abs(value):.{digits - 1}e}".partition("e")
    if "." in mantissa:
        mantissa = mantissa.rstrip("0").rstrip(".")
    return _signed(value, f"{mantissa}·10{str(int(exponent)).translate(_SUPERSCRIPT)}")


def _signed(value: float, text: str) -> str:
    return f"{MINUS}{text}" if value < 0 else text


def unit_text(unit: str) -> str:
    """Return a unit as it is printed (``mm2`` is ``mm²``, ``ohm/km`` is ``Ω/km``)."""
    over = unit.split("/")
    if len(over) == 2 and over[0] != "1":
        return "/".join(_UNITS.get(one, one) for one in over)
    return _UNITS.get(unit, unit)


def with_unit(figure: str, unit: str) -> str:
    """Put the unit behind a figure that is already text."""
    shown = unit_text(unit)
    if not shown or figure in (EN_DASH, NOT_DETERMINED):
        return figure
    return f"{figure}{THIN_SPACE}{shown}"


def amount_text(value: float | None, unit: str, digits: int = TEXT_DIGITS) -> str:
    """Return a figure with its unit."""
    return with_unit(number_text(value, digits), unit)


def quantity_text(quantity: Quantity, digits: int = TEXT_DIGITS) -> str:
    """Return a quantity's figure with its unit."""
    return amount_text(quantity.value, quantity.unit, digits)


def carried_number(current_a: float | None) -> str:
    """Return a current that a link carries, rounded down, never up."""
    if current_a is None or not math.isfinite(current_a) or current_a <= 0:
        return number_text(current_a)
    return number_text(_floored(current_a, TEXT_DIGITS))


def carried_text(current_a: float | None) -> str:
    """Return a current that a link carries with its unit, rounded down, never up."""
    return with_unit(carried_number(current_a), "A")


def _floored(value: float, digits: int) -> float:
    steps = 10.0 ** _decimals(value, digits)
    # Without the noise 29.4 as computed (29.399999999999999) would become 29.3.
    return math.floor(value * steps * (1 + _NOISE)) / steps


def _beside(current_a: float, requested_a: float, digits: int) -> str | None:
    """Return a carried current with at most ``digits`` digits, None if that is not enough."""
    if current_a == requested_a:
        return number_text(requested_a, digits)
    requested = round(requested_a, _decimals(requested_a, digits))
    for fewer in range(TEXT_DIGITS, digits + 1):
        shown = _floored(current_a, fewer)
        if (shown >= requested) == (current_a >= requested_a):
            return number_text(shown, fewer)
    return None


class CurrentsBeside:
    """Carried currents printed beside the requested one.

    All get so many digits that it is seen which of the two is larger; a carried current that
    equals the requested one reads the same. Without a requested current they are only rounded.
    """

    def __init__(self, requested_a: float | None, carried_a: Iterable[float | None]) -> None:
        self.requested = number_text(requested_a, WORKING_DIGITS)
        self._texts: dict[float, str] = {}
        if requested_a is None or not math.isfinite(requested_a) or requested_a <= 0:
            return
        known = {one for one in carried_a if one is not None and math.isfinite(one) and one > 0}
        for digits in range(WORKING_DIGITS, _ALL_DIGITS):
            self.requested = number_text(requested_a, digits)
            texts = {one: _beside(one, requested_a, digits) for one in known}
            self._texts = {one: text for one, text in texts.items() if text is not None}
            if len(self._texts) == len(known):
                return

    def carried(self, current_a: float | None) -> str:
        """Return one of the carried currents as text."""
        if current_a is not None and current_a in self._texts:
            return self._texts[current_a]
        return carried_number(current_a)


def distinct_numbers(values: Sequence[float | None], digits: int = TEXT_DIGITS) -> tuple[str, ...]:
    """Return figures of one unit with so many digits that different values look different.

    So a breach never reads "32 exceeds 32".
    """
    different = {value for value in values if value is not None and not math.isnan(value)}
    for shown in range(digits, _ALL_DIGITS):
        if len({number_text(value, shown) for value in different}) == len(different):
            return tuple(number_text(value, shown) for value in values)
    return tuple(number_text(value, _ALL_DIGITS) for value in values)


def value_and_limit(finding: Finding) -> tuple[str, str, str]:
    """Return value, limit and margin of a finding with unit; a negative margin is a breach."""
    value, limit = distinct_numbers((finding.value, finding.limit))
    return (
        with_unit(value, finding.unit),
        with_unit(limit, finding.unit),
        amount_text(finding.margin, finding.unit),
    )


def message_text(message: Message, digits: int = TEXT_DIGITS) -> str:
    """Fill a message's placeholders; what is not a placeholder of it stays as it stands.

    Only figures that stand in the sentence are told apart from each other.
    """
    named = [message.values.get(one) for one in _PLACEHOLDER.findall(message.template)]
    figures = _figures([one for one in named if one is not None], digits)

    def filled(match: re.Match[str]) -> str:
        entry = message.values.get(match[1])
        if entry is None:
            return match[0]
        return entry if isinstance(entry, str) else figures[id(entry)]

    return _PLACEHOLDER.sub(filled, message.template)


def _figures(entries: Iterable[Quantity | str], digits: int) -> dict[int, str]:
    """Return the text of each quantity; those of one unit are told apart."""
    by_unit: dict[str, list[Quantity]] = {}
    for entry in entries:
        if isinstance(entry, Quantity):
            by_unit.setdefault(unit_text(entry.unit), []).append(entry)
    shown: dict[int, str] = {}
    for unit, group in by_unit.items():
        texts = distinct_numbers([one.value for one in group], digits)
        shown |= {id(one): with_unit(text, unit) for one, text in zip(group, texts, strict=True)}
    return shown


def options_text(options: Sequence[float | str | bool], unit: str = "") -> str:
    """Return what a value may be: bounds as ``8–12 m``, otherwise ``B, C or D``."""
    numbers = [
        float(one) for one in options if not isinstance(one, bool) and not isinstance(one, str)
    ]
    if len(options) == len(numbers) == 2:
        low, high = distinct_numbers(sorted(numbers))
        return with_unit(f"{low}{EN_DASH}{high}", unit)
    texts = [_option(one, unit) for one in options]
    return " or ".join((", ".join(texts[:-1]), texts[-1])) if len(texts) > 1 else "".join(texts)


def _option(option: float | str | bool, unit: str) -> str:  # noqa: FBT001
    if isinstance(option, bool):
        return "yes" if option else "no"
    return option if isinstance(option, str) else amount_text(float(option), unit)


_SYMBOLS = {
    "eta": "η",
    "cosphi": "cos φ",
    "sinphi": "sin φ",
    "Idn": "IΔn",
}
_DIFFERENCE = re.compile(r"^d(?=[UP])")
_WORDS = ("sqrt", "min", "max")
_PIECE = re.compile(r"\d+(?:\.\d+)?(?:e-?\d+)?|\w+|\*\*|\S")


def symbol_text(symbol: str) -> str:
    """Return a symbol as the trade writes it (``eta`` is ``η``)."""
    return _SYMBOLS.get(symbol) or _DIFFERENCE.sub("Δ", symbol)


def symbols_in(step: Step) -> frozenset[str]:
    """Return the symbols that stand in a step's formula."""
    return frozenset(_PIECE.findall(step.formula))


def formula_text(step: Step) -> str:
    """Return a step's formula with ``·``, ``√`` and ``²`` for the operators."""
    return _written(step, lambda symbol, _: symbol_text(symbol))


def substituted_text(step: Step, digits: int = WORKING_DIGITS) -> str:
    """Return a step's formula with figures and units in the place of its symbols."""
    figures = {one.symbol: quantity_text(one, digits) for one in step.inputs}

    def figure(symbol: str, raised: bool) -> str:  # noqa: FBT001
        text = figures.get(symbol, symbol_text(symbol))
        # Otherwise a square would seem to belong to the unit alone.
        return f"({text})" if text.startswith(MINUS) or (raised and THIN_SPACE in text) else text

    return _written(step, figure)


def result_text(step: Step, digits: int = WORKING_DIGITS) -> str:
    """Return a step's result with its unit."""
    return amount_text(step.result, step.unit, digits)


def working_text(step: Step) -> str:
    """Return a whole line of a working: ``symbol = formula = substituted = result``.

    A part that would repeat the one before it is left out.
    """
    parts = [symbol_text(step.symbol)]
    for part in (formula_text(step), substituted_text(step), result_text(step)):
        if part != parts[-1]:
            parts.append(part)
    return " = ".join(parts)


def _written(step: Step, symbol_of: Callable[[str, bool], str]) -> str:
    """Join a formula's pieces; ``symbol_of`` gives the text of a symbol, raised or not."""
    pieces = _PIECE.findall(step.formula)
    text = ""
    position = 0
    while position < len(pieces):
        piece = pieces[position]
        following = pieces[position + 1] if position + 1 < len(pieces) else ""
        if piece == "**" and following.isdigit():
            text += following.translate(_SUPERSCRIPT)
            position += 1
        elif piece == "**":
            text += "^"
        elif piece in "+-*/":
            text += f" {piece.replace('*', '·').replace('-', MINUS)} "
        elif piece == ",":
            text += "; "
        elif piece in _WORDS:
            text += "√" if piece == "sqrt" else piece
        else:
            text += symbol_of(piece, following == "**") if piece[0].isalpha() else piece
        position += 1
    return text


_STANDARD = re.compile(r"^(IEC|EN|BS|HD|ISO)(?=\d)")
_SHOWN_AS_TITLE = re.compile(r"^[a-z]")


def source_name(source: str, sources: Mapping[str, str]) -> str:
    """Return a standard's number (``IEC 60364-4-43:2008``), for anything else its title."""
    if _SHOWN_AS_TITLE.match(source):
        return sources.get(source, source).rstrip(", ")
    return _STANDARD.sub(r"\1 ", source).replace("DIN-VDE-", "DIN VDE ")


def citation_text(citation: Citation, sources: Mapping[str, str]) -> str:
    """Return a citation with its clause and, in brackets, its note.

    ``sources`` maps the id of each cited source to its title.
    """
    return _place_text(source_name(citation.source, sources), citation.clause, citation.note)


def citations_text(citations: Iterable[Citation], sources: Mapping[str, str]) -> str:
    """Return several citations, each document once with all its clauses, between semicolons."""
    clauses: dict[tuple[str, str], dict[str, None]] = {}
    for one in citations:
        clauses.setdefault((one.source, one.note), {})[one.clause] = None
    return "; ".join(
        _place_text(source_name(source, sources), ", ".join(filter(None, places)), note)
        for (source, note), places in clauses.items()
    )


def _place_text(name: str, clause: str, note: str) -> str:
    place = f"{name}, {clause}" if clause else name
    return f"{place} ({note})" if note else place
