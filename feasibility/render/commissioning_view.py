"""The report's sheet for the commissioning: tests, expected readings, room for what is read."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from feasibility.render.numbers import EN_DASH, NOT_KNOWN, amount_text, number_text, with_unit
from feasibility.render.precautions import isolation
from feasibility.render.survey_values import stated_text
from feasibility.result import Verdict
from feasibility.survey.model import OUTLET

if TYPE_CHECKING:
    from feasibility.assessment import Assessment
    from feasibility.expected_readings import ExpectedNode
    from feasibility.initial_tests import InitialTest
    from feasibility.result import Span
    from feasibility.survey.model import Survey

NOT_STANDING = (
    "The verdict does not let the station be connected as the site was surveyed. The figures hold "
    "for the site before its change: survey it again after the change and use that report's sheet."
)
NOT_DECIDED = (
    "It is not decided yet whether the station may be connected. Find out the open facts first, "
    "have the site assessed again and use that report's sheet."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class InitialTestRow:
    """One test with its limits."""

    number: str
    test: str
    how: str
    limits: str
    clause: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NodeRow:
    """What should be read at a node."""

    node: str
    section: str
    protective: str
    with_line: str
    drop: str
    drop_from_origin: str
    loop: str
    loop_read: str
    loop_most: str
    fault: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TemperatureRow:
    """What a part may reach."""

    link: str
    part: str
    permitted: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CommissioningSheet:
    """The whole sheet. ``phases`` head the columns for what is read."""

    isolation: tuple[str, ...]
    tests: tuple[InitialTestRow, ...]
    not_standing: str
    test_current: str
    between: str
    fault_between: str
    phases: tuple[str, ...]
    nodes: tuple[NodeRow, ...]
    temperatures: tuple[TemperatureRow, ...]
    lacking: tuple[str, ...]


def commissioning_sheet(assessment: Assessment) -> CommissioningSheet:
    """Return the sheet as text."""
    expected, survey = assessment.expected_readings, assessment.survey
    lacking = [_sentence(words) for one in expected.nodes for words in one.lacking]
    current = expected.test_current_a
    read = _loops_read(survey)
    return CommissioningSheet(
        isolation=isolation(survey),
        tests=tuple(_test(number, one) for number, one in enumerate(expected.tests, start=1)),
        not_standing=_not_standing(assessment),
        test_current="its full current" if current is None else amount_text(current, "A"),
        between=_either(one.voltage_between for one in expected.nodes[1:]),
        fault_between=_either(one.fault_between for one in expected.nodes),
        phases=expected.phases or ("L1", "L2", "L3"),
        nodes=tuple(_node(one, read.get(one.node, "")) for one in expected.nodes),
        temperatures=tuple(
            TemperatureRow(
                link=one.link,
                part=one.part,
                permitted=f"{amount_text(one.value, one.unit)}"
                f"{' above the air' if one.unit == 'K' else ''}",
            )
            for one in expected.temperatures
        ),
        lacking=tuple(dict.fromkeys(lacking)),
    )


def _not_standing(assessment: Assessment) -> str:
    if assessment.expected_readings.verdict_stands:
        return ""
    return NOT_DECIDED if assessment.verdict is Verdict.UNDECIDED else NOT_STANDING


def _either(words: Iterable[str]) -> str:
    return " or ".join(sorted(set(words)))


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}."


def _loops_read(survey: Survey) -> dict[str, str]:
    """Return what the survey read of the earth-fault loop, by node."""
    places = [(one.name, one.measured_loop_impedance_ohm) for one in survey.board]
    places.append((OUTLET, survey.outlet.measured_loop_impedance_ohm))
    return {name: stated_text(read) for name, read in places if read is not None}


def span_text(span: Span | None, unit: str = "") -> str:
    """Return the two ends, one figure where they are shown alike, or that it is not known."""
    if span is None:
        return NOT_KNOWN
    low, high = number_text(span.low), number_text(span.high)
    text = low if low == high else f"{low} {EN_DASH} {high}"
    return with_unit(text, unit) if unit else text


def _test(number: int, one: InitialTest) -> InitialTestRow:
    limits = [f"{limit.meaning}: {amount_text(limit.value, limit.unit)}" for limit in one.limits]
    where = f" ({', '.join(one.links)})" if one.links else ""
    return InitialTestRow(
        number=str(number),
        test=f"{one.test}{where}",
        how=one.how,
        limits="; ".join(limits),
        clause=one.citation.clause,
    )


def _node(one: ExpectedNode, loop_read: str) -> NodeRow:
    most = one.loop_advised_ohm
    return NodeRow(
        node=one.node,
        section=one.section,
        protective=span_text(one.protective_ohm),
        with_line=span_text(one.line_and_protective_ohm),
        drop="" if not one.section else span_text(one.section_drop_v),
        drop_from_origin="" if not one.section else span_text(one.drop_v),
        loop=span_text(one.loop_ohm),
        loop_read=loop_read,
        loop_most="" if most is None else number_text(most),
        fault=span_text(one.fault_current_a),
    )
