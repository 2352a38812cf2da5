"""The requested current: worst phase, at the station, at the lowest voltage, auxiliaries in."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

from feasibility.checks.operation import Operation
from feasibility.checks.working import amount, given, step
from feasibility.clauses.load_current import apparent_power_va, input_active_power_w
from feasibility.installation.facts import Ends, Fact, NotKnown
from feasibility.installation.model import Installation
from feasibility.result import Quantity, Step
from feasibility.tables import NotTabulated
from feasibility.units import SQRT3

_AUXILIARIES = ("auxiliary_l1_w", "auxiliary_l2_w", "auxiliary_l3_w")
_STARTING_A = 10.0

SETTING_FLAGS = (
    "setting_locked",
    "setting_survives_restart",
    "setting_survives_lost_communication",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Requested:
    """The requested current with its working, and the ranges that entered it."""

    current_a: float
    steps: tuple[Step, ...]
    facts: dict[str, Fact[Any]] = field(default_factory=dict)


def requested_current(operation: Operation) -> Requested:
    """Return the current that the path is asked to carry continuously.

    Constant power: the current rises as the voltage falls. The nameplate maximum counts if it is
    larger. The setting counts only if it limits the whole station, is locked, and survives a
    restart and the loss of communication. NotKnown names what is missing.
    """
    setting = _setting(operation)
    try:
        natural, steps = _natural(operation)
    except (NotKnown, NotTabulated):
        if setting is None:
            raise
        limit, setting_steps = setting
        return Requested(current_a=limit, steps=tuple(setting_steps))
    if setting is None:
        return Requested(current_a=natural, steps=tuple(steps))
    limit, setting_steps = setting
    current = min(natural, limit)
    both = [
        amount("Ist", "what the station would draw", natural, "A"),
        amount("Iset", "what its setting lets it draw", limit, "A"),
    ]
    last = step("Is", "requested current", "min(Ist, Iset)", both, current, "A")
    return Requested(current_a=current, steps=(*steps, *setting_steps, last))


def setting_counts(installation: Installation, ends: Ends) -> bool:
    """Whether a setting limits what the station can draw, whatever happens."""
    station = installation.station
    whole = ends.worst(station.word("setting_limits"), lambda word: float(word == "whole station"))
    held = [ends.bad_if(station.flag(flag), bad=False) for flag in SETTING_FLAGS]
    return whole == "whole station" and all(held)


def _setting(operation: Operation) -> tuple[float, list[Step]] | None:
    """Return the current at the setting in force, or None if the setting does not count."""
    station, ends = operation.installation.station, operation.ends
    if not station.has("setting_a") or not setting_counts(operation.installation, ends):
        return None
    setting_fact = station.number("setting_a")
    tolerance_fact = station.number("setting_tolerance_percent")
    setting = ends.high_is_bad(setting_fact)
    tolerance = ends.high_is_bad(tolerance_fact)
    current = setting * (1 + tolerance / 100)
    inputs = [given(setting_fact, setting, "I0"), given(tolerance_fact, tolerance, "d")]
    meaning = "current at the setting, with its tolerance"
    return current, [step("Iset", meaning, "I0 * (1 + d / 100)", inputs, current, "A")]


def _natural(operation: Operation) -> tuple[float, list[Step]]:
    """Return what the station draws without counting its setting."""
    station, ends = operation.installation.station, operation.ends
    nameplate = None
    if station.has("nameplate_current_a"):
        nameplate = given(
            station.number("nameplate_current_a"),
            ends.high_is_bad(station.number("nameplate_current_a")),
            "In",
        )
    try:
        constant, steps = _at_constant_power(operation)
    except (NotKnown, NotTabulated):
        if nameplate is None:
            raise
        last = step("Is", "nameplate input current", "In", [nameplate], nameplate.value, "A")
        return nameplate.value, [last]
    if nameplate is None:
        return constant, steps
    current = max(constant, nameplate.value)
    inputs = [amount("Ip", "current at constant power", constant, "A"), nameplate]
    last = step("Ist", "what the station would draw", "max(Ip, In)", inputs, current, "A")
    return current, [*steps, last]


def _at_constant_power(operation: Operation) -> tuple[float, list[Step]]:
    station, ends = operation.installation.station, operation.ends
    phases = operation.phases_of_station()
    power_w, steps = _input_power(operation)
    factor_fact = station.number("power_factor")
    factor = ends.low_is_bad(factor_fact)
    apparent = float(apparent_power_va(active_w=power_w, power_factor=factor))
    auxiliary = worst_auxiliary(operation, phases)
    count = sum(phases)

    def drawn_at(phase_v: float) -> float:
        return (apparent / count + auxiliary.value) / phase_v

    voltage = _voltage_at_terminals(operation, drawn_at)
    current = drawn_at(voltage)
    steps += [
        step(
            "S",
            "apparent input power",
            "P / cosphi",
            [amount("P", "input power", power_w, "W"), given(factor_fact, factor, "cosphi")],
            apparent,
            "VA",
        ),
        step(
            "Ip",
            "current of the worst phase at constant power and the lowest voltage",
            "(S / m + Pa) / Uph",
            [
                amount("S", "apparent input power", apparent, "VA"),
                amount("m", "phases of the station", count, ""),
                auxiliary,
                amount("Uph", "lowest line-to-neutral voltage at its terminals", voltage, "V"),
            ],
            current,
            "A",
        ),
    ]
    return current, steps


def _voltage_at_terminals(operation: Operation, drawn_at: Any) -> float:
    """Return the line-to-neutral voltage at which constant power and the network agree."""
    origin = operation.lowest_source_voltage_v() / SQRT3
    try:
        operation.state(_STARTING_A)
    except (NotKnown, NotTabulated):
        # Without the network the voltage at the origin is the best there is; the checks that
        # need the network stay open on their own account.
        return origin
    three = all(operation.phases_of_station())
    voltage = origin
    for _ in range(20):
        found = operation.station_voltage_v(drawn_at(voltage)) / (SQRT3 if three else 1.0)
        if found < 0.3 * origin:
            return 0.3 * origin
        if math.isclose(found, voltage, rel_tol=1e-6):
            return found
        voltage = found
    return voltage


def _input_power(operation: Operation) -> tuple[float, list[Step]]:
    station, ends = operation.installation.station, operation.ends
    if station.has("input_power_kw"):
        fact = station.number("input_power_kw")
        power = 1000 * ends.high_is_bad(fact)
        inputs = [given(fact, power / 1000, "Pin")]
        return power, [step("P", "input power", "1000 * Pin", inputs, power, "W")]
    direct_fact, efficiency_fact = station.number("dc_power_kw"), station.number("efficiency")
    direct = 1000 * ends.high_is_bad(direct_fact)
    efficiency = ends.low_is_bad(efficiency_fact)
    power = float(input_active_power_w(dc_power_w=direct, efficiency=efficiency))
    inputs = [given(direct_fact, direct / 1000, "Pdc"), given(efficiency_fact, efficiency, "eta")]
    return power, [step("P", "input power", "1000 * Pdc / eta", inputs, power, "W")]


def worst_auxiliary(operation: Operation, phases: tuple[bool, bool, bool]) -> Quantity:
    """Return the largest power of auxiliaries on one of these phases, in W."""
    station, ends = operation.installation.station, operation.ends
    facts = [
        station.number(name, fill="station.auxiliary_w")
        for name, on in zip(_AUXILIARIES, phases, strict=True)
        if on
    ]
    values = [(ends.high_is_bad(fact), fact) for fact in facts]
    value, fact = max(values, key=lambda pair: pair[0])
    return given(fact, value, "Pa")
