"""Do the readings agree with what the survey's lengths and sections give?

A reading that the calculation cannot explain says that one of the two is wrong. Both count: the
larger impedance for disconnection, the smaller one for breaking capacity.
"""

from __future__ import annotations

from collections.abc import Sequence

from feasibility.checks.fault_conductors import FaultKind
from feasibility.checks.fault_impedance import cold_range
from feasibility.checks.fault_readings import (
    BETWEEN,
    CURRENT,
    LOOP,
    Reading,
    place_link,
    read_impedance,
    readings,
)
from feasibility.checks.question import Check, Run, finding, verdict_of
from feasibility.checks.working import amount, step
from feasibility.installation.facts import NotKnown
from feasibility.installation.model import Installation, Link
from feasibility.result import Finding, Force, Sense

_HIGHER = (
    " Likely: a length or section other than stated, a poor joint or terminal, or a test with low "
    "current close to a transformer."
)
_LOWER = (
    " Likely: a length or section other than stated, a parallel path through other protective "
    "conductors or metalwork, or a test with low current close to a transformer."
)
_INCOMPLETE = (
    " Instrument, date or method is not stated, so the reading counts only where it makes a result "
    "worse."
)


def _taken(installation: Installation, field: str) -> list[Reading]:
    """Return the readings of one field; in TT and IT the loop to earth is not calculated."""
    found = [one for one in readings(installation) if one.field == field]
    system = installation.supply.word("earthing_system").options
    in_tn = all(word.startswith("TN") for word in system)
    return [one for one in found if in_tn or one.kind is not FaultKind.LINE_EARTH]


def _with_loop(installation: Installation) -> Sequence[Link]:
    return [one.link(installation) for one in _taken(installation, LOOP)]


def _with_current(installation: Installation) -> Sequence[Link]:
    """Return where a current was read, also where nobody knows between which conductors."""
    return [
        place_link(installation, node)
        for node, data in enumerate(installation.places)
        if data is not None and data.has(CURRENT)
    ]


def _judge_loop(run: Run, link: Link) -> Finding:
    return _judge(run, link, LOOPS, LOOP)


def _judge_current(run: Run, link: Link) -> Finding:
    return _judge(run, link, CURRENTS, CURRENT)


def _reading_at(installation: Installation, link: Link, field: str) -> Reading:
    """Return the reading at a place; NotKnown where nobody knows between which conductors."""
    taken = _taken(installation, field)
    reading = next((one for one in taken if one.link(installation).name == link.name), None)
    if reading is not None:
        return reading
    place = installation.places[1 + min(link.position, len(installation.circuits) - 1)]
    assert place is not None  # noqa: S101 - only the origin has none
    raise NotKnown((place.word(BETWEEN),))


def _judge(run: Run, link: Link, check: Check, field: str) -> Finding:
    reading = _reading_at(run.installation, link, field)
    # No end is unfavourable here: what may be has to be looked at as a whole.
    ends = run.ends.opposite() if run.ends.favourable else run.ends
    whole = Run(run.installation, ends, run.operation)
    low, high = cold_range(whole, reading.node, reading.kind)
    least = read_impedance(whole, reading, high_is_bad=False)
    most = read_impedance(whole, reading, high_is_bad=True)
    limit = run.basis.limit("loop_reading_error")
    error = limit.quantity("u", "permitted error of the instrument")
    bounds = (low.ohm * (1 - error.value), high.ohm * (1 + error.value))
    below, above = most.ohm < bounds[0], least.ohm > bounds[1]
    read, bound, calculated = (most, bounds[0], low) if below else (least, bounds[1], high)
    symbol, formula = ("Zlo", "Zmin * (1 - u)") if below else ("Zup", "Zhi * (1 + u)")
    inputs = [calculated.as_input, error]
    meaning = "what the calculation explains, with the instrument's permitted error"
    words = "below what the calculation explains, {low}." + _LOWER
    if not below:
        words = "above what the calculation explains, {high}." + _HIGHER
    if not (below or above):
        words = "explained by the calculation (from {low} to {high} with the permitted error)."
    stands = "" if reading.is_complete else _INCOMPLETE
    return finding(
        check,
        link,
        limit,
        verdict_of(limit, passes=not (below or above)),
        "The reading at {where}, {value} (" + reading.kind.value + "), is " + words + stands,
        {
            "where": reading.data.label,
            "value": read.as_input,
            "low": amount(symbol, meaning, bounds[0], "Ω"),
            "high": amount(symbol, meaning, bounds[1], "Ω"),
        },
        working=(
            *read.steps,
            *calculated.steps,
            step(symbol, meaning, formula, inputs, bound, "Ω"),
        ),
        value=read.ohm,
        bound=bound,
        unit="Ω",
        sense=Sense.AT_LEAST if below else Sense.AT_MOST,
    )


LOOPS = Check(
    name="loop-reading",
    question="Do readings and survey agree?",
    links=_with_loop,
    judge=_judge_loop,
    force=Force.PRACTICE,
)
CURRENTS = Check(
    name="fault-current-reading",
    question="Do readings and survey agree?",
    links=_with_current,
    judge=_judge_current,
    force=Force.PRACTICE,
)

CHECKS = (LOOPS, CURRENTS)
