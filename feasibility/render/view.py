"""Everything the report's templates place, as text and positions; the templates only set it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from feasibility.render.commissioning_view import CommissioningSheet, commissioning_sheet
from feasibility.render.details import detail_texts
from feasibility.render.drawing import Item, Sheet, Symbol, one_line_drawing
from feasibility.render.fault_view import FaultTable, fault_table
from feasibility.render.findings_view import (
    QuestionGroup,
    Working,
    question_groups,
    workings,
)
from feasibility.render.first_page import FirstPage, first_page
from feasibility.render.generation_view import GenerationView, generation_view
from feasibility.render.network_view import NetworkRows, network_rows
from feasibility.render.numbers import (
    CurrentsBeside,
    message_text,
    source_name,
    with_unit,
)
from feasibility.render.operator_view import RequestGroup, request_groups
from feasibility.render.precautions import precautions
from feasibility.render.remarks_view import (
    SCOPE,
    AssumptionRow,
    OpenFactRow,
    assumption_rows,
    cautions,
    open_fact_rows,
    outcome_counts,
)
from feasibility.render.sections import NUMBER_OF
from feasibility.render.survey_values import SurveyTable, stated_text, survey_tables
from feasibility.render.text_fit import shorten
from feasibility.render.time_current_picture import TimeCurrentPicture, time_current_picture
from feasibility.render.voltage_picture import VoltagePicture, voltage_picture
from feasibility.render.words import (
    OUTCOME_SIGNS,
    OUTCOME_WORDS,
    currents_beside,
)
from feasibility.render.year_view import YearView, year_view

if TYPE_CHECKING:
    from feasibility.advice import Advice
    from feasibility.assessment import Assessment
    from feasibility.survey.model import Survey

HASH_DIGITS_ON_EVERY_PAGE = 16
REFERENCE_WIDTH = 36.0
"""Room for the reference in the header, in units of its font size."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkRow:
    """One link of the feed path with its full name."""

    number: str
    name: str
    kind: str
    details: str
    carries: str
    advised: str
    sign: str
    word: str


@dataclass(frozen=True, slots=True, kw_only=True)
class InstrumentRow:
    """One instrument."""

    name: str
    serial: str
    calibrated: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DiagramView:
    """One time-current diagram with what was found on its two devices."""

    title: str
    outcome: str
    sentence: str
    picture: TimeCurrentPicture


@dataclass(frozen=True, slots=True, kw_only=True)
class Furniture:
    """What stands on every page beside the page number."""

    reference: str
    version: str
    survey_hash: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportView:
    """The whole report, in the order of its sections."""

    furniture: Furniture
    number: Mapping[str, int]
    survey: Survey
    first: FirstPage
    counts: tuple[tuple[str, str, int], ...]
    client: str
    qualification: str
    instruments: tuple[InstrumentRow, ...]
    code_basis: str
    program_version: str
    survey_hash: str
    survey_tables: tuple[SurveyTable, ...]
    sheets: tuple[Sheet, ...]
    links: tuple[LinkRow, ...]
    network: NetworkRows | None
    voltages: VoltagePicture | None
    faults: FaultTable
    groups: tuple[QuestionGroup, ...]
    workings: tuple[Working, ...]
    diagrams: tuple[DiagramView, ...]
    year: YearView | None
    generation: GenerationView | None
    assumptions: tuple[AssumptionRow, ...]
    open_facts: tuple[OpenFactRow, ...]
    cautions: tuple[str, ...]
    not_checked: tuple[str, ...]
    sources: tuple[tuple[str, str], ...]
    commissioning: CommissioningSheet
    operator_notice: str
    operator_groups: tuple[RequestGroup, ...]
    precautions: tuple[str, ...]
    scope: tuple[str, ...]


