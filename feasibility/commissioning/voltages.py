"""Compare the drop of the station's current over each part of the feed path with the prediction.

The drop is what a voltage falls by when the station starts to draw; of that fall, what the node
before falls by is taken off. The percentage error of one instrument stands in both readings alike,
so that it counts for the difference only; each reading has the digits of its own.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from feasibility.checks.station_alone import Drops, drops_of_station
from feasibility.clauses.joint import joint_loss_w, series_resistance_ohm
from feasibility.commissioning.outcome import Agreement, DropResult
from feasibility.commissioning.prediction import Prediction, together
from feasibility.commissioning.record import Clamp, Voltages, Voltmeter
from feasibility.result import Span
from feasibility.units import SQRT3

_READINGS_OF_A_SECTION = 4
_LEAD = math.pi / 6
"""A voltage between lines leads that of its first line by 30 degrees."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Two conductors between which a voltage is read, and the phases whose current drops it."""

    field: str
    name: str
    column: int
    to_neutral: bool
    phases: tuple[int, ...]


PAIRS = (
    Pair(field="l1_n_v", name="L1-N", column=0, to_neutral=True, phases=(0,)),
    Pair(field="l2_n_v", name="L2-N", column=1, to_neutral=True, phases=(1,)),
    Pair(field="l3_n_v", name="L3-N", column=2, to_neutral=True, phases=(2,)),
    Pair(field="l1_l2_v", name="L1-L2", column=0, to_neutral=False, phases=(0, 1)),
    Pair(field="l2_l3_v", name="L2-L3", column=1, to_neutral=False, phases=(1, 2)),
    Pair(field="l3_l1_v", name="L3-L1", column=2, to_neutral=False, phases=(2, 0)),
)


def compare_drops(prediction: Prediction) -> Iterator[DropResult]:
    """Yield the result of each part of the path and each pair of conductors that was read.

    NotKnown and NotSupplied as the network has them.
    """
    record = prediction.record
    if not any(_fallen(prediction, node, pair) is not None for node, pair in _readings(prediction)):
        return
    assert record.voltmeter is not None  # noqa: S101 - the record's consistency asks for both
    assert record.clamp is not None  # noqa: S101
    expected = _expected(prediction)
    for pair in PAIRS:
        if not all(prediction.station_a[phase] > 0 for phase in pair.phases):
            continue
        with_reading = [n for n in prediction.read if _fallen(prediction, n, pair) is not None]
        for start, end in pairwise(with_reading):
            yield _section(prediction, pair, start, end, expected, record.voltmeter, record.clamp)


def _readings(prediction: Prediction) -> Iterator[tuple[int, Pair]]:
    for node in prediction.read:
        for pair in PAIRS:
            yield node, pair


def _fallen(prediction: Prediction, node: int, pair: Pair) -> float | None:
    """Return by how much a voltage fell when the station started, None where it was not read."""
    read = prediction.read[node]
    before, after = _value(read.without_station, pair), _value(read.with_station, pair)
    return None if before is None or after is None else before - after


def _value(voltages: Voltages | None, pair: Pair) -> float | None:
    value: float | None = None if voltages is None else getattr(voltages, pair.field)
    return value


def _expected(prediction: Prediction) -> tuple[Drops, Drops]:
    run, warm, cold = prediction.run, prediction.warmest_c, prediction.coldest_c
    origin = _origin_line_v(prediction)
    least = drops_of_station(
        run,
        prediction.station_a,
        origin_line_voltage_v=origin,
        celsius=lambda _: cold,
        greatest=False,
    )
    most = drops_of_station(
        run,
        prediction.station_a,
        origin_line_voltage_v=origin,
        celsius=lambda link: warm[link.name],
        greatest=True,
    )
    return least, most


def _origin_line_v(prediction: Prediction) -> float:
    """Return the voltage between lines at the origin with the station on, nominal if not read."""
    read = prediction.read.get(0)
    found = [
        value * (SQRT3 if pair.to_neutral else 1.0)
        for pair in PAIRS
        if read is not None and (value := _value(read.with_station, pair)) is not None
    ]
    return sum(found) / len(found) if found else prediction.run.operation.nominal_voltage_v


