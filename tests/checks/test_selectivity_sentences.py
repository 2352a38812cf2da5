"""What is said of two devices, and the times at which their bands meet.

IEC 60898-1, Table 7: B32 surely trips at 160 A, C16 at 160 A, within 0.1 s; a gG fuse of 63 A may
melt at 450 A in 0.1 s and one of 100 A at 820 A (IEC 60269-1, Table 3).
"""

from __future__ import annotations

import pytest

from feasibility.render.numbers import message_text
from feasibility.result import Finding, Outcome

from ..formulas import faults_of
from .sites import SINGLE, found, merged, step_result
from .test_selectivity import adjustable, behind, fuse, judged, miniature


def formulas(finding: Finding) -> dict[str, str]:
    assert [fault for one in finding.working for fault in faults_of(one)] == []
    return {one.symbol: one.formula for one in finding.working}


def test_bands_that_part_again_behind_an_overlap() -> None:
    finding = judged(fuse(63), miniature("B", 32))
    text = message_text(finding.reason)
    assert text.startswith("Surely selective with the service device up to 149")
    assert "from there to 160" in text
    assert "Beyond, surely selective up to 450" in text
    assert "selectivity table decides" in text
    assert (finding.outcome, finding.limit) == (Outcome.CAUTION, 9000)
    shown = formulas(finding)
    assert shown["td"] == shown["tu"] == "t1 * (I1 / Is) ** n"
    assert step_result(finding, "td") == pytest.approx(step_result(finding, "tu"), rel=1e-6)


LOW_LEVEL = {"supply.prospective_fault_current_ka": 0.4}
"""By the earth loop of 0.28 ohm 907 A can flow nevertheless: 1.1 * 230.9 V / 0.28 ohm."""


def test_bands_that_part_again_up_to_all_that_can_flow() -> None:
    small = judged(fuse(125), miniature("B", 63), LOW_LEVEL)
    text = message_text(small.reason)
    assert text.startswith("Surely selective with the service device up to 306")
    assert "to 315" in text
    assert "Beyond, surely selective up to the 907" in text
    assert "table decides" not in text


def test_bands_that_do_not_meet_below_what_can_flow() -> None:
    finding = judged(fuse(125), miniature("B", 50), LOW_LEVEL)
    assert finding.outcome is Outcome.PASS
    assert "for every current up to the 907" in message_text(finding.reason)


def test_bands_that_meet_behind_the_release() -> None:
    finding = judged(fuse(100), miniature("C", 16))
    text = message_text(finding.reason)
    assert text.startswith("Surely selective with the service device up to 820")
    assert "Beyond" not in text
    shown = formulas(finding)
    assert (shown["td"], shown["tu"]) == ("t1", "t1 * (I1 / Is) ** n")
    assert step_result(finding, "td") == pytest.approx(0.1)
    assert step_result(finding, "tu") == pytest.approx(0.1)


def test_what_is_held_by_energy_stands_behind_what_the_bands_say() -> None:
    energy = {"circuit[0].device.let_through_a2s": 8000}
    finding = judged(fuse(63), miniature("B", 32), energy)
    text = message_text(finding.reason)
    assert text.startswith("S")
    assert "with the service device" in text
    assert "does not melt" in text
    assert {"energy", "melting"} <= set(finding.reason.values)
    # Not in the overload range, where the bands overlap from 149 A on.
    by_bands = judged(fuse(63), miniature("B", 32))
    assert finding.value == by_bands.value == pytest.approx(149.09, rel=1e-4)


def test_two_fuses_of_1_6_to_1_have_no_limit() -> None:
    finding = judged(fuse(63), behind(32))
    assert finding.outcome is Outcome.PASS
    assert (finding.value, finding.limit) == (None, None)
    assert "up_to" not in finding.reason.values
    limited = judged(fuse(63), miniature("B", 32))
    assert limited.reason.values["up_to"].value == limited.value  # type: ignore[union-attr]


def test_the_stations_own_device_is_named_as_such() -> None:
    own = {
        "station.input_device_kind": "IEC 60898-1 circuit-breaker",
        "station.input_device_rating_a": 16,
        "station.input_device_characteristic": "C",
    }
    finding = found("selectivity", "station", SINGLE, own)
    assert finding.reason.values["upstream"] == "the device of 'Yard outlet'"
    meanings = [one.meaning for step in finding.working for one in step.inputs]
    meanings += [step.meaning for step in finding.working]
    assert any("the station's own device" in meaning for meaning in meanings)
    assert any("the device of 'Yard outlet'" in meaning for meaning in meanings)


def test_a_breaker_before_a_fuse_is_judged_by_their_bands() -> None:
    finding = judged(adjustable(63, 1000), behind(16))
    assert "ratio" not in finding.reason.values
    assert finding.outcome is Outcome.CAUTION


@pytest.mark.parametrize(("before_a", "by_ratio"), [(80, True), (79, False)])
def test_a_ratio_of_just_1_6_to_1_counts(before_a: float, *, by_ratio: bool) -> None:
    # Trade practice, as in the code basis: 1.6 : 1 of the settings, 80 A before 50 A.
    after = {"circuit[0].device": adjustable(50, 300)["supply.service_device"]}
    finding = judged(adjustable(before_a, 2000), after)
    assert ("ratio" in finding.reason.values) is by_ratio


@pytest.mark.parametrize("magnetic_a", [300, 600])
def test_a_breaker_before_a_breaker_holds_by_no_melting_energy(magnetic_a: float) -> None:
    """Only a fuse has a pre-arcing energy; 125 A would have 46 000 A2s, class 3 of B16 35 000."""
    classified = {"circuit[0].device.energy_limiting_class": 3}
    pair = merged(adjustable(125, magnetic_a), miniature("B", 16))
    with_class, without = judged(pair, classified), judged(pair)
    assert "energy" not in with_class.reason.values
    # IEC 60947-2: the release holds up to 0.8 of its setting.
    assert with_class.value == without.value == pytest.approx(0.8 * magnetic_a)


def test_where_the_energy_ends_no_times_are_compared() -> None:
    classified = {"circuit[0].device.energy_limiting_class": 3}
    by_energy = judged(fuse(125), miniature("B", 16), classified)
    assert by_energy.value == 6000
    assert not {"td", "tu"} & set(formulas(by_energy))
    by_bands = judged(fuse(100), miniature("B", 16), classified)
    assert {"td", "tu"} <= set(formulas(by_bands))
