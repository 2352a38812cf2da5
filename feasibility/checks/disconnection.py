"""Is an earth fault disconnected in the required time? IEC 60364-4-41, 411.3.2, 411.4 and 411.5."""

from __future__ import annotations

from collections.abc import Sequence

from feasibility import tables
from feasibility.checks.device_band import operating_current
from feasibility.checks.fault_conductors import cold_cord_loop_ohm
from feasibility.checks.fault_path import smallest_earth_fault
from feasibility.checks.fault_sources import named_voltage_to_earth_v, voltage_to_earth_v
from feasibility.checks.loading import device_rating_a
from feasibility.checks.question import Check, Run, finding, verdict_of
from feasibility.checks.residual_current import covering, present, suits
from feasibility.checks.working import amount, given, step
from feasibility.clauses.disconnection import (
    greatest_electrode_resistance_ohm,
    greatest_measured_loop_ohm,
)
from feasibility.installation.model import Installation, Link, LinkKind, PathCircuit
from feasibility.result import Finding, Force, Outcome, Quantity, Sense
from feasibility.survey.circuit import Circuit

_QUESTION = "Is an earth fault disconnected in the required time?"


def _circuits(installation: Installation) -> Sequence[Link]:
    return [circuit.link for circuit in installation.circuits]


def _circuit(run: Run, link: Link) -> PathCircuit:
    return run.installation.circuits[link.position]


def _circuit_rating_a(run: Run, circuit: PathCircuit) -> float:
    """Return the rated current of the final circuit: the smaller of device (setting) and outlet."""
    device = device_rating_a(run, circuit.device, high_is_bad=False)
    outlet = run.installation.outlet.number("rating_a")
    return device if outlet.is_open else min(device, run.ends.low_is_bad(outlet))


def required_time(run: Run, circuit: PathCircuit, system: str) -> Quantity:
    """Return the longest permitted disconnection time of a circuit."""
    scope = "other"
    if circuit.is_final:
        outlet = run.installation.outlet
        record = circuit.data.record
        sockets = isinstance(record, Circuit) and bool(record.other_outlet)
        fixed = run.ends.known(outlet.word("kind")) == "fixed connection" and not sockets
        rating = _circuit_rating_a(run, circuit)
        bound = run.basis.number("table_41_1_fixed_a" if fixed else "table_41_1_outlet_a")
        scope = "table 41.1" if rating <= bound else "other"
    return tables.disconnection_time(
        system=system, voltage_to_earth_v=named_voltage_to_earth_v(run), scope=scope
    )


def _judge(run: Run, link: Link) -> Finding:
    circuit = _circuit(run, link)
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
        return _judge_tt(run, link, circuit)
    return _judge_tn(run, link, circuit)


def _judge_tn(run: Run, link: Link, circuit: PathCircuit) -> Finding:
    limit = run.basis.limit("disconnection")
    time = required_time(run, circuit, "TN").named("t", "longest permitted time")
    operating = operating_current(run, circuit.device, time.value)
    fault = smallest_earth_fault(run, circuit)
    passes = fault.value_a >= operating.value
    outcome, template = _by_device_or_residual(run, circuit, limit_passes=passes)
    if outcome is Outcome.FAIL:
        outcome = verdict_of(limit, passes=False)
    return finding(
        DISCONNECTION,
        link,
        limit,
        outcome,
        template,
        {
            "fault": amount("Ik1min", "", fault.value_a, "A"),
            "operating": operating,
            "time": time,
        },
        working=(
            *fault.steps,
            step(
                "Ia",
                f"current that surely trips {circuit.device.name}",
                "Ia0",
                [operating],
                operating.value,
                "A",
            ),
            step("tmax", "longest permitted disconnection time", "t", [time], time.value, "s"),
        ),
        value=fault.value_a,
        bound=operating.value,
        unit="A",
        sense=Sense.AT_LEAST,
    )


def _by_device_or_residual(
    run: Run, circuit: PathCircuit, *, limit_passes: bool
) -> tuple[Outcome, str]:
    if limit_passes:
        return Outcome.PASS, (
            "An earth fault at the far end draws at least {fault}; the device surely trips within "
            "{time} from {operating}."
        )
    # IEC 60364-4-41, 411.4.5 permits a residual-current device for fault protection in TN.
    if any(present(run, link) and suits(run, link) for link in covering(run, circuit)):
        return Outcome.CAUTION, (
            "An earth fault at the far end may draw only {fault}, too little for the device "
            "({operating} within {time}): disconnection rests on the residual-current device alone."
        )
    return Outcome.FAIL, (
        "An earth fault at the far end may draw only {fault}; the device surely trips within "
        "{time} only from {operating}, and no suitable residual-current device covers the circuit."
    )


