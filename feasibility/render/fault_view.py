"""Fault currents along the feed path as text: one row a node, one column a kind of fault."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from feasibility.render.numbers import EN_DASH, NOT_KNOWN, number_text
from feasibility.result import FaultLevel, NodeFaults

FAULT_KINDS = ("three-phase", "line-line", "line-neutral", "line-earth")
"""The columns, in this order; a node without such a fault leaves its cell empty."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultTable:
    """The table of the report, and what is lacking for the figures that are not known."""

    kinds: tuple[str, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]
    lacking: tuple[str, ...]


def fault_table(levels: Iterable[NodeFaults]) -> FaultTable:
    """Return the fault currents in A as rows of node and cells."""
    nodes = tuple(levels)
    return FaultTable(
        kinds=FAULT_KINDS,
        rows=tuple((one.node, fault_cells(one, f" {EN_DASH} ", NOT_KNOWN)) for one in nodes),
        lacking=lacking_words(nodes),
    )


def fault_cells(faults: NodeFaults, between: str, unknown: str) -> tuple[str, ...]:
    """Return the cells of one node: smallest and largest current, or a word where unknown."""
    by_kind = {one.kind: one for one in faults.levels}

    def cell(kind: str) -> str:
        level = by_kind.get(kind)
        return "" if level is None else _both(level, between, unknown)

    return tuple(cell(kind) for kind in FAULT_KINDS)


def _both(level: FaultLevel, between: str, unknown: str) -> str:
    ends = (level.smallest_a, level.largest_a)
    if ends == (None, None):
        return unknown
    return between.join(unknown if end is None else number_text(end) for end in ends)


def lacking_words(levels: Iterable[NodeFaults]) -> tuple[str, ...]:
    """Return what is lacking, each reason once, with the kinds of fault it concerns."""
    found: dict[str, dict[str, None]] = {}
    for node in levels:
        for level in node.levels:
            if level.lacking:
                found.setdefault(level.lacking, {})[level.kind] = None
    return tuple(f"{', '.join(kinds)}: {lacking}" for lacking, kinds in found.items())
