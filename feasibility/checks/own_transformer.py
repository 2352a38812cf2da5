"""The customer's own transformer as the calculation sees it: windings, voltage without load.

All impedances are per phase, on the low-voltage side. The origin is that side's terminals.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from feasibility import tables
from feasibility.checks.working import amount, given, step
from feasibility.clauses.fault_current import transformer_impedance_ohm
from feasibility.clauses.transformer import (
    no_load_voltage_v,
    transformer_reactance_ohm,
    transformer_resistance_ohm,
)
from feasibility.installation.facts import Ends, Fact, NotKnown
from feasibility.installation.model import Installation
from feasibility.installation.resolve import Resolved
from feasibility.result import Quantity, Step
from feasibility.tables import NotTabulated

WINDING_FACTS = 4
"""How many facts tell the impedance of the windings."""

_LOSS = "load_loss_kw"
_STATED_ZERO = "zero_sequence_impedance_ohm"


@dataclass(frozen=True, slots=True, kw_only=True)
class Windings:
    """Rated data and impedance of the windings."""

    rated_va: float
    rated_voltage_v: float
    impedance_ohm: float
    resistance_ohm: float
    reactance_ohm: float

    @property
    def reactance_percent(self) -> float:
        """Reactance in percent of the square of the rated voltage over the rated power."""
        return 100 * self.reactance_ohm * self.rated_va / self.rated_voltage_v**2


@dataclass(frozen=True, slots=True, kw_only=True)
class ZeroSequence:
    """Zero-sequence impedance: in ohm as a test report states it, or X0/X1 by the vector group.

    ``shares`` holds R0/R1 and X0/X1 for each option of ``fact``; it is empty if that is in ohm and
    of unknown angle.
    """

    fact: Fact[float]
    shares: Mapping[float, tuple[Quantity, Quantity]]

    def part_ohm(self, option: float, which: int, positive_ohm: float) -> float:
        """Return the resistance (0) or reactance (1); nothing if the angle is not known."""
        return self.shares[option][which].value * positive_ohm if self.shares else 0.0

    def apart_ohm(self, option: float) -> float:
        """Return the impedance of unknown angle; nothing if it is by the vector group."""
        return 0.0 if self.shares else option


def described(installation: Installation) -> Resolved | None:
    """Return what the survey says of an own transformer; None where it describes none."""
    own = installation.transformer
    return own if own is not None and own.record is not None else None


def winding_facts(own: Resolved) -> tuple[Fact[float], ...]:
    """Return rated power, short-circuit voltage, rated secondary voltage and load loss."""
    return (
        own.number("rated_power_kva"),
        own.number("short_circuit_voltage_percent"),
        own.number("rated_secondary_voltage_v"),
        _loss(own),
    )


def _loss(own: Resolved) -> Fact[float]:
    """Return the load loss in kW, or a range in percent of the rated power where it is not known.

    No share above the short-circuit voltage: the loss is a part of it.
    """
    if own.has(_LOSS):
        return own.number(_LOSS)
    share = own.number(_LOSS, fill="transformer.load_loss_percent")
    voltages = own.number("short_circuit_voltage_percent").options or share.options
    options = dict.fromkeys(min(percent, *voltages) for percent in share.options)
    label = "load loss of the transformer in percent of its rated power"
    return replace(share, label=label, unit="%", options=tuple(options))


def windings(own: Resolved, values: tuple[float, ...]) -> Windings:
    """Return the windings for values of the ``winding_facts``. Raises OutOfRange."""
    power_kva, percent, voltage, loss = values
    rated_va = 1000 * power_kva
    loss_w = 1000 * loss if own.has(_LOSS) else loss / 100 * rated_va
    impedance = float(
        transformer_impedance_ohm(
            rated_va=rated_va, line_voltage_v=voltage, impedance_percent=percent
        )
    )
    resistance = float(
        transformer_resistance_ohm(load_loss_w=loss_w, rated_va=rated_va, rated_voltage_v=voltage)
    )
    if loss >= percent and not own.has(_LOSS):
        resistance = impedance  # all of it is loss: not a hair more by rounding
    return Windings(
        rated_va=rated_va,
        rated_voltage_v=voltage,
        impedance_ohm=impedance,
        resistance_ohm=resistance,
        reactance_ohm=float(
            transformer_reactance_ohm(impedance_ohm=impedance, resistance_ohm=resistance)
        ),
    )


def winding_steps(own: Resolved, values: tuple[float, ...], found: Windings) -> list[Step]:
    """Return the working of the windings' impedance (IEC 60909-0:2016, 6.3.1)."""
    symbols = ("Sr", "uk", "Ur", "Pk" if own.has(_LOSS) else "ur")
    power, percent, voltage, loss = (
        given(fact, value, symbol)
        for fact, value, symbol in zip(winding_facts(own), values, symbols, strict=True)
    )
    lossy = "1000 * Pk * Ur ** 2 / (1000 * Sr) ** 2"
    lossy = lossy if own.has(_LOSS) else "ur / 100 * Ur ** 2 / (1000 * Sr)"
    impedance = amount("Zt", "impedance of the transformer", found.impedance_ohm, "Ω")
    resistance = amount("Rt", "its resistance", found.resistance_ohm, "Ω")
    return [
        step(
            "Zt",
            "impedance of the transformer per phase, low-voltage side",
            "uk / 100 * Ur ** 2 / (1000 * Sr)",
            [percent, voltage, power],
            found.impedance_ohm,
            "Ω",
        ),
        step("Rt", "its resistance", lossy, [loss, voltage, power], found.resistance_ohm, "Ω"),
        step(
            "Xt",
            "its reactance",
            "sqrt(Zt ** 2 - Rt ** 2)",
            [impedance, resistance],
            found.reactance_ohm,
            "Ω",
        ),
    ]


