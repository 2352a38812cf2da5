"""How strong the supply is where the network ends, for what the station does to the network.

What the network operator states for this purpose counts first, then the smallest fault current.
The largest one is the unfavourable figure for breaking capacity and the favourable one here: its
voltage factor is taken out again.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from feasibility import tables
from feasibility.checks.fault_sources import (
    EARTH_LOOP,
    LEVEL,
    NEUTRAL_LOOP,
    SMALLEST_LEVEL,
    greatest_line_impedance,
    greatest_neutral_loop,
    voltage_factors,
)
from feasibility.checks.own_transformer import described
from feasibility.checks.question import Check, Run, finding
from feasibility.checks.working import amount, given, step
from feasibility.clauses.fault_current import source_impedance_ohm
from feasibility.clauses.power_quality import impedance_of_power_ohm, short_circuit_power_va
from feasibility.code_basis import Limit
from feasibility.installation.model import Link
from feasibility.result import Finding, Outcome, Quantity, Step
from feasibility.units import SQRT3

PUBLIC = "public network"


@dataclass(frozen=True, slots=True, kw_only=True)
class Strength:
    """Impedance per phase and short-circuit power at the origin, with their working."""

    impedance_ohm: float
    short_circuit_va: float
    steps: tuple[Step, ...]

    @property
    def power(self) -> Quantity:
        """The short-circuit power as an input of a working."""
        meaning = "short-circuit power at the origin"
        return amount("Ssc", meaning, self.short_circuit_va / 1000, "kVA")


def three_phase(run: Run) -> bool:
    """Whether the station is connected to all three phases."""
    return all(run.operation.phases_of_station())


def is_public(run: Run) -> bool:
    """Whether the low-voltage network before the origin is, or may be, a public one."""
    kind = run.installation.supply.word("kind")
    return run.ends.worst(kind, lambda word: 0.0 if word == PUBLIC else 1.0) == PUBLIC


def not_public(check: Check, link: Link, limit: Limit) -> Finding:
    """Return the finding for a supply that no neighbour shares at low voltage."""
    words = (
        "The supply is the customer's own transformer, not a public low-voltage network: what the "
        "station may do to the network is agreed for the connection at medium voltage."
    )
    return finding(check, link, limit, Outcome.NOT_APPLICABLE, words)


def supply_strength(run: Run) -> Strength:
    """Return the strength of the supply at the origin; NotKnown where nothing tells it."""
    supply = run.installation.supply
    line_v = run.operation.nominal_voltage_v
    nominal = given(supply.number("nominal_voltage_v"), line_v, "Un")
    if supply.has("short_circuit_power_kva"):
        fact = supply.number("short_circuit_power_kva")
        stated = run.ends.low_is_bad(fact)
        power = 1000 * stated
        impedance = float(
            impedance_of_power_ohm(line_voltage_v=line_v, short_circuit_power_va=power)
        )
        inputs = [nominal, given(fact, stated, "Ssc")]
        line = step("Zq", _IMPEDANCE, "Un ** 2 / (1000 * Ssc)", inputs, impedance, "Ω")
        return Strength(impedance_ohm=impedance, short_circuit_va=power, steps=(line,))
    if supply.has(SMALLEST_LEVEL) or described(run.installation) is not None:
        weakest = greatest_line_impedance(run)
        impedance, before = weakest.ohm, list(weakest.steps)
    else:
        impedance, before = _behind_largest_level(run, nominal)
    power = float(short_circuit_power_va(line_voltage_v=line_v, impedance_ohm=impedance))
    last = step(
        "Ssc",
        "short-circuit power at the origin, without a voltage factor",
        "Un ** 2 / Zq / 1000",
        [nominal, amount("Zq", _IMPEDANCE, impedance, "Ω")],
        power / 1000,
        "kVA",
    )
    return Strength(impedance_ohm=impedance, short_circuit_va=power, steps=(*before, last))


def _behind_largest_level(run: Run, nominal: Quantity) -> tuple[float, list[Step]]:
    fact = run.installation.supply.number(LEVEL)
    fault_ka = run.ends.low_is_bad(fact)
    factor = voltage_factors(run)[0]
    impedance = float(
        source_impedance_ohm(
            voltage_factor=factor.value,
            line_voltage_v=nominal.value,
            fault_current_a=1000 * fault_ka,
        )
    )
    inputs = [factor, nominal, given(fact, fault_ka, "Ikq")]
    formula = "cmax * Un / (sqrt(3) * 1000 * Ikq)"
    return impedance, [step("Zq", _IMPEDANCE, formula, inputs, impedance, "Ω")]


_IMPEDANCE = "impedance of the supply per phase at the origin"


def impedance_seen_ohm(run: Run, strength: Strength) -> tuple[float, list[Step]]:
    """Return the impedance that the station's current meets: of the line, or line and neutral.

    A line-neutral loop that is known counts. Otherwise the neutral stands to the line as in the
    reference impedance of IEC 60725, or a larger measured earth-fault loop counts.
    """
    steps = list(strength.steps)
    if three_phase(run):
        return strength.impedance_ohm, steps
    supply = run.installation.supply
    one_conductor = supply.word("earthing_system").options in (("TN-C-S",), ("TN-C",))
    if supply.has(NEUTRAL_LOOP) or (one_conductor and supply.has(EARTH_LOOP)):
        loop = greatest_neutral_loop(run)
        meaning = "line and neutral of the supply in series"
        return loop.ohm, [step("Zs", meaning, "Zn", [loop.as_input], loop.ohm, "Ω")]
    ratio, inputs = _neutral_to_line()
    total = strength.impedance_ohm * (1 + ratio)
    inputs = [amount("Zq", _IMPEDANCE, strength.impedance_ohm, "Ω"), *inputs]
    formula = "Zq * (1 + sqrt(Rn ** 2 + Xn ** 2) / sqrt(Rl ** 2 + Xl ** 2))"
    meaning = "line and neutral of the supply in series"
    steps.append(step("Zln", meaning, formula, inputs, total, "Ω"))
    earth = supply.number(EARTH_LOOP)
    if earth.is_open or run.ends.high_is_bad(earth) <= total:
        return total, steps
    measured = run.ends.high_is_bad(earth)
    both = [amount("Zln", "line and neutral", total, "Ω"), given(earth, measured, "Ze")]
    meaning = "the measured loop outside the installation is larger and counts"
    steps.append(step("Zs", meaning, "max(Zln, Ze)", both, measured, "Ω"))
    return measured, steps


def _neutral_to_line() -> tuple[float, list[Quantity]]:
    line = tables.reference_impedance(conductor="line conductor")
    neutral = tables.reference_impedance(conductor="neutral")
    ratio = math.hypot(*(one.value for one in neutral)) / math.hypot(*(one.value for one in line))
    symbols = ("Rl", "Xl", "Rn", "Xn")
    return ratio, [one.named(s) for s, one in zip(symbols, (*line, *neutral), strict=True)]


def rated_current(run: Run) -> tuple[float, list[Step]]:
    """Return the station's rated input current per phase: its nameplate, or what it requests."""
    device = run.installation.station
    if device.has("nameplate_current_a"):
        fact = device.number("nameplate_current_a")
        rated = run.ends.high_is_bad(fact)
        inputs = [given(fact, rated, "In")]
        return rated, [step("Iequ", "rated input current", "In", inputs, rated, "A")]
    rated = run.requested().current_a
    inputs = [amount("Is", "requested current at the lowest voltage", rated, "A")]
    meaning = "input current, in place of a rated one that is not known"
    return rated, [step("Iequ", meaning, "Is", inputs, rated, "A")]


def to_neutral_v(run: Run) -> float:
    """Return the nominal voltage between line and neutral."""
    return run.operation.nominal_voltage_v / SQRT3
