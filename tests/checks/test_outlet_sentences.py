"""What the outlet's findings say, and which end of what is possible they take.

IEC 60309-2: a 2P+E outlet at 6 h is for 200 V to 250 V between line and neutral, 3P+N+E at 6 h for
380 V to 415 V between lines. Poles that a station needs: its own input terminals.
"""

from __future__ import annotations

import pytest

from feasibility.result import Outcome, Quantity, Sense

from .sites import GONE, SINGLE, Changes, asked, found, merged

KIOSK = "camp-site-kiosk"
CABLE = "circuit[0].cable[0].section_mm2"
ONE_PHASE: Changes = {"station.phases": "L1", "station.needs_neutral": GONE}


@pytest.mark.parametrize(
    ("changes", "need", "outcome"),
    [
        ({"station.needs_neutral": True}, "three phases and neutral", Outcome.PASS),
        ({"station.needs_neutral": False}, "three phases", Outcome.PASS),
        (
            {"outlet.poles": "3P+E", "station.needs_neutral": True},
            "three phases and neutral",
            Outcome.FAIL,
        ),
        ({"outlet.poles": "3P+E", "station.needs_neutral": False}, "three phases", Outcome.PASS),
        (ONE_PHASE, "one phase and neutral", Outcome.PASS),
        # Between two lines there is no 230 V for a station of one phase.
        ({**ONE_PHASE, "outlet.poles": "3P+E"}, "one phase and neutral", Outcome.FAIL),
    ],
)
def test_the_conductors_that_the_station_needs_are_named(
    changes: Changes, need: str, outcome: Outcome
) -> None:
    finding = found("poles", "", SINGLE, changes)
    assert finding.reason.values["need"] == need
    assert finding.outcome is outcome
    assert ("does not have" in finding.reason.template) == (outcome is Outcome.FAIL)


def test_a_station_that_may_need_a_neutral_counts_as_needing_it() -> None:
    changes: Changes = {"outlet.poles": "3P+E", "station.needs_neutral": GONE}
    (judged,) = asked("poles", SINGLE, changes)
    assert judged.unfavourable.outcome is not Outcome.PASS


def test_an_outlet_of_one_phase_belongs_to_the_voltage_to_neutral() -> None:
    finding = found("outlet-configuration", "", KIOSK)
    assert finding.outcome is Outcome.PASS
    voltage = finding.reason.values["voltage"]
    assert isinstance(voltage, Quantity)
    assert voltage.value == pytest.approx(230.94, abs=0.01)
    three = found("outlet-configuration", "", SINGLE).reason.values["voltage"]
    assert isinstance(three, Quantity)
    assert three.value == 400


def test_a_wrong_clock_position_names_the_right_one() -> None:
    wrong = found("outlet-configuration", "", SINGLE, {"outlet.clock_position": 9}).reason
    assert "does not belong to" in wrong.template
    assert wrong.values["clocks"] == "6 h"
    right = found("outlet-configuration", "", SINGLE).reason
    assert "does not" not in right.template


def test_where_no_position_is_tabulated_for_every_frequency_the_sentence_says_so() -> None:
    # IEC 60309-2: 440 V has 11 h at 60 Hz alone.
    nowhere: Changes = {"supply.nominal_voltage_v": 440, "supply.frequency_hz": "unknown"}
    finding = found("outlet-configuration", "", SINGLE, nowhere)
    assert finding.outcome is Outcome.FAIL
    assert finding.reason.values["clocks"] == "no tabulated position"


