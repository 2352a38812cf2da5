"""Is an earth fault disconnected in the required time? IEC 60364-4-41, 411.3.2, 411.4 and 411.5."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from feasibility.checks.device_band import band, operating_current
from feasibility.checks.disconnection_in_tt import judge_tt
from feasibility.checks.fault_conductors import FaultKind, cold_cord_loop_ohm
from feasibility.checks.fault_path import FaultCurrent, smallest_earth_fault
from feasibility.checks.fault_readings import Reading, readings
from feasibility.checks.fault_sources import voltage_factors, voltage_to_earth_v
from feasibility.checks.question import Check, Run, finding, verdict_of
from feasibility.checks.required_time import RequiredTime, required
from feasibility.checks.residual_current import covering, present, suits
from feasibility.checks.working import amount, given, step
from feasibility.clauses.disconnection import (
    greatest_loop_impedance_ohm,
    greatest_measured_loop_ohm,
)
from feasibility.installation.model import Installation, Link, PathCircuit
from feasibility.result import Finding, Force, Outcome, Quantity, Sense, Step

QUESTION = "Is an earth fault disconnected in the required time?"


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Greatest earth-fault loop in ohm: with hot conductors, and as a cold reading may show it."""

    loop: Quantity
    cold_reading: Quantity
    steps: tuple[Step, ...]


def _circuits(installation: Installation) -> Sequence[Link]:
    return [circuit.link for circuit in installation.circuits]


def _judge(run: Run, link: Link) -> Finding:
    circuit = run.installation.circuits[link.position]
    system = run.ends.known(run.installation.supply.word("earthing_system"))
    if system == "IT":
        return finding(
            DISCONNECTION,
            link,
            run.basis.limit("disconnection"),
            Outcome.OPEN,
            "IT systems are beyond this program: an insulation monitoring concept has to be judged "
            "by a specialist.",
        )
    if system == "TT":
        return judge_tt(DISCONNECTION, run, link, circuit)
    return _judge_tn(run, link, circuit)


def _judge_tn(run: Run, link: Link, circuit: PathCircuit) -> Finding:
    limit = run.basis.limit("disconnection")
    time = required(run, circuit, "TN")
    operating = operating_current(run, circuit.device, time.quantity.value)
    fault = smallest_earth_fault(run, circuit)
    limits = greatest_loops(run, operating)
    passes = fault.value_a >= operating.value
    achieved_s = band(run, circuit.device)[0].slowest_time_s(fault.value_a)
    outcome, template = _by_device_or_residual(run, circuit, passes=passes, achieved_s=achieved_s)
    if outcome is Outcome.FAIL:
        outcome = verdict_of(limit, passes=False)
    values: dict[str, Quantity | str] = {
        "fault": amount("Ik1min", "", fault.value_a, "A"),
        "operating": operating,
        "time": time.quantity,
        "rule": time.rule,
        "loop": amount("Zs", "", fault.impedance_ohm, "Ω"),
        "largest": limits.loop,
    }
    if achieved_s is not None:
        values["achieved"] = amount("ta", "", achieved_s, "s")
    return finding(
        DISCONNECTION,
        link,
        limit,
        outcome,
        template,
        values,
        working=_tn_working(circuit, fault, operating, time, limits, achieved_s),
        value=fault.value_a,
        bound=operating.value,
        unit="A",
        sense=Sense.AT_LEAST,
    )


def _tn_working(
    circuit: PathCircuit,
    fault: FaultCurrent,
    operating: Quantity,
    time: RequiredTime,
    limits: Limits,
    achieved_s: float | None,
) -> tuple[Step, ...]:
    name = circuit.device.name
    sure = step("Ia", f"current that surely trips {name}", "Ia0", [operating], operating.value, "A")
    lines = [*fault.steps, *time.steps, sure, *limits.steps]
    if achieved_s is not None:
        slowest = amount("ts", "slowest time by the device's band at Ik1min", achieved_s, "s")
        meaning = f"{name} has surely operated after"
        lines.append(step("ta", meaning, "ts", [slowest], achieved_s, "s"))
    return tuple(lines)


