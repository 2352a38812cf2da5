"""Voltage: drop from the origin, the station's input window, and what the load flow shows."""

from __future__ import annotations

from dataclasses import replace

from feasibility import tables
from feasibility.checks.flow_working import drop_checks
from feasibility.checks.operation import UNLIMITED_A
from feasibility.checks.question import Check, Run, finding, the_station, verdict_of
from feasibility.checks.voltage_band import highest_voltage, lowest_no_load_steps
from feasibility.checks.working import amount, given, step
from feasibility.code_basis import Limit
from feasibility.installation.facts import Fact
from feasibility.installation.model import Link
from feasibility.result import Finding, Force, Message, Quantity, Sense, Step
from feasibility.units import SQRT3


def _reference_v(run: Run) -> float:
    """Nominal voltage at the station: between lines, or to neutral if single-phase."""
    nominal = run.operation.nominal_voltage_v
    return nominal if all(run.operation.phases_of_station()) else nominal / SQRT3


def _source_v(run: Run) -> float:
    lowest = run.operation.lowest_source_voltage_v()
    return lowest if all(run.operation.phases_of_station()) else lowest / SQRT3


def _voltage_finding(
    check: Check,
    link: Link,
    run: Run,
    limit: Limit,
    bound_v: float,
    steps: list[Step],
    template: tuple[str, str],
) -> Finding:
    """Judge the voltage at the station against a least value.

    Only a binding limit also limits the current: below the full-power voltage the station draws
    no more, it gives less.
    """
    operation = run.operation
    requested = run.requested().current_a
    value = operation.station_voltage_v(requested)
    found = UNLIMITED_A
    if limit.force.binds:
        found = operation.largest_current_a(
            lambda station_a: operation.station_voltage_v(station_a) - bound_v, requested
        )
    flow = _flow_steps(run, requested, value)
    passes = value >= bound_v
    return finding(
        check,
        link,
        limit,
        verdict_of(limit, passes=passes),
        template[0] if passes else template[1],
        {
            "value": amount("U", "voltage at the station", value, "V"),
            "limit": amount("Ulim", "least voltage", bound_v, "V"),
        },
        working=(*flow, *steps),
        value=value,
        bound=bound_v,
        unit="V",
        sense=Sense.AT_LEAST,
        carries_a=None if found >= UNLIMITED_A else found,
    )


def _flow_steps(run: Run, station_a: float, voltage_v: float) -> list[Step]:
    """Write down the converged load flow: lowest voltage of the source less the drop after it."""
    source = _source_v(run)
    state = run.operation.state(station_a)
    if state is None:
        return []
    own = run.operation.transformer_branch() is not None
    words = "of the transformer without load" if own else "at the origin"
    path = "in the transformer and along the feed path" if own else "along the feed path"
    lost = amount("dU", f"drop {path} from the load flow", source - voltage_v, "V")
    start = amount("U1", f"lowest voltage {words}", source, "V")
    return [
        *lowest_no_load_steps(run),
        *drop_checks(run.operation, station_a),
        step("U2", "voltage at the station", "U1 - dU", [start, lost], voltage_v, "V"),
    ]


