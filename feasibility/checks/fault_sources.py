"""What stands before the origin in a fault: voltage factors, and the impedances of the supply.

Each impedance is wanted at two ends: the smallest for the largest fault current, the largest for
the smallest one. Where the survey gives no line-neutral loop, it is bounded by the line's own
impedance and by the loops of public networks.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from feasibility import tables
from feasibility.checks.question import Run
from feasibility.checks.working import given, step
from feasibility.clauses.fault_current import source_impedance_ohm
from feasibility.installation.facts import Fact
from feasibility.result import Quantity, Step
from feasibility.units import SQRT3

LEVEL = "prospective_fault_current_ka"
SMALLEST_LEVEL = "smallest_fault_current_ka"
EARTH_LOOP = "external_loop_impedance_ohm"
NEUTRAL_LOOP = "external_line_neutral_loop_ohm"

_TOLERANCES = (6, 10)
"""The two tolerances of low-voltage networks in IEC 60909-0, Table 1, in percent."""

_RATIO = "supply.line_neutral_loop_ratio"


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """An impedance before the origin: its value, and the steps that lead to it."""

    ohm: float
    steps: tuple[Step, ...]
    as_input: Quantity


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


def _source(symbol: str, meaning: str, formula: str, inputs: list[Quantity], ohm: float) -> Source:
    steps = (step(symbol, meaning, formula, inputs, ohm, "Ω"),)
    as_input = Quantity(value=ohm, unit="Ω", symbol=symbol, meaning=meaning)
    return Source(ohm=ohm, steps=steps, as_input=as_input)


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


def least_line_impedance(run: Run) -> Source:
    """Return the smallest impedance of one line before the origin (largest fault level)."""
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
    return _source("Zq", "impedance of the supply", formula, inputs, ohm)


def greatest_line_impedance(run: Run) -> Source:
    """Return the largest impedance of one line before the origin (smallest fault level).

    Without a stated smallest level the line-neutral loop bounds it: the loop is at least the
    smaller end of the range ``supply.line_neutral_loop_ratio`` times the line's own impedance.
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
        return _source("Zq", "greatest impedance of the supply", formula, inputs, ohm)
    loop = neutral_loop(run)
    filled = run.basis.ranges[_RATIO]
    ratio_fact: Fact[float] = Fact(
        path=f"supply.{SMALLEST_LEVEL}",
        label="ratio of line-neutral loop to line impedance of the supply",
        unit="",
        options=tuple(float(one) for one in filled.options),
        reason=filled.reason,
        origin="not known; range of the code basis",
        filled=True,
    )
    ohm, ratio = run.ends.high_is_bad(loop), run.ends.low_is_bad(ratio_fact)
    inputs = [given(loop, ohm, "Zn"), given(ratio_fact, ratio, "rho")]
    meaning = "greatest impedance of the supply, from its line-neutral loop"
    return _source("Zq", meaning, "Zn / rho", inputs, ohm / ratio)


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


def least_neutral_loop(run: Run) -> Source:
    """Return the smallest line-neutral loop outside the installation."""
    fact = neutral_loop(run)
    return _stated(fact, run.ends.low_is_bad(fact), "Zn")


def greatest_neutral_loop(run: Run) -> Source:
    """Return the largest line-neutral loop outside the installation."""
    fact = neutral_loop(run)
    return _stated(fact, run.ends.high_is_bad(fact), "Zn")


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
    return _stated(fact, run.ends.low_is_bad(fact), "Ze")


def greatest_earth_loop(run: Run) -> Source:
    """Return the largest earth-fault loop outside the installation."""
    fact = run.installation.supply.number(EARTH_LOOP)
    return _stated(fact, run.ends.high_is_bad(fact), "Ze")
