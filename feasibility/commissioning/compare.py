"""Compare a commissioning record with the assessment of its survey."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TypeVar

from feasibility.assessment import Assessment
from feasibility.checks.question import Run
from feasibility.commissioning.loops import compare_loops
from feasibility.commissioning.outcome import (
    Agreement,
    Comparison,
    CurrentResult,
    DropResult,
)
from feasibility.commissioning.prediction import Prediction
from feasibility.commissioning.record import CommissioningRecord
from feasibility.commissioning.record_consistency import Known
from feasibility.commissioning.suspects import suspects
from feasibility.commissioning.temperatures import compare_temperatures, steady_after_minutes
from feasibility.commissioning.voltages import compare_drops
from feasibility.demand_log.record import DemandLog
from feasibility.expected_readings import PHASES
from feasibility.installation.build import build_installation
from feasibility.installation.facts import NotKnown
from feasibility.network.solution import NotSupplied
from feasibility.tables import NotTabulated
from feasibility.units import OutOfRange

T = TypeVar("T")


def known_to(assessment: Assessment) -> Known:
    """Return what a record may refer to."""
    expected = assessment.expected_readings
    return Known(
        reference=assessment.survey.site.reference,
        nodes=tuple(one.node for one in expected.nodes),
        parts=tuple(dict.fromkeys((one.link, one.part) for one in expected.temperatures)),
        phases=expected.phases,
    )


def compare(
    assessment: Assessment,
    record: CommissioningRecord,
    demand_logs: Mapping[str, DemandLog] | None = None,
) -> Comparison:
    """Compare the readings with what the assessment predicts at the current that flowed.

    ``record`` has passed the consistency rules for this assessment. What cannot be computed is
    named in ``not_compared``.
    """
    run = Run.over(build_installation(assessment.survey, demand_logs), favourable=False)
    prediction = Prediction(run, assessment, record)
    lacking: list[str] = []
    drops = _each("drops", compare_drops(prediction), lacking)
    loops = _each("loops", compare_loops(prediction), lacking)
    temperatures = _each("temperatures", compare_temperatures(prediction), lacking)
    currents = tuple(_currents(prediction))
    unread = tuple(_without_drop(prediction, drops))
    lacking.extend(unread if drops else ())
    lacking.extend(_not_read(record))
    found = [one.agreement for one in drops]
    found += [one.agreement for one in loops]
    found += [one.agreement for one in currents]
    found += [one.agreement for one in temperatures]
    return Comparison(
        site=assessment.survey.site.name,
        reference=record.survey_reference,
        survey_sha256=assessment.survey_sha256,
        read_by=record.read_by,
        date=record.date,
        in_operation_a=prediction.in_operation_a,
        agreement=_together(found, whole_path=bool(drops) and not unread),
        suspects=suspects(drops, loops, temperatures),
        drops=drops,
        loops=loops,
        currents=currents,
        temperatures=temperatures,
        not_compared=tuple(lacking),
        notes=tuple(_notes(prediction)),
    )


def _each(what: str, results: Iterable[T], lacking: list[str]) -> tuple[T, ...]:
    found: list[T] = []
    try:
        found.extend(results)
    except NotKnown as missing:
        lacking.append(f"{what}: not known: {missing}")
    except NotSupplied:
        lacking.append(f"{what}: the network cannot carry the current that was read")
    except (NotTabulated, OutOfRange) as refused:
        lacking.append(f"{what}: {refused}")
    return tuple(found)


def _together(found: list[Agreement], *, whole_path: bool) -> Agreement:
    """Return what all results say together: a joint may be poor wherever no drop was read."""
    if Agreement.DIFFERS in found:
        return Agreement.DIFFERS
    if Agreement.CANNOT_TELL in found or not whole_path:
        return Agreement.CANNOT_TELL
    return Agreement.WITHIN


def _without_drop(prediction: Prediction, drops: Iterable[DropResult]) -> Iterator[str]:
    """Yield for each phase of the station the links of the path over which no drop was read."""
    path = prediction.links_between(0, len(prediction.nodes) - 1)
    for phase in prediction.assessment.expected_readings.phases:
        seen = {link for one in drops if phase in one.conductors for link in one.links}
        unseen = [link for link in path if link not in seen]
        if unseen:
            yield f"drops: of {phase} none was read over {', '.join(unseen)}"


def _currents(prediction: Prediction) -> Iterator[CurrentResult]:
    """Yield the current of each phase: it may be less than assessed, never more."""
    clamp, record = prediction.record.clamp, prediction.record
    assessed = prediction.assessment.expected_readings.test_current_a
    if clamp is None or record.load is None or assessed is None:
        return
    for phase, measured in zip(PHASES, prediction.station_a, strict=True):
        if getattr(record.load, f"{phase.lower()}_a") is None:
            continue
        bound = assessed if phase in prediction.assessment.expected_readings.phases else 0.0
        tolerance = prediction.reading_tolerance(clamp, clamp.resolution_a, measured)
        within = measured <= bound + tolerance
        yield CurrentResult(
            phase=phase,
            measured_a=measured,
            assessed_a=bound,
            tolerance_a=tolerance,
            agreement=Agreement.WITHIN if within else Agreement.DIFFERS,
        )


def _not_read(record: CommissioningRecord) -> Iterator[str]:
    loops = any(n.loop_l1_ohm or n.loop_l2_ohm or n.loop_l3_ohm for n in record.node)
    for words, was_read in (
        ("drops: no voltage was read at two nodes", _with_voltage(record) > 1),
        ("loops: none was read", loops),
        ("temperatures: none was read", bool(record.temperature)),
    ):
        if not was_read:
            yield words


def _with_voltage(record: CommissioningRecord) -> int:
    return sum(node.with_station is not None for node in record.node)


def _notes(prediction: Prediction) -> Iterator[str]:
    record = prediction.record
    if _with_voltage(record) > 1:
        if record.load is None or record.load.origin_swing_v is None:
            yield (
                "No swing of the voltage at the origin is stated: it is taken as steady while "
                "the readings with and without the station were taken."
            )
        yield (
            "All voltages are taken as read with the one voltmeter named, whose percentage error "
            "is the same in all of them."
        )
    if record.temperature:
        minutes = steady_after_minutes(prediction)
        yield f"A temperature counts as steady after {minutes:g} minutes under the same current."
    if not prediction.assessment.expected_readings.verdict_stands:
        yield (
            "The assessment does not let the station be connected as the site was surveyed: "
            "survey it again after the change and compare with that."
        )