def _judge_tt(run: Run, link: Link, circuit: PathCircuit) -> Finding:
    limit = run.basis.limit("touch_voltage_v")
    devices = [device for device in covering(run, circuit) if present(run, device)]
    if not devices:
        return _tt_without_residual(run, link, circuit)
    fact = run.installation.supply.number("electrode_resistance_ohm")
    resistance = run.ends.high_is_bad(fact)
    # Any one of the devices in series disconnects: the most sensitive one counts.
    rated_ma, rated_fact = min(
        (
            (run.ends.high_is_bad(f), f)
            for f in (d.data.number("residual_current_ma") for d in devices)
        ),
        key=lambda pair: pair[0],
    )
    touch = limit.quantity("UL", "permitted touch voltage")
    bound = float(
        greatest_electrode_resistance_ohm(
            touch_voltage_v=touch.value, residual_current_a=rated_ma / 1000
        )
    )
    passes = resistance <= bound
    words = "is within" if passes else "exceeds"
    inputs = [touch, given(rated_fact, rated_ma, "Idn")]
    return finding(
        DISCONNECTION,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "TT: the earth electrode's {value} " + words + " the {bound} at which the residual-current "
        "device keeps the touch voltage within limits.",
        {"value": given(fact, resistance, "RA"), "bound": amount("RAmax", "", bound, "Ω")},
        working=(
            step("RAmax", "greatest electrode resistance", "UL / (Idn / 1000)", inputs, bound, "Ω"),
            step("RA", "electrode", "R", [given(fact, resistance, "R")], resistance, "Ω"),
        ),
        value=resistance,
        bound=bound,
        unit="Ω",
    )


def _tt_without_residual(run: Run, link: Link, circuit: PathCircuit) -> Finding:
    limit = run.basis.limit("disconnection")
    insulated = circuit.data.flag("double_insulated")
    if circuit.is_final or insulated.options == (False,):
        template = (
            "TT: no residual-current device covers this circuit; an overcurrent device does not "
            "disconnect an earth fault through the electrode."
        )
        return finding(DISCONNECTION, link, limit, verdict_of(limit, passes=False), template)
    run.ends.known(insulated)
    template = "Stated as double or reinforced insulation throughout; no disconnection is required."
    return finding(DISCONNECTION, link, limit, Outcome.NOT_APPLICABLE, template)


def _measured(installation: Installation) -> Sequence[Link]:
    system = installation.supply.word("earthing_system").options
    tn = any(word.startswith("TN") for word in system)
    has = installation.outlet.has("measured_loop_impedance_ohm")
    return installation.links_of(LinkKind.OUTLET) if has and tn else []


def _judge_measured(run: Run, link: Link) -> Finding:
    """Judge a cold reading at the outlet, the cold cord behind it added."""
    circuit = run.installation.final_circuit
    limit = run.basis.limit("cold_reading_factor")
    time = required_time(run, circuit, "TN").named("t")
    operating = operating_current(run, circuit.device, time.value)
    fact = link.data.number("measured_loop_impedance_ohm")
    reading = run.ends.high_is_bad(fact)
    cord, cord_steps = cold_cord_loop_ohm(run)
    value = reading + cord
    factor = limit.quantity("kc", "share of the limit that a cold reading may reach")
    to_earth = voltage_to_earth_v(run)
    bound = float(
        greatest_measured_loop_ohm(
            voltage_to_earth_v=to_earth,
            operating_current_a=operating.value,
            reading_factor=factor.value,
            voltage_factor=1.0,  # the share for a cold reading covers it
        )
    )
    passes = value <= bound
    limits = [factor, amount("U0", "nominal voltage to earth", to_earth, "V"), operating]
    sums = [given(fact, reading, "Z"), amount("Zcord", "loop of the cord at 20 °C", cord, "Ω")]
    words = "is within" if passes else "exceeds"
    return finding(
        MEASURED,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "The reading at the outlet with the cord, {value}, " + words + " {bound}, what is advised "
        "for a cold reading if the overcurrent device is to disconnect.",
        {
            "value": amount("Zm", "", value, "Ω"),
            "bound": amount("Zmax", "", bound, "Ω"),
        },
        working=(
            *cord_steps,
            step("Zmax", "limit for a cold reading", "kc * U0 / Ia0", limits, bound, "Ω"),
            step("Zm", "reading with the cord", "Z + Zcord", sums, value, "Ω"),
        ),
        value=value,
        bound=bound,
        unit="Ω",
    )


DISCONNECTION = Check(name="disconnection", question=_QUESTION, links=_circuits, judge=_judge)
MEASURED = Check(
    name="measured-loop",
    question=_QUESTION,
    links=_measured,
    judge=_judge_measured,
    force=Force.RECOMMENDATION,
)

CHECKS = (DISCONNECTION, MEASURED)
