"""The assessment as one JSON object, described by ``assessment.schema.json`` beside this module.

Figures are rounded here, at the boundary, so that platforms agree; nothing is computed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from feasibility.advice import Advice
from feasibility.assessment import Assessment, Assumption
from feasibility.chain import ChainLink, PathElement
from feasibility.citation import Citation
from feasibility.operator_request import OperatorRequest, RequestItem
from feasibility.possible import PossibleCurrents
from feasibility.render.advice_json import advice_object
from feasibility.render.demand_log_rows import demand_object, log_object
from feasibility.render.expected_json import expected_object
from feasibility.render.generation_json import generation_object
from feasibility.render.json_figures import (
    current_down,
    margin_of,
    rounded,
    told_apart,
    utilisation_of,
    value_and_limit,
)
from feasibility.render.json_text import json_text
from feasibility.render.numbers import citation_text, message_text, unit_text
from feasibility.render.text import verdict_in_words
from feasibility.render.time_current_json import time_current_objects
from feasibility.render.year_json import year_object
from feasibility.result import Finding, NodeFaults, Quantity, Step

Object = dict[str, Any]


def to_json(assessment: Assessment, advice: Advice | None = None) -> str:
    """Return the assessment, and the advice if given, as indented JSON with a line end at its end.

    The same assessment gives the same bytes. What is not a finite number is null.
    """
    return json_text(_document(assessment, advice))


def _document(assessment: Assessment, advice: Advice | None) -> Object:
    titles = assessment.sources
    return {
        "schema_version": assessment.schema_version,
        "program_version": assessment.program_version,
        "survey": _survey(assessment),
        "code_basis": assessment.code_basis,
        "verdict": assessment.verdict.value,
        "verdict_in_words": verdict_in_words(assessment),
        "requested_current_a": _requested(assessment),
        "requested_working": [_step(one, titles) for one in assessment.requested_working],
        "carryable_current_a": current_down(assessment.carryable_current_a),
        "current_limit_only_a": current_down(assessment.current_limit_only_a),
        "advised_current_a": current_down(assessment.advised_current_a),
        "weakest_link": assessment.weakest_link or None,
        "possible_currents": _possible(assessment.possible),
        "weakest_links": [
            {"name": one.name, "check": one.check, "carries_a": current_down(one.carries_a)}
            for one in assessment.weakest_links
        ],
        "settings": _settings(assessment),
        "chain": [_chain_link(one) for one in assessment.chain],
        "feed_path": [_path_element(one) for one in assessment.path],
        "findings": [_finding(one, titles) for one in assessment.findings],
        "assumptions": [_assumption(one) for one in assessment.assumptions],
        "open_facts": [
            {"fact": one.fact, "label": one.label, "checks": list(one.checks)}
            for one in assessment.open_facts
        ],
        "cautions": [message_text(one) for one in assessment.cautions],
        "not_checked": list(assessment.not_checked),
        "network": _network(assessment),
        "voltage_along": _voltage_along(assessment),
        "time_current": time_current_objects(assessment.time_current),
        "demands": [demand_object(one) for one in assessment.demands],
        "demand_logs": [log_object(one) for one in assessment.demand_logs],
        "fault_levels": [_node_faults(one) for one in assessment.fault_levels],
        "operator_request": _operator_request(assessment.operator_request),
        "expected_readings": expected_object(assessment.expected_readings, titles, _quantity),
        "year": year_object(assessment.year),
        "generation": generation_object(assessment.generation),
        "advice": advice_object(assessment, advice),
        "sources": dict(sorted(titles.items())),
    }


def _survey(assessment: Assessment) -> Object:
    survey = assessment.survey
    return {
        "reference": survey.site.reference,
        "name": survey.site.name,
        "sha256": assessment.survey_sha256,
        "date": survey.surveyor.date.isoformat(),
        "surveyor": survey.surveyor.name,
    }


def _requested(assessment: Assessment) -> float | None:
    """Return the requested current so that it stays above every current that it exceeds."""
    carried = [one.carries_a for one in assessment.findings]
    return told_apart(
        assessment.requested_current_a,
        [
            assessment.carryable_current_a,
            assessment.current_limit_only_a,
            assessment.advised_current_a,
            *carried,
        ],
    )


def _possible(possible: PossibleCurrents) -> Object:
    return {
        "lowest_a": current_down(possible.lowest_a),
        "lowest_link": possible.lowest_link or None,
        "highest_a": current_down(possible.highest_a),
        "highest_link": possible.highest_link or None,
        "not_counted": list(possible.not_counted),
        "deciding": list(possible.deciding),
    }


def _settings(assessment: Assessment) -> Object:
    settings = assessment.settings
    return {
        "offered_a": [rounded(one) for one in settings.offered_a],
        "smallest_a": rounded(settings.smallest_a),
        "tolerance_percent": rounded(settings.tolerance_percent),
        "counts": settings.counts,
    }


def _chain_link(link: ChainLink) -> Object:
    return {
        "name": link.name,
        "kind": link.kind,
        "carries_a": current_down(link.carries_a),
        "advised_a": current_down(link.advised_a),
        "outcome": link.outcome.value,
    }


def _path_element(element: PathElement) -> Object:
    details = [
        one
        if isinstance(one, str)
        else {"value": rounded(one.value), "unit": unit_text(one.unit), "meaning": one.meaning}
        for one in element.details
    ]
    return {"name": element.name, "kind": element.kind, "details": details}


def _node_faults(faults: NodeFaults) -> Object:
    return {
        "node": faults.node,
        "faults": [
            {
                "kind": one.kind,
                "smallest_a": rounded(one.smallest_a),
                "largest_a": rounded(one.largest_a),
                "facts": list(one.facts),
                "lacking": one.lacking or None,
            }
            for one in faults.levels
        ],
    }


def _finding(finding: Finding, titles: Mapping[str, str]) -> Object:
    value, limit = value_and_limit(finding)
    return {
        "check": finding.check,
        "question": finding.question,
        "link": finding.link or None,
        "outcome": finding.outcome.value,
        "force": finding.force.value,
        "value": value,
        "limit": limit,
        "unit": unit_text(finding.unit),
        "sense": finding.sense.value,
        "margin": margin_of(finding),
        "utilisation": utilisation_of(finding),
        "carries_a": current_down(finding.carries_a),
        "depends_on_current": finding.depends_on_current,
        "reason": message_text(finding.reason),
        "facts": list(finding.facts),
        "sources": _citations(finding.sources, titles),
        "working": [_step(one, titles) for one in finding.working],
    }


def _step(step: Step, titles: Mapping[str, str]) -> Object:
    return {
        "symbol": step.symbol,
        "meaning": step.meaning,
        "formula": step.formula,
        "inputs": [_quantity(one, titles) for one in step.inputs],
        "result": rounded(step.result),
        "unit": unit_text(step.unit),
        "sources": _citations(step.sources, titles),
    }


def _quantity(quantity: Quantity, titles: Mapping[str, str]) -> Object:
    return {
        "symbol": quantity.symbol,
        "value": rounded(quantity.value),
        "unit": unit_text(quantity.unit),
        "meaning": quantity.meaning,
        "origin": quantity.origin,
        "note": quantity.note,
        "sources": _citations(quantity.sources, titles),
    }


def _citations(citations: Iterable[Citation], titles: Mapping[str, str]) -> list[str]:
    return list(dict.fromkeys(citation_text(one, titles) for one in citations))


def _assumption(assumption: Assumption) -> Object:
    numbers = [
        rounded(one)
        for one in sorted(
            one
            for one in assumption.options
            if isinstance(one, (int, float)) and not isinstance(one, bool)
        )
    ]
    return {
        "fact": assumption.fact,
        "label": assumption.label,
        "low": numbers[0] if numbers else None,
        "high": numbers[-1] if numbers else None,
        "options": [_option(one) for one in assumption.options],
        "unit": unit_text(assumption.unit),
        "reason": assumption.reason,
        "by": "surveyor" if assumption.by_surveyor else "code basis",
    }


def _option(option: float | str | bool) -> float | str | bool | None:  # noqa: FBT001
    return option if isinstance(option, (bool, str)) else rounded(option)


def _operator_request(request: OperatorRequest) -> Object:
    return {"notice": request.notice, "items": [_request_item(one) for one in request.items]}


def _request_item(item: RequestItem) -> Object:
    numbers = [
        rounded(one)
        for one in sorted(
            one
            for one in item.options
            if isinstance(one, (int, float)) and not isinstance(one, bool)
        )
    ]
    single = item.options[0] if len(item.options) == 1 else None
    return {
        "item": item.item,
        "label": item.label,
        "group": item.group,
        "value": None if single is None else _option(single),
        "low": numbers[0] if numbers else None,
        "high": numbers[-1] if numbers else None,
        "unit": unit_text(item.unit),
        "known": item.origin,
    }


def _network(assessment: Assessment) -> Object | None:
    network = assessment.network
    if network is None:
        return None
    return {
        "station_current_a": rounded(network.station_current_a),
        "nodes": [
            {
                "name": one.name,
                "line_voltage_v": rounded(one.line_voltage_v),
                "phase_voltages_v": [rounded(volts) for volts in one.phase_voltages_v],
                "unbalance_percent": rounded(one.unbalance_percent),
            }
            for one in network.nodes
        ],
        "branches": [
            {
                "name": one.name,
                "current_a": rounded(one.current_a),
                "phase_currents_a": [rounded(amperes) for amperes in one.phase_currents_a],
                "loading_percent": rounded(one.loading_percent),
                "neutral_current_a": rounded(one.neutral_current_a),
                "loss_w": rounded(one.loss_w),
            }
            for one in network.branches
        ],
        "conductors": [
            {"name": name, "temperature_c": rounded(value)}
            for name, value in network.conductor_temperatures_c.items()
        ],
        "solver_deviation": rounded(network.solver_deviation),
    }


def _voltage_along(assessment: Assessment) -> Object | None:
    along = assessment.voltage_along
    if along is None:
        return None
    return {
        "between_lines": along.between_lines,
        "station_current_a": rounded(along.station_current_a),
        "nominal_v": rounded(along.nominal_v),
        "highest_v": rounded(along.highest_v),
        "accepted_from_v": rounded(along.accepted_from_v),
        "points": [
            {
                "name": one.name,
                "distance_m": rounded(one.distance_m),
                "loaded_v": rounded(one.loaded_v),
                "idle_v": rounded(one.idle_v),
            }
            for one in along.points
        ],
    }
