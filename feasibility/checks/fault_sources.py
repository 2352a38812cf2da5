"""What stands before the origin in a fault: voltage factors, and the impedances of the supply.

Each impedance is wanted at two ends: the smallest for the largest fault current, the largest for
the smallest one. Where the survey gives no line-neutral loop, it is bounded by the line's own
impedance and by the loops of public networks.

An own transformer that is described gives all of them (in TT all but the earth-fault loop, which
runs through the ground). What the survey states beside it counts where it is the worse of the two.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from feasibility import tables
from feasibility.checks.own_transformer import described
from feasibility.checks.own_transformer_faults import (
    SYMBOL,
    Before,
    line_at_transformer,
    loop_at_transformer,
)
from feasibility.checks.question import Run
from feasibility.checks.source import Source
from feasibility.checks.working import given
from feasibility.clauses.fault_current import source_impedance_ohm
from feasibility.installation.facts import Ends, Fact, NotKnown
from feasibility.installation.resolve import Resolved
from feasibility.result import Quantity
from feasibility.units import SQRT3

LEVEL = "prospective_fault_current_ka"
SMALLEST_LEVEL = "smallest_fault_current_ka"
EARTH_LOOP = "external_loop_impedance_ohm"
NEUTRAL_LOOP = "external_line_neutral_loop_ohm"

_TOLERANCES = (6, 10)
"""The two tolerances of low-voltage networks in IEC 60909-0, Table 1, in percent."""

Calculated = Callable[[Resolved, Ends, Before], Source]
"""What calculates an impedance from the data of an own transformer."""

_RATIO = "supply.line_neutral_loop_ratio"


def voltage_factors(run: Run) -> tuple[Quantity, Quantity]:
    """Return the largest and the smallest voltage factor of IEC 60909-0 for this supply.

    The largest by the tolerance upwards, the smallest by the one downwards. NotTabulated above
    10 %: the standard has no factor for such a supply.
    """
    edition = run.basis.limit("voltage_factor_edition").text
    supply = run.installation.supply

    def factors(field: str) -> tuple[Quantity, Quantity]:
        percent = run.ends.high_is_bad(supply.number(field))
        tabulated = next((bound for bound in _TOLERANCES if percent <= bound), percent)
        return tables.voltage_factors(tolerance_percent=tabulated, edition=edition)

    largest, _ = factors("tolerance_high_percent")
    _, smallest = factors("tolerance_low_percent")
    return largest.named("cmax"), smallest.named("cmin")


def voltage_to_earth_v(run: Run) -> float:
    """Nominal voltage of a line conductor to earth."""
    return run.operation.nominal_voltage_v / SQRT3


def named_voltage_to_earth_v(run: Run) -> float:
    """Return the voltage to earth as IEC 60038 names it: 230 for a 400 V system, not 230.9."""
    return tables.named_voltage_to_earth_v(line_voltage_v=run.operation.nominal_voltage_v)


def _stated(fact: Fact[float], ohm: float, symbol: str) -> Source:
    return Source(ohm=ohm, steps=(), as_input=given(fact, ohm, symbol))


def _behind_level_ohm(run: Run, factor: float, level_ka: float) -> float:
    return float(
        source_impedance_ohm(
            voltage_factor=factor,
            line_voltage_v=run.operation.nominal_voltage_v,
            fault_current_a=1000 * level_ka,
        )
    )


def _stated_least_line_impedance(run: Run) -> Source:
    supply = run.installation.supply
    fact = supply.number(LEVEL)
    level_ka = run.ends.high_is_bad(fact)
    factor = voltage_factors(run)[0]
    ohm = _behind_level_ohm(run, factor.value, level_ka)
    nominal = given(supply.number("nominal_voltage_v"), run.operation.nominal_voltage_v, "Un")
    inputs = [factor, nominal, given(fact, level_ka, "Ikq")]
    formula = "cmax * Un / (sqrt(3) * 1000 * Ikq)"
    external = supply.number(EARTH_LOOP)
    if not external.is_open and run.ends.low_is_bad(external) < ohm:
        # The loop contains the line: a smaller loop says that the fault level is larger.
        ohm = run.ends.low_is_bad(external)
        inputs, formula = [*inputs, given(external, ohm, "Ze")], f"min({formula}, Ze)"
    return Source.of_step("Zq", "impedance of the supply", formula, inputs, ohm)


def _stated_greatest_line_impedance(run: Run) -> Source:
    """Return the impedance by the smallest level, or as the line-neutral loop bounds it.

    The loop is at least the smaller end of the range ``supply.line_neutral_loop_ratio`` times the
    line's own impedance.
    """
    supply = run.installation.supply
    if supply.has(SMALLEST_LEVEL):
        fact = supply.number(SMALLEST_LEVEL)
        level_ka = run.ends.low_is_bad(fact)
        factor = voltage_factors(run)[1]
        nominal = given(supply.number("nominal_voltage_v"), run.operation.nominal_voltage_v, "Un")
        inputs = [factor, nominal, given(fact, level_ka, "Ikq")]
        ohm = _behind_level_ohm(run, factor.value, level_ka)
        formula = "cmin * Un / (sqrt(3) * 1000 * Ikq)"
        return Source.of_step("Zq", "greatest impedance of the supply", formula, inputs, ohm)
    loop = neutral_loop(run)
    fact = _ratio(run)
    ohm, ratio = run.ends.high_is_bad(loop), run.ends.low_is_bad(fact)
    inputs = [given(loop, ohm, "Zn"), given(fact, ratio, "rho")]
    meaning = "greatest impedance of the supply, from its line-neutral loop"
    return Source.of_step("Zq", meaning, "Zn / rho", inputs, ohm / ratio)


def _ratio(run: Run) -> Fact[float]:
    """Return the range of a loop's impedance over that of the line in it."""
    filled = run.basis.ranges[_RATIO]
    return Fact(
        path=f"supply.{SMALLEST_LEVEL}",
        label="ratio of line-neutral loop to line impedance of the supply",
        unit="",
        options=tuple(float(one) for one in filled.options),
        reason=filled.reason,
        origin="not known; range of the code basis",
        filled=True,
    )


