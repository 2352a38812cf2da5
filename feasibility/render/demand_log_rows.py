"""What is said of a demand, its log and that of a source: rows of the report, JSON objects."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any

from feasibility.render.json_figures import rounded
from feasibility.render.numbers import amount_text, number_text

if TYPE_CHECKING:
    from feasibility.demand_evidence import DemandEvidence, KnownDemand
    from feasibility.demand_log.record import DemandLog, LoggedValues
    from feasibility.survey.measured_log import LogFile, MeasuredLog, OutputLog


def evidence_rows(known: KnownDemand) -> Iterator[tuple[str, str, str]]:
    """Yield label, value and remark of the kind of evidence for one demand."""
    by = known.declared_by
    yield "known by", known.kind.value, f"declared by {by}" if by else ""
    if known.profile_peak_kw is not None:
        peak = amount_text(known.profile_peak_kw, "kW")
        yield f"peak of profile {known.profile}", peak, "mean of many customers, no maximum"


Rows = Iterator[tuple[str, str, str]]


def log_rows(described: MeasuredLog, used: DemandEvidence | None) -> Rows:
    """Yield label, value and remark of everything there is to say about the log of a demand."""
    log = None if used is None else used.log
    columns = (
        described.time_column,
        described.l1_column,
        described.l2_column,
        described.l3_column,
        described.total_column,
        described.generation_column,
    )
    yield from _file_rows(described, columns, log, described.instrument or "")
    if used is None or log is None:
        return
    for one in log.values:
        at = _at(one, log)
        if log.generation_added:
            at += ", generation added back"
        yield f"logged maximum {one.name}", amount_text(one.maximum, log.unit), at
        if one.name in used.counted:
            factors = " × ".join(number_text(factor.value) for factor in used.factors)
            counted = amount_text(used.counted[one.name], log.unit, digits=4)
            yield f"counted for {one.name}", counted, f"factors {factors}"


def output_rows(described: OutputLog, log: DemandLog | None) -> Rows:
    """Yield the same of the log of what a second source delivered."""
    columns = (described.time_column, described.output_column)
    yield from _file_rows(described, columns, log, "")
    if log is not None:
        (one,) = log.values
        yield "logged maximum", amount_text(one.maximum, log.unit), _at(one, log)


def _file_rows(
    described: LogFile, columns: Iterable[str | None], log: DemandLog | None, instrument: str
) -> Rows:
    yield "log", described.file, instrument
    named = ", ".join(one for one in columns if one is not None)
    yield "columns of the log", named, _layout(described)
    if log is None:
        return
    yield "SHA-256 of the log", log.sha256, ""
    yield "logged", f"{log.start:%Y-%m-%d %H:%M} to {log.end:%Y-%m-%d %H:%M}", described.time_zone
    every = f"every {amount_text(log.interval_s, 's')}"
    yield "samples of the log", number_text(log.samples), every
    yield "days covered", amount_text(log.covered_days, "d"), _gaps(log)
    if log.formulas:
        yield "formulas in the workbook", number_text(log.formulas), "last calculated value counts"


def _at(values: LoggedValues, log: DemandLog) -> str:
    return f"on {values.maximum_at:%Y-%m-%d %H:%M}, mean {amount_text(values.mean, log.unit)}"


def _layout(described: LogFile) -> str:
    sheet = "" if described.sheet is None else f"sheet {described.sheet}, "
    order = "" if described.date_order is None else f", {described.date_order}"
    return f"{sheet}in {described.unit}{order}"


def _gaps(log: DemandLog) -> str:
    if not log.gap_count:
        return "no gap"
    total, longest = amount_text(log.gaps_total_h, "h"), amount_text(log.longest_gap_h, "h")
    if log.gap_count == 1:
        return f"a gap of {longest}"
    return f"{log.gap_count} gaps, {total} in all, the longest {longest}"


def demand_object(known: KnownDemand) -> dict[str, Any]:
    """Return the kind of evidence for one demand; what is not known is null."""
    return {
        "fact": known.path,
        "where": known.where,
        "evidence": known.kind.value,
        "declared_by": known.declared_by or None,
        "load_profile": known.profile or None,
        "annual_energy_kwh": rounded(known.annual_energy_kwh),
        "profile_peak_kw": rounded(known.profile_peak_kw),
    }


def log_object(used: DemandEvidence) -> dict[str, Any]:
    """Return a log with its digest, figures and factors; what is not known is null."""
    log = used.log
    return {
        "fact": used.path,
        "where": used.where,
        "lacking": used.lacking or None,
        "factor": rounded(used.factor),
        "factors": [
            {"value": rounded(one.value), "limit": one.key, "source": str(one.citation)}
            for one in used.factors
        ],
        "log": None if log is None else read_object(log, used.counted),
    }


def read_object(log: DemandLog, counted: Mapping[str, float]) -> dict[str, Any]:
    """Return what was read of a log, with what counts of each column's maximum where it does."""
    return {
        "file": log.file,
        "sha256": log.sha256,
        "unit": log.unit,
        "interval_s": rounded(log.interval_s),
        "start": log.start.isoformat(),
        "end": log.end.isoformat(),
        "samples": log.samples,
        "covered_days": rounded(log.covered_days),
        "gap_count": log.gap_count,
        "longest_gap_s": rounded(log.longest_gap_s),
        "gaps_total_s": rounded(log.gaps_total_s),
        "generation_added": log.generation_added,
        "formulas": log.formulas,
        "values": [
            {
                "name": one.name,
                "maximum": rounded(one.maximum),
                "maximum_at": one.maximum_at.isoformat(),
                "mean": rounded(one.mean),
                "counted": rounded(counted.get(one.name)),
            }
            for one in log.values
        ],
    }
