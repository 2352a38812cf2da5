"""Ampacity of a piece of cable as installed: IEC 60364-5-52 Annex B with all its factors."""

from __future__ import annotations

import math
from dataclasses import replace
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
from feasibility.clauses.ampacity import corrected_ampacity_a
from feasibility.installation.facts import Ends, Fact
from feasibility.installation.model import Installation, Link
from feasibility.result import Quantity
from feasibility.tables import NotTabulated

_GROUND = ("D1", "D2")


def cable_ampacity(
    installation: Installation, link: Link, ends: Ends, *, beside: int = 0
) -> Ampacity:
    """Return Iz of a piece of cable; NotKnown or NotTabulated where it cannot be found.

    ``beside`` counts unequal cables of the same circuit in the group, whose current is not in Iz.
    """
    data = link.data
    buried = set(data.word("method").options) <= set(_GROUND)
    terminals_c = installation.basis.number("terminal_temperature_c")
    hot = any(maximum_c(word) > terminals_c for word in data.word("insulation").options)
    own = data.number("ampacity_a") if data.has("ampacity_a") else None
    harmonic = harmonic_factor(installation, link, ends)
    loaded = loaded_conductors(installation, link)
    facts: tuple[Fact[Any], ...] = (
        own or data.number("section_mm2"),
        data.word("conductor"),
        data.word("insulation"),
        data.word("construction"),
        data.word("method"),
        data.number("ambient_c", fill="cable.ground_c" if buried else ""),
        data.flag("in_sun"),
        data.number("grouped_circuits"),
        data.number("in_parallel"),
        data.word("metallic_covering"),
        data.word("grouping"),
        data.word("grouping_spacing"),
        data.number("soil_resistivity_k_m_per_w"),
        data.number("ends_rated_c"),
    )
    multicore = data.word("construction").options == ("multicore",)
    facts = tuple(
        f for f in facts if not _irrelevant(f, buried=buried, hot=hot, multicore=multicore)
    )

    def rate(*options: Any) -> Ampacity:
        values = dict(zip((f.path.rpartition(".")[2] for f in facts), options, strict=True))
        values["terminals_c"] = terminals_c
        values["beside"] = beside
        laid = data.word("laid").options
        in_sun = values.get("in_sun", False) and values["method"] not in _GROUND
        values["ambient_c"], sun = air_with_sun(
            installation.basis, values["ambient_c"], in_sun=in_sun
        )
        found = _rate_cable(values, loaded=loaded, laid=laid[0] if laid else "", harmonic=harmonic)
        return replace(found, steps=(*sun, *found.steps))

    return choose(facts, ends, rate)


def _irrelevant(fact: Fact[Any], *, buried: bool, hot: bool, multicore: bool) -> bool:
    field = fact.path.rpartition(".")[2]
    if field == "ends_rated_c":
        return not hot
    if field == "metallic_covering":
        return multicore
    only_in_air = field in ("grouping", "in_sun")
    only_in_ground = field in ("grouping_spacing", "soil_resistivity_k_m_per_w")
    return only_in_air if buried else only_in_ground


_SINGLE_CORE_ONLY = ("A1", "B1", "F", "G")
_MULTICORE_ONLY = ("A2", "B2", "E")


def _rate_cable(
    values: dict[str, Any], *, loaded: int, laid: str, harmonic: Quantity | None
) -> Ampacity:
    insulation: str = values["insulation"]
    _refuse_unfit(values["method"], values["construction"])
    _refuse_metal_around_one_core(values)
    full = _iz(values, insulation, loaded=loaded, laid=laid, harmonic=harmonic)
    if maximum_c(insulation) <= values["terminals_c"] or values.get(
        "ends_rated_c", 0.0
    ) >= maximum_c(insulation):
        return full
    cooler = _iz(values, "PVC", loaded=loaded, laid=laid, harmonic=harmonic)
    return replace(full, value_a=min(full.value_a, cooler.value_a), steps=cooler.steps)


def _refuse_unfit(method: str, construction: str) -> None:
    """Methods 1, F and G are for single-core, 2 and E for multicore cables (Table B.52.1)."""
    wrong = _SINGLE_CORE_ONLY if construction == "multicore" else _MULTICORE_ONLY
    if method in wrong:
        permitted = _MULTICORE_ONLY if construction == "multicore" else _SINGLE_CORE_ONLY
        raise NotTabulated(
            parameter=f"method of a {construction} cable",
            value=method,
            permitted=(*permitted, "C", "D1", "D2"),
        )


def _refuse_metal_around_one_core(values: dict[str, Any]) -> None:
    """Refuse single-core cables with metal sheath or armour, where circulating currents heat.

    The tables of Annex B hold for cables without armour; multicore cables with one may use them
    (IEC 60364-5-52:2009, Annex B; from memory).
    """
    covering = values.get("metallic_covering", "none")
    own = "ampacity_a" in values
    if values["construction"] == "single-core" and covering != "none" and not own:
        raise NotTabulated(
            parameter="metallic covering of single-core cables",
            value=covering,
            permitted=("none", "or the ampacity of the cable's own data sheet"),
        )


