"""Commissioning records for tests: the shipped one, and readings made by phasors alone."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

from feasibility.assessment import Assessment
from feasibility.commissioning.compare import compare
from feasibility.commissioning.outcome import Comparison
from feasibility.commissioning.record import CommissioningRecord
from feasibility.examples import example_companions

from ..checks.sites import quick
from .by_hand import R20_FLEXIBLE_OHM_PER_KM, R20_OHM_PER_KM, Stretch, voltages_v

Data = dict[str, Any]
NODES = ("origin", "Main board", "outlet", "station")
TO_NEUTRAL = ("l1_n_v", "l2_n_v", "l3_n_v")
BETWEEN_LINES = ("l1_l2_v", "l2_l3_v", "l3_l1_v")


@cache
def bakery() -> Assessment:
    return quick("bakery-yard")


def shipped() -> Data:
    """Return the record that is shipped with the bakery's yard."""
    content = example_companions("bakery-yard")["bakery-yard-record.toml"]
    return tomllib.loads(content.decode())


def stretches(
    joints: Mapping[int, Mapping[str, float]] | None = None, celsius: float = 40.0
) -> list[Stretch]:
    """Return the bakery's main cable, yard cable and cord, with joints by position."""
    at = joints or {}
    cables = ((14, R20_OHM_PER_KM[16]), (22, R20_OHM_PER_KM[6]), (8, R20_FLEXIBLE_OHM_PER_KM[6]))
    return [
        Stretch(length_m, ohm_per_km, celsius, at.get(position, {}))
        for position, (length_m, ohm_per_km) in enumerate(cables)
    ]


def read_at_the_bakery(
    joints: Mapping[int, Mapping[str, float]] | None = None,
    *,
    currents_a: Sequence[float] = (24.0, 24.0, 24.0),
    pairs: Sequence[str] = TO_NEUTRAL,
    celsius: float = 40.0,
    digits: float = 2,
    resolution_v: float = 0.01,
) -> Data:
    """Return a record of voltages alone, as an instrument of this resolution shows them."""
    on = voltages_v(stretches(joints, celsius), currents_a, 0.99, 231.0)
    off = voltages_v(stretches(joints, celsius), (0, 0, 0), 0.99, 231.4)

    def shown(voltages: Mapping[str, float]) -> Data:
        return {pair: round(voltages[pair] / resolution_v) * resolution_v for pair in pairs}

    nodes = [
        {"name": name, "with_station": shown(loaded), "without_station": shown(idle)}
        for name, loaded, idle in zip(NODES, on, off, strict=True)
    ]
    meter = {"name": "meter", "percent": 0.5, "digits": digits}
    return {
        "record_version": 1,
        "survey_reference": "EX-01",
        "date": shipped()["date"],
        "read_by": "A. Surveyor",
        "voltmeter": {**meter, "resolution_v": resolution_v},
        "clamp": {**meter, "resolution_a": 0.01},
        "load": dict(zip(("l1_a", "l2_a", "l3_a"), currents_a, strict=True)),
        "node": nodes,
    }


def compared(data: Data, assessment: Assessment | None = None) -> Comparison:
    return compare(assessment or bakery(), CommissioningRecord.model_validate(data))