def _holding_the_line(run: Run, loop: Source, symbol: str) -> Source:
    """Return the loop, but not below what the smallest fault level leaves of it.

    A loop is read in one state of the network; in the weakest one it holds the line as it is then.
    The smallest ratio counts at both ends of all ranges, since no loop lies below it.
    """
    if not run.installation.supply.has(SMALLEST_LEVEL):
        return loop
    line = _stated_greatest_line_impedance(run)
    fact = _ratio(run)
    ratio = given(fact, min(fact.options), "rho")
    if loop.ohm >= ratio.value * line.ohm:
        return loop
    inputs = [loop.as_input.named("Zst"), ratio, line.as_input]
    meaning = "loop outside the installation in the weakest state of the network"
    ohm, formula = ratio.value * line.ohm, "max(Zst, rho * Zq)"
    steps = (*(replace(one, symbol="Zst") for one in loop.steps), *line.steps)
    return Source.of_step(symbol, meaning, formula, inputs, ohm, steps)


def neutral_loop(run: Run) -> Fact[float]:
    """Return the line-neutral loop impedance outside the installation, in ohm.

    Stated; else in TN-C-S and TN-C that of the earth-fault loop, which is the same up to the
    origin (the PEN conductor returns both); else a range.
    """
    supply = run.installation.supply
    stated = supply.number(NEUTRAL_LOOP)
    if not stated.is_open:
        return stated
    system = supply.word("earthing_system").options
    external = supply.number(EARTH_LOOP)
    if system in (("TN-C-S",), ("TN-C",)) and not external.is_open:
        return external
    level = supply.number(LEVEL)
    if level.is_open:
        return stated
    factor = voltage_factors(run)[0].value
    line_ohm = [_behind_level_ohm(run, factor, level_ka) for level_ka in level.options]
    filled = run.basis.ranges[_RATIO]
    low, high = (float(ratio) for ratio in filled.options)
    greatest = max(high * max(line_ohm), _reference_loop_ohm(), *external.options)
    return replace(
        stated,
        options=(low * min(line_ohm), greatest),
        origin="not known; range of the code basis",
        reason=f"{filled.reason}; up to the reference impedance of public networks",
        filled=True,
    )


def _reference_loop_ohm() -> float:
    """Return line and neutral of the reference impedance in series (IEC TR 60725)."""
    line = tables.reference_impedance(conductor="line conductor")
    neutral = tables.reference_impedance(conductor="neutral")
    resistance, reactance = (a.value + b.value for a, b in zip(line, neutral, strict=True))
    return math.hypot(resistance, reactance)


def least_line_impedance(run: Run) -> Source:
    """Return the smallest impedance of one line before the origin (largest fault level)."""
    is_stated = run.installation.supply.has(LEVEL)
    by_data = _stated_least_line_impedance
    return _smaller(run, by_data, line_at_transformer, "Zq", is_stated=is_stated)


def greatest_line_impedance(run: Run) -> Source:
    """Return the largest impedance of one line before the origin (smallest fault level)."""
    is_stated = run.installation.supply.has(SMALLEST_LEVEL)
    by_data = _stated_greatest_line_impedance
    return _larger(run, by_data, line_at_transformer, "Zq", is_stated=is_stated)


