"""Series impedance of a piece of cable or of the cord, at one end of its ranges."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from feasibility import tables
from feasibility.checks.parallel_cables import unequal_cables
from feasibility.checks.working import amount, given, step
from feasibility.clauses.conductor_temperature import resistance_at_ohm
from feasibility.installation.facts import Ends, Fact, NotKnown
from feasibility.installation.model import Link, LinkKind
from feasibility.installation.resolve import Resolved
from feasibility.result import Quantity, Step


@dataclass(frozen=True, slots=True, kw_only=True)
class Impedance:
    """Series impedance of one conductor over the whole piece, resistance at 20 °C."""

    resistance_20c_ohm: float
    reactance_ohm: float
    coefficient_per_k: float
    steps: tuple[Step, ...]

    def resistance_at(self, temperature_c: float) -> float:
        """Return the resistance with the conductor at this temperature, in ohm."""
        return float(
            resistance_at_ohm(
                resistance_20c_ohm=self.resistance_20c_ohm,
                temperature_coefficient_per_k=self.coefficient_per_k,
                temperature_c=temperature_c,
            )
        )


def line_impedance(link: Link, ends: Ends) -> Impedance:
    """Impedance of one line conductor; long and thin is unfavourable."""
    return _impedance(link, "section_mm2", ends, shortest=False)


def line_impedance_of_equal_cables(link: Link, ends: Ends) -> Impedance:
    """Impedance of one line conductor without unequal cables in parallel, to divide the current."""
    return _of_equal_cables(link, "section_mm2", ends, shortest=False)


def shortest_line_impedance(link: Link, ends: Ends) -> Impedance:
    """Impedance of one line conductor where a small one is unfavourable (largest fault current)."""
    return _impedance(link, "section_mm2", ends, shortest=True)


def protective_impedance(link: Link, ends: Ends) -> Impedance:
    """Impedance of the protective conductor that runs with the cable."""
    return _impedance(link, "protective_section_mm2", ends, shortest=False)


def neutral_impedance(link: Link, ends: Ends) -> Impedance:
    """Impedance of the neutral; the line conductor's section where none is stated."""
    stated = link.data.number("neutral_section_mm2")
    if link.data.has("neutral_section_mm2") and ends.low_is_bad(stated) > 0:
        return _impedance(link, "neutral_section_mm2", ends, shortest=False)
    ends.note((_like_the_line(link, stated),))
    return _impedance(link, "section_mm2", ends, shortest=False)


def _like_the_line(link: Link, stated: Fact[float]) -> Fact[float]:
    """Return the assumption that the neutral has the section of the line conductors."""
    line = link.data.number("section_mm2")
    return replace(
        stated,
        options=line.options,
        filled=True,
        reason="taken as that of the line conductors where the survey gives none",
    )


def _impedance(link: Link, field: str, ends: Ends, *, shortest: bool) -> Impedance:
    """Return the impedance of one conductor, with those of unequal cables in parallel to it."""
    first = _of_equal_cables(link, field, ends, shortest=shortest)
    others = [
        _of_equal_cables(other, field, ends, shortest=shortest)
        for other in unequal_cables(link)
        if other.data.number(field).options != (0,)
    ]
    return in_parallel(link.name, [first, *others]) if others else first


def in_parallel(name: str, branches: Sequence[Impedance]) -> Impedance:
    """Return the impedance of conductors in parallel, from their complex admittances at 20 °C.

    The greatest temperature coefficient counts for all: it differs by 3 % between the metals.
    """
    total = 1 / sum(
        1 / complex(branch.resistance_20c_ohm, branch.reactance_ohm) for branch in branches
    )
    numbers = range(1, len(branches) + 1)
    inputs = [
        amount(symbol, meaning, value, "Ω")
        for number, branch in zip(numbers, branches, strict=True)
        for symbol, meaning, value in (
            (f"R{number}", f"resistance of branch {number} at 20 °C", branch.resistance_20c_ohm),
            (f"X{number}", f"reactance of branch {number}", branch.reactance_ohm),
        )
    ]
    conductance = " + ".join(f"R{k} / (R{k} ** 2 + X{k} ** 2)" for k in numbers)
    susceptance = " + ".join(f"X{k} / (R{k} ** 2 + X{k} ** 2)" for k in numbers)
    real = 1 / total
    lines = [
        step("G", "sum of the conductances", conductance, inputs, real.real, "S"),
        step("B", "sum of the susceptances", susceptance, inputs, -real.imag, "S"),
    ]
    sums = [amount("G", "conductance", real.real, "S"), amount("B", "susceptance", -real.imag, "S")]
    meaning = f"resistance of {name} at 20 °C, all branches in parallel"
    lines.append(step("R20", meaning, "G / (G ** 2 + B ** 2)", sums, total.real, "Ω"))
    return Impedance(
        resistance_20c_ohm=total.real,
        reactance_ohm=total.imag,
        coefficient_per_k=max(branch.coefficient_per_k for branch in branches),
        steps=(*(line for branch in branches for line in branch.steps), *lines),
    )