def test_what_stands_on_plug_and_outlet_is_named_on_its_own_side() -> None:
    finding = found("plug-fit", "", SINGLE, {"cord.plug_rating_a": 63})
    assert finding.reason.values == {"outlet": "32 A, 3P+N+E, 6 h", "plug": "63 A, 3P+N+E, 6 h"}


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({}, "fits"),
        ({"outlet.terminals_from_mm2": 10, "outlet.terminals_to_mm2": 16}, "does not fit."),
        ({"outlet.terminals_from_mm2": 1.5, "outlet.terminals_to_mm2": 4}, "does not fit."),
    ],
)
def test_whether_a_conductor_fits_its_terminals_is_said(changes: Changes, words: str) -> None:
    finding = found("terminal-range", "outlet", SINGLE, changes)
    assert finding.reason.template.endswith(words if words.endswith(".") else f"{words}.")
    assert finding.outcome is (Outcome.PASS if words == "fits" else Outcome.FAIL)


@pytest.mark.parametrize(("section", "limit"), [(6, 16), (25, 16)])
def test_the_marked_range_is_shown_from_its_lower_to_its_upper_end(
    section: float, limit: float
) -> None:
    marked = {"outlet.terminals_from_mm2": 2.5, "outlet.terminals_to_mm2": 16}
    cable = {CABLE: section}
    finding = found("terminal-range", "outlet", SINGLE, merged(marked, cable))
    low, high = finding.reason.values["low"], finding.reason.values["high"]
    assert isinstance(low, Quantity)
    assert isinstance(high, Quantity)
    assert (low.value, high.value, finding.limit) == (2.5, limit, limit)
    assert low.meaning != high.meaning


def test_a_conductor_that_may_be_too_thin_or_too_thick_counts_at_its_worse_end() -> None:
    marked = {"outlet.terminals_from_mm2": 4, "outlet.terminals_to_mm2": 16}
    ranged = {CABLE: {"low": 2.5, "high": 6}}
    (judged,) = [
        one
        for one in asked("terminal-range", SINGLE, merged(marked, ranged))
        if one.unfavourable.link.endswith("outlet")
    ]
    assert (judged.unfavourable.value, judged.unfavourable.limit) == (2.5, 4)
    assert judged.favourable.outcome is Outcome.PASS


@pytest.mark.parametrize(("section", "sense"), [(2.5, Sense.AT_LEAST), (25, Sense.AT_MOST)])
def test_the_limit_on_the_conductors_side_is_shown(section: float, sense: Sense) -> None:
    marked = {"outlet.terminals_from_mm2": 4, "outlet.terminals_to_mm2": 16}
    finding = found("terminal-range", "outlet", SINGLE, marked, {CABLE: section})
    assert (finding.outcome, finding.sense) == (Outcome.FAIL, sense)
    assert finding.margin is not None
    assert finding.margin < 0


@pytest.mark.parametrize(
    ("link", "changes", "low", "high"),
    # IEC 60309-1:2021, table of terminals: 32 A takes 2.5 mm2 to 6 mm2 flexible, 10 mm2 rigid.
    [("plug", {"cord.section_mm2": 10}, 2.5, 6), ("outlet", {CABLE: 16}, 2.5, 10)],
)
def test_outside_the_standards_range_the_accessorys_own_marking_decides(
    link: str, changes: Changes, low: float, high: float
) -> None:
    finding = found("terminal-range", link, SINGLE, changes)
    assert finding.outcome is Outcome.OPEN
    assert "has to be read from the accessory" in finding.reason.template
    shown = [finding.reason.values[end] for end in ("low", "high")]
    assert [one.value for one in shown if isinstance(one, Quantity)] == [low, high]


def test_a_conductor_that_may_be_too_thick_counts_at_its_thick_end() -> None:
    marked = {"outlet.terminals_from_mm2": 4, "outlet.terminals_to_mm2": 16}
    ranged = {CABLE: {"low": 6, "high": 25}}
    (judged,) = [
        one
        for one in asked("terminal-range", SINGLE, merged(marked, ranged))
        if one.unfavourable.link.endswith("outlet")
    ]
    assert (judged.unfavourable.value, judged.unfavourable.limit) == (25, 16)
    assert judged.favourable.outcome is Outcome.PASS