def greatest_loops(run: Run, operating: Quantity) -> Limits:
    """Return the largest permitted loop for a current that operates the device in time.

    Hot: cmin U0 / Ia. As a cold reading: the share of IEC 60364-6, Annex D, of U0 / Ia; it makes up
    for the warming of the conductors, so it is never applied to a loop computed hot.
    """
    to_earth = voltage_to_earth_v(run)
    factor = voltage_factors(run)[1]
    share = run.basis.limit("cold_reading_factor").quantity("kc", "share for a cold reading")
    voltage = amount("U0", "nominal voltage to earth", to_earth, "V")
    hot = float(
        greatest_loop_impedance_ohm(
            voltage_to_earth_v=to_earth,
            operating_current_a=operating.value,
            voltage_factor=factor.value,
        )
    )
    cold = float(
        greatest_measured_loop_ohm(
            voltage_to_earth_v=to_earth,
            operating_current_a=operating.value,
            reading_factor=share.value,
            voltage_factor=1.0,  # the share for a cold reading covers it
        )
    )
    lines = (
        step(
            "Zsmax",
            "largest permitted loop, conductors hot",
            "cmin * U0 / Ia0",
            [factor, voltage, operating],
            hot,
            "Ω",
        ),
        step(
            "Zmmax",
            "largest advised reading, conductors cold",
            "kc * U0 / Ia0",
            [share, voltage, operating],
            cold,
            "Ω",
        ),
    )
    return Limits(
        loop=amount("Zsmax", lines[0].meaning, hot, "Ω"),
        cold_reading=amount("Zmmax", lines[1].meaning, cold, "Ω"),
        steps=lines,
    )


def _by_device_or_residual(
    run: Run, circuit: PathCircuit, *, passes: bool, achieved_s: float | None
) -> tuple[Outcome, str]:
    if passes:
        return Outcome.PASS, (
            "An earth fault at the far end draws at least {fault} through a loop of {loop} (at "
            "most {largest}): the device has surely tripped after {achieved}, permitted are {time} "
            "for {rule}."
        )
    sure = "after {achieved}" if achieved_s is not None else "at no time that its curve promises"
    weak = "An earth fault at the far end may draw only {fault} through a loop of {loop} (at most "
    # IEC 60364-4-41, 411.4.5 permits a residual-current device for fault protection in TN.
    if any(present(run, link) and suits(run, link) for link in covering(run, circuit)):
        return Outcome.CAUTION, (
            weak + "{largest}), too little for the device ({operating} within {time} for {rule}): "
            "disconnection rests on the residual-current device alone."
        )
    return Outcome.FAIL, (
        weak + "{largest}): the device has surely tripped only " + sure + ", permitted are {time} "
        "for {rule}, for which it needs {operating}; no suitable residual-current device covers "
        "the circuit."
    )


def _measured(installation: Installation) -> Sequence[Link]:
    """Return where an earth-fault loop was read: outlet, or the circuit that ends at a board."""
    system = installation.supply.word("earthing_system").options
    if not any(word.startswith("TN") for word in system):
        return []
    return [reading.link(installation) for reading in _loops(installation)]


def _loops(installation: Installation) -> list[Reading]:
    return [one for one in readings(installation) if one.kind is FaultKind.LINE_EARTH]


def _judge_measured(run: Run, link: Link) -> Finding:
    """Judge a cold reading, at the outlet with the cold cord behind it added."""
    installation = run.installation
    (reading,) = [one for one in _loops(installation) if one.link(installation) == link]
    circuit = installation.circuits[reading.node - 1]
    limit = run.basis.limit("cold_reading_factor")
    time = required(run, circuit, "TN")
    operating = operating_current(run, circuit.device, time.quantity.value)
    fact = reading.fact
    ohm = run.ends.high_is_bad(fact)
    cord, cord_steps = cold_cord_loop_ohm(run) if circuit.is_final else (0.0, [])
    value = ohm + cord
    limits = greatest_loops(run, operating)
    bound = limits.cold_reading.value
    passes = value <= bound
    sums = [given(fact, ohm, "Z"), amount("Zcord", "loop of the cord at 20 °C", cord, "Ω")]
    with_cord = " with the cord" if circuit.is_final else ""
    words = "is within" if passes else "exceeds"
    return finding(
        MEASURED,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "The reading" + with_cord + ", {value}, " + words + " {bound}, what is advised for a cold "
        "reading if the overcurrent device is to disconnect within {time}.",
        {
            "value": amount("Zm", "", value, "Ω"),
            "bound": limits.cold_reading,
            "time": time.quantity,
        },
        working=(
            *time.steps,
            *cord_steps,
            limits.steps[1],
            step("Zm", "reading with the cord", "Z + Zcord", sums, value, "Ω"),
        ),
        value=value,
        bound=bound,
        unit="Ω",
    )


DISCONNECTION = Check(name="disconnection", question=QUESTION, links=_circuits, judge=_judge)
MEASURED = Check(
    name="measured-loop",
    question=QUESTION,
    links=_measured,
    judge=_judge_measured,
    force=Force.RECOMMENDATION,
)

CHECKS = (DISCONNECTION, MEASURED)
