"""The outlet as found: what must not carry, and what each reason says."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from feasibility.result import Outcome, Verdict

from .sites import GONE, SINGLE, Changes, found, merged, pick, quick, step_result

BAKERY = "bakery-yard"
QUICK = settings(max_examples=25, deadline=None, derandomize=True)
RANK = (Outcome.FAIL, Outcome.OPEN, Outcome.CAUTION, Outcome.PASS, Outcome.NOT_APPLICABLE)


def said(check: str, link: str, *changes: Changes) -> str:
    """The sentence of a failed finding with its values."""
    result = quick(BAKERY, *changes)
    finding = pick(result, check, link)
    assert finding.outcome is Outcome.FAIL
    assert result.verdict is Verdict.UPGRADE
    values = {
        key: value if isinstance(value, str) else f"{value.value:g} {value.unit}"
        for key, value in finding.reason.values.items()
    }
    return finding.reason.template.format(**values)


def test_a_16_a_outlet_behind_a_32_a_device_is_named() -> None:
    sixteen: Changes = {"outlet.rating_a": 16, "cord.plug_rating_a": 16}
    for link in ("outlet", "plug"):
        sentence = said("accessory-protection", link, sixteen)
        assert "32" in sentence
        assert "16" in sentence


def test_a_16_a_plug_does_not_fit_a_32_a_outlet() -> None:
    assert "16 A, 3P+N+E, 6 h" in said("plug-fit", "plug", {"cord.plug_rating_a": 16})


def test_a_three_pole_outlet_for_a_five_wire_load_is_named() -> None:
    three: Changes = {"outlet.poles": "2P+E", "cord.plug_poles": "2P+E"}
    sentence = said("poles", "outlet", three)
    assert "three phases and neutral" in sentence
    assert "2P+E" in sentence
    without_neutral: Changes = {"outlet.poles": "3P+E", "cord.plug_poles": "3P+E"}
    assert "3P+E" in said("poles", "outlet", without_neutral)


def test_a_nine_hour_outlet_at_400_v_is_named() -> None:
    nine: Changes = {"outlet.clock_position": 9, "cord.plug_clock_position": 9}
    sentence = said("outlet-configuration", "outlet", nine)
    assert "9 h" in sentence
    assert "400 V" in sentence
    assert "6 h would" in sentence


@pytest.mark.parametrize("seen", ["heat marks", "damaged", "worn contacts"])
def test_a_damaged_outlet_is_to_be_replaced(seen: str) -> None:
    sentence = said("visible-condition", "outlet", {"outlet.condition": seen})
    assert seen in sentence
    assert "dead and locked off" in sentence
    assert "replace it" in sentence


@pytest.mark.parametrize(
    ("rating", "current", "hours"), [(16, 22, 1), (32, 42, 1), (63, 63, 2), (125, 125, 2)]
)
def test_the_type_test_stands_beside_an_undamaged_outlet(
    rating: float, current: float, hours: float
) -> None:
    # IEC 60309-1, clause 22, from memory: currents, hours, 50 K.
    finding = found("visible-condition", "outlet", SINGLE, {"outlet.rating_a": rating})
    assert step_result(finding, "Itest") == current
    assert step_result(finding, "ttest") == hours
    assert step_result(finding, "dTmax") == 50
    assert "IEC60309-1:2021" in {one.source for one in finding.sources}


@pytest.mark.parametrize(
    ("change", "check"),
    [
        ({"outlet.neutral_earth_bridge": True}, "neutral-earth-bridge"),
        ({"outlet.lockable_isolation": False}, "isolation"),
        ({"outlet.ip_code": "IP20"}, "degree-of-protection"),
        ({"outlet.impact_guarded": False, "outlet.ik_code": "IK06"}, "impact"),
        ({"cord.plug_condition": "heat marks"}, "visible-condition"),
        ({"outlet.terminals_from_mm2": 10, "outlet.terminals_to_mm2": 25}, "terminal-range"),
    ],
)
def test_each_of_these_alone_keeps_it_from_carrying(change: Changes, check: str) -> None:
    result = quick(BAKERY, change)
    assert result.verdict is Verdict.UPGRADE
    assert {one.check for one in result.findings if one.outcome is Outcome.FAIL} == {check}


@pytest.mark.parametrize(
    "path",
    [
        "outlet.condition",
        "outlet.lockable_isolation",
        "outlet.ip_code",
        "cord.condition",
        "cord.plug_condition",
    ],
)
@pytest.mark.parametrize("value", [GONE, "unknown"])
def test_what_nobody_looked_at_leaves_it_undecided(path: str, value: object) -> None:
    result = quick(BAKERY, {path: value})
    assert result.verdict is Verdict.UNDECIDED
    assert path in {one.fact for one in result.open_facts}


@pytest.mark.parametrize("path", ["outlet.erected_year", "outlet.last_inspection"])
def test_age_alone_never_decides(path: str) -> None:
    assert quick(BAKERY, {path: GONE}).verdict is Verdict.CARRIES


def test_the_report_says_by_which_edition_a_changed_use_is_judged() -> None:
    finding = found("changed-use", "", SINGLE, {"outlet.erected_year": 1994})
    assert finding.outcome is Outcome.CAUTION
    assert finding.reason.values == {"year": "1994", "edition": "2017"}
    assert "changed use" in finding.reason.template


def test_a_bridge_reveals_itself_only_behind_a_residual_current_device() -> None:
    not_measured: Changes = {"outlet.neutral_earth_bridge": GONE}
    assert quick(BAKERY, not_measured).verdict is Verdict.CARRIES
    none: Changes = {"circuit[0].residual_current_device": {"present": False}}
    finding = found("neutral-earth-bridge", "", SINGLE, merged(not_measured, none))
    assert finding.outcome is Outcome.OPEN
    without: Changes = {"outlet.poles": "3P+E"}
    finding = found("neutral-earth-bridge", "", SINGLE, merged(not_measured, without))
    assert finding.outcome is Outcome.NOT_APPLICABLE


def test_an_interlocked_switch_in_the_circuit_counts() -> None:
    switch: Changes = {
        "outlet.rating_a": 63,
        "circuit[0].part": [{"kind": "interlocked switch", "rating_a": 63}],
    }
    assert found("unplugging-under-load", "", SINGLE, switch).outcome is Outcome.PASS


@pytest.mark.parametrize(
    "change",
    [
        {"circuit[0].cable[0].in_parallel": 2},
        {"circuit[0].cable[0].parallel_cable": [{"length_m": 22, "section_mm2": 6}]},
    ],
)
def test_several_conductors_at_one_terminal_are_not_judged(change: Changes) -> None:
    assert found("terminal-range", "outlet", SINGLE, change).outcome is Outcome.OPEN


_CODES = st.builds("IP{}{}".format, st.integers(0, 6), st.integers(0, 6))


@QUICK
@given(code=_CODES, water=st.sampled_from(["none", "drops", "spray", "splashes", "jets"]))
def test_more_protection_is_never_worse(code: str, water: str) -> None:
    better = f"IP{min(int(code[2]) + 1, 6)}{min(int(code[3]) + 1, 6)}"
    ranks = [
        RANK.index(
            found(
                "degree-of-protection",
                "",
                SINGLE,
                {"outlet.water": water, "outlet.ip_code": one},
            ).outcome
        )
        for one in (code, better)
    ]
    assert ranks[1] >= ranks[0]


@QUICK
@given(first=st.floats(10, 50), more=st.floats(0, 8))
def test_the_sun_never_adds_to_what_a_cable_carries(first: float, more: float) -> None:
    shade, warm, sun = (
        found("ampacity", "Yard outlet: cable 1", SINGLE, changes).limit
        for changes in (
            {"circuit[0].cable[0].ambient_c": first - more},
            {"circuit[0].cable[0].ambient_c": first},
            {"circuit[0].cable[0].ambient_c": first - 20, "circuit[0].cable[0].in_sun": True},
        )
    )
    assert shade is not None
    assert warm is not None
    assert shade >= warm
    # AS/NZS 3008.1.1, 3.5.8: the sun counts as 20 K.
    assert sun == pytest.approx(warm)
