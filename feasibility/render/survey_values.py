"""What the survey states, as rows of label, value and how it is known."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from feasibility.render.demand_log_rows import evidence_rows, log_rows, output_rows
from feasibility.render.numbers import EN_DASH, NOT_KNOWN, number_text, options_text, with_unit
from feasibility.render.survey_labels import (
    BOARD,
    CABLE,
    CIRCUIT,
    CORD,
    DEMAND,
    DEVICE,
    LOAD,
    LOG,
    OUTLET,
    PART,
    RESIDUAL_CURRENT_DEVICE,
    SOURCE,
    STATION,
    SUPPLY,
    TRANSFORMER,
)

if TYPE_CHECKING:
    from feasibility.demand_evidence import DemandEvidence, KnownDemand
    from feasibility.demand_log.record import DemandLog
    from feasibility.survey.circuit import Circuit, Device
    from feasibility.survey.model import Station, Survey
    from feasibility.survey.stated import Record, Stated

_HOW_KNOWN = {
    None: "",
    "measured": "measured",
    "read": "read from label or drawing",
    "told": "told",
    "assumed": "assumed by the surveyor",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class SurveyRow:
    """One surveyed value."""

    label: str
    value: str
    known: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SurveyTable:
    """The surveyed values of one part of the site."""

    title: str
    rows: tuple[SurveyRow, ...]


def stated_text(stated: Stated[Any] | None, unit: str = "") -> str:
    """Return a stated value, the bounds where only these are known, or ``not known``."""
    if stated is None:
        return NOT_KNOWN
    known = [one for one in (stated.value, stated.low, stated.high) if one is not None]
    if known and not unit and all(_is_plain_date_or_year(one) for one in known):
        return EN_DASH.join(str(one) for one in known)
    return options_text(known, unit) if known else NOT_KNOWN


def _is_plain_date_or_year(value: object) -> bool:
    """Whether a value is written digit by digit: a date, or a whole number without a unit."""
    return isinstance(value, dt.date) or (isinstance(value, int) and not isinstance(value, bool))


def how_known(stated: Stated[Any] | None) -> str:
    """Return how a value is known: measured with which instrument, when, by which method."""
    if stated is None:
        return ""
    words = [_HOW_KNOWN[stated.known]]
    if stated.instrument:
        words.append(f"with {stated.instrument}")
    if stated.date:
        words.append(f"on {stated.date.isoformat()}")
    text = " ".join(word for word in words if word)
    return "; ".join(part for part in (text, stated.method, stated.note) if part)


def survey_tables(
    survey: Survey,
    logs: Iterable[DemandEvidence] = (),
    demands: Iterable[KnownDemand] = (),
    outputs: Mapping[str, DemandLog] | None = None,
) -> tuple[SurveyTable, ...]:
    """Return the values of supply, demand, boards, devices, circuits, outlet and station.

    ``logs`` are the demands that are stated as a measured log, with what was found in it,
    ``demands`` says of each how it is known, ``outputs`` are the logs of what second sources
    delivered, by their places. What the drawing of the feed path shows of a device is not repeated.
    """
    boards = [_table(f"Board: {board.name}", board, BOARD) for board in survey.board]
    tables = (
        _table("Supply", survey.supply, SUPPLY, always=("earthing_system", "nominal_voltage_v")),
        *_transformer(survey),
        *_demand_tables(survey, logs, demands),
        *_devices(survey),
        *boards,
        *_source_tables(survey, outputs or {}),
        *(_circuit_table(circuit) for circuit in survey.circuit),
        _table("Outlet", survey.outlet, OUTLET),
        *([] if survey.cord is None else [_table("Cord", survey.cord, CORD)]),
        _station_table(survey.station),
    )
    return tuple(one for one in tables if one.rows)


def _station_table(station: Station) -> SurveyTable:
    stated = _table(f"Station: {station.name}", station, STATION)
    plate = (("maker", station.maker), ("type designation", station.type_designation))
    rows = [SurveyRow(label=label, value=text, known="") for label, text in plate if text]
    rows += stated.rows
    if station.settings_a:
        offered = with_unit(", ".join(number_text(one) for one in station.settings_a), "A")
        rows.append(SurveyRow(label="settings offered", value=offered, known=""))
    return SurveyTable(title=stated.title, rows=tuple(rows))


def _source_tables(survey: Survey, logs: Mapping[str, DemandLog]) -> Iterable[SurveyTable]:
    places = [("the origin", "supply", survey.supply.source)]
    places += [(one.name, f"board[{n}]", one.source) for n, one in enumerate(survey.board, start=1)]
    places += [
        (f"circuit '{one.name}'", f"circuit[{n}]", one.source)
        for n, one in enumerate(survey.circuit, start=1)
    ]
    for where, path, listed in places:
        for number, source in enumerate(listed, start=1):
            table = _table(f"Second source at {where}: {source.name}", source, SOURCE)
            rows = table.rows
            if source.output is not None:
                rows += _rows(output_rows(source.output, logs.get(f"{path}.source[{number}]")))
            yield SurveyTable(title=table.title, rows=rows)


def _transformer(survey: Survey) -> Iterable[SurveyTable]:
    own = survey.supply.transformer
    return () if own is None else (_table("Own transformer", own, TRANSFORMER),)


def _demand_tables(
    survey: Survey, logs: Iterable[DemandEvidence], demands: Iterable[KnownDemand]
) -> Iterable[SurveyTable]:
    used = {one.path: one for one in logs}
    known = {one.path: one for one in demands}
    stated = [("Existing demand on the service", "supply.demand", survey.supply.demand)]
    stated += [
        (f"Existing demand: {board.name}", f"board[{number}].demand", board.demand)
        for number, board in enumerate(survey.board, start=1)
    ]
    for title, path, demand in stated:
        if demand is None:
            continue
        rows = _rows(evidence_rows(known[path])) if path in known else ()
        rows += _table(title, demand, DEMAND).rows
        for load in demand.load:
            fields = [(name, f"{load.name}: {label}", unit) for name, label, unit in LOAD]
            rows += _table(title, load, fields).rows
        if demand.log is not None:
            rows += _rows(log_rows(demand.log, used.get(f"{path}.log")))
            rows += _table(title, demand.log, LOG, always=("generation_behind_meter",)).rows
        yield SurveyTable(title=title, rows=rows)


def _rows(found: Iterable[tuple[str, str, str]]) -> tuple[SurveyRow, ...]:
    return tuple(SurveyRow(label=one, value=value, known=how) for one, value, how in found)


def _circuit_table(circuit: Circuit) -> SurveyTable:
    own = _table(f"Circuit: {circuit.name}", circuit, CIRCUIT)
    rows = list(own.rows)
    for number, cable in enumerate(circuit.cable, start=1):
        fields = [(name, f"cable {number} {label}", unit) for name, label, unit in CABLE]
        rows += _table(own.title, cable, fields).rows
    for part in circuit.part:
        fields = [(name, f"{part.name or part.kind}: {label}", unit) for name, label, unit in PART]
        rows += _table(own.title, part, fields).rows
    if circuit.residual_current_device is not None:
        device = circuit.residual_current_device
        rows += _table(own.title, device, RESIDUAL_CURRENT_DEVICE).rows
    return SurveyTable(title=own.title, rows=tuple(rows))


def _devices(survey: Survey) -> Iterable[SurveyTable]:
    named = [("service device", survey.supply.service_device)]
    named += [(f"device of '{circuit.name}'", circuit.device) for circuit in survey.circuit]
    for name, device in named:
        if device is not None:
            table = _table(f"Protective device: {name}", device, DEVICE)
            yield SurveyTable(title=table.title, rows=(*table.rows, *_curve_rows(device)))


def _curve_rows(device: Device) -> Iterable[SurveyRow]:
    for point in device.curve_point:
        times = [
            f"{words} {with_unit(number_text(time_s), 's')}"
            for words, time_s in (
                ("not before", point.fastest_s),
                ("at the latest after", point.slowest_s),
            )
            if time_s is not None
        ]
        at = with_unit(number_text(point.current_a), "A")
        yield SurveyRow(label=f"maker's curve at {at}", value=", ".join(times), known="")


def _table(
    title: str,
    record: Record,
    fields: Iterable[tuple[str, str, str]],
    always: tuple[str, ...] = (),
) -> SurveyTable:
    rows = []
    for name, label, unit in fields:
        stated: Stated[Any] | None = getattr(record, name)
        if stated is not None or name in always:
            value = stated_text(stated, unit)
            rows.append(SurveyRow(label=label, value=value, known=how_known(stated)))
    return SurveyTable(title=title, rows=tuple(rows))
