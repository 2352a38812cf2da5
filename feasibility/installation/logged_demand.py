"""The demand of a board by its measured log: its maxima with what the log cannot show added."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from feasibility.code_basis import CodeBasis, Limit
from feasibility.demand_log.record import PHASES, TOTAL, DemandLog
from feasibility.installation.declared_demand import profile_of
from feasibility.installation.facts import Fact
from feasibility.installation.model import DemandAt, Link, LinkKind, LoggedDemand
from feasibility.installation.resolve import Resolved
from feasibility.survey.demand import Demand
from feasibility.survey.year_energy import most_energy_kwh, most_power_kw

_PEAK_FACTORS = {
    60: "log_peak_factor_up_to_60_s",
    300: "log_peak_factor_up_to_300_s",
    900: "log_peak_factor_up_to_900_s",
    1800: "log_peak_factor_up_to_1800_s",
    3600: "log_peak_factor_up_to_3600_s",
}
"""The factors of the code basis by the longest interval in seconds that each is for."""


def logged_demand_at(
    demand: Demand,
    data: Resolved,
    where: str,
    node: int,
    logs: Mapping[str, DemandLog],
    nominal_v: float | None,
) -> DemandAt:
    """Return a demand that is stated as a log; ``data`` is the resolved demand.

    ``nominal_v`` is the voltage between lines, None where it is not known. The facts stay open
    where the log is not there, lasts less than a day, or may hide part of the demand: a storage, a
    generator whose own figures are not in the log, or nobody knows which; and where what counts of
    it would not draw the energy of the year that stands beside it.
    """
    path = f"{data.path}.log"
    record = Resolved(
        record=demand.log,
        kind="log",
        path=path,
        label=f"the log of the demand of '{where}'",
        basis=data.basis,
    )
    log = logs.get(path)
    factors = () if log is None else _factors(log, record, data.basis)
    energy_kwh = data.number("annual_energy_kwh")
    used = LoggedDemand(
        path=path,
        where=where,
        link=Link(name=f"demand of '{where}'", kind=LinkKind.DEMAND, position=node, data=record),
        log=log,
        energy_kwh=energy_kwh,
        profile=profile_of(data),
        factors=factors,
        lacking=_lacking(log, record, where, data.basis),
    )
    if used.lacking is None:
        used = replace(used, lacking=_lacking_energy(used, nominal_v))
    first, second, third = (_phase(name, used, record) for name in PHASES)
    in_amperes = log is not None and log.unit == "A"
    return DemandAt(
        node=node,
        where=where,
        phase_a=(first, second, third) if in_amperes or log is None else None,
        phase_kw=None if in_amperes or log is None else (first, second, third),
        power_kw=None,
        power_factor=data.number("power_factor"),
        logged=used,
    )


def _lacking(
    log: DemandLog | None, record: Resolved, where: str, basis: CodeBasis
) -> Fact[float] | None:
    """Return the fact without which the log is no evidence of the demand, or None."""

    def missing(field: str, words: str) -> Fact[float]:
        return Fact(path=f"{record.path}.{field}", label=words, unit="", options=())

    generation = record.word("generation_behind_meter").options
    if log is None:
        return missing("file", f"the log of the demand of '{where}'")
    if log.covered_days < basis.number("log_least_days"):
        return missing("file", f"a log of the demand of '{where}' of at least a day")
    if not generation:
        return missing("generation_behind_meter", f"what feeds in behind the log of '{where}'")
    if generation == ("storage",):
        words = f"the demand of '{where}' without what its storage takes and gives"
        return missing("generation_behind_meter", words)
    if generation == ("photovoltaic",) and not log.generation_added:
        words = f"what the photovoltaic generator behind the log of '{where}' delivered"
        return missing("generation_column", words)
    return None


def _lacking_energy(used: LoggedDemand, nominal_v: float | None) -> Fact[float] | None:
    """Return that a busier time has to be logged, where the energy of the year proves it."""
    log, needed_kwh = used.log, max(used.energy_kwh.options, default=0.0)
    assert log is not None  # noqa: S101 - asked only of a log that is there
    total = log.of(TOTAL)
    columns = [log.of(name) for name in PHASES] if total is None else [total]
    counted = [used.counted(one) for one in columns if one is not None]
    if len(counted) < len(columns):
        return None
    power_kw = sum(counted)
    if log.unit == "A":
        if nominal_v is None:
            return None
        power_kw = most_power_kw(counted, nominal_v)
    most_kwh = most_energy_kwh(power_kw)
    if needed_kwh <= most_kwh:
        return None
    words = (
        f"a log of the demand of '{used.where}' in a busy time: what counts of this one would draw "
        f"{most_kwh:.0f} kWh if it stood the whole year, and the meter counts {needed_kwh:.0f} kWh"
    )
    return Fact(path=f"{used.path}.file", label=words, unit="", options=())


def _factors(log: DemandLog, record: Resolved, basis: CodeBasis) -> tuple[Limit, ...]:
    """Return the factors on the logged maxima: the mean's hidden peaks, short log, seasons."""
    found = [_peak_factor(log, record, basis)]
    if log.covered_days < basis.number("log_very_short_days"):
        found.append(basis.limit("log_very_short_factor"))
    elif log.covered_days < basis.number("log_short_days"):
        found.append(basis.limit("log_short_factor"))
    if min(log.season_days) < basis.number("log_season_days"):
        found.append(basis.limit("log_unseen_season_factor"))
    return tuple(found)


def _peak_factor(log: DemandLog, record: Resolved, basis: CodeBasis) -> Limit:
    """Return the factor of the shortest listed interval that is not below the log's own."""
    interval_s = min(seconds for seconds in _PEAK_FACTORS if seconds >= log.interval_s)
    if record.word("each_sample").options == ("maximum",):
        interval_s = min(_PEAK_FACTORS)
    return basis.limit(_PEAK_FACTORS[interval_s])


def _phase(name: str, used: LoggedDemand, record: Resolved) -> Fact[float]:
    """Return what counts on a phase, in the unit of the log."""
    log = used.log
    if log is None or used.lacking is not None:
        assert used.lacking is not None  # noqa: S101 - a log that is not there is lacking
        return used.lacking
    total = log.of(TOTAL)
    column = "total_column" if total is not None else f"{name.lower()}_column"
    path = f"{record.path}.{column}"
    values = total or log.of(name)
    if values is None or not values.moves:
        words = f"demand of '{used.where}' on {values.name if values else name}"
        if values is not None:
            words += f", of which the log shows {values.maximum:g} {log.unit} throughout"
        return Fact(path=path, label=words, unit=log.unit, options=())
    counted = used.counted(values)
    label = f"demand of '{used.where}' on {name} by its log"
    if total is None:
        return Fact(
            path=path, label=label, unit=log.unit, options=(counted,), origin=origin_of(log)
        )
    share = record.basis.ranges["demand.log_phase_share"]
    return Fact(
        path=path,
        label=f"demand of '{used.where}' per phase, by a log of the total",
        unit=log.unit,
        options=tuple(counted * float(one) for one in share.options),
        origin=origin_of(log),
        reason=share.reason,
        filled=True,
    )


def origin_of(log: DemandLog) -> str:
    """Return how a figure of the log is known."""
    return f"measured log {log.file} from {log.start:%Y-%m-%d} to {log.end:%Y-%m-%d}"
