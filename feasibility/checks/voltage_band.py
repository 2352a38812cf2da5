"""The band of the supply's voltage: the highest one at the station, and an own transformer's."""

from __future__ import annotations

from feasibility import tables
from feasibility.checks.own_transformer import described, no_load_voltage
from feasibility.checks.question import Run
from feasibility.checks.working import amount, given, step
from feasibility.installation.facts import NotKnown
from feasibility.result import Step
from feasibility.units import SQRT3

_STATED = "highest_voltage_v"
_LOW, _HIGH = "upstream_tolerance_low_percent", "upstream_tolerance_high_percent"


def highest_voltage(run: Run) -> tuple[float, list[Step]]:
    """Return the highest voltage at the station without load, with its working.

    As stated for the origin; or of an own transformer without load, the higher one of the two where
    somebody stated how high the medium voltage may be; else by the tolerance of the supply.
    """
    supply, own = run.installation.supply, described(run.installation)
    stated = supply.has(_STATED)
    found: list[tuple[float, list[Step]]] = [_as_stated(run)] if stated else []
    if own is not None and (not stated or own.has(_HIGH)):
        try:
            found.append(no_load_voltage(own, run.ends, _HIGH, 1))
        except NotKnown:
            if not stated:
                raise
    if not found:
        return _by_tolerance(run)
    highest, steps = max(found, key=lambda one: one[0])
    if not all(run.operation.phases_of_station()):
        inputs = [amount("U1", "between lines", highest, "V")]
        highest /= SQRT3
        steps = [*steps, step("U0", "to neutral", "U1 / sqrt(3)", inputs, highest, "V")]
    return highest, steps


def _as_stated(run: Run) -> tuple[float, list[Step]]:
    fact = run.installation.supply.number(_STATED)
    highest = run.ends.high_is_bad(fact)
    return highest, [
        step("U1", "highest voltage", "Uh", [given(fact, highest, "Uh")], highest, "V")
    ]


def _by_tolerance(run: Run) -> tuple[float, list[Step]]:
    """To neutral on the nominal voltage as IEC 60038 names it, 230 V for 400 V."""
    single = not all(run.operation.phases_of_station())
    nominal = run.operation.nominal_voltage_v
    fact = run.installation.supply.number("tolerance_high_percent")
    percent = run.ends.high_is_bad(fact)
    if single:
        nominal = tables.named_voltage_to_earth_v(line_voltage_v=nominal)
    highest = nominal * (100 + percent) / 100  # exact for 10 %; times 1.1 is a hair more
    inputs = [amount("Un", "nominal voltage", nominal, "V"), given(fact, percent, "d")]
    meaning = "highest voltage to neutral" if single else "highest voltage between lines"
    return highest, [step("U1", meaning, "Un * (1 + d / 100)", inputs, highest, "V")]


def lowest_no_load_steps(run: Run) -> list[Step]:
    """Return the working of an own transformer's lowest voltage without load, where it counts."""
    own = described(run.installation)
    if own is None or run.operation.transformer_branch() is None:
        return []
    if run.installation.supply.has("lowest_voltage_v") and not own.has(_LOW):
        return []
    return no_load_voltage(own, run.ends, _LOW, -1)[1]
