"""Is a demand that nobody logged known well enough: its diversity, and its maximum?"""

from __future__ import annotations

import math
from collections.abc import Sequence

from feasibility.checks.question import Check, Run, finding
from feasibility.checks.working import amount, given, greatest_power_factor, step
from feasibility.clauses.demand import diversified_sum
from feasibility.installation.facts import NotKnown
from feasibility.installation.model import DeclaredDemand, DemandAt, Installation, Link
from feasibility.load_profile.profiles import profile_peak_kw
from feasibility.load_profile.record import LoadProfile, profile_source
from feasibility.result import Finding, Force, Outcome, Quantity, Sense, Step
from feasibility.units import SQRT3

_PHASES = ("L1", "L2", "L3")


def _with_diversity(installation: Installation) -> Sequence[Link]:
    return [one.link for one in installation.declared if one.diversity]


def _by_profile(installation: Installation) -> Sequence[Link]:
    return [
        one.link
        for one in installation.declared
        if (one.profile is not None and one.profile.annual_energy_kwh is not None)
        or (one.lacking is not None and (one.profile or not one.energy_kwh.is_open))
    ]


def _declared(run: Run, link: Link) -> DeclaredDemand:
    return next(one for one in run.installation.declared if one.link == link)


def _judge_diversity(run: Run, link: Link) -> Finding:
    """Show what counts of the connected load, and whether somebody measured that share."""
    used = _declared(run, link)
    if used.lacking is not None:
        raise NotKnown([used.lacking])
    limit = run.basis.limit("demand_diversity")
    steps, connected, counted = _sums(run, used)
    values: dict[str, Quantity | str] = {
        "connected": amount("", "connected load, worst phase", connected, "A"),
        "counted": amount("", "what counts of it, worst phase", counted, "A"),
        "who": used.declared_by or "somebody the survey does not name",
    }
    words = "Of the connected load of {connected} in the worst phase {counted} count"
    if used.measured:
        outcome, words = Outcome.PASS, words + ", by measured diversity."
    else:
        outcome = Outcome.CAUTION
        words += ", by the diversity that {who} stated and nobody measured."
    return finding(DIVERSITY, link, limit, outcome, words, values, working=steps)


def _sums(run: Run, used: DeclaredDemand) -> tuple[list[Step], float, float]:
    """Return the working, and the connected and counted current of the worst phase."""
    steps: list[Step] = []
    loads = [one for one in run.installation.demands if one.declared == used]
    currents = [_amperes(run, one, number, steps) for number, one in enumerate(loads, start=1)]
    factors = [_factors(run, one, number) for number, one in enumerate(loads, start=1)]
    shares = [math.prod(factor.value for factor in each) for each in factors]
    worst_connected = worst_counted = 0.0
    for phase in _PHASES:
        on = [number for number, one in enumerate(currents) if phase in one]
        if not on:
            continue
        each = [currents[number][phase] for number in on]
        counted = diversified_sum(
            demands=[one.value for one in each], diversity_factors=[shares[n] for n in on]
        )
        terms = [
            " * ".join((current.symbol, *(factor.symbol for factor in factors[number])))
            for number, current in zip(on, each, strict=True)
        ]
        inputs = [
            one for n, current in zip(on, each, strict=True) for one in (current, *factors[n])
        ]
        meaning = f"demand that counts, {phase}"
        steps.append(step(f"I{phase}", meaning, " + ".join(terms), inputs, counted, "A"))
        worst_counted = max(worst_counted, counted)
        worst_connected = max(worst_connected, sum(one.value for one in each))
    return steps, worst_connected, worst_counted


def _amperes(run: Run, load: DemandAt, number: int, steps: list[Step]) -> dict[str, Quantity]:
    """Return the connected current of a load on each of its phases, at nominal voltage."""
    if load.phase_a is not None:
        return {
            phase: given(fact, run.ends.high_is_bad(fact), f"I{number}{phase}")
            for phase, fact in zip(_PHASES, load.phase_a, strict=True)
            if fact.path
        }
    balanced = load.power_kw is not None
    facts = (load.power_kw,) * 3 if load.power_kw is not None else load.phase_kw
    assert facts is not None  # noqa: S101 - one of the three is given
    on = [(phase, fact) for phase, fact in zip(_PHASES, facts, strict=True) if fact.path]
    symbol = f"I{number}"
    power = given(on[0][1], run.ends.high_is_bad(on[0][1]), f"P{number}")
    factor = given(load.power_factor, run.ends.low_is_bad(load.power_factor), f"c{number}")
    nominal = amount("Un", "nominal voltage", run.operation.nominal_voltage_v, "V")
    spread = "sqrt(3) * Un" if balanced else "Un / sqrt(3)"
    over = SQRT3 * nominal.value if balanced else nominal.value / SQRT3
    value = 1000 * power.value / (over * factor.value)
    meaning = f"connected current of '{load.where}' in each of its phases"
    inputs = [power, nominal, factor]
    formula = f"1000 * {power.symbol} / ({spread} * {factor.symbol})"
    steps.append(step(symbol, meaning, formula, inputs, value, "A"))
    return {phase: amount(symbol, meaning, value, "A") for phase, _ in on}