def least_neutral_loop(run: Run) -> Source:
    """Return the smallest line-neutral loop outside the installation."""

    def by_data(run: Run) -> Source:
        fact = neutral_loop(run)
        return _stated(fact, run.ends.low_is_bad(fact), "Zn")

    is_stated = _loop_is_stated(run)
    return _smaller(run, by_data, loop_at_transformer, "Zn", is_stated=is_stated)


def greatest_neutral_loop(run: Run) -> Source:
    """Return the largest line-neutral loop outside the installation."""

    def by_data(run: Run) -> Source:
        fact = neutral_loop(run)
        return _stated(fact, run.ends.high_is_bad(fact), "Zn")

    is_stated = _loop_is_stated(run)
    found = _larger(run, by_data, loop_at_transformer, "Zn", is_stated=is_stated)
    return _holding_the_line(run, found, "Zn")


def _loop_is_stated(run: Run) -> bool:
    fact = neutral_loop(run)
    return not (fact.is_open or fact.filled)


def least_earth_loop(run: Run) -> Source:
    """Return the smallest earth-fault loop outside the installation.

    In TT, without a stated loop, the resistance of the installation's own electrode: the loop holds
    at least that.
    """
    supply = run.installation.supply
    fact, electrode = supply.number(EARTH_LOOP), supply.number("electrode_resistance_ohm")
    tt = supply.word("earthing_system").options == ("TT",)
    if tt and fact.is_open and not electrode.is_open:
        return _stated(electrode, run.ends.low_is_bad(electrode), "RA")

    def by_data(run: Run) -> Source:
        return _stated(fact, run.ends.low_is_bad(fact), "Ze")

    if not _returns_to_star_point(run):
        return by_data(run)
    is_stated = not fact.is_open
    return _smaller(run, by_data, loop_at_transformer, "Ze", is_stated=is_stated)


def greatest_earth_loop(run: Run) -> Source:
    """Return the largest earth-fault loop outside the installation."""
    fact = run.installation.supply.number(EARTH_LOOP)

    def by_data(run: Run) -> Source:
        return _stated(fact, run.ends.high_is_bad(fact), "Ze")

    if not _returns_to_star_point(run):
        return by_data(run)
    is_stated = not fact.is_open
    found = _larger(run, by_data, loop_at_transformer, "Ze", is_stated=is_stated)
    return _holding_the_line(run, found, "Ze")


def _returns_to_star_point(run: Run) -> bool:
    """Whether an earth fault returns by a conductor to the source: in TN, known as such."""
    systems = run.installation.supply.word("earthing_system").options
    return bool(systems) and all(one.startswith("TN") for one in systems)


def of_transformer(run: Run, own: Calculated, *, largest_fault: bool) -> Source | None:
    """Return what an own transformer makes of an impedance; None where none is described.

    NotKnown names the transformer's data that are lacking.
    """
    data = described(run.installation)
    if data is None:
        return None
    edition = run.basis.limit("voltage_factor_edition").text
    factor = voltage_factors(run)[0 if largest_fault else 1]
    before = Before.of(largest_fault=largest_fault, factor=factor, edition=edition)
    return own(data, run.ends, before)


def _smaller(
    run: Run, stated: Callable[[Run], Source], own: Calculated, symbol: str, *, is_stated: bool
) -> Source:
    return _worse(run, stated, own, symbol, is_stated=is_stated, largest_fault=True)


def _larger(
    run: Run, stated: Callable[[Run], Source], own: Calculated, symbol: str, *, is_stated: bool
) -> Source:
    return _worse(run, stated, own, symbol, is_stated=is_stated, largest_fault=False)


def _worse(
    run: Run,
    stated: Callable[[Run], Source],
    own: Calculated,
    symbol: str,
    *,
    is_stated: bool,
    largest_fault: bool,
) -> Source:
    try:
        found = of_transformer(run, own, largest_fault=largest_fault)
    except NotKnown:
        if not is_stated:
            raise
        found = None
    if found is None:
        return stated(run)
    if not is_stated:
        meaning = found.as_input.meaning
        return Source.of_step(symbol, meaning, SYMBOL, [found.as_input], found.ohm, found.steps)
    other = stated(run)
    word, choose = ("smaller", min) if largest_fault else ("larger", max)
    steps = (*(replace(one, symbol="Zst") for one in other.steps), *found.steps)
    inputs = [other.as_input.named("Zst"), found.as_input]
    meaning = f"the {word} of what is stated and what the transformer makes"
    ohm = choose(other.ohm, found.ohm)
    return Source.of_step(symbol, meaning, f"{choose.__name__}(Zst, {SYMBOL})", inputs, ohm, steps)
