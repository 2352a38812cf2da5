"""By how much second sources raise the voltage while nothing draws: a bright day without load."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from feasibility.checks.infeed import all_sources, feeds_in_parallel
from feasibility.checks.infeed_rise import (
    PHASES,
    Output,
    between_lines,
    cables_before,
    cables_of_path,
    compared_voltage_v,
    link_of,
    outputs_of,
    pieces_of,
    raises_at_station,
    rise_percent,
    rises_in_transformer_v,
)
from feasibility.checks.question import Check, Run, finding, the_station, verdict_of
from feasibility.checks.voltage import window_voltage
from feasibility.checks.voltage_band import highest_voltage
from feasibility.checks.working import amount, step
from feasibility.installation.model import Installation, Link
from feasibility.result import Finding, Force, Outcome, Step
from feasibility.units import SQRT3


def _each_source(installation: Installation) -> Sequence[Link]:
    return [link_of(source) for source in all_sources(installation)]


def _rise(
    run: Run, outputs: Sequence[Output], cables: Sequence[Link], *, between: bool
) -> tuple[float, list[Step]]:
    """Return the rise over cables in V, each with the current of every source behind it.

    To neutral in the worst phase; or ``between`` lines, where it is at most root three times the
    greatest sum of line resistance times current of one phase.
    """
    pieces = pieces_of(run, outputs, cables)
    sums = {
        phase: sum(piece.rise_v(phase, with_neutral=not between) for piece in pieces)
        for phase in PHASES
    }
    worst = max(PHASES, key=lambda phase: sums[phase])
    steps = [
        line
        for number, piece in enumerate(pieces, start=1)
        for line in piece.steps(number, worst, with_neutral=not between)
    ]
    inputs = [amount(one.symbol, one.meaning, one.result, "V") for one in steps if one.unit == "V"]
    total = sums[worst]
    formula = " + ".join(one.symbol for one in inputs) or "0"
    if between:
        formula, total = f"sqrt(3) * ({formula})", SQRT3 * total
    meaning = f"rise from the origin, {'between lines' if between else 'to neutral'}"
    return total, [*steps, step("dU", meaning, formula, inputs, total, "V")]


def _at_source(run: Run, link: Link) -> tuple[float, list[Step]] | None:
    """Return the rise up to a source in % of the nominal voltage; None if it never feeds in."""
    sources = all_sources(run.installation)
    source = next(one for one in sources if one.data.path == link.data.path)
    if not feeds_in_parallel(run, source):
        return None
    cables = cables_before(run.installation, source)
    volts, steps = _rise(run, outputs_of(run), cables, between=False)
    inputs = [
        amount("dU", "rise from the origin, to neutral", volts, "V"),
        amount("Un", "nominal voltage", run.operation.nominal_voltage_v, "V"),
    ]
    percent = rise_percent(run, volts)
    meaning = "rise from the origin in per cent"
    return percent, [*steps, step("u", meaning, "100 * sqrt(3) * dU / Un", inputs, percent, "%")]


def _highest_at_origin(run: Run) -> tuple[float, list[Step]]:
    """Return the highest voltage at the origin, with what infeed raises in an own transformer.

    Between lines for a three-phase station, else to neutral.
    """
    highest, steps = highest_voltage(run)
    own = run.operation.transformer_branch()
    outputs = outputs_of(run)
    if own is None or not outputs:
        return highest, steps
    between = between_lines(run)
    rises = rises_in_transformer_v(run, outputs, own).sum(axis=0)
    place = int(np.argmax(rises))
    worst = PHASES[place]
    current = sum(one.on(worst) for one in outputs)
    back = 0.0 if between else sum(one.back(worst) for one in outputs)
    inputs = [
        amount("Ua", "without infeed", highest, "V"),
        amount("It", "infeed through the transformer, worst phase", current, "A"),
        amount("Rt", "resistance of its windings", own.resistance_ohm, "Ω"),
    ]
    formula = "Ua + sqrt(3) * It * Rt" if between else "Ua + It * Rt"
    if back > 0:
        inputs.append(amount("Ib", "what comes back in the neutral", back, "A"))
        inputs.append(amount("Rn", "that the neutral adds", own.neutral_resistance_ohm, "Ω"))
        formula += " + Ib * Rn"
    total = highest + float(rises[place])
    meaning = "highest voltage at the origin with full infeed"
    return total, [*steps, step("Uh", meaning, formula, inputs, total, "V")]


def _nothing(check: Check, run: Run, link: Link) -> Finding:
    limit = run.basis.limit("infeed_voltage_rise_percent")
    words = "Nothing feeds in here beside the network."
    return finding(check, link, limit, Outcome.NOT_APPLICABLE, words)


def _judge_rise(run: Run, link: Link) -> Finding:
    """Hold the rise over the wiring of the site to what is advised for it."""
    limit = run.basis.limit("infeed_voltage_rise_percent")
    found = _at_source(run, link)
    if found is None:
        return _nothing(RISE, run, link)
    percent, steps = found
    bound = limit.quantity("umax", "advised rise")
    passes = percent <= bound.value
    words = "is within" if passes else "exceeds"
    return finding(
        RISE,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "With everything feeding in and no load the voltage rises by {value} from the origin to "
        "here, which " + words + " the advised {bound}.",
        {"value": amount("u", "rise", percent, "%"), "bound": bound},
        working=steps,
        value=percent,
        bound=bound.value,
        unit="%",
    )


def _judge_place(run: Run, link: Link) -> Finding:
    """Hold the voltage at a source, above the highest of the supply, to what equipment takes."""
    limit = run.basis.limit("infeed_highest_voltage_percent")
    found = _at_source(run, link)
    if found is None:
        return _nothing(PLACE, run, link)
    percent, steps = found
    highest, before = _highest_at_origin(run)
    nominal = compared_voltage_v(run)
    inputs = [
        amount("Uh", "highest voltage at the origin", highest, "V"),
        amount("Ur", "nominal voltage", nominal, "V"),
        amount("u", "rise from the origin", percent, "%"),
    ]
    value = 100 * highest / nominal + percent
    meaning = "highest voltage here, in per cent of the nominal one"
    bound = limit.quantity("ulim", "highest voltage that equipment is made for")
    passes = value <= bound.value
    words = (
        "no more than the {bound} that equipment is made for."
        if passes
        else "above the {bound} that equipment is made for: the source may switch off by itself. "
        "The voltage measured at the origin on a bright day tells whether the supply leaves room."
    )
    return finding(
        PLACE,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "With everything feeding in, no load and the highest supply voltage there are {value} of "
        "the nominal voltage here, " + words,
        {"value": amount("U", "highest voltage", value, "%"), "bound": bound},
        working=(*before, *steps, step("U", meaning, "100 * Uh / Ur + u", inputs, value, "%")),
        value=value,
        bound=bound.value,
        unit="%",
    )


def _at_station(installation: Installation) -> Sequence[Link]:
    """Return the station where something feeds in behind the origin, or an own transformer."""
    return the_station(installation) if raises_at_station(installation) else []


def _judge_station(run: Run, link: Link) -> Finding:
    """Hold the voltage at the idle station to the highest one that its maker permits."""
    limit = run.basis.limit("minimum_operating_voltage")
    cables = cables_of_path(run.installation)
    outputs = outputs_of(run)
    if not outputs:
        return _nothing(STATION, run, link)
    between = between_lines(run)
    added, steps = _rise(run, outputs, cables, between=between)
    highest, before = _highest_at_origin(run)
    bound, bound_steps = window_voltage(run, "maximum_voltage_v", high_is_bad=False)
    value = highest + added
    passes = value <= bound
    words = "within" if passes else "above"
    inputs = [
        amount("Uh", "highest voltage at the origin", highest, "V"),
        amount("dU", "rise up to the station", added, "V"),
    ]
    return finding(
        STATION,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "With everything feeding in and no load the idle station may see {value}, "
        + words
        + " the {limit} that it accepts.",
        {"value": amount("U", "", value, "V"), "limit": amount("Umax", "", bound, "V")},
        working=(
            *before,
            *steps,
            step("U", "highest voltage at the station", "Uh + dU", inputs, value, "V"),
            *bound_steps,
        ),
        value=value,
        bound=bound,
        unit="V",
    )


RISE = Check(
    name="infeed-voltage-rise",
    question="Does what feeds in raise the voltage within the advised limit?",
    links=_each_source,
    judge=_judge_rise,
    force=Force.RECOMMENDATION,
)
PLACE = Check(
    name="infeed-highest-voltage",
    question="Does the voltage stay within what equipment takes, with full infeed and no load?",
    links=_each_source,
    judge=_judge_place,
    force=Force.RECOMMENDATION,
)
STATION = Check(
    name="infeed-voltage-at-station",
    question="Does the station accept the highest voltage with full infeed and no load?",
    links=_at_station,
    judge=_judge_station,
    force=Force.MAKERS_LIMIT,
)
CHECKS = (RISE, PLACE, STATION)