def _section(
    prediction: Prediction,
    pair: Pair,
    start: int,
    end: int,
    expected: tuple[Drops, Drops],
    voltmeter: Voltmeter,
    clamp: Clamp,
) -> DropResult:
    before, after = _fallen(prediction, start, pair), _fallen(prediction, end, pair)
    assert before is not None and after is not None  # noqa: S101, PT018 - only such nodes are asked
    measured = after - before
    span = _span(expected, pair, start, end)
    current = float(np.mean([prediction.station_a[phase] for phase in pair.phases]))
    load = prediction.record.load
    swing = 0.0 if load is None or load.origin_swing_v is None else load.origin_swing_v
    current_error = prediction.reading_tolerance(clamp, clamp.resolution_a, current) / current
    tolerance = together(
        voltmeter.percent / 100 * abs(measured),
        *[voltmeter.digits * voltmeter.resolution_v] * _READINGS_OF_A_SECTION,
        swing,
        current_error * span.high,
    )
    return _judged(prediction, pair, (start, end), current, measured, span, tolerance)


def _span(expected: tuple[Drops, Drops], pair: Pair, start: int, end: int) -> Span:
    def between(drops: Drops) -> float:
        levels = drops.to_neutral_v if pair.to_neutral else drops.between_lines_v
        return float(levels[end, pair.column] - levels[start, pair.column])

    ends = sorted(between(drops) for drops in expected)
    return Span(low=ends[0], high=ends[1])


def _shares(pair: Pair, power_factor: float) -> tuple[float, float, float]:
    """Return which share of the drop in a joint a voltage shows: least, usual, most.

    To neutral it is the power factor. Between lines it depends on which of the two lines has the
    joint: the current of one lags further behind the voltage, that of the other less.
    """
    if pair.to_neutral:
        return (power_factor, power_factor, power_factor)
    lag = math.acos(power_factor)
    return (
        max(math.cos(_LEAD + lag), math.ulp(1.0)),
        math.cos(_LEAD) * power_factor,
        math.cos(_LEAD - lag),
    )


def _judged(
    prediction: Prediction,
    pair: Pair,
    section: tuple[int, int],
    current_a: float,
    measured_v: float,
    span: Span,
    tolerance_v: float,
) -> DropResult:
    least, middle, most = _shares(pair, prediction.run.operation.station_power_factor())

    def ohm(drop_v: float, share: float) -> float:
        drop_v = max(drop_v, 0.0)
        return float(series_resistance_ohm(drop_v=drop_v, current_a=current_a, power_factor=share))

    def watt(resistance_ohm: float) -> float:
        amperes = prediction.in_operation_a
        return float(joint_loss_w(resistance_ohm=resistance_ohm, current_a=amperes))

    hidden = ohm(measured_v + tolerance_v - span.low, least)
    agreement, extra, likely = Agreement.WITHIN, None, None
    if not math.isfinite(measured_v) or measured_v < span.low - tolerance_v:
        agreement = Agreement.DIFFERS
    elif measured_v > span.high + tolerance_v:
        agreement = Agreement.DIFFERS
        extra = Span(low=ohm(measured_v - tolerance_v - span.high, most), high=hidden)
        likely = ohm(measured_v - (span.low + span.high) / 2, middle)
    elif watt(hidden) > prediction.run.basis.number("joint_loss_w"):
        agreement = Agreement.CANNOT_TELL
    start, end = section
    return DropResult(
        from_node=prediction.nodes[start],
        to_node=prediction.nodes[end],
        links=prediction.links_between(start, end),
        conductors=pair.name,
        current_a=current_a,
        measured_v=measured_v,
        expected_v=span,
        tolerance_v=tolerance_v,
        agreement=agreement,
        extra_ohm=extra,
        likely_ohm=likely,
        likely_loss_w=None if likely is None else watt(likely),
        hidden_ohm=hidden,
        hidden_loss_w=watt(hidden),
    )
