"""JSON and text of assessments as no site would give them: any name, any figure, any gap."""

from __future__ import annotations

import datetime as dt
import json
import re
import tomllib
import unicodedata
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from feasibility.assessment import SCHEMA_VERSION, Assessment, Assumption, OpenFact
from feasibility.chain import ChainLink, PathElement, WeakLink
from feasibility.checks.fault_conductors import FaultKind
from feasibility.checks.load_flow import BranchState, NetworkState, NodeState
from feasibility.citation import Citation
from feasibility.demand_evidence import DemandEvidence, EvidenceKind, KnownDemand, LogFactor
from feasibility.demand_log.record import DemandLog, LoggedValues
from feasibility.examples import example_names, example_text
from feasibility.expected_readings import (
    BETWEEN_LINES,
    TO_NEUTRAL,
    ExpectedNode,
    ExpectedReadings,
    PermittedTemperature,
)
from feasibility.initial_tests import InitialTest
from feasibility.installation.model import LinkKind
from feasibility.operator_request import OperatorRequest, RequestItem
from feasibility.possible import PossibleCurrents
from feasibility.render import json_document
from feasibility.render.json_document import to_json
from feasibility.render.plain_lines import escaped, wrapped
from feasibility.render.text import to_text, verdict_in_words
from feasibility.result import (
    FaultLevel,
    Finding,
    Force,
    Message,
    NodeFaults,
    Outcome,
    Quantity,
    Sense,
    Span,
    Step,
    Verdict,
)
from feasibility.settings import Settings
from feasibility.survey.model import Survey
from feasibility.time_current import ConductorLimit, DeviceCurve, DiagramPoint, TimeCurrent
from feasibility.voltage_along import VoltageAlong, VoltagePoint

from .years import any_generation, any_year

SCHEMA_FILE = Path(json_document.__file__).with_name("assessment.schema.json")
VALIDATOR = Draft202012Validator(json.loads(SCHEMA_FILE.read_text(encoding="utf-8")))
COLUMNS = 80
UNSEEN = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}
NASTY = "\x1b[2J\x07\x9b\r\n\t\u202e\u2028\u200b\ud800\u0301面Ωäß\U0001f50c {value} \\"

names = st.one_of(
    st.text(min_size=1, max_size=200),
    st.text(alphabet=NASTY, min_size=1, max_size=200),
    st.text(alphabet="ab", min_size=200, max_size=200),
)
magnitudes = st.one_of(st.just(0.0), st.floats(1e-9, 1e9))
figures = st.one_of(magnitudes, magnitudes.map(lambda x: -x), st.sampled_from(NOT_FINITE := (
    float("nan"), float("inf"), float("-inf"),
)))  # fmt: skip
currents = st.one_of(st.none(), magnitudes, st.sampled_from(NOT_FINITE[:2]))
symbols = st.sampled_from(["Ib", "cosphi", "k2", "Zs"])
units = st.sampled_from(["A", "ohm", "mm2", ""])
citations = st.lists(
    st.builds(Citation, source=st.just("IEC60364-4-43:2008"), clause=names, note=names), max_size=2
).map(tuple)
quantities = st.builds(
    Quantity, value=figures, unit=units, symbol=symbols, meaning=names, sources=citations,
    origin=names, note=names,
)  # fmt: skip
messages = st.builds(
    Message,
    template=st.sampled_from(["{value} exceeds {limit} of {what}.", "Nothing to fill in."]),
    values=st.fixed_dictionaries({"value": quantities, "limit": quantities, "what": names}),
)
steps = st.builds(
    Step, symbol=symbols, meaning=names, formula=st.just("Ib * sqrt(3)"),
    inputs=st.lists(quantities, max_size=2).map(tuple), result=figures, unit=units,
    sources=citations,
)  # fmt: skip


def _findings_with(outcome: Outcome) -> st.SearchStrategy[Finding]:
    binding = [one for one in Force if one.binds]
    return st.builds(
        Finding, check=st.just("link-rating"), question=names, outcome=st.just(outcome),
        reason=messages, link=st.one_of(st.just(""), names),
        force=st.sampled_from(binding if outcome is Outcome.FAIL else list(Force)),
        value=st.one_of(st.none(), figures), limit=st.one_of(st.none(), figures), unit=units,
        sense=st.sampled_from(Sense), carries_a=currents, depends_on_current=st.booleans(),
        sources=citations, working=st.lists(steps, max_size=1).map(tuple),
        facts=st.lists(names, max_size=1).map(tuple),
    )  # fmt: skip


