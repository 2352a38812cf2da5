"""The report's sheet for the commissioning: tests, expected readings, room for what is read."""

from __future__ import annotations

from dataclasses import dataclass

from feasibility.expected_readings import ExpectedNode, ExpectedReadings, Span
from feasibility.initial_tests import InitialTest
from feasibility.render.numbers import EN_DASH, NOT_KNOWN, amount_text, number_text, with_unit

NOT_STANDING = (
    "The verdict does not let the station be connected as the site was surveyed. The figures hold "
    "for the site before its change: survey it again after the change and use that report's sheet."
)
ISOLATION = (
    "Switch off every source on all poles: the network, and the station with its battery.",
    "Secure each of them against being switched on again: a lock, its key with whoever works here, "
    "and a notice.",
    "Prove the indicator with two poles, prove all conductors against each other and against earth "
    "dead with it, and prove the indicator once more.",
    "Earth and short-circuit where the rules for the place ask for it, the earth first.",
    "Cover neighbouring parts that stay live.",
    "Wait for the discharging time on the station's label before its parts are touched.",
)
"""EN 50110-1, dead working, and the trade; from memory."""


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
    drop: str
    drop_from_origin: str
    loop: str
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
    phases: tuple[str, ...]
    nodes: tuple[NodeRow, ...]
    temperatures: tuple[TemperatureRow, ...]
    lacking: tuple[str, ...]


def commissioning_sheet(expected: ExpectedReadings) -> CommissioningSheet:
    """Return the sheet as text."""
    lacking = [words for one in expected.nodes for words in one.lacking]
    current = expected.test_current_a
    betweens = {one.voltage_between for one in expected.nodes[1:]}
    return CommissioningSheet(
        isolation=ISOLATION,
        tests=tuple(_test(number, one) for number, one in enumerate(expected.tests, start=1)),
        not_standing="" if expected.verdict_stands else NOT_STANDING,
        test_current="its full current" if current is None else amount_text(current, "A"),
        between=" or ".join(sorted(betweens)),
        phases=expected.phases or ("L1", "L2", "L3"),
        nodes=tuple(_node(one) for one in expected.nodes),
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


def _node(one: ExpectedNode) -> NodeRow:
    most = one.loop_advised_ohm
    return NodeRow(
        node=one.node,
        section=one.section,
        drop="" if not one.section else span_text(one.section_drop_v),
        drop_from_origin="" if not one.section else span_text(one.drop_v),
        loop=span_text(one.loop_ohm),
        loop_most="" if most is None else number_text(most),
        fault=span_text(one.fault_current_a),
    )
