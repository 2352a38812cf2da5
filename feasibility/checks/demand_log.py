"""Does the measured log of a board show its existing demand, for how long, and of a usual time?"""

from __future__ import annotations

from collections.abc import Sequence

from feasibility.checks.question import Check, Run, finding
from feasibility.checks.working import amount, given, greatest_power_factor, step
from feasibility.demand_log.record import DemandLog
from feasibility.installation.facts import NotKnown
from feasibility.installation.logged_demand import origin_of
from feasibility.installation.model import Installation, Link, LoggedDemand
from feasibility.load_profile.profiles import energy_share
from feasibility.load_profile.record import LoadProfile, profile_source
from feasibility.result import Finding, Force, Outcome, Quantity, Sense, Step
from feasibility.units import SQRT3

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


def _with_profile(installation: Installation) -> Sequence[Link]:
    return [one.link for one in installation.logged if one.profile is not None]


def _judge_energy(run: Run, link: Link) -> Finding:
    """Hold what was drawn while it was logged to what the energy of a year makes likely."""
    used = next(one for one in run.installation.logged if one.link == link)
    log, profile = used.log, used.profile
    if used.lacking is not None or log is None:
        raise NotKnown([one for one in (used.lacking,) if one is not None])
    assert profile is not None  # noqa: S101 - asked only where one is stated
    limit = run.basis.limit("log_energy_share")
    energies = [_likely_kwh(run, used, log, profile), *_drawn_kwh(run, used, log)]
    likely, drawn = (
        amount(one.symbol, one.meaning, one.result, "kWh") for one in energies if one.unit == "kWh"
    )
    value = 100 * drawn.value / likely.value
    share = step("s", "drawn of the likely", "100 * Wd / Wl", [drawn, likely], value, "%")
    bound = limit.quantity("smin", "least that a usual time draws")
    passes = value >= bound.value
    words = (
        "By its log the demand drew {value} of what the energy of a year makes likely for the "
        "logged time by profile {profile}"
    )
    words += (
        ": that time was a usual one."
        if passes
        else ", less than {bound}: that time was a quiet one, and the largest demand may lie "
        "outside of it. Have the busiest weeks logged."
    )
    values = {
        "value": amount("s", "drawn of the likely", value, "%"),
        "bound": bound,
        "profile": profile.name,
    }
    outcome = Outcome.PASS if passes else Outcome.CAUTION
    return finding(
        ENERGY,
        link,
        limit,
        outcome,
        words,
        values,
        working=(*energies, share),
        value=value,
        bound=bound.value,
        unit="%",
        sense=Sense.AT_LEAST,
    )


def _likely_kwh(run: Run, used: LoggedDemand, log: DemandLog, profile: LoadProfile) -> Step:
    year = given(used.energy_kwh, run.ends.high_is_bad(used.energy_kwh), "W")
    part = Quantity(
        value=energy_share(profile.name, log.start, log.end),
        unit="",
        symbol="a",
        meaning=f"part of it that profile {profile.name} puts into the logged time",
        sources=(profile_source(profile),),
    )
    value = year.value * part.value
    return step("Wl", "likely in the logged time", "W * a", [year, part], value, "kWh")


def _drawn_kwh(run: Run, used: LoggedDemand, log: DemandLog) -> tuple[Step, Step]:
    mean = _mean_kw(run, used, log)
    power = amount(mean.symbol, mean.meaning, mean.result, "kW")
    span = (log.end - log.start).total_seconds() / 3600
    hours = amount("h", "from the first to the last row of the log", span, "h")
    value = mean.result * span
    return mean, step("Wd", "drawn in the logged time", "Pm * h", [power, hours], value, "kWh")


def _mean_kw(run: Run, used: LoggedDemand, log: DemandLog) -> Step:
    """Return the mean power of a log at nominal voltage; a power factor not known counts as 1.

    So more may have been drawn than was, and a quiet time be taken for a usual one: the finding
    warns only, and what it warns of is certain.
    """
    letter = _SYMBOLS[log.unit]
    means = [
        Quantity(
            value=one.mean,
            unit=log.unit,
            symbol=f"{letter}{one.name}m",
            meaning=f"mean of {one.name}",
            origin=origin_of(log),
        )
        for one in log.values
    ]
    formula, inputs = " + ".join(one.symbol for one in means), [*means]
    value = sum(one.value for one in means)
    if log.unit == "A":
        nominal = amount("Un", "nominal voltage", run.operation.nominal_voltage_v, "V")
        load = next(one for one in run.installation.demands if one.logged == used)
        factor = greatest_power_factor(load.power_factor, "c")
        inputs += [nominal, factor]
        formula = f"({formula}) * Un / sqrt(3) * c / 1000"
        value *= nominal.value / SQRT3 * factor.value / 1000
    return step("Pm", "mean power while logged", formula, inputs, value, "kW")


DEMAND_LOG = Check(
    name="demand-log",
    question="Does the measured log show the existing demand?",
    links=_links,
    judge=_judge,
)
ENERGY = Check(
    name="demand-log-energy",
    question="Was the logged time as busy as the energy of a year makes likely?",
    links=_with_profile,
    judge=_judge_energy,
    force=Force.PRACTICE,
)
CHECKS = (DEMAND_LOG, ENERGY)
