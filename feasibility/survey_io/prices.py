"""Read the user's own price list: what a remedy of each kind costs, each or by the metre.

currency = "EUR"

[price.larger-cable]
price = 38.5
unit = "m"
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping
from pathlib import Path

from feasibility.remedies.record import Kind, Prices
from feasibility.survey.plain_data import KeyPath, finite
from feasibility.survey_io.line_index import LineIndex
from feasibility.survey_io.problems import Problem, SurveyProblems, field_text, value_text
from feasibility.survey_io.syntax import parse_toml

LARGEST_PRICE_LIST_BYTES = 100_000
HIGHEST_PRICE = 1e9
LONGEST_CURRENCY = 10

_FIELDS = ("price", "unit")


def read_prices(path: Path) -> Prices:
    """Read a price list (TOML, UTF-8, at most ``LARGEST_PRICE_LIST_BYTES``).

    Raises SurveyProblems with every mistake, and nothing else, whatever the file holds.
    """
    parsed = parse_toml(_text(path))
    problems = list(parsed.problems)
    by_kind: dict[Kind, float] = {}
    currency = ""
    if parsed.data is not None:
        problems += _strange_fields(parsed.data, parsed.index)
        currency, found = _currency(parsed.data.get("currency", ""), parsed.index)
        problems += found
        listed = parsed.data.get("price")
        if not isinstance(listed, Mapping) or not listed:
            expected = f"at least one table [price.KIND]; kinds are {', '.join(Kind)}"
            problems.append(_problem(("price",), None, expected, parsed.index))
            listed = {}
        for name, entry in listed.items():
            price, found = _price(str(name), entry, parsed.index)
            problems += found
            if not found:
                by_kind[Kind(name)] = price
    if problems:
        raise SurveyProblems(path, sorted(problems, key=lambda one: one.line or 0))
    return Prices(currency=currency, by_kind=by_kind)


def _text(path: Path) -> str:
    expected = "a price list that can be read"
    try:
        content = path.read_bytes()
        if len(content) <= LARGEST_PRICE_LIST_BYTES:
            return content.decode("utf-8-sig")
        expected = f"at most {LARGEST_PRICE_LIST_BYTES // 1000} kB"
    except UnicodeDecodeError:
        expected = "text saved as UTF-8"
    except (OSError, ValueError):
        pass
    raise SurveyProblems(path, [Problem(None, None, "file", value_text(str(path)), expected)])


def _strange_fields(data: Mapping[str, object], index: LineIndex) -> Iterator[Problem]:
    for name in data:
        if name not in ("currency", "price"):
            yield _problem((name,), None, "currency or a table [price.KIND]", index)


def _currency(value: object, index: LineIndex) -> tuple[str, list[Problem]]:
    if isinstance(value, str) and value.isprintable() and len(value) <= LONGEST_CURRENCY:
        return value, []
    expected = f"a text of at most {LONGEST_CURRENCY} characters between quotation marks"
    return "", [_problem(("currency",), value, expected, index)]


def _price(name: str, entry: object, index: LineIndex) -> tuple[float, list[Problem]]:
    path: KeyPath = ("price", name)
    if name not in list(Kind):
        close = difflib.get_close_matches(name, list(Kind), n=1)
        nearest = f"; the nearest is {close[0]}" if close else f": {', '.join(Kind)}"
        return 0.0, [_problem(path, None, f"a kind of remedy{nearest}", index)]
    if not isinstance(entry, Mapping):
        return 0.0, [_problem(path, entry, f"a table [price.{name}] with price and unit", index)]
    problems = [
        _problem((*path, str(key)), None, "price or unit", index)
        for key in entry
        if key not in _FIELDS
    ]
    price = finite(entry.get("price"))
    if price is None or not 0 <= price <= HIGHEST_PRICE:
        expected = f"a number from 0 to {HIGHEST_PRICE:.0f}"
        problems.append(_problem((*path, "price"), entry.get("price"), expected, index))
    unit = Kind(name).unit
    if entry.get("unit") != unit:
        problems.append(_problem((*path, "unit"), entry.get("unit"), f'"{unit}"', index))
    return price or 0.0, problems


def _problem(path: KeyPath, value: object, expected: str, index: LineIndex) -> Problem:
    shown = "" if value is None else value_text(value)
    return Problem(index.nearest(path), None, field_text(path), shown, expected)
