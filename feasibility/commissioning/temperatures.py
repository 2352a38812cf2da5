"""Compare temperatures with what the standards permit, carried over to the full current.

The rise over the air grows with the current squared. A limit for a rise is compared with that rise,
a limit for a temperature with the rise on a warm day.
"""

from __future__ import annotations

from collections.abc import Iterator

from feasibility import tables
from feasibility.clauses.joint import rise_at_current_k
from feasibility.commissioning.outcome import Agreement, TemperatureResult
from feasibility.commissioning.prediction import Prediction
from feasibility.commissioning.record import TemperatureReading
from feasibility.expected_readings import PHASES, PermittedTemperature
from feasibility.tables import NotTabulated

_MINUTES_OF_AN_HOUR = 60
_LIKE = "above a like part under a like load"
_TOO_EARLY = "read too early to be steady"
_TOO_SMALL = "read at too small a current"
_UNLIKE = "warmer than the same part of another conductor"


def compare_temperatures(prediction: Prediction) -> Iterator[TemperatureResult]:
    """Yield the result of each temperature, once for each limit of its part."""
    readings = prediction.record.temperature
    for reading in readings:
        like = [
            one.temperature_c
            for one in readings
            if (one.link, one.part) == (reading.link, reading.part)
        ]
        for limit in prediction.assessment.expected_readings.temperatures:
            if (limit.link, limit.part) == (reading.link, reading.part):
                above = reading.temperature_c - min(like)
                yield _result(prediction, reading, limit, above_similar_k=above)


def steady_after_minutes(prediction: Prediction) -> float:
    """Return after how long a temperature counts as steady, by the type test of the outlet."""
    rating = prediction.run.installation.outlet.number("rating_a").options
    try:
        hours = tables.outlet_rule(
            rule="duration of the temperature-rise test", condition=f"{max(rating, default=0):g} A"
        ).value
    except NotTabulated:
        return prediction.run.basis.number("steady_minutes")
    return hours * _MINUTES_OF_AN_HOUR


def _current_a(prediction: Prediction, reading: TemperatureReading) -> float:
    """Return the current that warmed a part: that of its phase, else the largest."""
    each = dict(zip(PHASES, prediction.station_a, strict=True))
    return each.get(reading.conductor or "", 0.0) or max(prediction.station_a)


def _result(
    prediction: Prediction,
    reading: TemperatureReading,
    limit: PermittedTemperature,
    *,
    above_similar_k: float,
) -> TemperatureResult:
    basis, load = prediction.run.basis, prediction.record.load
    assert load is not None  # noqa: S101 - the record's consistency asks for it
    assert load.ambient_c is not None  # noqa: S101
    air = load.ambient_c if reading.ambient_c is None else reading.ambient_c
    rise = max(reading.temperature_c - air, 0.0)
    full, measured = prediction.in_operation_a, _current_a(prediction, reading)
    at_request = float(rise_at_current_k(rise_k=rise, measured_a=measured, current_a=full))
    if limit.unit != "K":
        at_request += max(air, basis.number("warm_day_c"))
    agreement, remark = Agreement.WITHIN, ""
    thermometer = prediction.record.thermometer
    error = 0.0 if thermometer is None else thermometer.error_k
    if at_request - error * (full / measured) ** 2 > limit.value:
        agreement = Agreement.DIFFERS
    elif above_similar_k >= tables.permitted_temperature(part=_LIKE).value:
        agreement, remark = Agreement.DIFFERS, _UNLIKE
    elif measured < basis.number("least_load_share") * full:
        agreement, remark = Agreement.CANNOT_TELL, _TOO_SMALL
    elif load.minutes is None or load.minutes < steady_after_minutes(prediction):
        agreement, remark = Agreement.CANNOT_TELL, _TOO_EARLY
    elif at_request + error * (full / measured) ** 2 > limit.value:
        agreement, remark = Agreement.CANNOT_TELL, "closer to the limit than the instrument tells"
    return TemperatureResult(
        link=reading.link,
        part=reading.part,
        conductor=reading.conductor or "",
        measured_c=reading.temperature_c,
        rise_k=rise,
        at_request=at_request,
        limit=limit.value,
        unit=limit.unit,
        above_similar_k=above_similar_k,
        agreement=agreement,
        remark=remark,
    )
