"""Disconnection of an earth fault in a TT system: IEC 60364-4-41, 411.5."""

from __future__ import annotations

from collections.abc import Sequence

from feasibility import tables
from feasibility.checks.fault_conductors import FaultKind
from feasibility.checks.fault_readings import readings
from feasibility.checks.question import Check, Run, finding, verdict_of
from feasibility.checks.required_time import required
from feasibility.checks.residual_current import covering, present
from feasibility.checks.working import amount, given, step
from feasibility.clauses.disconnection import greatest_electrode_resistance_ohm
from feasibility.code_basis import Limit
from feasibility.installation.facts import Fact
from feasibility.installation.model import Installation, Link, PathCircuit
from feasibility.result import Finding, Force, Outcome, Quantity, Step


def judge_tt(check: Check, run: Run, link: Link, circuit: PathCircuit) -> Finding:
    """Judge RA IdN <= 50 V; any one of the residual-current devices in series disconnects."""
    devices = [device for device in covering(run, circuit) if present(run, device)]
    if not devices:
        return _without_residual(check, run, link, circuit)
    limit = run.basis.limit("touch_voltage_v")
    fact = _electrode(run)
    resistance = run.ends.high_is_bad(fact)
    device = min(devices, key=lambda one: run.ends.high_is_bad(_rated(one)))
    bound, line = _greatest(run, limit, device)
    passes = resistance <= bound.value
    words = "is within" if passes else "exceeds"
    time = required(run, circuit, "TT")
    breaks, lines = _breaks(device)
    template = (
        "TT: the earth electrode's {value} " + words + " the {bound} at which the residual-current "
        "device keeps the touch voltage within limits"
    )
    values: dict[str, Quantity | str] = {
        "value": given(fact, resistance, "RA"),
        "bound": bound,
        "time": time.quantity,
        "rule": time.rule,
    }
    if breaks is not None:
        template += "; it breaks within {breaks}, permitted are {time} for {rule}"
        values["breaks"] = breaks
    electrode = step("RA", "electrode", "R", [given(fact, resistance, "R")], resistance, "Ω")
    return finding(
        check,
        link,
        limit,
        verdict_of(limit, passes=passes),
        template + ".",
        values,
        working=(line, electrode, *time.steps, *lines),
        value=resistance,
        bound=bound.value,
        unit="Ω",
    )


def _rated(device: Link) -> Fact[float]:
    return device.data.number("residual_current_ma")


def _greatest(run: Run, limit: Limit, device: Link) -> tuple[Quantity, Step]:
    """Return the greatest electrode resistance for a device: the most sensitive one counts."""
    fact = _rated(device)
    rated_ma = run.ends.high_is_bad(fact)
    touch = limit.quantity("UL", "permitted touch voltage")
    ohm = float(
        greatest_electrode_resistance_ohm(
            touch_voltage_v=touch.value, residual_current_a=rated_ma / 1000
        )
    )
    inputs = [touch, given(fact, rated_ma, "Idn")]
    line = step("RAmax", "greatest electrode resistance", "UL / (Idn / 1000)", inputs, ohm, "Ω")
    return amount("RAmax", line.meaning, ohm, "Ω"), line


def _electrode(run: Run) -> Fact[float]:
    """Return the electrode's resistance; without one a complete reading of the loop holds it.

    IEC 60364-6, 6.4.3.7: the loop impedance may be measured instead (from memory); the loop is
    never smaller than the electrode.
    """
    stated = run.installation.supply.number("electrode_resistance_ohm")
    if not stated.is_open:
        return stated
    loops = [
        reading.fact
        for reading in readings(run.installation)
        if reading.kind is FaultKind.LINE_EARTH and reading.is_complete
    ]
    return loops[0] if loops else stated


def _breaks(device: Link) -> tuple[Quantity | None, tuple[Step, ...]]:
    """Return within which time a device breaks at twice its rated residual current.

    An adjustable delay has a question of its own.
    """
    delays = device.data.word("delay").options
    if not delays or "adjustable" in delays:
        return None, ()
    kind = "type S" if "S" in delays else "general type"
    rule = tables.residual_current_rule(
        rule=f"trip time, {kind}, at most", condition="2 x rated residual current"
    ).named("t2")
    return rule, (step("tb", "the device breaks within", "t2", [rule], rule.value, "s"),)


def _without_residual(check: Check, run: Run, link: Link, circuit: PathCircuit) -> Finding:
    limit = run.basis.limit("disconnection")
    insulated = circuit.data.flag("double_insulated")
    if circuit.is_final or insulated.options == (False,):
        template = (
            "TT: no residual-current device covers this circuit; an overcurrent device does not "
            "disconnect an earth fault through the electrode."
        )
        return finding(check, link, limit, verdict_of(limit, passes=False), template)
    run.ends.known(insulated)
    template = "Stated as double or reinforced insulation throughout; no disconnection is required."
    return finding(check, link, limit, Outcome.NOT_APPLICABLE, template)


def _in_tt(installation: Installation) -> Sequence[Link]:
    tt = installation.supply.word("earthing_system").options == ("TT",)
    return [installation.final_circuit.link] if tt else []


def _judge_electrode(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("electrode_stable_ohm")
    fact = _electrode(run)
    resistance = run.ends.high_is_bad(fact)
    bound = limit.quantity("RAst", "resistance up to which an electrode counts as stable")
    passes = resistance <= bound.value
    template = (
        "The earth electrode's {value} does not exceed {bound}; above it may change with the "
        "seasons."
        if passes
        else "The earth electrode's {value} exceeds {bound}: it may not stay stable when the "
        "ground dries or freezes; a better electrode, or readings over the year, are advised."
    )
    return finding(
        ELECTRODE,
        link,
        limit,
        verdict_of(limit, passes=passes),
        template,
        {"value": given(fact, resistance, "RA"), "bound": bound},
        working=(
            step("RA", "electrode", "R", [given(fact, resistance, "R")], resistance, "Ω"),
            step("RAst", bound.meaning, "R", [bound.named("R")], bound.value, "Ω"),
        ),
        value=resistance,
        bound=bound.value,
        unit="Ω",
    )


ELECTRODE = Check(
    name="electrode-stability",
    question="Does the earth electrode stay as good as it is?",
    links=_in_tt,
    judge=_judge_electrode,
    force=Force.PRACTICE,
)

CHECKS = (ELECTRODE,)
