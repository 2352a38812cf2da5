"""The advice as an object of the JSON document."""

from __future__ import annotations

import json
from typing import Any

from feasibility.advice import Advice
from feasibility.assessment import Assessment
from feasibility.open_facts import FactWeight
from feasibility.remedies.record import OfferedPart, Remedy
from feasibility.render.advice_view import need_in_words
from feasibility.render.json_figures import current_down, rounded
from feasibility.render.numbers import message_text

Object = dict[str, Any]


def advice_object(assessment: Assessment, advice: Advice | None) -> Object | None:
    """Return the advice as the schema describes it; None where none was asked for."""
    if advice is None:
        return None
    return {
        "need": advice.need.value,
        "in_words": need_in_words(assessment, advice),
        "remedies": [_remedy(one) for one in advice.remedies],
        "reduced": [_remedy(one) for one in advice.reduced],
        "without_remedy": [{"check": one.check, "link": one.link} for one in advice.without_remedy],
        "ended_early": advice.ended_early,
        "currency": advice.currency or None,
        "facts": [_fact(one) for one in advice.facts],
    }


def _remedy(remedy: Remedy) -> Object:
    return {
        "parts": [_part(one) for one in remedy.parts],
        "requested_a": rounded(remedy.requested_a),
        "carries_a": current_down(remedy.carries_a),
        "verdict": remedy.verdict.value,
        "price": rounded(remedy.price),
    }


def _part(offered: OfferedPart) -> Object:
    part = offered.part
    return {
        "kind": part.kind.value,
        "link": part.link,
        "words": message_text(part.words),
        "alone_a": current_down(offered.alone_a),
        "quantity": rounded(part.quantity),
        "unit": part.kind.unit,
        "changes": [{"place": one.place, "value": _written(one.value)} for one in part.changes],
    }


def _written(value: object) -> str:
    """Return a value in the notation of JSON; figures and words are those of ``--set``."""
    return json.dumps(_plain(value), ensure_ascii=False, allow_nan=False)


def _plain(value: object) -> object:
    """Return a hypothetical value as a file would give it, without the label that it carries."""
    if isinstance(value, dict):
        if "value" in value:
            return _plain(value["value"])
        return {key: _plain(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(one) for one in value]
    if isinstance(value, float):
        return int(value) if value.is_integer() else rounded(value)
    return value


def _fact(weight: FactWeight) -> Object:
    return {
        "fact": weight.fact,
        "label": weight.label,
        "missing": weight.missing,
        "holds_current": weight.holds_current,
        "lowest_a": current_down(weight.lowest_a),
        "highest_a": current_down(weight.highest_a),
        "decides": weight.decides.value,
    }