findings = st.sampled_from(Outcome).flatmap(_findings_with)
chain_links = st.builds(
    ChainLink, name=names, kind=st.sampled_from([one.value for one in LinkKind]),
    carries_a=currents, advised_a=currents, outcome=st.sampled_from(Outcome),
)  # fmt: skip
path_elements = st.builds(
    PathElement, name=names, kind=st.just("board"),
    details=st.lists(st.one_of(names, quantities), max_size=2).map(tuple),
)  # fmt: skip
assumptions = st.builds(
    Assumption, fact=names, label=names, unit=units, reason=names, by_surveyor=st.booleans(),
    options=st.one_of(st.tuples(figures, figures), st.tuples(names, names), st.just((True, False))),
)  # fmt: skip
open_facts = st.builds(
    OpenFact, fact=names, label=names, checks=st.lists(names, min_size=1, max_size=2).map(tuple)
)
networks = st.builds(
    NetworkState,
    station_current_a=magnitudes,
    nodes=st.lists(
        st.builds(
            NodeState, name=names, line_voltage_v=figures,
            phase_voltages_v=st.tuples(*[st.none() | figures] * 3),
            unbalance_percent=st.none() | figures,
        ),
        max_size=1,
    ).map(tuple),
    branches=st.lists(
        st.builds(
            BranchState, name=names, current_a=magnitudes, neutral_current_a=magnitudes,
            phase_currents_a=st.tuples(*[magnitudes] * 3), carries_a=st.floats(1e-9, 1e9),
            loss_w=figures,
        ),
        max_size=1,
    ).map(tuple),
    conductor_temperatures_c=st.dictionaries(names, figures, max_size=1),
    model=st.just(None), constant_currents=st.just(()), solver_deviation=figures,
)  # fmt: skip
positive = st.floats(1e-9, 1e9)
points = st.builds(DiagramPoint, current_a=positive, time_s=positive)
several_points = st.lists(points, min_size=1, max_size=2).map(tuple)
curves = st.none() | st.builds(
    DeviceCurve, name=names, words=names, quick=several_points, slow=several_points
)
conductor_limits = st.none() | st.builds(ConductorLimit, name=names, value=positive)
diagrams = st.builds(
    TimeCurrent, upstream=names, downstream=names, before=curves, after=curves,
    ampacity=conductor_limits, withstand=conductor_limits, withstand_from_s=positive,
    withstand_to_s=positive, design_current_a=currents, start=st.none() | points,
    smallest_fault_a=currents, largest_fault_a=currents, selective_up_to_a=currents,
    outcome=st.sampled_from(Outcome), selectivity=messages,
    missing=st.lists(names, max_size=1).map(tuple),
)  # fmt: skip
fault_levels = st.builds(
    FaultLevel, kind=st.sampled_from([kind.value for kind in FaultKind]),
    largest_a=st.one_of(st.none(), magnitudes), smallest_a=st.one_of(st.none(), magnitudes),
    facts=st.lists(names, max_size=1).map(tuple), lacking=st.one_of(st.just(""), names),
)  # fmt: skip
requests = st.builds(
    OperatorRequest,
    notice=names,
    items=st.lists(
        st.builds(
            RequestItem,
            item=st.just("short_circuit_ratio"),
            label=names,
            group=names,
            options=st.lists(st.one_of(figures, names, st.booleans()), max_size=2).map(tuple),
            unit=st.sampled_from(["", "A", "kVA"]),
            origin=names,
        ),
        min_size=1,
        max_size=2,
    ).map(tuple),
)
spans = st.none() | st.builds(Span, low=figures, high=figures)
expected_nodes = st.builds(
    ExpectedNode, node=names, section=st.just("") | names,
    voltage_between=st.sampled_from([TO_NEUTRAL, BETWEEN_LINES]), voltage_v=spans, drop_v=spans,
    section_drop_v=spans, loop_ohm=spans, loop_permitted_ohm=st.none() | figures,
    loop_advised_ohm=st.none() | figures,
    fault_between=st.sampled_from(["line-line", "line-neutral"]), fault_current_a=spans,
    lacking=st.lists(names, max_size=1).map(tuple),
)  # fmt: skip
initial_tests = st.builds(
    InitialTest, test=names, how=names, links=st.lists(names, max_size=1).map(tuple),
    limits=st.lists(quantities, max_size=1).map(tuple),
    citation=st.builds(Citation, source=names, clause=names, note=names),
)  # fmt: skip
expected = st.builds(
    ExpectedReadings, test_current_a=currents, verdict_stands=st.booleans(),
    tests=st.lists(initial_tests, max_size=1).map(tuple),
    phases=st.sampled_from([(), ("L2",), ("L1", "L2", "L3")]),
    nodes=st.lists(expected_nodes, max_size=2).map(tuple),
    temperatures=st.lists(
        st.builds(
            PermittedTemperature, link=names, part=names, value=figures,
            unit=st.sampled_from(["K", "°C"]), sources=citations,
        ),
        max_size=1,
    ).map(tuple),
)  # fmt: skip
settings = st.builds(
    Settings,
    offered_a=st.lists(st.floats(0.01, 1e4), max_size=3).map(tuple),
    tolerance_percent=st.floats(0, 100),
    counts=st.booleans(),
)