def zero_sequence(own: Resolved) -> ZeroSequence:
    """Return what is known of the zero-sequence impedance.

    The test report counts; else the range of the vector group. NotKnown where neither tells it, as
    for every star-star transformer.
    """
    stated = own.number(_STATED_ZERO)
    if not stated.is_open:
        return ZeroSequence(fact=stated, shares={})
    group = own.word("vector_group")
    if group.is_open:
        raise NotKnown((group,))
    try:
        connection = group.options[0].rstrip("0123456789")
        (low_r, high_r), (low_x, high_x) = tables.zero_sequence_factors(connection=connection)
    except NotTabulated as unlisted:
        raise NotKnown((stated,)) from unlisted
    fact: Fact[float] = Fact(
        path=stated.path,
        label="zero-sequence over positive-sequence reactance of the transformer",
        unit="",
        options=(low_x.value, high_x.value),
        origin="not known; range of the vector group",
        reason=f"what documents give for {connection}; a test report tells it exactly",
        filled=True,
    )
    shares = {low_x.value: (low_r, low_x), high_x.value: (high_r, high_x)}
    return ZeroSequence(fact=fact, shares=shares)


def no_load_facts(own: Resolved) -> tuple[Fact[float], ...]:
    """Return what tells the voltage without load: as stated, or rated voltage and tapping."""
    stated = own.number("no_load_voltage_v")
    if not stated.is_open:
        return (stated,)
    return (own.number("rated_secondary_voltage_v"), own.number("tap_percent"))


def no_load_voltage(
    own: Resolved, ends: Ends, tolerance_field: str, sign: int
) -> tuple[float, list[Step]]:
    """Return lowest (sign -1) or highest (+1) voltage without load between lines, with its working.

    By the tolerance of the medium voltage. NotKnown names what is lacking.
    """
    facts = (*no_load_facts(own), own.number(tolerance_field))

    def at(*values: float) -> float:
        *voltages, percent = values
        return _unloaded(*voltages) * (100 + sign * percent) / 100

    values = ends.worst_of(facts, lambda *options: -sign * at(*options))
    *voltages, percent = values
    unloaded, found = _unloaded(*voltages), at(*values)
    tolerance = given(facts[-1], percent, "d")
    steps = []
    if len(voltages) == 1:
        start = given(facts[0], unloaded, "U20")
    else:
        inputs = [given(facts[0], voltages[0], "Ur"), given(facts[1], voltages[1], "t")]
        meaning = "voltage without load at the tapping in use"
        steps.append(step("U20", meaning, "Ur / (1 + t / 100)", inputs, unloaded, "V"))
        start = amount("U20", meaning, unloaded, "V")
    word = "highest" if sign > 0 else "lowest"
    formula = f"U20 * (100 {'+' if sign > 0 else '-'} d) / 100"
    meaning = f"{word} voltage of the transformer without load, between lines"
    return found, [*steps, step("U0t", meaning, formula, [start, tolerance], found, "V")]


def _unloaded(voltage: float, tap_percent: float = 0.0) -> float:
    return float(no_load_voltage_v(rated_voltage_v=voltage, tap_percent=tap_percent))


def worst_windings(
    own: Resolved, ends: Ends, score: Callable[[Windings], float]
) -> tuple[Windings, tuple[float, ...]]:
    """Return the windings with the lowest score (the highest if favourable) and their values."""
    values = ends.worst_of(
        winding_facts(own), lambda *options: score(windings(own, tuple(options)))
    )
    return windings(own, values), values
