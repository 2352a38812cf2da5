"""What should be read after the installation, against printed drops and loops.

Sources: BS 7671:2018, Appendix 4, Tables 4D2B and 4D4B (drop in mV per A and m, conductors at
70 °C); IET On-Site Guide, Table I1 (R1 + R2 in milliohm per metre at 20 °C); both as reprinted in
handbooks, from memory. A reading of 230 V to earth: IEC 60038.
"""

from __future__ import annotations

import pytest

from feasibility.assessment import Assessment
from feasibility.checks.question import Run
from feasibility.checks.station_alone import drops_of_station
from feasibility.examples import example_names
from feasibility.expected_readings import (
    COVER,
    GRIP,
    INSULATION,
    TERMINALS,
    ExpectedNode,
)
from feasibility.installation.build import build_installation
from feasibility.result import Span, Verdict

from .checks.cases_of_protection import FIXED
from .checks.sites import GONE, SINGLE, Changes, assessed, quick, site, site_data
from .demand_log.logs import logs_of

HANDBOOK = 0.015
"""Printed drops have two digits."""


def run_of(name: str, *changes: Changes) -> Run:
    survey = site(name, *changes)
    return Run.over(build_installation(survey, logs_of(survey)), favourable=False)


def node(assessment: Assessment, name: str) -> ExpectedNode:
    (found,) = [one for one in assessment.expected_readings.nodes if one.node == name]
    return found


def span(value: Span | None) -> Span:
    assert value is not None
    return value


@pytest.mark.parametrize(
    ("section_mm2", "mv_per_a_m"), [(4, 9.5), (6, 6.4), (10, 3.8), (16, 2.4), (25, 1.50)]
)
def test_the_drop_between_lines_is_that_of_the_printed_table(
    section_mm2: float, mv_per_a_m: float
) -> None:
    """Table 4D4B, three-core PVC; 25 mm2: its resistive part."""
    run = run_of(SINGLE, {"circuit[0].cable[0].section_mm2": section_mm2, **FLAT})
    drops = drops_of_station(
        run,
        (20.0, 20.0, 20.0),
        origin_line_voltage_v=400.0,
        celsius=lambda _: 70.0,
        greatest=True,
    )
    assert drops.between_lines_v[1] == pytest.approx(
        [mv_per_a_m * 20 * 22 / 1000] * 3, rel=HANDBOOK
    )


FLAT: Changes = {"station.power_factor": 1.0, "circuit[0].cable[0].protective_section_mm2": 16}
NO_NEUTRAL: Changes = {
    "outlet.poles": "3P+E",
    "cord.plug_poles": "3P+E",
    "station.needs_neutral": False,
    "station.auxiliary_l1_w": 0,
}


@pytest.mark.parametrize(("section_mm2", "mv_per_a_m"), [(1.5, 29), (2.5, 18), (4, 11), (6, 7.3)])
def test_the_drop_of_a_single_phase_is_that_of_the_printed_table(
    section_mm2: float, mv_per_a_m: float
) -> None:
    """Table 4D2B, two-core PVC: line and neutral."""
    run = run_of(SINGLE, {"circuit[0].cable[0].section_mm2": section_mm2, **FLAT})
    drops = drops_of_station(
        run, (10.0, 0.0, 0.0), origin_line_voltage_v=400.0, celsius=lambda _: 70.0, greatest=True
    )
    printed = mv_per_a_m * 10 * 22 / 1000
    assert drops.to_neutral_v[1][0] == pytest.approx(printed, rel=0.03)
    assert drops.to_neutral_v[1][1] < 0, "the neutral's drop lifts the other phases"


@pytest.mark.parametrize(
    ("section_mm2", "r", "x", "z"), [(50, 0.80, 0.140, 0.81), (95, 0.41, 0.135, 0.43)]
)
def test_a_power_factor_that_may_vary_spans_what_the_printed_table_gives(
    section_mm2: float, r: float, x: float, z: float
) -> None:
    """Table 4D4B: z where the power factor is that of the cable, r cos + x sin elsewhere."""
    cable = {"section_mm2": section_mm2, "protective_section_mm2": section_mm2}
    changes = {f"circuit[0].cable[0].{name}": value for name, value in cable.items()}
    run = run_of(SINGLE, changes, FIXED, {"station.power_factor": {"low": 0.5, "high": 1.0}})
    for greatest, mv_per_a_m in ((True, z), (False, 0.5 * r + 0.866 * x)):
        drops = drops_of_station(
            run,
            (20.0, 20.0, 20.0),
            origin_line_voltage_v=400.0,
            celsius=lambda _: 70.0,
            greatest=greatest,
        )
        assert drops.between_lines_v[1] == pytest.approx(
            [mv_per_a_m * 20 * 22 / 1000] * 3, rel=0.02
        )


