"""What a measured log says of a demand and what counts of it, for whoever shows it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from feasibility.citation import Citation
from feasibility.demand_log.record import DemandLog
from feasibility.installation.model import Installation, LoggedDemand


@dataclass(frozen=True, slots=True, kw_only=True)
class LogFactor:
    """A factor on the maxima of a log, with the key of its limit in the code basis."""

    key: str
    value: float
    citation: Citation


@dataclass(frozen=True, slots=True, kw_only=True)
class DemandEvidence:
    """One demand that is stated as a log. ``log`` is None where the file was not given.

    ``counted`` is what counts of each column's maximum, in the unit of the log; empty where
    ``lacking`` says what keeps the log from being evidence.
    """

    path: str
    where: str
    lacking: str
    factor: float
    factors: tuple[LogFactor, ...]
    log: DemandLog | None
    counted: Mapping[str, float]


def demand_evidence(installation: Installation) -> tuple[DemandEvidence, ...]:
    """Return every demand of the installation that is stated as a log."""
    return tuple(_evidence(one) for one in installation.logged)


def _evidence(used: LoggedDemand) -> DemandEvidence:
    counts = used.log is not None and used.lacking is None
    return DemandEvidence(
        path=used.path,
        where=used.where,
        lacking="" if used.lacking is None else used.lacking.label,
        factor=used.factor,
        factors=tuple(
            LogFactor(key=limit.key, value=limit.value, citation=limit.citation)
            for limit in used.factors
            if limit.value is not None
        ),
        log=used.log,
        counted={
            one.name: used.counted(one) for one in (used.log.values if used.log else ()) if counts
        },
    )
