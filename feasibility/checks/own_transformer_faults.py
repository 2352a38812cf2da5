"""What an own transformer and the network before it put into a fault at the origin.

The angle of the network before it is not asked for: it adds as in ``fault_impedance``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from feasibility import tables
from feasibility.checks.own_transformer import (
    WINDING_FACTS,
    Windings,
    ZeroSequence,
    winding_facts,
    winding_steps,
    windings,
    zero_sequence,
)
from feasibility.checks.source import Source
from feasibility.checks.working import amount, given, step
from feasibility.citation import Citation
from feasibility.clauses.fault_current import greatest_sum_ohm, least_sum_ohm
from feasibility.clauses.transformer import (
    loop_part_ohm,
    transformer_correction_factor,
    upstream_impedance_ohm,
)
from feasibility.installation.facts import Ends, Fact
from feasibility.installation.resolve import Resolved
from feasibility.result import Quantity, Step

SYMBOL = "Ztr"
"""Of the impedance that the transformer and the network before it put into a fault."""

_LOOP = "loop of line and return conductor at the transformer, the network before it included"
_LINE = "impedance of transformer and network before it, one line"
_CORRECTION = Citation(
    source="IEC60909-0:2016",
    clause="6.3.3",
    note="for the largest fault only, as an open network library applies it",
)
_LOOP_CLAUSE = Citation(source="IEC60909-0:2016", clause="7.5", note="clause from memory")


@dataclass(frozen=True, slots=True, kw_only=True)
class Before:
    """Which end is wanted, and the voltage factors that go with it.

    ``largest_fault`` asks for the smallest impedance; ``factor`` is the largest voltage factor of
    the low-voltage network, ``upstream_factor`` that of the medium voltage for this end.
    """

    largest_fault: bool
    factor: Quantity
    upstream_factor: Quantity

    @classmethod
    def of(cls, *, largest_fault: bool, factor: Quantity, edition: str) -> Before:
        """Return the end, with the factor of the medium voltage by the edition."""
        largest, smallest = tables.voltage_factors_above_1_kv(edition=edition)
        upstream = (largest if largest_fault else smallest).named("cq")
        return cls(largest_fault=largest_fault, factor=factor, upstream_factor=upstream)

    @property
    def field(self) -> str:
        """Return the field with the short-circuit power of the medium voltage for this end."""
        word = "largest" if self.largest_fault else "smallest"
        return f"{word}_upstream_fault_mva"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Parts:
    """One combination of options: windings, factor, network before, and what they make together.

    ``apart_ohm`` is what has no known angle: the network before and a stated zero sequence.
    """

    found: Windings
    correction: float
    upstream_ohm: float
    resistance_ohm: float
    reactance_ohm: float
    apart_ohm: float

    @property
    def least_ohm(self) -> float:
        return float(
            least_sum_ohm(
                source_ohm=self.apart_ohm,
                resistance_ohm=self.correction * self.resistance_ohm,
                reactance_ohm=self.correction * self.reactance_ohm,
            )
        )

    @property
    def greatest_ohm(self) -> float:
        return float(
            greatest_sum_ohm(
                source_ohm=self.apart_ohm,
                resistance_ohm=self.resistance_ohm,
                reactance_ohm=self.reactance_ohm,
            )
        )


def line_at_transformer(own: Resolved, ends: Ends, before: Before) -> Source:
    """Return the impedance of one line up to the origin; NotKnown names what is lacking.

    The smallest with the correction factor of IEC 60909-0, the greatest without.
    """
    return _source(own, ends, before, None)


def loop_at_transformer(own: Resolved, ends: Ends, before: Before) -> Source:
    """Return the loop of line and return conductor up to the origin; NotKnown as there.

    The return conductor leads to the transformer's star point, be it neutral, PEN or protective
    conductor (TN).
    """
    return _source(own, ends, before, zero_sequence(own))


def _source(own: Resolved, ends: Ends, before: Before, zero: ZeroSequence | None) -> Source:
    upstream = own.number(before.field)
    facts = (*winding_facts(own), upstream, *((zero.fact,) if zero else ()))

    def score(*options: float) -> float:
        found = _parts(own, options, before, zero)
        return found.least_ohm if before.largest_fault else -found.greatest_ohm

    values = ends.worst_of(facts, score)
    found = _parts(own, values, before, zero)
    steps = winding_steps(own, values[:WINDING_FACTS], found.found)
    steps += _upstream_steps(own, before, upstream, values[WINDING_FACTS], found)
    if before.largest_fault:
        steps += _correction_steps(own, before, values, found)
    if zero is None:
        return _line(before, found, steps)
    return _loop(before, found, zero, values[-1], steps)


def _parts(
    own: Resolved, values: tuple[float, ...], before: Before, zero: ZeroSequence | None
) -> _Parts:
    found = windings(own, values[:WINDING_FACTS])
    correction = 1.0
    if before.largest_fault:
        correction = transformer_correction_factor(
            voltage_factor=before.factor.value, reactance_percent=found.reactance_percent
        )
    upstream = upstream_impedance_ohm(
        voltage_factor=before.upstream_factor.value,
        rated_voltage_v=found.rated_voltage_v,
        short_circuit_power_va=1e6 * values[WINDING_FACTS],
    )
    resistance, reactance, apart = found.resistance_ohm, found.reactance_ohm, upstream
    if zero is not None:
        option = values[-1]
        resistance, reactance = (
            float(
                loop_part_ohm(
                    positive_ohm=positive, zero_ohm=zero.part_ohm(option, which, positive)
                )
            )
            for which, positive in enumerate((resistance, reactance))
        )
        apart = 2 * upstream / 3 + correction * zero.apart_ohm(option) / 3
    return _Parts(
        found=found,
        correction=correction,
        upstream_ohm=upstream,
        resistance_ohm=resistance,
        reactance_ohm=reactance,
        apart_ohm=apart,
    )


def _upstream_steps(
    own: Resolved, before: Before, fact: Fact[float], upstream_mva: float, found: _Parts
) -> list[Step]:
    rated = own.number("rated_secondary_voltage_v")
    inputs = [
        before.upstream_factor,
        given(rated, found.found.rated_voltage_v, "Ur"),
        given(fact, upstream_mva, "Skq"),
    ]
    formula = "cq * Ur ** 2 / (1000000 * Skq)"
    meaning = "impedance of the network before the transformer, low-voltage side"
    return [step("Zmv", meaning, formula, inputs, found.upstream_ohm, "Ω")]


def _correction_steps(
    own: Resolved, before: Before, values: Sequence[float], found: _Parts
) -> list[Step]:
    reactance = found.found.reactance_percent
    inputs = [
        amount("Xt", "reactance of the transformer", found.found.reactance_ohm, "Ω"),
        given(own.number("rated_power_kva"), values[0], "Sr"),
        given(own.number("rated_secondary_voltage_v"), found.found.rated_voltage_v, "Ur"),
    ]
    formula = "100 * Xt * 1000 * Sr / Ur ** 2"
    meaning = "reactance of the transformer in percent"
    share = amount("xt", meaning, reactance, "%")
    return [
        step("xt", meaning, formula, inputs, reactance, "%"),
        step(
            "KT",
            "correction factor of the transformer for the largest fault current",
            "0.95 * cmax / (1 + 0.6 * xt / 100)",
            [before.factor.named("cmax"), share],
            found.correction,
            "",
            (_CORRECTION,),
        ),
    ]


def _line(before: Before, found: _Parts, steps: list[Step]) -> Source:
    upstream = amount("Zmv", "network before the transformer", found.upstream_ohm, "Ω")
    if not before.largest_fault:
        whole = amount("Zt", "impedance of the transformer", found.found.impedance_ohm, "Ω")
        inputs = [upstream, whole]
        total = found.upstream_ohm + found.found.impedance_ohm
        return Source.of_step(SYMBOL, _LINE, "Zmv + Zt", inputs, total, tuple(steps))
    inputs = [
        upstream,
        amount("KT", "correction factor", found.correction, ""),
        amount("Rt", "resistance of the transformer", found.found.resistance_ohm, "Ω"),
        amount("Xt", "reactance of the transformer", found.found.reactance_ohm, "Ω"),
    ]
    formula = _least_of("Zmv", "Rt", "Xt")
    return Source.of_step(SYMBOL, _LINE, formula, inputs, found.least_ohm, tuple(steps))


def _loop(
    before: Before, found: _Parts, zero: ZeroSequence, option: float, steps: list[Step]
) -> Source:
    pair = [
        amount("Rt", "resistance of the transformer", found.found.resistance_ohm, "Ω"),
        amount("Xt", "reactance of the transformer", found.found.reactance_ohm, "Ω"),
    ]
    apart = [amount("Zmv", "network before the transformer", found.upstream_ohm, "Ω")]
    formula = "2 * Zmv / 3"
    if not zero.shares:
        apart.append(given(zero.fact, option, "Z0"))
        if before.largest_fault:
            apart.append(amount("KT", "correction factor", found.correction, ""))
        formula += " + KT * Z0 / 3" if before.largest_fault else " + Z0 / 3"
    shares = zero.shares.get(option, ())
    named = [one.named(symbol) for one, symbol in zip(shares, ("r0", "x0"), strict=False)]
    for index, (letter, word) in enumerate((("R", "resistance"), ("X", "reactance"))):
        inputs = [pair[index], *named[index : index + 1]]
        part = f"2 * {letter}t / 3" if not named else f"(2 + {letter.lower()}0) * {letter}t / 3"
        result = found.resistance_ohm if index == 0 else found.reactance_ohm
        meaning = f"{word} of the transformer in the loop"
        steps.append(step(f"{letter}l", meaning, part, inputs, result, "Ω", (_LOOP_CLAUSE,)))
    meaning = "share of what has no known angle in the loop"
    steps.append(step("Za", meaning, formula, apart, found.apart_ohm, "Ω"))
    inputs = [
        amount("Za", meaning, found.apart_ohm, "Ω"),
        amount("Rl", "resistance in the loop", found.resistance_ohm, "Ω"),
        amount("Xl", "reactance in the loop", found.reactance_ohm, "Ω"),
    ]
    if not before.largest_fault:
        formula = "Za + sqrt(Rl ** 2 + Xl ** 2)"
        return Source.of_step(SYMBOL, _LOOP, formula, inputs, found.greatest_ohm, tuple(steps))
    inputs.append(amount("KT", "correction factor", found.correction, ""))
    formula = _least_of("Za", "Rl", "Xl")
    return Source.of_step(SYMBOL, _LOOP, formula, inputs, found.least_ohm, tuple(steps))


def _least_of(source: str, resistance: str, reactance: str) -> str:
    """Return the formula of the smallest sum for any angle of the source, as ``least_sum_ohm``."""
    first = f"sqrt((KT * {resistance} + {source}) ** 2 + (KT * {reactance}) ** 2)"
    second = f"sqrt((KT * {resistance}) ** 2 + (KT * {reactance} + {source}) ** 2)"
    return f"min({first}, {second})"
