"""The data of the time-current diagrams for the JSON document."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from feasibility.render.json_figures import rounded
from feasibility.render.numbers import message_text

if TYPE_CHECKING:
    from feasibility.time_current import ConductorLimit, DeviceCurve, DiagramPoint, TimeCurrent

Object = dict[str, Any]


def time_current_objects(diagrams: Sequence[TimeCurrent]) -> list[Object]:
    """Return one object for each diagram, figures rounded as in the rest of the document."""
    return [_diagram(one) for one in diagrams]


def _diagram(diagram: TimeCurrent) -> Object:
    return {
        "upstream": diagram.upstream,
        "downstream": diagram.downstream,
        "outcome": diagram.outcome.value,
        "selectivity": message_text(diagram.selectivity),
        "selective_up_to_a": rounded(diagram.selective_up_to_a),
        "smallest_fault_a": rounded(diagram.smallest_fault_a),
        "largest_fault_a": rounded(diagram.largest_fault_a),
        "design_current_a": rounded(diagram.design_current_a),
        "inrush": None if diagram.start is None else _point(diagram.start),
        "ampacity": _ampacity(diagram.ampacity),
        "withstand": _withstand(diagram),
        "curves": [_curve(one) for one in (diagram.before, diagram.after) if one is not None],
        "missing": list(diagram.missing),
    }


def _ampacity(limit: ConductorLimit | None) -> Object | None:
    if limit is None:
        return None
    return {"conductor": limit.name, "ampacity_a": rounded(limit.value)}


def _withstand(diagram: TimeCurrent) -> Object | None:
    limit = diagram.withstand
    if limit is None:
        return None
    return {
        "conductor": limit.name,
        "energy_a2s": rounded(limit.value),
        "from_s": rounded(diagram.withstand_from_s),
        "to_s": rounded(diagram.withstand_to_s),
    }


def _curve(curve: DeviceCurve) -> Object:
    return {
        "device": curve.name,
        "words": curve.words,
        "holds": [_point(point) for point in curve.quick],
        "operates": [_point(point) for point in curve.slow],
    }


def _point(point: DiagramPoint) -> Object:
    return {"current_a": rounded(point.current_a), "time_s": rounded(point.time_s)}
