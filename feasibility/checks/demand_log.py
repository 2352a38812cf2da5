"""Does the measured log of a board show its existing demand, and for how long?"""

from __future__ import annotations

from collections.abc import Sequence

from feasibility.checks.question import Check, Run, finding
from feasibility.checks.working import amount, step
from feasibility.demand_log.record import DemandLog
from feasibility.installation.facts import NotKnown
from feasibility.installation.logged_demand import origin_of
from feasibility.installation.model import Installation, Link, LoggedDemand
from feasibility.result import Finding, Outcome, Quantity, Sense, Step

_SYMBOLS = {"A": "I", "kW": "P"}
_FACTOR_SYMBOLS = {
    "log_peak_factor": ("kp", "factor for the peaks that a mean hides"),
    "log_short_factor": ("kd", "factor for a log of few days"),
    "log_very_short_factor": ("kd", "factor for a log of very few days"),
    "log_unseen_season_factor": ("ks", "factor for seasons without a log"),
}


def _links(installation: Installation) -> Sequence[Link]:
    return [one.link for one in installation.logged]


def _judge(run: Run, link: Link) -> Finding:
    """Compare what the log covers with a year, and show what its maxima were multiplied by."""
    used = next(one for one in run.installation.logged if one.link == link)
    log = used.log
    if used.lacking is not None or log is None:
        raise NotKnown([one for one in (used.lacking,) if one is not None])
    limit = run.basis.limit("log_full_year_days")
    full = limit.quantity("", "a whole year, less what gaps may take")
    days = log.covered_days
    outcome = Outcome.PASS if days >= full.value else Outcome.CAUTION
    values: dict[str, Quantity | str] = {
        "file": log.file,
        "start": f"{log.start:%Y-%m-%d %H:%M}",
        "end": f"{log.end:%Y-%m-%d %H:%M}",
        "value": amount("", "days that the log covers", days, "d"),
        "limit": full,
        "factor": amount("", "factor on its maxima", used.factor, ""),
        "gaps": _gaps(log),
        "maxima": _maxima(log),
    }
    template = (
        "The log {file} from {start} to {end} covers {value}, {gaps}. Its largest figures are "
        "{maxima}; they count {factor} times"
    )
    if outcome is Outcome.PASS:
        template += "."
    else:
        values["why"] = _why(used)
        template += ", since {why}: less than a year ({limit}) need not hold the largest demand."
    return finding(
        DEMAND_LOG,
        link,
        limit,
        outcome,
        template,
        values,
        working=_working(used, log),
        value=days,
        bound=full.value,
        unit="d",
        sense=Sense.AT_LEAST,
    )


def _gaps(log: DemandLog) -> str:
    if not log.gap_count:
        return "without a gap"
    if log.gap_count == 1:
        return f"with a gap of {log.longest_gap_h:.3g} h"
    return f"with {log.gap_count} gaps, the longest {log.longest_gap_h:.3g} h"


def _maxima(log: DemandLog) -> str:
    return ", ".join(
        f"{one.name} {one.maximum:.4g} {log.unit} on {one.maximum_at:%Y-%m-%d %H:%M}"
        for one in log.values
    )


def _why(used: LoggedDemand) -> str:
    reasons = [limit.text for limit in used.factors if limit.value != 1.0 and limit.text]
    return " and ".join(reasons) or "it ends before the year does"


def _working(used: LoggedDemand, log: DemandLog) -> list[Step]:
    """Return one line per column: its maximum times every factor."""
    steps = []
    letter = _SYMBOLS[log.unit]
    for values in log.values:
        measured = Quantity(
            value=values.maximum,
            unit=log.unit,
            symbol=f"{letter}m",
            meaning=f"largest figure on {values.name}, {values.maximum_at:%Y-%m-%d %H:%M}",
            origin=origin_of(log),
        )
        factors = [
            limit.quantity(*next(v for k, v in _FACTOR_SYMBOLS.items() if limit.key.startswith(k)))
            for limit in used.factors
        ]
        formula = " * ".join([measured.symbol, *(one.symbol for one in factors)])
        meaning = f"demand that counts, {values.name}"
        symbol = f"{letter}{values.name}"
        inputs = [measured, *factors]
        steps.append(step(symbol, meaning, formula, inputs, used.counted(values), log.unit))
    return steps


DEMAND_LOG = Check(
    name="demand-log",
    question="Does the measured log show the existing demand?",
    links=_links,
    judge=_judge,
)
CHECKS = (DEMAND_LOG,)
