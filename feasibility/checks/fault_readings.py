"""Readings of loop impedance and fault current at boards and outlet, as impedances.

A reading counts beside the calculation, on the side where it is the worse of the two. Alone, where
the calculation lacks its facts, it counts only if instrument, date and method are stated, and with
an allowance: the instrument's permitted error for the largest fault current, the rule for cold
readings for the smallest one.
"""

from __future__ import annotations

from dataclasses import dataclass

from feasibility.checks.fault_conductors import FaultKind
from feasibility.checks.fault_sources import voltage_to_earth_v
from feasibility.checks.question import Run
from feasibility.checks.source import Source
from feasibility.checks.working import amount, given, step
from feasibility.clauses.disconnection import warmed_loop_ohm
from feasibility.clauses.fault_current import source_loop_impedance_ohm
from feasibility.installation.facts import Fact
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.installation.resolve import Resolved
from feasibility.result import Quantity, Step
from feasibility.survey.stated import Stated

LOOP = "measured_loop_impedance_ohm"
CURRENT = "measured_fault_current_ka"
BETWEEN = "measured_fault_between"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One reading at a node; ``field`` is the surveyed value that holds it."""

    node: int
    kind: FaultKind
    data: Resolved
    field: str

    @property
    def fact(self) -> Fact[float]:
        """The reading as surveyed, in ohm or kA."""
        return self.data.number(self.field)

    @property
    def is_complete(self) -> bool:
        """Whether it was measured, with instrument, date and method stated."""
        stated = getattr(self.data.record, self.field)
        assert isinstance(stated, Stated)  # noqa: S101 - there is no reading without it
        parts = (stated.instrument, stated.date, stated.method)
        return stated.known == "measured" and all(part is not None for part in parts)

    def link(self, installation: Installation) -> Link:
        """Return the outlet, or the circuit that ends at the board."""
        return place_link(installation, self.node)


def place_link(installation: Installation, node: int) -> Link:
    """Return the link that stands for a node: the outlet, or the circuit that ends at the board."""
    circuit = installation.circuits[node - 1]
    return installation.links_of(LinkKind.OUTLET)[0] if circuit.is_final else circuit.link


def readings(installation: Installation) -> tuple[Reading, ...]:
    """Return every reading along the feed path, from the origin on."""
    found: list[Reading] = []
    for node, data in enumerate(installation.places):
        if data is None:
            continue
        if data.has(LOOP):
            found.append(Reading(node=node, kind=FaultKind.LINE_EARTH, data=data, field=LOOP))
        between = data.word(BETWEEN).options
        if data.has(CURRENT) and between:  # a current between no one knows what says nothing
            kind = FaultKind(between[0])
            found.append(Reading(node=node, kind=kind, data=data, field=CURRENT))
    return tuple(found)


def read_impedance(run: Run, reading: Reading, *, high_is_bad: bool) -> Source:
    """Return the impedance that a reading stands for: a loop, or one line for a line-line current.

    An instrument that shows a current divides its nominal voltage by the impedance, without a
    voltage factor.
    """
    fact = reading.fact
    if reading.field == LOOP:
        ohm = run.ends.high_is_bad(fact) if high_is_bad else run.ends.low_is_bad(fact)
        return Source(ohm=ohm, steps=(), as_input=given(fact, ohm, "Zm"))
    current_ka = run.ends.low_is_bad(fact) if high_is_bad else run.ends.high_is_bad(fact)
    line_line = reading.kind is FaultKind.LINE_LINE
    nominal_v = run.operation.nominal_voltage_v
    voltage_v = nominal_v / 2 if line_line else voltage_to_earth_v(run)
    ohm = float(
        source_loop_impedance_ohm(
            voltage_factor=1.0, voltage_to_earth_v=voltage_v, fault_current_a=1000 * current_ka
        )
    )
    shown = given(fact, current_ka, "Im")
    if line_line:
        inputs = [amount("Un", "nominal voltage", nominal_v, "V"), shown]
        formula, meaning = "Un / (2 * 1000 * Im)", "impedance of one line by the reading"
    else:
        inputs = [amount("U0", "nominal voltage to earth", voltage_v, "V"), shown]
        formula, meaning = "U0 / (1000 * Im)", "loop of line and neutral by the reading"
    one = step("Zm", meaning, formula, inputs, ohm, "Ω")
    return Source(ohm=ohm, steps=(one,), as_input=amount("Zm", meaning, ohm, "Ω"))


def alone_for_the_largest(run: Run, read: Source) -> Source:
    """Return what a reading may stand for at least: less by the instrument's permitted error."""
    error = run.basis.limit("loop_reading_error").quantity("u", "permitted error of the instrument")
    ohm = read.ohm / (1 + error.value)
    meaning = "least impedance that gives this reading; the calculation lacks its facts"
    return _corrected(read, "Zm / (1 + u)", [error], ohm, meaning)


def alone_for_the_smallest(run: Run, read: Source) -> Source:
    """Return what a cold reading may stand for at most (IEC 60364-6, Annex D)."""
    share = run.basis.limit("cold_reading_factor").quantity("kc", "rule for cold readings")
    ohm = read.ohm / share.value
    meaning = "impedance when hot, by the rule for cold readings; the calculation lacks its facts"
    return _corrected(read, "Zm / kc", [share], ohm, meaning)


def warmed(read: Source, outside: Source, coefficient_per_k: float, celsius: float) -> Source:
    """Return a cold reading with its share inside the installation at service temperature.

    IEC 60364-6, Annex D (from memory): the part outside the installation counts as read.
    """
    ohm = float(
        warmed_loop_ohm(
            reading_ohm=read.ohm,
            outside_ohm=outside.ohm,
            temperature_coefficient_per_k=coefficient_per_k,
            temperature_c=celsius,
        )
    )
    z = outside.as_input.symbol
    inputs = [
        outside.as_input,
        amount("a", "temperature coefficient", coefficient_per_k, "1/K"),
        amount("T", "highest permitted conductor temperature", celsius, "°C"),
    ]
    formula = f"{z} + max(Zm - {z}, 0) * (1 + a * (T - 20))"
    meaning = "the cold reading with its share inside the installation hot"
    return _corrected(read, formula, inputs, ohm, meaning, before=outside.steps)


def _corrected(
    read: Source,
    formula: str,
    inputs: list[Quantity],
    ohm: float,
    meaning: str,
    before: tuple[Step, ...] = (),
) -> Source:
    one = step("Zr", meaning, formula, [read.as_input, *inputs], ohm, "Ω")
    return Source(
        ohm=ohm, steps=(*read.steps, *before, one), as_input=amount("Zr", meaning, ohm, "Ω")
    )
