"""The impedance that limits a fault at a node: smallest and largest, by calculation and reading.

The angle of the source impedance is not asked for. For the smallest fault current its magnitude
adds arithmetically to that of the cables (the sum is too large, never too small); for the largest
one the source is taken at the angle that gives the smallest sum. Readings count beside the
calculation where they are the worse of the two (see ``fault_readings``).

Nodes are numbered as in ``Installation``: 0 is the origin, ``n`` the end of circuit ``n - 1``; one
more than the outlet are the terminals of the station, behind the cord.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import ParamSpec

from feasibility.checks.fault_conductors import (
    Conductors,
    FaultKind,
    coefficient_per_k_of,
    conductors,
    hottest_c,
)
from feasibility.checks.fault_readings import (
    Reading,
    alone_for_the_largest,
    alone_for_the_smallest,
    read_impedance,
    readings,
    warmed,
)
from feasibility.checks.fault_sources import (
    greatest_earth_loop,
    greatest_line_impedance,
    greatest_neutral_loop,
    least_earth_loop,
    least_line_impedance,
    least_neutral_loop,
)
from feasibility.checks.question import Run
from feasibility.checks.source import Source
from feasibility.checks.working import amount, step
from feasibility.clauses.fault_current import greatest_sum_ohm, least_sum_ohm
from feasibility.installation.facts import NotKnown
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.result import Step

_LEAST: dict[FaultKind, Callable[[Run], Source]] = {
    FaultKind.THREE_PHASE: least_line_impedance,
    FaultKind.LINE_LINE: least_line_impedance,
    FaultKind.LINE_NEUTRAL: least_neutral_loop,
    FaultKind.LINE_EARTH: least_earth_loop,
}
_GREATEST: dict[FaultKind, Callable[[Run], Source]] = {
    FaultKind.THREE_PHASE: greatest_line_impedance,
    FaultKind.LINE_LINE: greatest_line_impedance,
    FaultKind.LINE_NEUTRAL: greatest_neutral_loop,
    FaultKind.LINE_EARTH: greatest_earth_loop,
}
P = ParamSpec("P")

_BETWEEN_LINES = (FaultKind.THREE_PHASE, FaultKind.LINE_LINE)
_HOT_WORDS = {
    FaultKind.THREE_PHASE: "impedance of one line up to the fault, hot",
    FaultKind.LINE_LINE: "impedance of one line up to the fault, hot",
    FaultKind.LINE_NEUTRAL: "loop of line and neutral, hot",
    FaultKind.LINE_EARTH: "earth-fault loop impedance, hot",
}


def pieces_between(installation: Installation, start: int, node: int) -> list[Link]:
    """Return the cables between two nodes, and the cord where the second is the station."""
    cables = installation.links_of(LinkKind.CABLE)
    links = [link for link in cables if start <= link.position < node]
    if node > len(installation.circuits):
        links.extend(installation.links_of(LinkKind.CORD))
    return links


def least_impedance(run: Run, node: int, kind: FaultKind) -> Source:
    """Return the smallest impedance up to a node, conductors at 20 °C, short and thick.

    NotKnown names what is lacking where neither calculation nor a complete reading gives it.
    """
    calculated = _attempt(_calculated_least, run, node, kind)
    candidates = []
    for reading in readings(run.installation):
        if not _bounds_from_above(reading.kind, kind):
            continue
        read = read_impedance(run, reading, high_is_bad=False)
        if isinstance(calculated, NotKnown):
            if not (reading.is_complete and _is_of(reading.kind, kind) and reading.node <= node):
                continue
            read = alone_for_the_largest(run, read)
        # A reading further on contains this node's impedance: it counts without its own cables.
        candidates.append(_attempt(_cold_sum, run, read, reading.node, node, kind))
    return _chosen(calculated, candidates, min, "lower")


def greatest_impedance(run: Run, node: int, kind: FaultKind) -> Source:
    """Return the largest impedance up to a node, conductors as hot as permitted in operation.

    NotKnown names what is lacking where neither calculation nor a complete reading gives it.
    """
    calculated = _attempt(_calculated_greatest, run, node, kind)
    candidates = []
    for reading in readings(run.installation):
        if not _is_of(reading.kind, kind) or reading.node > node:
            continue
        if isinstance(calculated, NotKnown) and not reading.is_complete:
            continue
        alone = isinstance(calculated, NotKnown)
        candidates.append(_attempt(_hot_reading, run, reading, node, kind, alone=alone))
    return _chosen(calculated, candidates, max, "higher")


def cold_range(run: Run, node: int, kind: FaultKind) -> tuple[Source, Source]:
    """Return what the calculation gives for a reading at 20 °C: the least and the greatest.

    Readings play no part. ``run`` has to take the unfavourable ends.
    """
    source = _GREATEST[kind](run)
    links = pieces_between(run.installation, 0, node)
    cold = conductors(run, links, kind, hot=False, long=True)
    greatest = _greatest_sum(source, cold, "Zhi", "greatest impedance at 20 °C")
    return _calculated_least(run, node, kind), greatest


def _calculated_least(run: Run, node: int, kind: FaultKind) -> Source:
    return _cold_sum(run, _LEAST[kind](run), 0, node, kind)


def _calculated_greatest(run: Run, node: int, kind: FaultKind) -> Source:
    return _hot_sum(run, _GREATEST[kind](run), 0, node, kind)


def _hot_reading(run: Run, reading: Reading, node: int, kind: FaultKind, *, alone: bool) -> Source:
    read = read_impedance(run, reading, high_is_bad=True)
    if alone:
        read = alone_for_the_smallest(run, read)
    else:
        before = pieces_between(run.installation, 0, reading.node)
        celsius = max(hottest_c(run, link) for link in before)
        coefficient = max(coefficient_per_k_of(run, link) for link in before)
        read = warmed(read, _LEAST[kind](run), coefficient, celsius)
    return _hot_sum(run, read, reading.node, node, kind)


def _bounds_from_above(reading: FaultKind, kind: FaultKind) -> bool:
    """Whether the impedance of a fault is at most that of a reading: every loop holds a line."""
    return kind in _BETWEEN_LINES or reading is kind


def _is_of(reading: FaultKind, kind: FaultKind) -> bool:
    return reading is kind or (kind in _BETWEEN_LINES and reading in _BETWEEN_LINES)


def _attempt(of: Callable[P, Source], *args: P.args, **kwargs: P.kwargs) -> Source | NotKnown:
    try:
        return of(*args, **kwargs)
    except NotKnown as missing:
        return missing


def _chosen(
    calculated: Source | NotKnown,
    candidates: Sequence[Source | NotKnown],
    worst: Callable[..., Source],
    compared: str,
) -> Source:
    """Return the worst of calculation and readings, with the calculation shown where it is not."""
    found = [one for one in candidates if isinstance(one, Source)]
    if isinstance(calculated, NotKnown):
        if not found:
            raise calculated
        return worst(found, key=lambda one: one.ohm)
    chosen = worst([calculated, *found], key=lambda one: one.ohm)
    if chosen is calculated:
        return calculated
    meaning = f"calculated; the reading is {compared} and counts instead"
    shown = [*calculated.steps[:-1], replace(calculated.steps[-1], symbol="Zc", meaning=meaning)]
    return replace(chosen, steps=(*shown, *chosen.steps))


def _hot_sum(run: Run, source: Source, start: int, node: int, kind: FaultKind) -> Source:
    links = pieces_between(run.installation, start, node)
    symbol = "Zs" if kind is FaultKind.LINE_EARTH else "Zk"
    hot = conductors(run, links, kind, hot=True)
    return _greatest_sum(source, hot, symbol, _HOT_WORDS[kind])


def _greatest_sum(source: Source, along: Conductors, symbol: str, meaning: str) -> Source:
    ohm = float(
        greatest_sum_ohm(
            source_ohm=source.ohm,
            resistance_ohm=along.resistance_ohm,
            reactance_ohm=along.reactance_ohm,
        )
    )
    formula = source.as_input.symbol
    if along.terms:
        formula += f" + sqrt(({along.sum_of('R')}) ** 2 + ({along.sum_of('X')}) ** 2)"
    last = step(symbol, meaning, formula, [source.as_input, *along.terms], ohm, "Ω")
    return Source(
        ohm=ohm,
        steps=(*source.steps, *along.steps, last),
        as_input=amount(symbol, meaning, ohm, "Ω"),
    )


def _cold_sum(run: Run, source: Source, start: int, node: int, kind: FaultKind) -> Source:
    links = pieces_between(run.installation, start, node)
    cold = conductors(run, links, kind, hot=False)
    ohm = float(
        least_sum_ohm(
            source_ohm=source.ohm,
            resistance_ohm=cold.resistance_ohm,
            reactance_ohm=cold.reactance_ohm,
        )
    )
    return Source(
        ohm=ohm,
        steps=(*source.steps, *cold.steps, *_least_sum(source, cold, ohm)),
        as_input=amount("Zmin", "least impedance", ohm, "Ω"),
    )


def _least_sum(source: Source, cold: Conductors, total_ohm: float) -> list[Step]:
    z = source.as_input.symbol
    if not cold.terms:
        return [step("Zmin", "least impedance", z, [source.as_input], total_ohm, "Ω")]
    sums = [
        step(
            f"{letter}c",
            f"sum of the cables' {word}",
            cold.sum_of(letter),
            [one for one in cold.terms if one.symbol.startswith(letter)],
            value,
            "Ω",
        )
        for letter, word, value in (
            ("R", "resistances at 20 °C", cold.resistance_ohm),
            ("X", "reactances", cold.reactance_ohm),
        )
    ]
    inputs = [source.as_input, *(amount(s.symbol, s.meaning, s.result, "Ω") for s in sums)]
    # A supply impedance of unknown angle between pure resistance and pure reactance gives the
    # smallest sum at one of the two ends, since the sum of the magnitudes is concave between.
    formula = f"min(sqrt(({z} + Rc) ** 2 + Xc ** 2), sqrt(Rc ** 2 + ({z} + Xc) ** 2))"
    what = "smallest impedance for any angle of the supply"
    return [*sums, step("Zmin", what, formula, inputs, total_ohm, "Ω")]