@cache
def shipped_survey() -> Survey:
    return Survey.model_validate(tomllib.loads(example_text(example_names()[0])))


def survey_of(reference: str, name: str, surveyor: str) -> Survey:
    """Return a survey that no file could give: its names went past the validation."""
    survey = shipped_survey()
    return survey.model_copy(
        update={
            "site": survey.site.model_copy(update={"reference": reference, "name": name}),
            "surveyor": survey.surveyor.model_copy(update={"name": surveyor}),
        }
    )


def few(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.lists(strategy, max_size=2).map(tuple)


times = st.datetimes(timezones=st.just(dt.UTC))
columns = st.sampled_from(["L1", "L2", "L3", "total", "output"])
logs = st.builds(
    DemandLog, file=names, sha256=st.just("0" * 64), unit=st.sampled_from(["A", "kW"]),
    interval_s=magnitudes, start=times, end=times, samples=st.integers(2, 10**6),
    gap_count=st.integers(0, 3), longest_gap_s=magnitudes, gaps_total_s=magnitudes,
    season_days=st.tuples(*[magnitudes] * 4), formulas=st.integers(0, 3),
    values=st.lists(
        st.builds(
            LoggedValues, name=columns, maximum=magnitudes, maximum_at=times, mean=figures,
            lowest=magnitudes,
        ),
        min_size=1, max_size=2,
    ).map(tuple),
)  # fmt: skip
evidence = st.builds(
    DemandEvidence, path=names, where=names, lacking=st.one_of(st.just(""), names), factor=figures,
    factors=few(st.builds(LogFactor, key=names, value=figures, citation=st.builds(
        Citation, source=names, clause=names, note=names,
    ))),
    log=st.one_of(st.none(), logs), counted=st.dictionaries(columns, figures, max_size=4),
)  # fmt: skip

known = st.builds(
    KnownDemand, path=names, where=names, kind=st.sampled_from(EvidenceKind), declared_by=names,
    profile=st.sampled_from(["", "G0"]), annual_energy_kwh=currents, profile_peak_kw=currents,
)  # fmt: skip

along = st.builds(
    VoltageAlong, between_lines=st.booleans(), station_current_a=magnitudes, nominal_v=magnitudes,
    highest_v=magnitudes, accepted_from_v=magnitudes, points=few(st.builds(
        VoltagePoint, name=names, distance_m=magnitudes, loaded_v=magnitudes, idle_v=magnitudes,
    )),
)  # fmt: skip

years = any_year(names, magnitudes, figures, times)
generations = any_generation(names, magnitudes, figures, times, logs)

assessments = st.builds(
    Assessment, schema_version=st.just(SCHEMA_VERSION), program_version=st.just("0.1"),
    survey_sha256=st.just("0" * 64), survey=st.builds(survey_of, names, names, names),
    code_basis=names, verdict=st.sampled_from(Verdict), requested_current_a=currents,
    requested_working=few(steps), carryable_current_a=currents, current_limit_only_a=currents,
    advised_current_a=currents, weakest_link=st.one_of(st.just(""), names), settings=settings,
    possible=st.builds(
        PossibleCurrents, lowest_a=currents, highest_a=currents,
        lowest_link=st.one_of(st.just(""), names), highest_link=st.one_of(st.just(""), names),
        not_counted=few(names), deciding=few(names),
    ),
    weakest_links=few(st.builds(
        WeakLink, name=names, check=st.just("link-rating"), carries_a=magnitudes,
    )),
    chain=few(chain_links), path=few(path_elements), findings=few(findings),
    assumptions=few(assumptions), open_facts=few(open_facts), cautions=few(messages),
    not_checked=few(names), network=st.one_of(st.none(), networks),
    voltage_along=st.one_of(st.none(), along),
    time_current=few(diagrams), demands=few(known), demand_logs=few(evidence),
    fault_levels=few(st.builds(NodeFaults, node=names, levels=few(fault_levels))),
    operator_request=requests, expected_readings=expected, year=st.one_of(st.none(), years),
    generation=st.none() | generations,
    sources=st.just({"IEC60364-4-43:2008": "Protection against overcurrent"}),
)  # fmt: skip


def refuse(word: str) -> None:
    pytest.fail(f"{word} is not JSON")


@given(assessments)
def test_any_assessment_gives_json_that_keeps_to_the_schema(assessment: Assessment) -> None:
    text = to_json(assessment)
    document = json.loads(text.encode("utf-8"), parse_constant=refuse)
    assert [error.message for error in VALIDATOR.iter_errors(document)] == []
    assert document["survey"]["name"] == assessment.survey.site.name
    assert not [one for one in text if unicodedata.category(one) in UNSEEN and one != "\n"]


@given(assessments)
def test_any_breach_can_be_read_from_the_json(assessment: Assessment) -> None:
    document = json.loads(to_json(assessment))
    for found, told in zip(assessment.findings, document["findings"], strict=True):
        breached = found.margin is not None and found.margin < 0
        if (
            breached
            and found.outcome is Outcome.FAIL
            and None not in (told["value"], told["limit"])
        ):
            over = told["value"] > told["limit"]
            assert over if found.sense is Sense.AT_MOST else told["value"] < told["limit"]
            assert told["margin"] < 0
        if told["carries_a"] is not None and found.carries_a is not None:
            assert told["carries_a"] <= found.carries_a + 1e-9


@given(assessments)
def test_any_assessment_fits_a_terminal_and_cannot_steer_it(assessment: Assessment) -> None:
    text = to_text(assessment)
    for line in text.split("\n"):
        assert len(line) <= COLUMNS
        wide = sum(unicodedata.east_asian_width(one) in "WF" for one in line)
        assert len(line) + wide <= COLUMNS
        assert not [one for one in line if unicodedata.category(one) in UNSEEN]
    words = verdict_in_words(assessment)
    assert not [one for one in words if unicodedata.category(one) in UNSEEN]


@given(st.text(alphabet=NASTY.replace("\\", "")))
def test_nothing_of_a_name_is_lost_when_it_is_escaped(name: str) -> None:
    assert re.sub(r"\\(x..|u....|U........)", back, escaped(name)) == name


def back(found: re.Match[str]) -> str:
    return chr(int(found[1][1:], 16))


def test_what_steers_a_terminal_is_shown_as_an_escape() -> None:
    assert escaped("a\x1b[31mb\x9b\n\u202e\U000e0041c") == (
        "a\\x1b[31mb\\x9b\\x0a\\u202e\\U000e0041c"
    )


@given(st.text(alphabet="ab \u202f面"), st.sampled_from(["", "  - "]))
def test_wrapping_keeps_every_character_but_blanks(text: str, first: str) -> None:
    lines = wrapped(text, first=first)
    kept = "".join(lines).replace(" ", "").removeprefix("-")
    assert kept == text.replace(" ", "").replace("\u202f", "")


def test_a_figure_stays_with_its_unit() -> None:
    words = "x " * 38 + "24.5\u202fA"
    assert wrapped(words) == ["x " * 37 + "x", "24.5 A"]
