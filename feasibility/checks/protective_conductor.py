"""Is the protective conductor there and large enough? IEC 60364-5-54, 543.1."""

from __future__ import annotations

from collections.abc import Sequence

from feasibility import tables
from feasibility.checks.question import Check, Run, finding, verdict_of
from feasibility.checks.working import given, step
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.result import Finding, Outcome, Sense


def _cables(installation: Installation) -> Sequence[Link]:
    return installation.links_of(LinkKind.CABLE, LinkKind.CORD)


def _judge(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("protective_conductor")
    fact, line_fact = link.data.number("protective_section_mm2"), link.data.number("section_mm2")
    if _double_insulated_tt(run, link):
        words = "TT, double or reinforced insulation throughout: no protective conductor is needed."
        return finding(PROTECTIVE, link, limit, Outcome.NOT_APPLICABLE, words)
    section = run.ends.low_is_bad(fact)
    if section <= 0:
        return finding(
            PROTECTIVE,
            link,
            limit,
            verdict_of(limit, passes=False),
            "There is no protective conductor in this piece of cable.",
        )
    line = run.ends.high_is_bad(line_fact)
    least = tables.minimum_protective_section(line_section_mm2=line).named("Smin")
    passes = section >= least.value
    template = (
        "The protective conductor of {value} meets the {bound} of the table."
        if passes
        else "The protective conductor of {value} is smaller than the {bound} of the table; "
        "whether it withstands the fault has to be calculated with the device's let-through energy."
    )
    inputs = [given(line_fact, line, "S")]
    return finding(
        PROTECTIVE,
        link,
        limit,
        Outcome.PASS if passes else Outcome.OPEN,
        template,
        {"value": given(fact, section, "Spe"), "bound": least},
        working=(
            step("S", "section of the line conductor", "S", inputs, line, "mm²"),
            step("Smin", "Table 54.2", "Smin", [least], least.value, "mm²"),
        ),
        value=section,
        bound=least.value,
        unit="mm²",
        sense=Sense.AT_LEAST,
    )


def _double_insulated_tt(run: Run, link: Link) -> bool:
    circuit = run.installation.circuit_of(link)
    tt = run.installation.supply.word("earthing_system").options == ("TT",)
    insulated = circuit.data.flag("double_insulated").options == (True,)
    return tt and insulated and not circuit.is_final


def _at_the_station(installation: Installation) -> Sequence[Link]:
    return [*installation.final_circuit.cables, *installation.links_of(LinkKind.CORD)]


def _judge_reinforced(run: Run, link: Link) -> Finding:
    """Judge the conductor for a standing current above 10 mA (IEC 60364-5-54, 543.7)."""
    limit = run.basis.limit("reinforced_protective_conductor")
    current_fact = run.installation.station.number("protective_conductor_current_ma")
    current = run.ends.high_is_bad(current_fact)
    threshold = limit.quantity("Imax", "standing current without reinforcement")
    values = {"current": given(current_fact, current, "Ipe"), "threshold": threshold}
    if current <= threshold.value:
        words = "The standing current of {current} is within {threshold}."
        return finding(REINFORCED, link, limit, Outcome.PASS, words, values)
    section_fact = link.data.number("protective_section_mm2")
    section = run.ends.low_is_bad(section_fact)
    plugged = run.ends.known(run.installation.outlet.word("kind")) == "IEC 60309"
    multicore = link.kind is LinkKind.CORD or (
        run.ends.worst(link.data.word("construction"), lambda word: float(word == "multicore"))
        == "multicore"
    )
    key = "reinforced_plug_section_mm2" if plugged and multicore else "reinforced_section_mm2"
    least = run.basis.limit(key).quantity("Smin", "least section")
    passes = section >= least.value
    words = (
        "For a standing current of {current} the protective conductor of {section} meets {least}."
        if passes
        else "For a standing current of {current} the protective conductor of {section} is below "
        "{least}: a second or a monitored protective conductor, or a larger one, is needed."
    )
    return finding(
        REINFORCED,
        link,
        limit,
        Outcome.PASS if passes else Outcome.OPEN,
        words,
        {**values, "section": given(section_fact, section, "Spe"), "least": least},
        value=section,
        bound=least.value,
        unit="mm²",
        sense=Sense.AT_LEAST,
    )


PROTECTIVE = Check(
    name="protective-conductor",
    question="Is the protective conductor there and large enough?",
    links=_cables,
    judge=_judge,
)

REINFORCED = Check(
    name="reinforced-protective-conductor",
    question="Is the protective conductor fit for the station's standing current?",
    links=_at_the_station,
    judge=_judge_reinforced,
)

CHECKS = (PROTECTIVE, REINFORCED)
