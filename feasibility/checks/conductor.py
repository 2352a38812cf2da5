"""Ampacity and impedance of a piece of cable or of the cord, at one end of its ranges."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import product
from typing import Any

from feasibility import tables
from feasibility.checks.working import step
from feasibility.clauses.ampacity import corrected_ampacity_a
from feasibility.installation.facts import Ends, Fact, NotKnown
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.installation.resolve import Resolved
from feasibility.result import Quantity, Step
from feasibility.tables import NotTabulated

MAXIMUM_C = {"PVC": 70.0, "XLPE": 90.0, "60 C rubber": 60.0, "90 C thermosetting": 90.0}
"""Highest permitted conductor temperature: IEC 60364-5-52:2009 Table 52.1; cords by their grade."""

_GROUND = ("D1", "D2")


@dataclass(frozen=True, slots=True, kw_only=True)
class Ampacity:
    """Continuous current-carrying capacity Iz of a piece of cable, all conductors in parallel."""

    value_a: float
    maximum_c: float
    ambient_c: float
    in_parallel: int
    steps: tuple[Step, ...]


def ampacity(installation: Installation, link: Link, ends: Ends) -> Ampacity:
    """Return Iz of a cable or cord; NotKnown or NotTabulated where it cannot be found."""
    if link.kind is LinkKind.CORD:
        return _cord_ampacity(installation, link.data, ends)
    return _cable_ampacity(installation, link, ends)


def _choose(facts: tuple[Fact[Any], ...], ends: Ends, rate: Callable[..., Ampacity]) -> Ampacity:
    """Rate every combination of options and take the end that ``ends`` asks for.

    Combinations that the tables do not hold are left out where others remain.
    """
    missing = [fact for fact in facts if fact.is_open]
    if missing:
        raise NotKnown(missing)
    ends.note(facts)
    rated: list[Ampacity] = []
    refusal: NotTabulated | None = None
    for options in product(*(fact.options for fact in facts)):
        try:
            rated.append(rate(*options))
        except NotTabulated as refused:
            refusal = refused
    if not rated:
        assert refusal is not None  # noqa: S101 - there is at least one combination
        raise refusal
    chosen = max if ends.favourable else min
    return chosen(rated, key=lambda one: one.value_a)


def _cable_ampacity(installation: Installation, link: Link, ends: Ends) -> Ampacity:
    data = link.data
    buried = set(data.word("method").options) <= set(_GROUND)
    own = data.number("ampacity_a") if data.has("ampacity_a") else None
    harmonic = _harmonic_factor(installation, link, ends)
    loaded = loaded_conductors(installation, link)
    facts: tuple[Fact[Any], ...] = (
        own or data.number("section_mm2"),
        data.word("conductor"),
        data.word("insulation"),
        data.word("construction"),
        data.word("method"),
        data.number("ambient_c", fill="cable.ground_c" if buried else ""),
        data.number("grouped_circuits"),
        data.number("in_parallel"),
        data.word("grouping"),
        data.word("grouping_spacing"),
        data.number("soil_resistivity_k_m_per_w"),
        data.number("ends_rated_c"),
    )
    facts = tuple(f for f in facts if not _irrelevant(f, buried=buried))

    def rate(*options: Any) -> Ampacity:
        values = dict(zip((f.path.rpartition(".")[2] for f in facts), options, strict=True))
        laid = data.word("laid").options
        return _rate_cable(values, loaded=loaded, laid=laid[0] if laid else "", harmonic=harmonic)

    return _choose(facts, ends, rate)


def _irrelevant(fact: Fact[Any], *, buried: bool) -> bool:
    field = fact.path.rpartition(".")[2]
    only_in_air = field == "grouping"
    only_in_ground = field in ("grouping_spacing", "soil_resistivity_k_m_per_w")
    return only_in_air if buried else only_in_ground


def _rate_cable(
    values: dict[str, Any], *, loaded: int, laid: str, harmonic: Quantity | None
) -> Ampacity:
    insulation: str = values["insulation"]
    full = _iz(values, insulation, loaded=loaded, laid=laid, harmonic=harmonic)
    if MAXIMUM_C[insulation] <= 70 or values["ends_rated_c"] >= MAXIMUM_C[insulation]:
        return full
    cooler = _iz(values, "PVC", loaded=loaded, laid=laid, harmonic=harmonic)
    return Ampacity(
        value_a=min(full.value_a, cooler.value_a),
        maximum_c=full.maximum_c,
        ambient_c=full.ambient_c,
        in_parallel=full.in_parallel,
        steps=cooler.steps,
    )


def _iz(
    values: dict[str, Any], insulation: str, *, loaded: int, laid: str, harmonic: Quantity | None
) -> Ampacity:
    method: str = values["method"]
    parallel: int = values["in_parallel"]
    ambient_c: float = values["ambient_c"]
    if "ampacity_a" in values:
        tabled = Quantity(value=values["ampacity_a"], unit="A", origin="the user's own data sheet")
    else:
        tabled = tables.ampacity(
            conductor=values["conductor"],
            insulation=insulation,
            loaded=loaded,
            method=method,
            section_mm2=values["section_mm2"],
            arrangement=laid,
        )
    factors = _factors(values, insulation, harmonic)
    amperes = parallel * float(
        corrected_ampacity_a(
            tabulated_a=tabled.value,
            ambient_factor=factors["ca"].value,
            grouping_factor=factors["cg"].value,
            soil_factor=factors["cs"].value if "cs" in factors else 1.0,
            harmonic_factor=factors["ch"].value if "ch" in factors else 1.0,
        )
    )
    number = Quantity(value=parallel, unit="", symbol="n", meaning="cables in parallel")
    inputs = [number] if parallel > 1 else []
    inputs += [tabled.named("It", _describe(values, insulation, loaded, method))]
    inputs += [quantity.named(symbol) for symbol, quantity in factors.items()]
    return Ampacity(
        value_a=amperes,
        maximum_c=MAXIMUM_C[insulation],
        ambient_c=ambient_c,
        in_parallel=parallel,
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


def _factors(
    values: dict[str, Any], insulation: str, harmonic: Quantity | None
) -> dict[str, Quantity]:
    method: str = values["method"]
    single = values["construction"] == "single-core"
    circuits = max(values["grouped_circuits"], values["in_parallel"])
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
            "cg": tables.grouping_factor(
                method=method, arrangement=values["grouping"], circuits=circuits, single_core=single
            ),
        }
    if harmonic is not None:
        factors["ch"] = harmonic
    return factors


def _describe(values: dict[str, Any], insulation: str, loaded: int, method: str) -> str:
    section = f"{values['section_mm2']:g} mm² " if "section_mm2" in values else ""
    return (
        f"table value, {section}{values['conductor']}, {insulation}, method {method}, "
        f"{loaded} loaded conductors"
    )


def loaded_conductors(installation: Installation, link: Link) -> int:
    """Return 2 where the link only serves a single-phase station, else 3."""
    final = link.position == installation.final_circuit.position
    single = final and set(installation.outlet.word("poles").options) == {"2P+E"}
    return 2 if single else 3


def third_harmonic_percent(installation: Installation, ends: Ends) -> float:
    """Return the third harmonic that the station drives through the neutral, in % of the line."""
    if not ends.bad_if(installation.station.flag("needs_neutral"), bad=True):
        return 0.0
    return ends.high_is_bad(installation.station.number("third_harmonic_percent"))


def _harmonic_factor(installation: Installation, link: Link, ends: Ends) -> Quantity | None:
    """Return the factor of IEC 60364-5-52 Table E.52.1 on the line current, if it matters."""
    final = link.position == installation.final_circuit.position
    if not final or loaded_conductors(installation, link) == 2:
        return None
    percent = third_harmonic_percent(installation, ends)
    factor, basis = tables.third_harmonic_factor(third_harmonic_percent=percent)
    if factor.value == 1.0 and basis == "line":
        return None
    if basis == "line":
        return factor
    neutral_per_line = 3 * percent / 100
    return Quantity(
        value=min(1.0, factor.value / neutral_per_line),
        unit="",
        meaning="third-harmonic factor, sized by the neutral current 3 h3 Ib",
        sources=factor.sources,
    )


def _cord_ampacity(installation: Installation, cord: Resolved, ends: Ends) -> Ampacity:
    table_set = installation.basis.choices["cord_table_set"]
    loaded = 2 if set(installation.outlet.word("poles").options) == {"2P+E"} else 3
    own = cord.number("ampacity_a") if cord.has("ampacity_a") else None
    end = Link(
        name="cord",
        kind=LinkKind.CORD,
        position=installation.final_circuit.position,
        data=cord,
    )
    harmonic = _harmonic_factor(installation, end, ends)

    def rate(first: float, grade: str, ambient_c: float, layers: int) -> Ampacity:
        if own is not None:
            tabled = Quantity(value=first, unit="A", origin="the user's own data sheet")
        else:
            tabled = tables.cord_ampacity(
                table_set=table_set, cord=grade, loaded=loaded, section_mm2=first
            )
        inputs = [
            tabled.named("It", f"table value, {grade}, {loaded} loaded conductors"),
            tables.cord_ambient_factor(
                table_set=table_set, cord=grade, temperature_c=ambient_c
            ).named("ca"),
        ]
        if layers:
            inputs.append(tables.cord_drum_factor(table_set=table_set, layers=layers).named("cd"))
        if harmonic is not None:
            inputs.append(harmonic.named("ch"))
        amperes = 1.0
        for quantity in inputs:
            amperes *= quantity.value
        formula = " * ".join(quantity.symbol for quantity in inputs)
        return Ampacity(
            value_a=amperes,
            maximum_c=MAXIMUM_C[grade],
            ambient_c=ambient_c,
            in_parallel=1,
            steps=(step("Iz", "ampacity of the cord as laid", formula, inputs, amperes, "A"),),
        )

    facts: tuple[Fact[Any], ...] = (
        own or cord.number("section_mm2"),
        cord.word("grade"),
        cord.number("ambient_c"),
        cord.number("layers_on_drum"),
    )
    return _choose(facts, ends, rate)