def test_each_phase_alone_drops_what_the_printed_table_gives_for_its_power_factor() -> None:
    """Table 4D2B, 95 mm2, line and neutral: r 0.47 and x 0.155; two halves make the whole."""
    printed = (0.5 * 0.47 + 0.866 * 0.155) * 20 * 22 / 1000
    whole = site_data(SINGLE)["circuit"][0]["cable"][0]
    whole |= {"section_mm2": 95, "protective_section_mm2": 95}
    half = whole | {"length_m": 11}
    for cables in ([whole], [half, half]):
        changes = {"circuit[0].cable": cables, "station.power_factor": 0.5}
        run = run_of(SINGLE, changes, FIXED)
        for phase, currents in enumerate(((20.0, 0, 0), (0, 20.0, 0), (0, 0, 20.0))):
            drops = drops_of_station(
                run, currents, origin_line_voltage_v=400, celsius=lambda _: 70, greatest=True
            )
            assert drops.to_neutral_v.shape == (2, 3)
            assert drops.to_neutral_v[1][phase] == pytest.approx(printed, rel=0.01)


def test_without_a_neutral_at_the_station_the_mean_current_drops_in_each_phase() -> None:
    """Table 4D4B, 6 mm2: 6.4 mV per A and m."""
    run = run_of(SINGLE, {**FLAT, "circuit[0].cable[0].section_mm2": 6}, NO_NEUTRAL)
    drops = drops_of_station(
        run, (24.0, 6.0, 0), origin_line_voltage_v=400, celsius=lambda _: 70, greatest=True
    )
    assert drops.between_lines_v[1] == pytest.approx([6.4 * 10 * 22 / 1000] * 3, rel=HANDBOOK)


@pytest.mark.parametrize(
    ("section_mm2", "protective_mm2", "mohm_per_m", "alone_mohm_per_m"),
    [
        (2.5, 1.5, 19.51, 12.10),
        (6, 2.5, 10.49, 7.41),
        (6, 6, 6.16, 3.08),
        (10, 4, 6.44, 4.61),
        (16, 6, 4.23, 3.08),
    ],
)
def test_the_cold_loop_grows_by_the_printed_r1_and_r2(
    section_mm2: float, protective_mm2: float, mohm_per_m: float, alone_mohm_per_m: float
) -> None:
    """IET On-Site Guide, Table I1, at 20 °C."""
    found = quick(
        SINGLE,
        {
            "circuit[0].cable[0].section_mm2": section_mm2,
            "circuit[0].cable[0].protective_section_mm2": protective_mm2,
        },
    )
    outside, here = node(found, "origin"), node(found, "outlet")
    grown = span(here.loop_ohm).high - span(outside.loop_ohm).high
    assert grown == pytest.approx(mohm_per_m * 22 / 1000, rel=0.005)
    dead = span(here.line_and_protective_ohm)
    assert dead.low == dead.high == pytest.approx(mohm_per_m * 22 / 1000, rel=0.002)
    alone = span(here.protective_ohm)
    assert alone.low == alone.high == pytest.approx(alone_mohm_per_m * 22 / 1000, rel=0.002)
    assert outside.protective_ohm is outside.line_and_protective_ohm is None


def test_an_unknown_length_takes_the_continuity_along() -> None:
    path = {"circuit[1].cable[0].length_m": "unknown"}
    assert node(quick("bakery-yard", path), "outlet").protective_ohm is None
    assert node(quick("bakery-yard", path), "station").protective_ohm is not None


def test_readings_that_should_be_seen_at_the_bakery() -> None:
    found = assessed("bakery-yard")
    expected = found.expected_readings
    assert expected.verdict_stands
    assert expected.phases == ("L1", "L2", "L3")
    assert expected.test_current_a == found.requested_current_a
    assert [one.node for one in expected.nodes] == ["origin", "Main board", "outlet", "station"]
    assert [one.section for one in expected.nodes] == ["", "Main cable", "Yard outlet", "cord"]
    outlet = node(found, "outlet")
    # 24.48 A over 22 m of 6 mm2: 3.08 ohm/km at 20 °C (IEC 60228), power factor 0.99
    assert span(outlet.section_drop_v).low == pytest.approx(24.48 * 0.022 * 3.08 * 0.99, rel=0.01)
    parts = [span(one.section_drop_v).high for one in expected.nodes[1:]]
    assert sum(parts) == pytest.approx(span(node(found, "station").drop_v).high)
    assert span(outlet.voltage_v).high == pytest.approx(
        400 / 3**0.5 - span(outlet.drop_v).low, rel=1e-9
    )
    # B32: 5 x 32 A; 2/3 of 230 V / 160 A (IEC 60364-6, Annex D)
    assert node(found, "station").loop_advised_ohm == pytest.approx(2 / 3 * 230.94 / 160, rel=0.001)
    assert outlet.loop_advised_ohm is not None
    assert outlet.loop_advised_ohm < node(found, "station").loop_advised_ohm  # type: ignore[operator]
    assert span(outlet.fault_current_a).low < span(outlet.fault_current_a).high


