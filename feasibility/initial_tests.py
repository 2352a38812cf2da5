"""The tests before the feed path is energised, in the order of IEC 60364-6, for this site."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from feasibility import tables
from feasibility.checks.question import Run
from feasibility.citation import Citation
from feasibility.installation.facts import NotKnown
from feasibility.installation.model import Installation, Link
from feasibility.result import Quantity

_STANDARD = "IEC60364-6:2016"
_UP_TO_V = 500.0
_EXTRA_LOW = "extra-low voltage"
_ONE, _FIVE = "1 x rated residual current", "5 x rated residual current"


@dataclass(frozen=True, slots=True, kw_only=True)
class InitialTest:
    """One test: what, how, on which links (empty: all of the path), and its limits."""

    test: str
    how: str
    links: tuple[str, ...]
    limits: tuple[Quantity, ...]
    citation: Citation


def initial_tests(run: Run) -> tuple[InitialTest, ...]:
    """Return the tests that concern this site; a failed one is mended and those before repeated.

    Order and clauses: IEC 60364-6:2016, 6.4.2 and 6.4.3, the clause numbers from memory.
    """
    return (*_dead(run), *_of_protection(run), *_in_function(run))


def _dead(run: Run) -> Iterator[InitialTest]:
    yield _test(
        "Inspection",
        "dead, before any test: parts as surveyed, terminals tight and to their maker's torque, "
        "conductors identified, covers and glands in place, no damage, labels and warnings there",
        "6.4.2",
    )
    yield _test(
        "Continuity of protective and bonding conductors",
        "dead: each circuit and the cord against the figures below, and from the main earthing "
        "terminal to the earth contact of outlet and plug",
        "6.4.3.2",
        limits=(
            _rule("It", "current of a continuity test, at least", "all").named(
                "It", "current of the instrument, at least"
            ),
        ),
    )
    condition = _condition(run)
    yield _test(
        "Insulation resistance",
        "dead: all live conductors to earth; station unplugged or disconnected, surge protective "
        "devices and other parts that the test would harm disconnected first",
        "6.4.3.3",
        limits=(
            _rule("Ut", "voltage of an insulation test", condition),
            _rule("Ri", "insulation resistance, at least", condition),
        ),
    )
    yield from _pilot(run.installation)


def _of_protection(run: Run) -> Iterator[InitialTest]:
    yield _test(
        "Polarity",
        "dead: single-pole devices in line conductors only, neutral at its contact, lines at "
        "theirs",
        "6.4.3.6",
    )
    yield _test(
        "Automatic disconnection",
        "supply on, station off: loop of each line at each node against the figures below "
        "(conductors cold), behind a residual-current device with a tester that does not trip it; "
        "devices and settings as surveyed; in TT the resistance of the earth electrode",
        "6.4.3.7",
    )
    yield from _residual(run.installation)


def _in_function(run: Run) -> Iterator[InitialTest]:
    if _three_phases(run):
        yield _test(
            "Phase sequence", "supply on, station off: clockwise field at the outlet", "6.4.3.9"
        )
    yield _test(
        "Function",
        "supply on: switches, interlock, pilot contact, emergency switching off; test button of "
        "each residual-current device; last the station's setting of its current, and that it is "
        "locked",
        "6.4.3.10",
    )
    yield _test(
        "Voltage drop",
        "station at full load: against the figures below",
        "6.4.3.11",
    )


def _test(
    test: str,
    how: str,
    clause: str,
    *,
    links: tuple[str, ...] = (),
    limits: tuple[Quantity, ...] = (),
) -> InitialTest:
    cited = Citation(source=_STANDARD, clause=clause, note="clause from memory")
    return InitialTest(test=test, how=how, links=links, limits=limits, citation=cited)


def _rule(symbol: str, rule: str, condition: str) -> Quantity:
    return tables.initial_test_rule(rule=rule, condition=condition).named(symbol)


def _condition(run: Run) -> str:
    try:
        above = run.operation.nominal_voltage_v > _UP_TO_V
    except NotKnown:
        above = False
    return f"nominal voltage {'above' if above else 'up to'} 500 V"


def _pilot(installation: Installation) -> Iterator[InitialTest]:
    """Yield the test of the pilot contact's extra-low voltage circuit where there may be one."""
    options = installation.outlet.word("pilot_contact").options
    if options == ("connected",):
        yield _test(
            "Separation of extra-low voltage circuits",
            "dead: the pilot contact's circuit from the live parts, if it works at SELV or PELV",
            "6.4.3.4",
            links=("outlet",),
            limits=(
                _rule("Ut", "voltage of an insulation test", _EXTRA_LOW),
                _rule("Ri", "insulation resistance, at least", _EXTRA_LOW),
            ),
        )


def _residual(installation: Installation) -> Iterator[InitialTest]:
    devices = [
        circuit.residual_current_device
        for circuit in installation.circuits
        if circuit.residual_current_device.data.flag("present").options != (False,)
        and circuit.residual_current_device.data.record is not None
    ]
    for device in devices:
        yield _test(
            "Residual-current device",
            "supply on, station off: tripping current and time with a tester for its type, in the "
            "waveform of that type",
            "6.4.3.7 and 6.4.3.8",
            links=(device.name,),
            limits=_trip_times(device),
        )


def _trip_times(device: Link) -> tuple[Quantity, ...]:
    """Return the permitted times at once and five times its rated residual current."""
    delay = device.data.word("delay").options
    if delay not in (("none",), ("S",)):
        return ()
    kind = "type S" if delay == ("S",) else "general type"
    return tuple(
        tables.residual_current_rule(rule=f"trip time, {kind}, at most", condition=condition).named(
            symbol, f"trip time at {condition}, at most"
        )
        for symbol, condition in (("t1", _ONE), ("t5", _FIVE))
    )


def _three_phases(run: Run) -> bool:
    options = run.installation.station.word("phases").options
    return not options or options == ("L1L2L3",)
