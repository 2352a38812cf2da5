"""Remedies at a piece of cable or at the cord: unwound, apart from others, elsewhere, larger."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from feasibility import tables
from feasibility.checks.conductor import loaded_conductors
from feasibility.installation.model import Installation, Link, LinkKind, PathCircuit
from feasibility.remedies.record import Kind, Part
from feasibility.remedies.values import (
    Ladder,
    figure,
    forget,
    known,
    part,
    put,
    without_readings,
    word,
)
from feasibility.survey.changes import Change
from feasibility.survey.circuit import Cable

PARALLEL_FROM_MM2 = 35.0
"""A thinner cable is replaced rather than doubled (our own rule)."""

_STEPS = 8
"""So many sections above the present one are tried: beyond them another circuit is the answer."""

_IN_CONDUIT = ("A1", "A2", "B1", "B2")
_OWN_FIGURES = (
    "ampacity_a",
    "resistance_ohm_per_km",
    "neutral_resistance_ohm_per_km",
    "protective_resistance_ohm_per_km",
    "reactance_ohm_per_km",
)


def at_cable(installation: Installation, link: Link) -> Iterator[Ladder]:
    """Yield what can be done at one piece of cable."""
    if isinstance(link.data.record, Cable):
        yield from _ungrouped(link)
        yield from _relocated(installation, link)
        yield from _in_parallel(installation, link)
        yield larger(installation, link)


def _ungrouped(link: Link) -> Iterator[Ladder]:
    circuits = known(link.data.number("grouped_circuits"))
    if circuits is None or circuits > 1:
        words = "Lay {link} apart from other circuits."
        yield [part(Kind.UNGROUPED_CABLE, link, words, {}, put(link.data, grouped_circuits=1))]


def _relocated(installation: Installation, link: Link) -> Iterator[Ladder]:
    method = word(link.data.word("method"))
    if method not in _IN_CONDUIT or word(link.data.word("construction")) != "multicore":
        return
    words = "Take {link} out of method {method} and lay it alone on the wall (method C)."
    changes = put(
        link.data, method="C", grouped_circuits=1, grouping="single layer on wall or floor"
    )
    yield [
        part(
            Kind.RELOCATED_CABLE,
            link,
            words,
            {"method": method},
            (*changes, *without_readings(installation, link.position + 1)),
            quantity=_length_m(link),
        )
    ]


def _in_parallel(installation: Installation, link: Link) -> Iterator[Ladder]:
    section = known(link.data.number("section_mm2"))
    count = known(link.data.number("in_parallel"))
    record = link.data.record
    unequal = isinstance(record, Cable) and record.parallel_cable
    if section is None or count is None or section < PARALLEL_FROM_MM2 or unequal:
        return
    words = "Lay an equal cable of {section} beside {link}, in parallel."
    changes = put(link.data, in_parallel=int(count) + 1)
    yield [
        part(
            Kind.PARALLEL_CABLE,
            link,
            words,
            {"section": figure(section, "mm2")},
            (*changes, *without_readings(installation, link.position + 1)),
            quantity=_length_m(link),
        )
    ]


def larger(installation: Installation, link: Link) -> Ladder:
    """Return larger cables in the place of one piece, by rising section."""
    present = known(link.data.number("section_mm2")) or 0.0
    conductor = word(link.data.word("conductor")) or "copper"
    words = "Replace {link} by one of {section} (protective conductor {protective})."
    return [
        part(
            Kind.LARGER_CABLE,
            link,
            words,
            {
                "section": figure(section, "mm2"),
                "protective": figure(_protective(link, section, conductor), "mm2"),
            },
            (
                *of_section(link, section, conductor),
                *without_readings(installation, link.position + 1),
            ),
            quantity=_length_m(link),
        )
        for section in _sections_above(link, present)
    ]


def of_section(link: Link, section_mm2: float, conductor: str) -> tuple[Change, ...]:
    """Return changes to a new cable of this section, laid as the present one."""
    data = link.data
    changes = put(
        data,
        section_mm2=section_mm2,
        conductor=conductor,
        protective_section_mm2=_protective(link, section_mm2, conductor),
        insulation=word(data.word("insulation")) or "PVC",
        construction=word(data.word("construction")) or "multicore",
    )
    changes += forget(data, "second_protective_section_mm2", *_OWN_FIGURES)
    if data.mentions("neutral_section_mm2") and known(data.number("neutral_section_mm2")) != 0:
        changes += put(data, neutral_section_mm2=section_mm2)
    record = data.record
    if isinstance(record, Cable) and record.parallel_cable:
        changes += (Change(place=f"{data.path}.parallel_cable", value=[]),)
    return changes


def _protective(link: Link, section_mm2: float, conductor: str) -> float:
    """Return the protective conductor of a new cable: by Table 54.2, and not below the present."""
    least = tables.minimum_protective_section(
        line_section_mm2=section_mm2, conductor=conductor
    ).value
    return max(least, known(link.data.number("protective_section_mm2")) or 0.0)


def _sections_above(link: Link, present_mm2: float) -> Sequence[float]:
    """Return the sections above the present one for which the tables know this cable as laid."""
    data = link.data
    laid = word(data.word("laid")) if data.mentions("laid") else None
    try:
        sections = tables.ampacity_sections(
            conductor=word(data.word("conductor")) or "copper",
            insulation=word(data.word("insulation")) or "PVC",
            loaded=3,
            method=word(data.word("method")) or "",
            arrangement=laid or "",
        )
    except tables.NotTabulated:
        return ()
    standard = tables.standard_sections(conductor=word(data.word("conductor")) or "copper")
    fitting = [one for one in sections if one > present_mm2 and one in standard]
    return fitting[:_STEPS]


def _length_m(link: Link) -> float:
    return known(link.data.number("length_m")) or 0.0


def larger_circuit(installation: Installation, circuit: PathCircuit) -> Ladder:
    """Return larger cables over a whole circuit, by rising section; one piece is no circuit."""
    ladders = [larger(installation, link) for link in circuit.cables]
    if len(ladders) == 1:
        return ladders[0]
    steps: list[Part] = []
    for section in sorted({_section_of(one) for ladder in ladders for one in ladder}):
        chosen = [one for ladder in ladders for one in ladder if _section_of(one) == section]
        if not chosen:
            continue
        words = "Replace every piece of {link} below {section} by one of {section}."
        steps.append(
            part(
                Kind.LARGER_CABLE,
                circuit.link,
                words,
                {"section": figure(section, "mm2")},
                [change for one in chosen for change in one.changes],
                quantity=sum(one.quantity for one in chosen),
            )
        )
    return steps[:_STEPS]


def _section_of(one: Part) -> float:
    section = one.words.values["section"]
    return 0.0 if isinstance(section, str) else section.value


def at_cord(installation: Installation, link: Link) -> Iterator[Ladder]:
    """Yield what can be done at the cord: unwind it, or take another one."""
    layers = link.data.number("layers_on_drum")
    if layers.options != (0,):
        words = "Unwind the {link} fully and keep it unwound."
        yield [part(Kind.UNWOUND_CORD, link, words, {}, put(link.data, layers_on_drum=0))]
    yield other_cord(installation, link)


def other_cord(installation: Installation, link: Link) -> Ladder:
    """Return other cords by rising section, with a plug that fits the outlet, lying unwound."""
    table_set = installation.basis.choices["cord_table_set"]
    grade = word(link.data.word("grade")) or tables.cord_grades(table_set=table_set)[0]
    sections = tables.cord_sections(
        table_set=table_set, cord=grade, loaded=loaded_conductors(installation, link)
    )
    present = known(link.data.number("section_mm2")) or 0.0
    words = "Use another cord: {section}, {grade}, fully unwound, with a plug that fits the outlet."
    return [
        part(
            Kind.OTHER_CORD,
            link,
            words,
            {"section": figure(section, "mm2"), "grade": grade},
            cord_of_section(installation, link, section, grade),
            place="cord",
            quantity=_length_m(link),
        )
        for section in [one for one in sections if one >= present][:_STEPS]
    ]


def cord_of_section(
    installation: Installation, link: Link, section_mm2: float, grade: str
) -> tuple[Change, ...]:
    """Return changes to an undamaged cord of the present length whose plug fits the outlet."""
    data, outlet = link.data, installation.outlet
    changes = put(
        data,
        section_mm2=section_mm2,
        protective_section_mm2=section_mm2,
        grade=grade,
        layers_on_drum=0,
        condition="no damage seen",
    )
    if any(one.kind is LinkKind.PLUG for one in installation.links):
        changes += put(data, plug_condition="no damage seen")
        for field in ("rating_a", "poles", "clock_position"):
            fact = outlet.number(field)
            if len(fact.options) == 1:
                changes += put(data, **{f"plug_{field}": fact.options[0]})
        changes += forget(data, "plug_terminals_from_mm2", "plug_terminals_to_mm2")
    return changes + forget(
        data,
        "ampacity_a",
        "resistance_ohm_per_km",
        "protective_resistance_ohm_per_km",
        "reactance_ohm_per_km",
    )
