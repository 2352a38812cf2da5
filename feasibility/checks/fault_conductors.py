"""Resistance and reactance of the conductors that a fault current flows through."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from feasibility.checks import impedance
from feasibility.checks.conductor import maximum_c
from feasibility.checks.impedance import Impedance
from feasibility.checks.question import Run
from feasibility.checks.working import amount, step
from feasibility.installation.facts import Ends
from feasibility.installation.model import Link, LinkKind
from feasibility.result import Quantity, Step

COLD_C = 20.0


class FaultKind(StrEnum):
    """Between which conductors the fault is."""

    THREE_PHASE = "three-phase"
    LINE_LINE = "line-line"
    LINE_NEUTRAL = "line-neutral"
    LINE_EARTH = "line-earth"


_RETURN: dict[FaultKind, tuple[str, Callable[[Link, Ends], Impedance]]] = {
    FaultKind.LINE_NEUTRAL: ("neutral", impedance.neutral_impedance),
    FaultKind.LINE_EARTH: ("protective conductor", impedance.protective_impedance),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Conductors:
    """Resistance and reactance of line and return conductor over some pieces of cable."""

    resistance_ohm: float
    reactance_ohm: float
    steps: tuple[Step, ...]
    terms: tuple[Quantity, ...]
    """Resistance and reactance of each piece in turn, as the sum names them."""

    def sum_of(self, letter: str) -> str:
        """Return the sum of the resistances (``R``) or reactances (``X``) as a formula."""
        symbols = [one.symbol for one in self.terms if one.symbol.startswith(letter)]
        return " + ".join(symbols)


def conductors(
    run: Run, links: Sequence[Link], kind: FaultKind, *, hot: bool, long: bool | None = None
) -> Conductors:
    """Return line and return conductor of a fault over pieces of cable, hot or at 20 °C.

    Hot: at the highest permitted operating temperature. Every range at the end that is unfavourable
    for the smallest current (``long``, usual when hot), or for the largest one.
    """
    ends = run.ends if (hot if long is None else long) else run.ends.opposite()
    resistance = reactance = 0.0
    steps: list[Step] = []
    terms: list[Quantity] = []
    for number, link in enumerate(links, start=1):
        parts = [("line conductor", impedance.line_impedance(link, ends))]
        if kind in _RETURN:
            name, of = _RETURN[kind]
            parts.append((name, of(link, ends)))
        celsius = hottest_c(run, link) if hot else COLD_C
        for _, part in parts:
            steps.extend(part.steps)
        warm = _warm_step(number, link, parts, celsius)
        names = " and ".join(name for name, _ in parts)
        ohm = sum(part.reactance_ohm for _, part in parts)
        across = [
            amount(f"X{letter}", f"reactance of the {name}", part.reactance_ohm, "Ω")
            for letter, (name, part) in zip("ab", parts, strict=False)
        ]
        formula = " + ".join(one.symbol for one in across)
        sideways = step(
            f"X{number}", f"reactance of {names}, {link.name}", formula, across, ohm, "Ω"
        )
        resistance += warm.result
        reactance += ohm
        steps.extend((warm, sideways))
        terms.extend(amount(one.symbol, one.meaning, one.result, "Ω") for one in (warm, sideways))
    return Conductors(
        resistance_ohm=resistance, reactance_ohm=reactance, steps=tuple(steps), terms=tuple(terms)
    )


def _warm_step(
    number: int, link: Link, parts: Sequence[tuple[str, Impedance]], celsius: float
) -> Step:
    """Write down the resistance of the conductors of a piece at a temperature."""
    inputs: list[Quantity] = []
    formulas: list[str] = []
    warm = celsius != COLD_C
    for letter, (name, part) in zip("ab", parts, strict=False):
        inputs.append(amount(f"R{letter}", f"{name} at 20 °C", part.resistance_20c_ohm, "Ω"))
        if warm:
            what = f"temperature coefficient of the {name}"
            inputs.append(amount(letter, what, part.coefficient_per_k, "1/K"))
            formulas.append(f"R{letter} * (1 + {letter} * (T - 20))")
        else:
            formulas.append(f"R{letter}")
    if warm:
        inputs.append(amount("T", "highest permitted conductor temperature", celsius, "°C"))
    names = " and ".join(name for name, _ in parts)
    return step(
        f"R{number}",
        f"{names} of {link.name} at {celsius:g} °C",
        " + ".join(formulas),
        inputs,
        sum(part.resistance_at(celsius) for _, part in parts),
        "Ω",
    )


def hottest_c(run: Run, link: Link) -> float:
    """Return the highest permitted operating temperature of a cable's or cord's conductors."""
    field = "grade" if link.kind is LinkKind.CORD else "insulation"
    kind = run.ends.worst(link.data.word(field), lambda word: -maximum_c(word))
    return maximum_c(kind)


def coefficient_per_k_of(run: Run, link: Link) -> float:
    """Return the temperature coefficient of a cable's line conductor, per kelvin from 20 °C."""
    return impedance.line_impedance(link, run.ends).coefficient_per_k


def cold_cord_loop_ohm(run: Run) -> tuple[float, list[Step]]:
    """Return the loop of the cord at 20 °C, to be added to a cold reading at the outlet."""
    total = 0.0
    steps: list[Step] = []
    for link in run.installation.links_of(LinkKind.CORD):
        line = impedance.line_impedance(link, run.ends)
        protective = impedance.protective_impedance(link, run.ends)
        total += math.hypot(
            line.resistance_20c_ohm + protective.resistance_20c_ohm,
            line.reactance_ohm + protective.reactance_ohm,
        )
        steps.extend((*line.steps, *protective.steps))
    return total, steps
