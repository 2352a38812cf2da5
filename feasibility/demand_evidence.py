"""By which kind of evidence a demand is known, and what counts of a log, for whoever shows it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from feasibility.citation import Citation
from feasibility.demand_log.record import DemandLog
from feasibility.installation.model import DeclaredDemand, Installation, LoggedDemand
from feasibility.load_profile.profiles import profile_peak_kw


class EvidenceKind(StrEnum):
    """How a demand is known, the best first."""

    LOG = "measured log"
    DECLARED = "declared"
    DIVERSITY = "declared with diversity"
    ENERGY = "annual energy, no maximum"
    NONE = "not known"


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownDemand:
    """One demand of the survey and the kind of evidence for it.

    ``profile`` is the standard load profile on which it runs over the year, empty if none;
    ``profile_peak_kw`` what that reaches with ``annual_energy_kwh``, as the mean of many customers.
    """

    path: str
    where: str
    kind: EvidenceKind
    declared_by: str = ""
    profile: str = ""
    annual_energy_kwh: float | None = None
    profile_peak_kw: float | None = None


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


def known_demands(installation: Installation) -> tuple[KnownDemand, ...]:
    """Return every demand of a board or of the supply with the kind of evidence for it."""
    found: dict[str, KnownDemand] = {}
    for one in installation.demands:
        if one.logged is not None:
            path = one.logged.path.removesuffix(".log")
            found[path] = _known(one.logged, path, EvidenceKind.LOG)
        elif one.declared is not None:
            found.setdefault(one.declared.path, _declared(one.declared))
    return tuple(found.values())


def _declared(demand: DeclaredDemand) -> KnownDemand:
    kind = EvidenceKind.DIVERSITY if demand.diversity else EvidenceKind.DECLARED
    if demand.lacking is not None:
        known = demand.profile is not None or not demand.energy_kwh.is_open
        kind = EvidenceKind.ENERGY if known else EvidenceKind.NONE
    return _known(demand, demand.path, kind, demand.declared_by)


def _known(
    demand: DeclaredDemand | LoggedDemand, path: str, kind: EvidenceKind, declared_by: str = ""
) -> KnownDemand:
    energy = demand.energy_kwh.options[0] if len(demand.energy_kwh.options) == 1 else None
    peak = None
    if demand.profile is not None and energy is not None:
        peak = profile_peak_kw(demand.profile.name, energy)
    return KnownDemand(
        path=path,
        where=demand.where,
        kind=kind,
        declared_by=declared_by,
        profile="" if demand.profile is None else demand.profile.name,
        annual_energy_kwh=energy,
        profile_peak_kw=peak,
    )
