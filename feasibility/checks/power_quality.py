"""What the station does to the voltage of the network, and what its maker asks of the supply.

Flicker (Pst, Plt) is not judged: it needs the pattern of the current in time.
"""

from __future__ import annotations

from collections.abc import Sequence

from feasibility.checks.loading import device_rating_a
from feasibility.checks.question import Check, Run, finding, the_station, verdict_of
from feasibility.checks.supply_strength import (
    impedance_seen_ohm,
    is_public,
    not_public,
    rated_current,
    supply_strength,
    to_neutral_v,
)
from feasibility.checks.working import amount, given, step
from feasibility.clauses.power_quality import (
    greatest_voltage_change_percent,
    inrush_over_half_period_a,
    voltage_unbalance_percent,
)
from feasibility.code_basis import Limit
from feasibility.installation.model import SERVICE, Installation, Link, LinkKind
from feasibility.result import Finding, Force, Outcome, Quantity, Sense, Step

_IMPEDANCE = "impedance that the current meets, angles taken as equal"


def step_change(run: Run) -> tuple[float, float, list[Step]]:
    """Return the largest step of the station's current, the voltage change in % and the working."""
    current, steps = _step_a(run)
    value, change = _change(run, current, "dI", "step of the current")
    return current, value, [*steps, *change]


def _step_a(run: Run) -> tuple[float, list[Step]]:
    """Return the largest step of the current; the whole current where none is known."""
    device = run.installation.station
    if device.has("largest_step_a"):
        fact = device.number("largest_step_a")
        found = run.ends.high_is_bad(fact)
        inputs = [given(fact, found, "Istep")]
        return found, [step("dI", "step of the current", "Istep", inputs, found, "A")]
    found = run.requested().current_a
    meaning = "step of the current: none is stated, so the whole current counts at once"
    inputs = [amount("Is", "requested current of the station", found, "A")]
    return found, [step("dI", meaning, "Is", inputs, found, "A")]


def _change(run: Run, current_a: float, symbol: str, meaning: str) -> tuple[float, list[Step]]:
    impedance, steps = impedance_seen_ohm(run, supply_strength(run))
    to_neutral = to_neutral_v(run)
    value = float(
        greatest_voltage_change_percent(
            current_step_a=current_a, impedance_ohm=impedance, voltage_to_neutral_v=to_neutral
        )
    )
    inputs = [
        amount(symbol, meaning, current_a, "A"),
        amount("Z", _IMPEDANCE, impedance, "Ω"),
        amount("U0", "nominal voltage to neutral", to_neutral, "V"),
    ]
    last = step("d", "voltage change", f"100 * {symbol} * Z / U0", inputs, value, "%")
    return value, [*steps, last]


