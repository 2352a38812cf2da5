"""A comparison of readings as one JSON object, described by ``commissioning.schema.json``."""

from __future__ import annotations

from typing import Any

from feasibility import __version__
from feasibility.commissioning.outcome import (
    Comparison,
    CurrentResult,
    DropResult,
    LoopResult,
    Suspect,
    TemperatureResult,
)
from feasibility.render.commissioning_text import MEANING
from feasibility.render.json_figures import rounded
from feasibility.render.json_text import json_text
from feasibility.render.numbers import message_text, unit_text
from feasibility.result import Span

SCHEMA_VERSION = "1.0"

Object = dict[str, Any]


def commissioning_json(comparison: Comparison) -> str:
    """Return the comparison as indented JSON; what is not a finite number is null."""
    return json_text(
        {
            "schema_version": SCHEMA_VERSION,
            "program_version": __version__,
            "survey": {
                "reference": comparison.reference,
                "name": comparison.site,
                "sha256": comparison.survey_sha256,
            },
            "record": {"date": comparison.date.isoformat(), "read_by": comparison.read_by},
            "agreement": comparison.agreement.value,
            "agreement_in_words": MEANING[comparison.agreement],
            "in_operation_a": rounded(comparison.in_operation_a),
            "suspects": [_suspect(one) for one in comparison.suspects],
            "drops": [_drop(one) for one in comparison.drops],
            "loops": [_loop(one) for one in comparison.loops],
            "currents": [_current(one) for one in comparison.currents],
            "temperatures": [_temperature(one) for one in comparison.temperatures],
            "not_compared": list(comparison.not_compared),
            "notes": list(comparison.notes),
        }
    )


def _suspect(one: Suspect) -> Object:
    return {
        "links": list(one.links),
        "conductors": list(one.conductors),
        "likely_ohm": rounded(one.likely_ohm),
        "likely_loss_w": rounded(one.likely_loss_w),
        "evidence": [message_text(words) for words in one.evidence],
        "causes": one.causes,
    }


def _drop(one: DropResult) -> Object:
    return {
        "from_node": one.from_node,
        "to_node": one.to_node,
        "links": list(one.links),
        "conductors": one.conductors,
        "current_a": rounded(one.current_a),
        "measured_v": rounded(one.measured_v),
        "expected_v": _span(one.expected_v),
        "tolerance_v": rounded(one.tolerance_v),
        "agreement": one.agreement.value,
        "extra_ohm": _span(one.extra_ohm),
        "likely_ohm": rounded(one.likely_ohm),
        "likely_loss_w": rounded(one.likely_loss_w),
        "hidden_ohm": rounded(one.hidden_ohm),
        "hidden_loss_w": rounded(one.hidden_loss_w),
    }


def _loop(one: LoopResult) -> Object:
    return {
        "from_node": one.from_node or None,
        "to_node": one.to_node,
        "links": list(one.links),
        "conductor": one.conductor,
        "read_ohm": rounded(one.read_ohm),
        "measured_ohm": rounded(one.measured_ohm),
        "expected_ohm": _span(one.expected_ohm),
        "tolerance_ohm": rounded(one.tolerance_ohm),
        "permitted_ohm": rounded(one.permitted_ohm),
        "above_permitted": one.is_above_permitted,
        "advised_ohm": rounded(one.advised_ohm),
        "agreement": one.agreement.value,
        "extra_ohm": _span(one.extra_ohm),
    }


def _current(one: CurrentResult) -> Object:
    return {
        "phase": one.phase,
        "measured_a": rounded(one.measured_a),
        "assessed_a": rounded(one.assessed_a),
        "tolerance_a": rounded(one.tolerance_a),
        "agreement": one.agreement.value,
    }


def _temperature(one: TemperatureResult) -> Object:
    return {
        "link": one.link,
        "part": one.part,
        "conductor": one.conductor or None,
        "measured_c": rounded(one.measured_c),
        "rise_k": rounded(one.rise_k),
        "at_request": rounded(one.at_request),
        "limit": rounded(one.limit),
        "unit": unit_text(one.unit),
        "above_similar_k": rounded(one.above_similar_k),
        "agreement": one.agreement.value,
        "remark": one.remark or None,
    }


def _span(span: Span | None) -> Object | None:
    return None if span is None else {"low": rounded(span.low), "high": rounded(span.high)}