def _iz(
    values: dict[str, Any], insulation: str, *, loaded: int, laid: str, harmonic: Quantity | None
) -> Ampacity:
    method: str = values["method"]
    parallel: int = values["in_parallel"]
    ambient_c: float = values["ambient_c"]
    tabled = _capacity(values, insulation, loaded=loaded, laid=laid)
    factors: dict[str, Quantity] = {}
    if "ampacity_a" in values and insulation != values["insulation"]:
        factors = {"ct": _at_terminal_temperature(values, method)}
    factors |= _factors(values, insulation, harmonic)
    amperes = parallel * float(
        corrected_ampacity_a(
            tabulated_a=tabled.value,
            ambient_factor=factors["ca"].value,
            grouping_factor=factors["cg"].value,
            soil_factor=factors["cs"].value if "cs" in factors else 1.0,
            harmonic_factor=factors["ch"].value if "ch" in factors else 1.0,
            other_factor=factors["ct"].value if "ct" in factors else 1.0,
        )
    )
    number = Quantity(value=parallel, unit="", symbol="n", meaning="cables in parallel")
    inputs = [number] if parallel > 1 else []
    inputs += [tabled.named("It", _describe(values, insulation, loaded, method))]
    inputs += [quantity.named(symbol) for symbol, quantity in factors.items()]
    return Ampacity(
        value_a=amperes,
        maximum_c=maximum_c(insulation),
        ambient_c=ambient_c,
        steps=(
            step(
                "Iz",
                "ampacity of the cable as installed",
                " * ".join(quantity.symbol for quantity in inputs),
                inputs,
                amperes,
                "A",
            ),
        ),
    )


def _capacity(values: dict[str, Any], insulation: str, *, loaded: int, laid: str) -> Quantity:
    if "ampacity_a" in values:
        return Quantity(value=values["ampacity_a"], unit="A", origin="the user's own data sheet")
    return tables.ampacity(
        conductor=values["conductor"],
        insulation=insulation,
        loaded=loaded,
        method=values["method"],
        section_mm2=values["section_mm2"],
        arrangement=laid,
    )


def _factors(
    values: dict[str, Any], insulation: str, harmonic: Quantity | None
) -> dict[str, Quantity]:
    method: str = values["method"]
    single = values["construction"] == "single-core"
    circuits = values["grouped_circuits"] - 1 + values["in_parallel"] + values["beside"]
    if method in _GROUND:
        factors = {
            "ca": tables.ground_temperature_factor(
                insulation=insulation, temperature_c=values["ambient_c"]
            ),
            "cs": tables.soil_factor(
                method=method, resistivity_k_m_per_w=values["soil_resistivity_k_m_per_w"]
            ),
            "cg": tables.grouping_factor(
                method=method,
                arrangement="",
                circuits=circuits,
                spacing=values["grouping_spacing"],
                single_core=single,
            ),
        }
    else:
        factors = {
            "ca": tables.ambient_air_factor(
                insulation=insulation, temperature_c=values["ambient_c"]
            ),
            "cg": _grouping_in_air(method, values["grouping"], circuits, single_core=single),
        }
    if harmonic is not None:
        factors["ch"] = harmonic
    return factors


def _grouping_in_air(
    method: str, arrangement: str, circuits: int, *, single_core: bool
) -> Quantity:
    if circuits == 1 and arrangement != "single layer under ceiling":
        return Quantity(value=1.0, unit="", meaning="one circuit alone, no reduction")
    enclosed = method in ("A1", "A2", "B1", "B2")  # only the first row of B.52.17 is for these
    return tables.grouping_factor(
        method=method,
        arrangement="bunched" if enclosed else arrangement,
        circuits=circuits,
        single_core=single_core,
    )


def _at_terminal_temperature(values: dict[str, Any], method: str) -> Quantity:
    """Return the share of a capacity that warms the conductor no more than terminals may be."""
    reference = 20.0 if method in _GROUND else 30.0
    maximum = maximum_c(values["insulation"])
    share = math.sqrt((values["terminals_c"] - reference) / (maximum - reference))
    return Quantity(
        value=share,
        unit="",
        meaning="share for the temperature of the terminals, sqrt((Tt - T0) / (Tmax - T0))",
        sources=(Citation(source="IEC60364-5-52:2009", clause="law behind Table B.52.14"),),
    )


def _describe(values: dict[str, Any], insulation: str, loaded: int, method: str) -> str:
    section = f"{values['section_mm2']:g} mm² " if "section_mm2" in values else ""
    return (
        f"table value, {section}{values['conductor']}, {insulation}, method {method}, "
        f"{loaded} loaded conductors"
    )