def _of_equal_cables(link: Link, field: str, ends: Ends, *, shortest: bool) -> Impedance:
    data = link.data
    cord = link.kind is LinkKind.CORD
    length_fact = data.number("length_m")
    length = ends.low_is_bad(length_fact) if shortest else ends.high_is_bad(length_fact)
    section = ends.known(data.number(field))
    if section <= 0:
        raise NotKnown((data.number(field),))
    parallel = 1.0 if cord else ends.known(data.number("in_parallel"))

    conductor, resistance = _resistance(link, field, section, ends, shortest=shortest)
    reactance = _reactance(link, ends, shortest=shortest)
    total = resistance.value * length / 1000 / parallel
    inputs = [
        resistance,
        Quantity(value=length, unit="m", symbol="L", meaning="length", origin=length_fact.origin),
    ]
    formula = "r * L / 1000"
    if parallel > 1:
        inputs.append(Quantity(value=parallel, unit="", symbol="n", meaning="in parallel"))
        formula += " / n"
    return Impedance(
        resistance_20c_ohm=total,
        reactance_ohm=reactance.value * length / 1000 / parallel,
        coefficient_per_k=tables.temperature_coefficient(conductor).value,
        steps=(step("R20", f"{_NAME[field]}, {link.name}, at 20 °C", formula, inputs, total, "Ω"),),
    )


_TABULATED_HZ = 50.0
"""The frequency for which reactances of cables are tabulated (IEC 60364-5-52, Annex G)."""

_NAME = {
    "section_mm2": "line conductor",
    "neutral_section_mm2": "neutral",
    "protective_section_mm2": "protective conductor",
}
_OWN_RESISTANCE = {
    "section_mm2": "resistance_ohm_per_km",
    "neutral_section_mm2": "neutral_resistance_ohm_per_km",
    "protective_section_mm2": "protective_resistance_ohm_per_km",
}


def _resistance(
    link: Link, field: str, section: float, ends: Ends, *, shortest: bool
) -> tuple[str, Quantity]:
    """Return the metal of a conductor and its resistance per km: the user's own, or tabulated."""
    data, cord = link.data, link.kind is LinkKind.CORD

    def per_km(conductor: str) -> Quantity:
        return tables.resistance_20c(conductor=conductor, section_mm2=section, flexible=cord)

    own = _OWN_RESISTANCE[field]
    if data.has(own):
        fact = data.number(own)
        value = ends.low_is_bad(fact) if shortest else ends.high_is_bad(fact)
        return "copper" if cord else ends.known(data.word("conductor")), given(fact, value, "r")
    conductor = "copper" if cord else _conductor(data, section, ends, per_km, shortest=shortest)
    meaning = f"{section:g} mm² {conductor}, per km at 20 °C"
    return conductor, per_km(conductor).named("r", meaning)


def _reactance(link: Link, ends: Ends, *, shortest: bool) -> Quantity:
    """Return the reactance per km: the user's own, or the tabulated one at the mains frequency."""
    if not link.data.has("reactance_ohm_per_km"):
        tabulated = tables.reactance()
        if link.frequency is None:
            return tabulated
        take = ends.low_is_bad if shortest else ends.high_is_bad
        return replace(tabulated, value=tabulated.value * take(link.frequency) / _TABULATED_HZ)
    fact = link.data.number("reactance_ohm_per_km")
    return given(fact, ends.low_is_bad(fact) if shortest else ends.high_is_bad(fact), "x")


def _conductor(
    data: Resolved,
    section: float,
    ends: Ends,
    per_km: Callable[[str], Quantity],
    *,
    shortest: bool,
) -> str:
    fact = data.word("conductor")
    if fact.filled and section < 10:
        raise NotKnown((fact,))  # no resistance is tabulated for aluminium this small
    sign = 1.0 if shortest else -1.0
    return ends.worst(fact, lambda conductor: sign * per_km(conductor).value)
