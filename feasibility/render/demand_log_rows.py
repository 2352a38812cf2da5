"""What is said of a demand and its log: rows of the report, and objects of the JSON."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from feasibility.render.json_figures import rounded
from feasibility.render.numbers import amount_text, number_text

if TYPE_CHECKING:
    from feasibility.demand_evidence import DemandEvidence, KnownDemand
    from feasibility.demand_log.record import DemandLog
    from feasibility.survey.measured_log import MeasuredLog


def evidence_rows(known: KnownDemand) -> Iterator[tuple[str, str, str]]:
    """Yield label, value and remark of the kind of evidence for one demand."""
    by = known.declared_by
    yield "known by", known.kind.value, f"declared by {by}" if by else ""
    if known.profile_peak_kw is not None:
        peak = amount_text(known.profile_peak_kw, "kW")
        yield f"peak of profile {known.profile}", peak, "mean of many customers, no maximum"


def log_rows(described: MeasuredLog, used: DemandEvidence | None) -> Iterator[tuple[str, str, str]]:
    """Yield label, value and remark of everything there is to say about one log."""
    log = None if used is None else used.log
    yield "log", described.file, described.instrument or ""
    yield "columns of the log", ", ".join(_columns(described)), _layout(described)
    if used is None or log is None:
        return
    yield "SHA-256 of the log", log.sha256, ""
    yield "logged", f"{log.start:%Y-%m-%d %H:%M} to {log.end:%Y-%m-%d %H:%M}", described.time_zone
    every = f"every {amount_text(log.interval_s, 's')}"
    yield "samples of the log", number_text(log.samples), every
    yield "days covered", amount_text(log.covered_days, "d"), _gaps(log)
    if log.formulas:
        yield "formulas in the workbook", number_text(log.formulas), "last calculated value counts"
    for one in log.values:
        at = f"on {one.maximum_at:%Y-%m-%d %H:%M}, mean {amount_text(one.mean, log.unit)}"
        if log.generation_added:
            at += ", generation added back"
        yield f"logged maximum {one.name}", amount_text(one.maximum, log.unit), at
        if one.name in used.counted:
            factors = " × ".join(number_text(factor.value) for factor in used.factors)
            counted = amount_text(used.counted[one.name], log.unit, digits=4)
            yield f"counted for {one.name}", counted, f"factors {factors}"


def _columns(described: MeasuredLog) -> Iterator[str]:
    columns = (
        described.time_column,
        described.l1_column,
        described.l2_column,
        described.l3_column,
        described.total_column,
        described.generation_column,
    )
    yield from (one for one in columns if one is not None)


def _layout(described: MeasuredLog) -> str:
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
        "log": None if log is None else _figures(used, log),
    }


def _figures(used: DemandEvidence, log: DemandLog) -> dict[str, Any]:
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
                "counted": rounded(used.counted.get(one.name)),
            }
            for one in log.values
        ],
    }
