"""Compare earth-fault loops that were read with the prediction, part by part of the feed path.

What a loop grows by from one node to the next is that of line and protective conductor between
them. The first node that was read is compared as a whole, the supply's own loop in it.
"""

from __future__ import annotations

from collections.abc import Iterator

from feasibility.checks.fault_conductors import FaultKind
from feasibility.checks.fault_impedance import cold_range, pieces_between
from feasibility.checks.impedance import line_impedance, protective_impedance
from feasibility.clauses.fault_current import greatest_sum_ohm, least_sum_ohm
from feasibility.commissioning.outcome import Agreement, LoopResult
from feasibility.commissioning.prediction import Prediction, together
from feasibility.commissioning.record import LoopTester
from feasibility.installation.facts import Ends, NotKnown
from feasibility.result import Span
from feasibility.tables import NotTabulated

_PHASES = ("L1", "L2", "L3")


def compare_loops(prediction: Prediction) -> Iterator[LoopResult]:
    """Yield the result of each node at which the loop of a phase was read."""
    tester = prediction.record.loop_tester
    if tester is None:
        return
    for phase in _PHASES:
        field = f"loop_{phase.lower()}_ohm"
        before: tuple[int, float] | None = None
        for node, read in prediction.read.items():
            ohm: float | None = getattr(read, field)
            if ohm is None:
                continue
            yield _result(prediction, tester, phase, node, ohm, before)
            before = (node, ohm)


def _result(
    prediction: Prediction,
    tester: LoopTester,
    phase: str,
    node: int,
    ohm: float,
    before: tuple[int, float] | None,
) -> LoopResult:
    error = prediction.reading_tolerance(tester, tester.resolution_ohm, ohm)
    if before is None:
        measured, span, tolerance = ohm, _whole(prediction, node), _of_the_survey(prediction)
        tolerance = together(error, tolerance)
        start = ""
    else:
        measured, span = ohm - before[1], _between(prediction, before, node)
        first = prediction.reading_tolerance(tester, tester.resolution_ohm, before[1])
        tolerance = together(error, first)
        start = prediction.nodes[before[0]]
    bounds = prediction.assessment.expected_readings.nodes[node]
    agreement, extra = _agreement(measured, span, tolerance)
    bound = bounds.loop_permitted_ohm or bounds.loop_advised_ohm
    if bound is not None and not ohm <= bound:
        agreement = Agreement.DIFFERS
    return LoopResult(
        from_node=start,
        to_node=prediction.nodes[node],
        links=prediction.links_between(0 if before is None else before[0], node),
        conductor=phase,
        read_ohm=ohm,
        measured_ohm=measured,
        expected_ohm=span,
        tolerance_ohm=tolerance,
        permitted_ohm=bounds.loop_permitted_ohm,
        advised_ohm=bounds.loop_advised_ohm,
        agreement=agreement,
        extra_ohm=extra,
    )


def _agreement(
    measured_ohm: float, span: Span | None, tolerance_ohm: float
) -> tuple[Agreement, Span | None]:
    if span is None:
        return Agreement.CANNOT_TELL, None
    if measured_ohm > span.high + tolerance_ohm:
        low = measured_ohm - tolerance_ohm - span.high
        return Agreement.DIFFERS, Span(low=low, high=measured_ohm + tolerance_ohm - span.low)
    if measured_ohm >= span.low - tolerance_ohm:
        return Agreement.WITHIN, None
    return Agreement.DIFFERS, None


def _whole(prediction: Prediction, node: int) -> Span | None:
    """Return the whole loop up to a node; in TT and IT and where facts lack it is not known."""
    if prediction.assessment.expected_readings.nodes[node].loop_ohm is None:
        return None
    low, high = cold_range(prediction.run, node, FaultKind.LINE_EARTH)
    return Span(low=low.ohm, high=high.ohm)


def _of_the_survey(prediction: Prediction) -> float:
    """Return the error that the surveyed loop outside the installation may have."""
    outside = prediction.assessment.expected_readings.nodes[0].loop_ohm
    return (
        0.0 if outside is None else prediction.run.basis.number("loop_reading_error") * outside.low
    )


def _between(prediction: Prediction, before: tuple[int, float], node: int) -> Span | None:
    start, source = before
    try:
        short = _sum(prediction, start, node, prediction.coldest_c, long=False)
        long = _sum(prediction, start, node, prediction.unloaded_c, long=True)
    except (NotKnown, NotTabulated):
        return None
    least = least_sum_ohm(source_ohm=source, resistance_ohm=short[0], reactance_ohm=short[1])
    most = greatest_sum_ohm(source_ohm=source, resistance_ohm=long[0], reactance_ohm=long[1])
    return Span(low=float(least) - source, high=float(most) - source)


def _sum(
    prediction: Prediction, start: int, node: int, celsius: float, *, long: bool
) -> tuple[float, float]:
    """Return resistance and reactance of line and protective conductor between two nodes."""
    run = prediction.run
    ends = Ends(favourable=not long, used=run.ends.used)
    resistance = reactance = 0.0
    for link in pieces_between(run.installation, start, node):
        for part in (line_impedance(link, ends), protective_impedance(link, ends)):
            resistance += part.resistance_at(celsius)
            reactance += part.reactance_ohm
    return resistance, reactance