def _judge_profile(run: Run, link: Link) -> Finding:
    """Hold a declared maximum to the peak of the profile; without one the demand stays open."""
    used = _declared(run, link)
    limit = run.basis.limit("demand_by_profile")
    profile = used.profile
    known = profile is not None and profile.annual_energy_kwh is not None
    steps, peak = _peak(profile) if known and profile is not None else ([], None)
    if used.lacking is not None:
        return _only_energy(run, link, used, steps, peak)
    assert profile is not None  # noqa: S101 - a maximum without profile is not asked
    declared_steps, declared = _declared_kw(run, used)
    assert peak is not None  # noqa: S101 - nor one without its energy
    passes = declared >= peak.value
    peak_words = (
        " the {bound} at which the profile {profile} peaks with this energy as the mean of many "
        "customers"
    )
    words = "The declared maximum of {value} is " + (
        f"not below{peak_words}."
        if passes
        else f"below{peak_words}; a single site lies above that: have the demand measured."
    )
    return finding(
        PROFILE,
        link,
        limit,
        Outcome.PASS if passes else Outcome.CAUTION,
        words,
        {
            "value": amount("Pmax", "declared maximum", declared, "kW"),
            "bound": peak,
            "profile": profile.name,
        },
        working=(*steps, *declared_steps),
        value=declared,
        bound=peak.value,
        unit="kW",
        sense=Sense.AT_LEAST,
    )


def _only_energy(
    run: Run, link: Link, used: DeclaredDemand, steps: list[Step], peak: Quantity | None
) -> Finding:
    assert used.lacking is not None  # noqa: S101 - asked only where the maximum is not known
    run.needed[used.lacking.path] = used.lacking
    words = (
        "The demand is known by its energy and load profile alone. That is the mean of many "
        "customers and no evidence of the largest demand of this one"
    )
    values: dict[str, Quantity | str] = {"fact": used.lacking.label}
    if peak is not None and used.profile is not None:
        words += ": by the profile {profile} it would reach {peak}, a single site can lie far above"
        values |= {"profile": used.profile.name, "peak": peak}
    return finding(
        PROFILE,
        link,
        run.basis.limit("demand_maximum"),
        Outcome.OPEN,
        words + ". Needed: {fact}.",
        values,
        working=steps,
        facts=(used.lacking,),
    )


def _peak(profile: LoadProfile) -> tuple[list[Step], Quantity]:
    energy = profile.annual_energy_kwh
    assert energy is not None  # noqa: S101 - asked only with an energy
    per_kwh = profile_peak_kw(profile.name, 1.0)
    inputs = [
        amount("W", "energy of a year", energy, "kWh"),
        Quantity(
            value=per_kwh,
            unit="1/h",
            symbol="p",
            meaning=f"largest quarter-hour of profile {profile.name} for one kWh a year",
            sources=(profile_source(profile),),
        ),
    ]
    peak = amount("Pp", "peak of the profile", energy * per_kwh, "kW")
    return [step("Pp", peak.meaning, "W * p", inputs, peak.value, "kW")], peak


def _declared_kw(run: Run, used: DeclaredDemand) -> tuple[list[Step], float]:
    """Return the power of a declared maximum at nominal voltage, and its working."""
    loads = [one for one in run.installation.demands if one.declared == used]
    steps = [_power(run, one, number) for number, one in enumerate(loads, start=1)]
    inputs = [amount(one.symbol, one.meaning, one.result, "kW") for one in steps]
    total = sum(one.result for one in steps)
    formula = " + ".join(one.symbol for one in inputs)
    return [*steps, step("Pmax", "declared maximum", formula, inputs, total, "kW")], total


def _power(run: Run, load: DemandAt, number: int) -> Step:
    """Return what counts of a load as a power; a power factor that is not known counts as 1."""
    factors = _factors(run, load, number)
    if load.phase_a is None:
        each = (load.power_kw,) if load.power_kw is not None else load.phase_kw or ()
        fact = next(one for one in each if one is not None and one.path)
        inputs = [given(fact, max(fact.options), f"P{number}a")]
        formula = inputs[0].symbol
    else:
        currents = [
            given(fact, run.ends.high_is_bad(fact), f"I{number}{phase}")
            for phase, fact in zip(_PHASES, load.phase_a, strict=True)
            if fact.path
        ]
        nominal = amount("Un", "nominal voltage", run.operation.nominal_voltage_v, "V")
        ratio = greatest_power_factor(load.power_factor, f"c{number}")
        inputs = [*currents, nominal, ratio]
        total = " + ".join(one.symbol for one in currents)
        formula = f"({total}) * Un / sqrt(3) * {ratio.symbol} / 1000"
    value = inputs[0].value
    if load.phase_a is not None:
        value = sum(one.value for one in inputs[:-2]) * inputs[-2].value / SQRT3
        value *= inputs[-1].value / 1000
    value *= math.prod(one.value for one in factors)
    formula = " * ".join((formula, *(one.symbol for one in factors)))
    meaning = f"what counts of '{load.where}' at nominal voltage"
    return step(f"P{number}", meaning, formula, [*inputs, *factors], value, "kW")


def _factors(run: Run, load: DemandAt, number: int) -> list[Quantity]:
    """Return the diversity factors of a load: its own, and that of all loads together."""
    return [
        given(fact, run.ends.high_is_bad(fact), f"g{number}{letter}")
        for letter, fact in zip("ab", load.factors, strict=False)
    ]


DIVERSITY = Check(
    name="demand-diversity",
    question="Is it known how much of the connected load draws at the same time?",
    links=_with_diversity,
    judge=_judge_diversity,
    force=Force.PRACTICE,
)
PROFILE = Check(
    name="demand-profile",
    question="Is the largest demand known, and not below what its energy makes likely?",
    links=_by_profile,
    judge=_judge_profile,
)
CHECKS = (DIVERSITY, PROFILE)
