"""How quickly an earth fault has to be disconnected: IEC 60364-4-41, 411.3.2 and Table 41.1."""

from __future__ import annotations

from dataclasses import dataclass

from feasibility import tables
from feasibility.checks.fault_sources import named_voltage_to_earth_v
from feasibility.checks.loading import device_rating_a
from feasibility.checks.question import Run
from feasibility.checks.working import amount, given, step
from feasibility.installation.model import PathCircuit
from feasibility.result import Quantity, Step
from feasibility.survey.circuit import Circuit


@dataclass(frozen=True, slots=True, kw_only=True)
class RequiredTime:
    """The longest permitted time in s, why it is that one, and its working."""

    quantity: Quantity
    rule: str
    steps: tuple[Step, ...]


def required_time(run: Run, circuit: PathCircuit, system: str) -> Quantity:
    """Return the longest permitted disconnection time of a circuit."""
    return required(run, circuit, system).quantity


def required(run: Run, circuit: PathCircuit, system: str) -> RequiredTime:
    """Return the longest permitted disconnection time with its reason.

    Table 41.1 holds for final circuits up to a rated current that changed with the amendment of
    2017: the code basis has it, with its edition.
    """
    scope, rule = "other", "a distribution circuit"
    steps: list[Step] = []
    if circuit.is_final:
        scope, rule, steps = _final(run, circuit)
    to_earth = named_voltage_to_earth_v(run)
    time = tables.disconnection_time(system=system, voltage_to_earth_v=to_earth, scope=scope)
    named = time.named("t", f"longest permitted time, {rule}")
    steps.append(step("tmax", f"{time.meaning}: {rule}", "t", [named], time.value, "s"))
    return RequiredTime(quantity=named, rule=rule, steps=tuple(steps))


def _final(run: Run, circuit: PathCircuit) -> tuple[str, str, list[Step]]:
    outlet = run.installation.outlet
    record = circuit.data.record
    sockets = isinstance(record, Circuit) and bool(record.other_outlet)
    fixed = run.ends.known(outlet.word("kind")) == "fixed connection" and not sockets
    limit = run.basis.limit("table_41_1_fixed_a" if fixed else "table_41_1_outlet_a")
    bound = limit.quantity("Itab", "rated current up to which Table 41.1 holds")
    rating, line = _rating(run, circuit)
    within = rating <= bound.value
    kind = "with fixed equipment only" if fixed else "with socket-outlets"
    side = "not above" if within else "above"
    rule = f"a final circuit {kind} {side} {bound.value:g} A"
    inputs = [amount("In", line.meaning, rating, "A"), bound]
    compared = step(
        "Ir", "rated current over that limit", "In / Itab", inputs, rating / bound.value, ""
    )
    return ("table 41.1" if within else "other"), rule, [line, compared]


def _rating(run: Run, circuit: PathCircuit) -> tuple[float, Step]:
    """Return the rated current of the final circuit: the smaller of device (setting) and outlet."""
    device = device_rating_a(run, circuit.device, high_is_bad=False)
    own = amount("Id", f"rating or setting of {circuit.device.name}", device, "A")
    meaning = "rated current of the final circuit"
    fact = run.installation.outlet.number("rating_a")
    if fact.is_open:
        return device, step("In", meaning, "Id", [own], device, "A")
    outlet = run.ends.low_is_bad(fact)
    rating = min(device, outlet)
    return rating, step("In", meaning, "min(Id, Io)", [own, given(fact, outlet, "Io")], rating, "A")