def test_permitted_temperatures_of_the_bakery() -> None:
    found = {
        (one.link, one.part): (one.value, one.unit)
        for one in quick("bakery-yard").expected_readings.temperatures
    }
    assert found["outlet", TERMINALS] == (50, "K")  # IEC 60309-1, 22
    assert found["Yard outlet: device", TERMINALS] == (60, "K")  # IEC 60898-1
    assert found["service device", TERMINALS] == (70, "K")
    assert found["Yard outlet: cable 1", INSULATION] == (70, "°C")  # IEC 60364-5-52, Table 52.1
    assert found["plug", GRIP] == (65, "°C")  # IEC 60364-4-42, Table 42.1
    assert found["outlet", COVER] == (80, "°C")


def test_a_reduced_verdict_is_tested_at_the_setting_that_carries() -> None:
    found = quick("joinery-hall")
    assert found.verdict is Verdict.CARRIES_REDUCED
    assert found.carryable_current_a is not None
    drawn = found.settings.drawn_at(found.carryable_current_a)
    assert found.expected_readings.test_current_a == drawn
    assert drawn < (found.requested_current_a or 0)


def test_figures_of_a_site_that_must_be_upgraded_say_so() -> None:
    found = quick("river-depot").expected_readings
    assert not found.verdict_stands
    assert len(found.nodes) == 5


def test_single_phase_station_and_earth_electrode() -> None:
    found = quick("camp-site-kiosk")
    outlet = node(found, "outlet")
    assert found.expected_readings.phases == ("L1",)
    assert outlet.voltage_between == "line and neutral"
    # 50 V / 30 mA (IEC 60364-4-41, 411.5.3)
    assert outlet.loop_permitted_ohm == outlet.loop_advised_ohm == pytest.approx(50 / 0.03)
    assert outlet.loop_ohm is None
    assert outlet.lacking == ("loop: not calculated (TT)",)


def test_without_a_neutral_voltages_are_read_between_lines() -> None:
    whole, without = quick("bakery-yard"), quick("bakery-yard", NO_NEUTRAL)
    outlet = node(without, "outlet")
    assert outlet.voltage_between == "lines"
    assert outlet.fault_between == "line-line"
    assert span(outlet.drop_v).low == pytest.approx(
        3**0.5 * span(node(whole, "outlet").drop_v).low, rel=1e-4
    )
    assert span(outlet.voltage_v).high < 400


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"circuit[1].cable[0].length_m": "unknown"}, "length of cable 1 of 'Yard outlet'"),
        ({"circuit[1].cable[0].section_mm2": GONE}, "section of cable 1 of 'Yard outlet'"),
        ({"station": {"name": "station"}}, "current of the station is not known"),
    ],
)
def test_what_is_lacking_is_named(change: Changes, words: str) -> None:
    outlet = node(quick("bakery-yard", change), "outlet")
    assert outlet.drop_v is outlet.voltage_v is outlet.section_drop_v is None
    assert words in outlet.lacking[0]


def test_a_range_widens_the_expectation_at_both_ends() -> None:
    exact = node(quick("bakery-yard"), "outlet")
    wide = node(
        quick("bakery-yard", {"circuit[1].cable[0].length_m": {"low": 18, "high": 30}}), "outlet"
    )
    for field in ("drop_v", "loop_ohm", "fault_current_a"):
        near, far = span(getattr(exact, field)), span(getattr(wide, field))
        assert far.low < near.low < near.high < far.high
    near, far = span(exact.protective_ohm), span(wide.protective_ohm)
    assert (far.low / near.low, far.high / near.high) == pytest.approx((18 / 22, 30 / 22))


@pytest.mark.parametrize("name", example_names())
def test_every_shipped_site_has_its_readings(name: str) -> None:
    found = quick(name).expected_readings
    assert found.nodes[0].node == "origin"
    assert found.temperatures
    for one in found.nodes:
        for value in (
            one.voltage_v,
            one.drop_v,
            one.protective_ohm,
            one.loop_ohm,
            one.fault_current_a,
        ):
            assert value is None or value.low <= value.high