def _judge_change(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("steady_voltage_change_percent")
    if not is_public(run):
        return not_public(CHANGE, link, limit)
    current, value, steps = step_change(run)
    words = "A step of {step} changes the voltage at the origin by {value}, which"
    shown = amount("dI", "step of the current", current, "A")
    return _changed(CHANGE, run, link, limit, value, steps, words, shown)


def _judge_inrush(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("greatest_voltage_change_percent")
    if not is_public(run):
        return not_public(INRUSH, link, limit)
    current, steps = _sudden_a(run)
    meaning = "largest sudden change of the current"
    value, change = _change(run, current, "dIm", meaning)
    words = "The largest sudden change, {step}, changes the voltage at the origin by {value}, which"
    shown = amount("dIm", meaning, current, "A")
    return _changed(INRUSH, run, link, limit, value, [*steps, *change], words, shown)


def _sudden_a(run: Run) -> tuple[float, list[Step]]:
    """Return the largest sudden change: the inrush, or the largest step unless that is slow."""
    device = run.installation.station
    pulse, steps = _inrush_a(run)
    inputs = [amount("Ihp", "inrush over half a period", pulse, "A")]
    if device.has("ramp_s"):
        ramp = run.ends.low_is_bad(device.number("ramp_s"))
        if ramp >= run.basis.number("slow_change_s"):
            meaning = f"sudden change; the largest step takes {ramp:g} s and is none"
            return pulse, [*steps, step("dIm", meaning, "Ihp", inputs, pulse, "A")]
    current, step_lines = _step_a(run)
    largest = max(pulse, current)
    inputs.append(amount("dI", "step of the current", current, "A"))
    meaning = "largest sudden change of the current"
    last = step("dIm", meaning, "max(Ihp, dI)", inputs, largest, "A")
    return largest, [*steps, *step_lines, last]


def _inrush_a(run: Run) -> tuple[float, list[Step]]:
    """Return the inrush as r.m.s. current over half a period; NotKnown without its peak."""
    device = run.installation.station
    peak_fact = device.number("inrush_peak_a")
    peak = run.ends.high_is_bad(peak_fact)
    frequency_fact = run.installation.supply.number("frequency_hz")
    frequency = run.ends.high_is_bad(frequency_fact)
    inputs = [given(peak_fact, peak, "Ip"), given(frequency_fact, frequency, "f")]
    if device.has("inrush_duration_ms"):
        fact = device.number("inrush_duration_ms")
        duration = run.ends.high_is_bad(fact)
        inputs.append(given(fact, duration, "t"))
    else:
        duration = 500 / frequency
        meaning = "duration of the inrush: not known, half a period counts"
        inputs.append(amount("t", meaning, duration, "ms"))
    found = float(
        inrush_over_half_period_a(peak_a=peak, duration_s=duration / 1000, frequency_hz=frequency)
    )
    formula = "Ip / sqrt(2) * sqrt(min(1, 2 * f * t / 1000))"
    return found, [step("Ihp", "inrush over half a period", formula, inputs, found, "A")]


def _changed(
    check: Check,
    run: Run,
    link: Link,
    limit: Limit,
    value: float,
    steps: Sequence[Step],
    words: str,
    changed: Quantity,
) -> Finding:
    """Compare a voltage change with its limit; above 75 A the operator assesses it in any case."""
    bound = limit.quantity("dlim", "usual limit")
    passes = value <= bound.value
    shown: dict[str, Quantity | str] = {
        "step": changed,
        "value": amount("d", "voltage change", value, "%"),
        "limit": bound,
    }
    words += (" is within" if passes else " exceeds") + " the usual {limit}."
    rated, _ = rated_current(run)
    if passes and rated > run.basis.number("harmonic_scope_up_to_a"):
        words += " At this rated current the network operator assesses it all the same: ask."
        return finding(check, link, limit, Outcome.CAUTION, words, shown, working=steps)
    return finding(
        check,
        link,
        limit,
        verdict_of(limit, passes=passes),
        words,
        shown,
        working=steps,
        value=value,
        bound=bound.value,
        unit="%",
    )


def _single_phase(installation: Installation) -> Sequence[Link]:
    three = installation.station.word("phases").options == ("L1L2L3",)
    return [] if three else the_station(installation)


def _judge_unbalance(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("voltage_unbalance_percent")
    if not is_public(run):
        return not_public(UNBALANCE, link, limit)
    if all(run.operation.phases_of_station()):
        words = "A station on all three phases loads them alike."
        return finding(UNBALANCE, link, limit, Outcome.NOT_APPLICABLE, words)
    load, value, steps = single_phase_unbalance(run)
    national = run.basis.limit("national_unbalance_kva")
    if national.value is not None and not load.value <= national.value:
        return _above_national(link, national, load, steps)
    bound = limit.quantity("ulim", "of the whole network")
    words = (
        "The station on one phase unbalances the voltages by {value}, which "
        + ("is within" if value <= bound.value else "exceeds")
        + " the {limit} that all customers of the network together should keep to."
    )
    if national.value is None:
        words += " This code basis has no limit in kVA for one customer: ask the network operator."
    return finding(
        UNBALANCE,
        link,
        limit,
        verdict_of(limit, passes=value <= bound.value),
        words,
        {"value": amount("u", "voltage unbalance", value, "%"), "limit": bound},
        working=steps,
        value=value,
        bound=bound.value,
        unit="%",
    )


def single_phase_unbalance(run: Run) -> tuple[Quantity, float, list[Step]]:
    """Return the load on one phase, the voltage unbalance in percent and the working."""
    strength = supply_strength(run)
    rated, steps = rated_current(run)
    neutral_v = to_neutral_v(run)
    load_va = rated * neutral_v
    value = float(
        voltage_unbalance_percent(
            unbalanced_va=load_va, short_circuit_power_va=strength.short_circuit_va
        )
    )
    load = amount("S1", "load on one phase", load_va / 1000, "kVA")
    factors = [
        amount("U0", "nominal voltage to neutral", neutral_v, "V"),
        amount("Iequ", "input current", rated, "A"),
    ]
    lines = (
        step("S1", load.meaning, "U0 * Iequ / 1000", factors, load.value, "kVA"),
        step("u", "voltage unbalance", "100 * S1 / Ssc", [load, strength.power], value, "%"),
    )
    return load, value, [*strength.steps, *steps, *lines]


def _above_national(link: Link, limit: Limit, load: Quantity, steps: Sequence[Step]) -> Finding:
    bound = limit.quantity("Slim", "national limit for one customer")
    return finding(
        UNBALANCE,
        link,
        limit,
        verdict_of(limit, passes=False),
        "A load of {value} on one phase exceeds the {limit} for one customer.",
        {"value": load, "limit": bound},
        working=steps,
        value=load.value,
        bound=bound.value,
        unit="kVA",
    )


def _with_impedance(installation: Installation) -> Sequence[Link]:
    has = installation.station.mentions("permitted_supply_impedance_ohm")
    return the_station(installation) if has else []


def _judge_impedance(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("supply_impedance")
    if not is_public(run):
        return not_public(IMPEDANCE, link, limit)
    fact = link.data.number("permitted_supply_impedance_ohm")
    permitted = run.ends.low_is_bad(fact)
    impedance, steps = impedance_seen_ohm(run, supply_strength(run))
    passes = impedance <= permitted
    words = "The supply has an impedance of {value}; the station's maker permits up to {limit}"
    words += "." if passes else ": ask the network operator before the station is ordered."
    return finding(
        IMPEDANCE,
        link,
        limit,
        verdict_of(limit, passes=passes),
        words,
        {
            "value": amount("Z", "impedance of the supply", impedance, "Ω"),
            "limit": given(fact, permitted, "Zmax"),
        },
        working=steps,
        value=impedance,
        bound=permitted,
        unit="Ω",
    )


def _service(installation: Installation) -> Sequence[Link]:
    if not installation.station.mentions("declared_service_current_a"):
        return []
    devices = installation.links_of(LinkKind.DEVICE)
    return [link for link in devices if link.position == SERVICE]


def _judge_service(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("service_current")
    if not is_public(run):
        return not_public(SERVICE_CURRENT, link, limit)
    fact = run.installation.station.number("declared_service_current_a")
    declared = run.ends.high_is_bad(fact)
    rating = device_rating_a(run, link, high_is_bad=False)
    passes = rating >= declared
    words = "The service is for {value} per phase; the station's maker asks for at least {limit}"
    words += "." if passes else ": ask the network operator before the station is ordered."
    return finding(
        SERVICE_CURRENT,
        link,
        limit,
        verdict_of(limit, passes=passes),
        words,
        {
            "value": amount("In", "rating of the service device", rating, "A"),
            "limit": given(fact, declared, "Isc"),
        },
        value=rating,
        bound=declared,
        unit="A",
        sense=Sense.AT_LEAST,
    )


CHANGE = Check(
    name="voltage-change",
    question="Is the voltage change small enough when the current of the station changes?",
    links=the_station,
    judge=_judge_change,
    force=Force.RECOMMENDATION,
)
INRUSH = Check(
    name="inrush-voltage",
    question="Is the voltage dip small enough when the station is switched on?",
    links=the_station,
    judge=_judge_inrush,
    force=Force.RECOMMENDATION,
)
UNBALANCE = Check(
    name="voltage-unbalance",
    question="Does the station load the phases of the network evenly enough?",
    links=_single_phase,
    judge=_judge_unbalance,
    force=Force.RECOMMENDATION,
)
IMPEDANCE = Check(
    name="supply-impedance",
    question="Is the supply's impedance within what the station's maker permits?",
    links=_with_impedance,
    judge=_judge_impedance,
    force=Force.RECOMMENDATION,
)
SERVICE_CURRENT = Check(
    name="service-current",
    question="Is the service as large as the station's maker asks for?",
    links=_service,
    judge=_judge_service,
    force=Force.RECOMMENDATION,
)

CHECKS = (CHANGE, INRUSH, UNBALANCE, IMPEDANCE, SERVICE_CURRENT)