def _judge_drop(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("voltage_drop")
    kind_fact = run.installation.supply.word("kind")
    kind = run.ends.worst(kind_fact, lambda word: 0.0 if word == "public network" else 1.0)
    supply = "public" if kind == "public network" else "private"
    permitted = tables.voltage_drop_limit(supply=supply, use="other").named("umax")
    nominal = _reference_v(run)
    operation = run.operation
    requested = run.requested().current_a

    def drop_percent(station_a: float) -> float:
        drop = operation.origin_voltage_v(station_a) - operation.station_voltage_v(station_a)
        return 100 * drop / nominal

    value = drop_percent(requested)
    found = operation.largest_current_a(
        lambda station_a: permitted.value - drop_percent(station_a), requested
    )
    passes = value <= permitted.value
    inputs = [
        amount("dU", "drop along the feed path from the load flow", value * nominal / 100, "V"),
        amount("Un", "nominal voltage at the station", nominal, "V"),
    ]
    working = (
        *drop_checks(operation, requested, from_origin=True),
        step("u", "voltage drop from the origin", "100 * dU / Un", inputs, value, "%"),
        step("ulim", "advised limit", "umax", [permitted], permitted.value, "%"),
    )
    words = "is within" if passes else "exceeds"
    return finding(
        DROP,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "The voltage drop from the origin of {value} " + words + " {limit}.",
        {"value": amount("u", "voltage drop", value, "%"), "limit": permitted},
        working=working,
        value=value,
        bound=permitted.value,
        unit="%",
        carries_a=None if found >= UNLIMITED_A else found,
    )


def _window(run: Run, field: str) -> tuple[Fact[float], Quantity | None]:
    """Return a voltage of the station's data sheet, or the typical share of nominal for it."""
    station = run.installation.station
    if station.has(field) and not station.number(field).is_open:
        return station.number(field), None
    ratio = station.number(field.removesuffix("_v") + "_ratio")
    return ratio, amount("Un", "nominal voltage at the station", _reference_v(run), "V")


def window_voltage(run: Run, field: str, *, high_is_bad: bool) -> tuple[float, list[Step]]:
    """Return a voltage of the station's input window, and its working."""
    fact, nominal = _window(run, field)
    end = run.ends.high_is_bad(fact) if high_is_bad else run.ends.low_is_bad(fact)
    meaning = field.removesuffix("_v").replace("_", " ") + " of the station"
    if nominal is None:
        return end, [step("Ulim", meaning, "Ul", [given(fact, end, "Ul")], end, "V")]
    value = end * nominal.value
    inputs = [given(fact, end, "r"), nominal]
    return value, [step("Ulim", meaning, "r * Un", inputs, value, "V")]


def lowest_accepted(run: Run) -> tuple[float, list[Step]]:
    """Return the voltage from which the station operates, in V, and its working."""
    return window_voltage(run, "minimum_voltage_v", high_is_bad=True)


def _judge_minimum(run: Run, link: Link) -> Finding:
    bound, steps = lowest_accepted(run)
    limit = run.basis.limit("minimum_operating_voltage")
    words = (
        "At the lowest supply voltage {value} reach the station; it operates from {limit}.",
        "At the lowest supply voltage only {value} reach the station; it operates from {limit}.",
    )
    return _voltage_finding(MINIMUM, link, run, limit, bound, steps, words)


def _judge_full_power(run: Run, link: Link) -> Finding:
    bound, steps = window_voltage(run, "full_power_voltage_v", high_is_bad=True)
    limit = run.basis.limit("full_power_voltage")
    words = (
        "At the lowest supply voltage {value} reach the station; it gives full power from {limit}.",
        "At the lowest supply voltage {value} reach the station, less than the {limit} it needs "
        "for full power: it reduces its power by about {lost}.",
    )
    found = _voltage_finding(FULL_POWER, link, run, limit, bound, steps, words)
    if found.value is None or found.value >= bound:
        return found
    lost, lost_steps = _lost_power(run, found.value, bound)
    values = {**found.reason.values, "lost": lost}
    return _replace(found, values, lost_steps)


def _lost_power(run: Run, voltage_v: float, bound_v: float) -> tuple[Quantity, tuple[Step, ...]]:
    """Estimate what the station loses: at constant current its power falls with the voltage."""
    factor = run.operation.station_power_factor()
    count = sum(run.operation.phases_of_station())
    neutral_v = voltage_v / (SQRT3 if count == 3 else 1.0)
    wanted = count * run.requested().current_a * neutral_v * factor / 1000
    lost = wanted * (1 - voltage_v / bound_v)
    inputs = [
        amount("P0", "input power at the requested current", wanted, "kW"),
        amount("U2", "voltage at the station", voltage_v, "V"),
        amount("Ulim", "least voltage for full power", bound_v, "V"),
    ]
    line = step("dP", "power lost", "P0 * (1 - U2 / Ulim)", inputs, lost, "kW")
    return amount("dP", "power lost", lost, "kW"), (line,)


def _replace(found: Finding, values: dict[str, Quantity | str], steps: tuple[Step, ...]) -> Finding:
    return replace(
        found,
        reason=Message(template=found.reason.template, values=values),
        working=(*found.working, *steps),
    )


def _judge_highest(run: Run, link: Link) -> Finding:
    highest, steps = highest_voltage(run)
    bound, bound_steps = window_voltage(run, "maximum_voltage_v", high_is_bad=False)
    limit = run.basis.limit("minimum_operating_voltage")
    passes = highest <= bound
    words = "within" if passes else "above"
    return finding(
        HIGHEST,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "Unloaded, the station may see {value}, " + words + " the {limit} that it accepts.",
        {
            "value": amount("U", "", highest, "V"),
            "limit": amount("Umax", "", bound, "V"),
        },
        working=(*steps, *bound_steps),
        value=highest,
        bound=bound,
        unit="V",
    )


DROP = Check(
    name="voltage-drop",
    question="Is the voltage drop from the origin within the advised limit?",
    links=the_station,
    judge=_judge_drop,
    depends_on_current=True,
    force=Force.RECOMMENDATION,
)
MINIMUM = Check(
    name="minimum-voltage",
    question="Does the station still operate at the lowest voltage?",
    links=the_station,
    judge=_judge_minimum,
    depends_on_current=True,
    force=Force.MAKERS_LIMIT,
)
FULL_POWER = Check(
    name="full-power-voltage",
    question="Does the station give full power at the lowest voltage?",
    links=the_station,
    judge=_judge_full_power,
    depends_on_current=True,
    force=Force.NUISANCE,
)
HIGHEST = Check(
    name="highest-voltage",
    question="Does the station accept the highest voltage?",
    links=the_station,
    judge=_judge_highest,
)

CHECKS = (DROP, MINIMUM, FULL_POWER, HIGHEST)
