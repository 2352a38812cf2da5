"""The expected readings as plain objects for the JSON."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from feasibility.expected_readings import (
    ExpectedNode,
    ExpectedReadings,
    PermittedTemperature,
)
from feasibility.render.json_figures import rounded
from feasibility.render.numbers import citation_text, unit_text
from feasibility.result import Quantity, Span


def expected_object(
    expected: ExpectedReadings,
    titles: Mapping[str, str],
    quantity_object: Callable[[Quantity, Mapping[str, str]], dict[str, Any]],
) -> dict[str, Any]:
    """Return the expected readings; what is not known is null."""
    return {
        "test_current_a": rounded(expected.test_current_a),
        "phases": list(expected.phases),
        "verdict_stands": expected.verdict_stands,
        "nodes": [_node(one) for one in expected.nodes],
        "temperatures": [_temperature(one, titles) for one in expected.temperatures],
        "tests": [
            {
                "test": one.test,
                "how": one.how,
                "links": list(one.links),
                "limits": [quantity_object(limit, titles) for limit in one.limits],
                "source": citation_text(one.citation, titles),
            }
            for one in expected.tests
        ],
    }


def _node(node: ExpectedNode) -> dict[str, Any]:
    return {
        "node": node.node,
        "section": node.section or None,
        "voltage_between": node.voltage_between,
        "voltage_v": _span(node.voltage_v),
        "drop_v": _span(node.drop_v),
        "section_drop_v": _span(node.section_drop_v),
        "protective_ohm": _span(node.protective_ohm),
        "line_and_protective_ohm": _span(node.line_and_protective_ohm),
        "loop_ohm": _span(node.loop_ohm),
        "loop_permitted_ohm": rounded(node.loop_permitted_ohm),
        "loop_advised_ohm": rounded(node.loop_advised_ohm),
        "fault_between": node.fault_between,
        "fault_current_a": _span(node.fault_current_a),
        "lacking": list(node.lacking),
    }


def _span(span: Span | None) -> dict[str, float | None] | None:
    return None if span is None else {"low": rounded(span.low), "high": rounded(span.high)}


def _temperature(limit: PermittedTemperature, titles: Mapping[str, str]) -> dict[str, Any]:
    return {
        "link": limit.link,
        "part": limit.part,
        "value": rounded(limit.value),
        "unit": unit_text(limit.unit),
        "sources": list(dict.fromkeys(citation_text(one, titles) for one in limit.sources)),
    }