def report_view(assessment: Assessment, advice: Advice | None = None) -> ReportView:
    """Return an assessment as the text and the positions of its report.

    Of the advice only the first remedy stands here, among the steps of the first page.
    """
    survey = assessment.survey
    shown = currents_beside(assessment)
    return ReportView(
        furniture=_furniture(assessment),
        number=NUMBER_OF,
        survey=survey,
        first=first_page(assessment, advice, shown),
        counts=_counts(assessment),
        client=survey.site.client or "",
        qualification=survey.surveyor.qualification or "not stated",
        instruments=_instruments(survey),
        code_basis=assessment.code_basis,
        program_version=assessment.program_version,
        survey_hash=assessment.survey_sha256,
        survey_tables=_survey_tables(assessment),
        sheets=one_line_drawing(assessment.path, _supply_item(survey)),
        links=_links(assessment, shown),
        network=network_rows(assessment),
        voltages=_voltages(assessment),
        faults=fault_table(assessment.fault_levels),
        groups=question_groups(assessment.findings),
        workings=workings(assessment),
        diagrams=_diagrams(assessment),
        year=None if assessment.year is None else year_view(assessment.year),
        generation=generation_view(assessment.generation),
        assumptions=assumption_rows(assessment),
        open_facts=open_fact_rows(assessment),
        cautions=cautions(assessment),
        not_checked=assessment.not_checked,
        sources=_sources(assessment),
        commissioning=commissioning_sheet(assessment),
        operator_notice=assessment.operator_request.notice,
        operator_groups=request_groups(assessment.operator_request),
        precautions=precautions(survey),
        scope=SCOPE,
    )


def _survey_tables(assessment: Assessment) -> tuple[SurveyTable, ...]:
    over = None if assessment.generation is None else assessment.generation.over_year
    outputs = {one.path: one.log for one in over.sources if one.log} if over is not None else {}
    return survey_tables(assessment.survey, assessment.demand_logs, assessment.demands, outputs)


def _voltages(assessment: Assessment) -> VoltagePicture | None:
    along = assessment.voltage_along
    return None if along is None else voltage_picture(along)


def _counts(assessment: Assessment) -> tuple[tuple[str, str, int], ...]:
    counts = outcome_counts(assessment)
    return tuple((OUTCOME_SIGNS[one], OUTCOME_WORDS[one], counts[one]) for one in counts)


def _diagrams(assessment: Assessment) -> tuple[DiagramView, ...]:
    return tuple(
        DiagramView(
            title=f"{one.upstream}, then {one.downstream}",
            outcome=f"{OUTCOME_SIGNS[one.outcome]} {OUTCOME_WORDS[one.outcome]}",
            sentence=message_text(one.selectivity),
            picture=time_current_picture(one),
        )
        for one in assessment.time_current
    )


def _furniture(assessment: Assessment) -> Furniture:
    return Furniture(
        reference=shorten(assessment.survey.site.reference, REFERENCE_WIDTH, 1.0),
        version=assessment.program_version,
        survey_hash=assessment.survey_sha256[:HASH_DIGITS_ON_EVERY_PAGE],
    )


def _instruments(survey: Survey) -> tuple[InstrumentRow, ...]:
    return tuple(
        InstrumentRow(
            name=one.name,
            serial=one.serial or "not stated",
            calibrated=one.calibrated.isoformat() if one.calibrated else "not stated",
        )
        for one in survey.surveyor.instrument
    )


def _supply_item(survey: Survey) -> Item:
    supply = survey.supply
    return Item(
        symbol=Symbol.NETWORK,
        number="",
        name="supply",
        details=(
            f"kind: {stated_text(supply.kind)}",
            f"earthing system: {stated_text(supply.earthing_system)}",
            f"nominal voltage: {stated_text(supply.nominal_voltage_v, 'V')}",
        ),
    )


def _links(assessment: Assessment, shown: CurrentsBeside) -> tuple[LinkRow, ...]:
    details = {one.name: detail_texts(one) for one in assessment.path if one.kind != "board"}
    return tuple(
        LinkRow(
            number=str(number),
            name=link.name,
            kind=link.kind,
            details=" · ".join(details.get(link.name, ())),
            carries=with_unit(shown.carried(link.carries_a), "A"),
            advised=with_unit(shown.carried(link.advised_a), "A"),
            sign=OUTCOME_SIGNS[link.outcome],
            word=OUTCOME_WORDS[link.outcome],
        )
        for number, link in enumerate(assessment.chain, start=1)
    )


def _sources(assessment: Assessment) -> tuple[tuple[str, str], ...]:
    rows = []
    for source, title in assessment.sources.items():
        name = source_name(source, assessment.sources)
        shown = title.rstrip(", ")
        rows.append(("", shown) if name == shown else (name, shown))
    return tuple(rows)
