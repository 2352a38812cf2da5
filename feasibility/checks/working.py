"""Small helpers to write down a working."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from feasibility.citation import Citation
from feasibility.installation.facts import Fact
from feasibility.result import Quantity, Step


def step(
    symbol: str,
    meaning: str,
    formula: str,
    inputs: Sequence[Quantity],
    result: float,
    unit: str,
    sources: Iterable[Citation] = (),
) -> Step:
    """Return one line of a working: ``symbol = formula = result``."""
    return Step(
        symbol=symbol,
        meaning=meaning,
        formula=formula,
        inputs=tuple(inputs),
        result=float(result),
        unit=unit,
        sources=tuple(sources),
    )


def given(fact: Fact[Any], value: float, symbol: str) -> Quantity:
    """Return a surveyed value as it stands in a working, with its origin."""
    return Quantity(
        value=float(value),
        unit=fact.unit,
        symbol=symbol,
        meaning=fact.label,
        origin=fact.origin,
        note=fact.reason if fact.is_ranged else "",
    )


def greatest_power_factor(fact: Fact[float], symbol: str) -> Quantity:
    """Return a power factor as an input: 1 where it is not known exactly, so no power is missed."""
    value = fact.options[0] if len(fact.options) == 1 else 1.0
    return amount(symbol, "power factor", value, "")


def amount(symbol: str, meaning: str, value: float, unit: str) -> Quantity:
    """Return an intermediate result as an input of the next step."""
    return Quantity(value=float(value), unit=unit, symbol=symbol, meaning=meaning)


def sources_of(steps: Iterable[Step]) -> tuple[Citation, ...]:
    """Return every source that a working names, once, in order."""
    found: dict[Citation, None] = {}
    for one in steps:
        for citation in one.sources:
            found.setdefault(citation)
        for quantity in one.inputs:
            for citation in quantity.sources:
                found.setdefault(citation)
    return tuple(found)
