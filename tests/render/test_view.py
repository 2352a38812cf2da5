"""The report as text before it is set: findings, workings, tasks, surveyed values."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest

from feasibility.assessment import Assessment
from feasibility.render import (
    findings_view,
    survey_labels,
    survey_values,
    view,
)
from feasibility.render.numbers import THIN_SPACE, substituted_text, unit_text
from feasibility.result import Finding, Force, Message, Outcome, Quantity, Sense, Step
from feasibility.survey.circuit import ResidualCurrentDevice
from feasibility.survey.demand import ConnectedLoad, Demand
from feasibility.survey.measured_log import MeasuredLog
from feasibility.survey.model import Board, Station, Supply
from feasibility.survey.outlet import Outlet
from feasibility.survey.source import Source
from feasibility.survey.stated import Record
from feasibility.survey.transformer import Transformer
from tests.render import sites

T = THIN_SPACE
EXAMPLES = sites.names()


def steps_of(assessment: Assessment) -> list[Step]:
    return [
        *assessment.requested_working,
        *(step for one in assessment.findings for step in one.working),
    ]


def recalculated(step: Step) -> float:
    """Return what a reader with a pocket calculator gets from the printed figures."""
    text = substituted_text(step)
    units = {unit_text(quantity.unit) for quantity in step.inputs if quantity.unit}
    for unit in sorted(units, key=len, reverse=True):
        text = text.replace(f"{T}{unit}", "")
    text = text.replace(T, "").replace("·10", "e").replace("·", "*").replace("−", "-")
    text = text.replace("√", "sqrt").replace("²", "**2").replace("^", "**").replace(";", ",")
    text = text.translate(str.maketrans("⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "-0123456789"))
    names = {"sqrt": math.sqrt, "min": min, "max": max, "__builtins__": {}}
    return float(eval(text, names))  # noqa: S307


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_working_can_be_recalculated_from_its_printed_figures(name: str) -> None:
    steps = steps_of(sites.shipped(name))
    assert len(steps) > 40
    for step in steps:
        largest = max(abs(quantity.value) for quantity in step.inputs)
        # Four digits of the largest figure bound what a difference of two figures can lose.
        lost = 1e-3 * largest if "-" in step.formula else 0.0
        assert recalculated(step) == pytest.approx(step.result, rel=2e-3, abs=lost), step


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_finding_is_listed_once_under_its_question(name: str) -> None:
    assessment = sites.shipped(name)
    groups = findings_view.question_groups(assessment.findings)
    rows = [row for group in groups for row in group.rows]
    assert sorted(int(row.number) for row in rows) == [
        *range(1, len(assessment.findings) + 1),
    ]
    for group in groups:
        for row in group.rows:
            finding = assessment.findings[int(row.number) - 1]
            assert finding.question == group.question
            assert row.outcome == finding.outcome.value
    assert len({group.question for group in groups}) == len(groups)


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_step_is_written_out_once_and_then_referred_to(name: str) -> None:
    assessment = sites.shipped(name)
    lines = [line for one in findings_view.workings(assessment) for line in one.lines]
    steps = steps_of(assessment)
    assert len(lines) == len(steps)
    written_out = [line for line in lines if not line.seen_in]
    assert len(set(steps)) <= len(written_out) <= len(steps)
    numbers = {one.number for one in findings_view.workings(assessment)}
    assert {line.seen_in for line in lines if line.seen_in} <= numbers


def test_the_working_of_the_requested_current_comes_first() -> None:
    first = findings_view.workings(sites.shipped("bakery-yard"))[0]
    assert first.title == "Requested current"
    assert first.lines[-1].equation.endswith(f"= 24.48{T}A")


def test_a_line_says_where_its_figures_come_from() -> None:
    found = findings_view.workings(sites.shipped("bakery-yard"))
    remarks = "\n".join(line.remarks for one in found for line in one.lines)
    assert "efficiency of the station (stated)" in remarks
    assert "IEC 60364-5-52:2009, Table B.52.4" in remarks
    assert "measured with installation tester 1 on 2026-03-12" in remarks


def test_a_result_of_the_line_above_is_not_explained_again() -> None:
    working = findings_view.workings(sites.shipped("bakery-yard"))[0]
    apparent = next(line for line in working.lines if line.equation.startswith("S ="))
    assert "P:" not in apparent.remarks
    assert "cos φ: power factor" in apparent.remarks


def test_a_figure_that_is_given_only_for_comparison_is_printed_too() -> None:
    found = findings_view.workings(sites.shipped("bakery-yard"))
    drop = next(line for one in found for line in one.lines if line.equation.startswith("ΔUc ="))
    assert re.search(rf"ΔUf = [\d.]+{T}V: for comparison: drop by the load flow", drop.remarks)


def row_of(finding: Finding) -> findings_view.FindingRow:
    (group,) = findings_view.question_groups((finding,))
    return group.rows[0]


PLAIN = Finding(
    check="ampacity",
    question="Does it carry the current?",
    outcome=Outcome.FAIL,
    reason=Message(
        template="{a} exceeds {b}.",
        values={"a": Quantity(value=32.04, unit="A"), "b": Quantity(value=32, unit="A")},
    ),
    link="cord",
    value=32.04,
    limit=32,
    unit="A",
    carries_a=31.999,
    depends_on_current=True,
)


def test_a_finding_row_never_rounds_a_breach_away() -> None:
    row = row_of(PLAIN)
    assert row.sentence == f"32.04{T}A exceeds 32{T}A."
    assert (row.value, row.limit, row.margin) == (f"32.04{T}A", f"≤ 32{T}A", f"−0.04{T}A")
    assert row.carries == f"31.9{T}A"
    assert row.has_figures


def test_a_least_value_reads_as_one() -> None:
    assert row_of(replace(PLAIN, sense=Sense.AT_LEAST)).limit == f"≥ 32{T}A"


def test_a_finding_without_figures_takes_no_columns() -> None:
    bare = replace(PLAIN, outcome=Outcome.OPEN, value=None, limit=None, carries_a=None)
    row = row_of(bare)
    assert row.carries == "not known"
    assert not row.has_figures
    assert row_of(replace(bare, outcome=Outcome.NOT_APPLICABLE)).force == ""
    assert row_of(replace(bare, force=Force.MAKERS_LIMIT)).force == "maker's limit"


def test_a_value_that_is_not_a_number_is_said_to_be_undetermined() -> None:
    assert row_of(replace(PLAIN, value=math.nan)).value == "not determined"


def test_surveyed_values_are_shown_as_stated() -> None:
    tables = survey_values.survey_tables(sites.shipped("old-mill").survey)
    rows = {(table.title, row.label): row for table in tables for row in table.rows}
    fault = rows["Supply", "prospective fault current at the origin"]
    assert fault.value == f"2–9{T}kA"
    assert rows["Supply", "earthing system"].value == "TN-S"
    assert rows["Existing demand: Main board", "maximum of the worst phase"].value == "not known"
    offered = rows["Station: Buffered charging station", "settings offered"]
    assert offered.value == f"10, 13, 16, 20, 24, 25, 28, 32{T}A"


NAMED_BY_THE_LOG = {
    "file", "sheet", "unit", "time_column", "l1_column", "l2_column", "l3_column", "total_column",
    "generation_column", "time_zone", "date_order", "interval_s", "measured_at", "instrument",
}  # fmt: skip


def test_a_measured_log_is_shown_with_its_digest_its_gaps_and_what_counts() -> None:
    assessment = sites.shipped("market-hall")
    tables = survey_values.survey_tables(assessment.survey, assessment.demand_logs)
    (table,) = [one for one in tables if one.title == "Existing demand: Main board"]
    rows = {row.label: row for row in table.rows}
    assert rows["log"].value == "market-hall-demand.csv"
    assert rows["log"].known == "clamp logger 7"
    assert len(rows["SHA-256 of the log"].value) == 64
    assert rows["columns of the log"].value == "Time, I L1 (A), I L2 (A), I L3 (A)"
    assert rows["logged"].value == "2026-03-02 00:00 to 2026-04-06 00:45"
    assert rows["days covered"].known == f"a gap of 2.25{T}h"
    assert rows["logged maximum L1"].value == f"16.9{T}A"
    assert rows["counted for L1"].value == f"31.69{T}A"
    assert rows["counted for L1"].known == "factors 1.25 × 1.5"
    assert rows["generation behind the place of the log"].value == "none"


@pytest.mark.parametrize(
    ("record", "shown", "elsewhere"),
    [
        (Demand, survey_labels.DEMAND, {"load", "declared_by", "log"}),
        (ConnectedLoad, survey_labels.LOAD, {"name"}),
        (Supply, survey_labels.SUPPLY, {"service_device", "demand", "source", "transformer"}),
        (
            Transformer,
            survey_labels.TRANSFORMER,
            {
                "rated_power_kva",
                "short_circuit_voltage_percent",
                "vector_group",
                "rated_secondary_voltage_v",
            },
        ),
        (MeasuredLog, survey_labels.LOG, NAMED_BY_THE_LOG),
        (Board, survey_labels.BOARD, {"name", "demand", "source"}),
        (Source, survey_labels.SOURCE, {"name", "output"}),
        (Station, survey_labels.STATION, {"name", "maker", "type_designation", "settings_a"}),
        (Outlet, survey_labels.OUTLET, {"kind", "rating_a", "poles", "clock_position"}),
        (
            ResidualCurrentDevice,
            survey_labels.RESIDUAL_CURRENT_DEVICE,
            {"type", "residual_current_ma", "rating_a"},
        ),
    ],
)
def test_no_field_of_the_survey_is_left_out(
    record: type[Record], shown: tuple[tuple[str, str, str], ...], elsewhere: set[str]
) -> None:
    assert {name for name, _, _ in shown} | elsewhere == set(record.model_fields)
    for name, _, unit in shown:
        suffix = name.rpartition("_")[2]
        assert (
            suffix == unit.lower().replace("%", "percent").replace("ω", "ohm").replace("²", "2")
        ) == bool(unit)


def test_how_a_value_is_known() -> None:
    survey = sites.shipped("bakery-yard").survey
    said = survey_values.how_known(survey.supply.prospective_fault_current_ka)
    assert said.startswith("measured with installation tester 1 on 2026-03-12; highest of")
    assert survey_values.how_known(None) == ""
    assert survey_values.stated_text(None) == "not known"


def test_currents_of_the_network_that_are_only_noise_are_not_printed_as_figures() -> None:
    network = view.report_view(sites.shipped("joinery-hall")).network
    assert network is not None
    assert {branch[4] for branch in network.branches} == {f"under 0.01{T}A"}
    assert {node[5] for node in network.nodes} == {f"under 0.01{T}%"}


def test_the_network_has_a_column_for_each_phase_neutral_loading_and_unbalance() -> None:
    network = view.report_view(sites.shipped("quarry-workshop")).network
    state = sites.shipped("quarry-workshop").network
    assert network is not None
    assert state is not None
    node, branch = state.nodes[1], state.branches[0]
    volts = [node.line_voltage_v, *(one for one in node.phase_voltages_v if one is not None)]
    assert network.nodes[1] == (
        "origin",
        *(f"{one:.4g}{T}V" for one in volts),
        f"{node.unbalance_percent:.3g}{T}%",
    )
    currents = (*branch.phase_currents_a, branch.neutral_current_a)
    assert network.branches[0][:5] == ("transformer", *(f"{one:.4g}{T}A" for one in currents))
    assert network.branches[0][5] == f"{branch.loading_percent:.4g}{T}%"
    kiosk = view.report_view(sites.shipped("camp-site-kiosk")).network
    assert kiosk is not None
    assert list(kiosk.nodes[-1][2:]).count("–") == 3


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_cited_source_is_listed(name: str) -> None:
    assessment = sites.shipped(name)
    shown = view.report_view(assessment).sources
    assert len(shown) == len(assessment.sources)
    assert all(title for _, title in shown)
