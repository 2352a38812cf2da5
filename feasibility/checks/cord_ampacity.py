"""Ampacity of the flexible cord as laid, from one published set with its own factors."""

from __future__ import annotations

import math
from typing import Any

from feasibility import tables
from feasibility.checks.conductor import (
    Ampacity,
    air_with_sun,
    choose,
    harmonic_factor,
    loaded_conductors,
    maximum_c,
)
from feasibility.checks.working import step
from feasibility.citation import Citation
from feasibility.installation.facts import Ends, Fact
from feasibility.installation.model import Installation, Link
from feasibility.result import Quantity, Step
from feasibility.tables import NotTabulated

_REFERENCE_C = 30.0


def cord_ampacity(
    installation: Installation, link: Link, ends: Ends, *, choice: str = "cord_table_set"
) -> Ampacity:
    """Return Iz of the cord by the published set that a choice of the code basis names."""
    cord = link.data
    table_set = installation.basis.choices[choice]
    loaded = loaded_conductors(installation, link)
    own = cord.has("ampacity_a")
    terminals_c = installation.basis.number("terminal_temperature_c")
    harmonic = harmonic_factor(installation, link, ends)

    def rate(
        first: float,
        grade: str,
        air_c: float,
        in_sun: bool,  # noqa: FBT001
        layers: int,
        ends_rated_c: float = 0.0,
    ) -> Ampacity:
        ambient_c, sun = air_with_sun(installation.basis, air_c, in_sun=in_sun)
        inputs = [
            Quantity(value=first, unit="A", symbol="It", origin="the user's own data sheet")
            if own
            else tables.cord_ampacity(
                table_set=table_set, cord=grade, loaded=loaded, section_mm2=first
            ).named("It", f"table value, {grade}, {loaded} loaded conductors"),
            _ambient_factor(table_set, grade, ambient_c, max(terminals_c, ends_rated_c)),
        ]
        if layers:
            inputs.append(tables.cord_drum_factor(table_set=table_set, layers=layers).named("cd"))
        if harmonic is not None:
            inputs.append(harmonic.named("ch"))
        return _product(inputs, grade, ambient_c, sun)

    facts: tuple[Fact[Any], ...] = (
        cord.number("ampacity_a" if own else "section_mm2"),
        cord.word("grade"),
        cord.number("ambient_c"),
        cord.flag("in_sun"),
        cord.number("layers_on_drum"),
    )
    if any(maximum_c(word) > terminals_c for word in cord.word("grade").options):
        facts = (*facts, cord.number("ends_rated_c"))
    return choose(facts, ends, rate)


def _product(
    inputs: list[Quantity], grade: str, ambient_c: float, before: tuple[Step, ...]
) -> Ampacity:
    amperes = math.prod(quantity.value for quantity in inputs)
    formula = " * ".join(quantity.symbol for quantity in inputs)
    line = step("Iz", "ampacity of the cord as laid", formula, inputs, amperes, "A")
    return Ampacity(
        value_a=amperes,
        maximum_c=maximum_c(grade),
        ambient_c=ambient_c,
        steps=(*before, line),
    )


def _ambient_factor(table_set: str, grade: str, ambient_c: float, ends_rated_c: float) -> Quantity:
    """Return the ambient factor of the set, or the one for plug and inlet if that is smaller."""
    tabled = tables.cord_ambient_factor(
        table_set=table_set, cord=grade, temperature_c=ambient_c
    ).named("ca")
    maximum = maximum_c(grade)
    if ends_rated_c >= maximum:
        return tabled
    if ambient_c >= ends_rated_c:
        raise NotTabulated(
            parameter=f"ambient_c of a cord whose ends are rated {ends_rated_c:g} C",
            value=ambient_c,
            permitted=(f"below {ends_rated_c:g}",),
        )
    share = math.sqrt((ends_rated_c - ambient_c) / (maximum - _REFERENCE_C))
    if share >= tabled.value:
        return tabled
    return Quantity(
        value=share,
        unit="",
        symbol="ca",
        meaning="factor for the temperature of plug and inlet, sqrt((Tt - Ta) / (Tmax - 30))",
        sources=(Citation(source="IEC60364-5-52:2009", clause="law behind Table B.52.14"),),
    )
