"""The customer's own transformer as surveyed: mostly what its rating plate says."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from feasibility.survey.quantities import (
    Example,
    ImpedanceOhm,
    LineVoltageV,
    TolerancePercent,
)
from feasibility.survey.stated import Record, Stated

RatedPowerKva = Stated[Annotated[float, Field(gt=0, le=10_000)]]
ShortCircuitVoltagePercent = Stated[Annotated[float, Field(ge=1, le=20)]]
LossKw = Stated[Annotated[float, Field(gt=0, le=200)]]
VectorGroup = Annotated[
    str,
    Field(pattern=r"^(D|Y|YN)(d|y|yn|z|zn)([0-9]|1[01])$"),
    Example('"Dyn5", "Dyn11", "Yzn5" or "Yyn0"'),
]
TapPercent = Stated[Annotated[float, Field(ge=-20, le=20)]]
FaultMva = Stated[Annotated[float, Field(gt=0, le=20_000)]]


class Transformer(Record):
    """The customer's own transformer. The origin of the installation is its low-voltage side.

    ``load_loss_kw`` is the loss at rated current. ``rated_secondary_voltage_v`` is the rated
    voltage between lines on the low-voltage side, ``tap_percent`` the position of the tap changer
    on the high-voltage side, as the deviation of that tapping's voltage from the rated one (-2.5
    raises the low voltage). ``no_load_voltage_v`` gives the low voltage without load at the tapping
    in use in its place, at the agreed voltage of the medium-voltage network.
    ``zero_sequence_impedance_ohm`` is that of the test report, per phase, low-voltage side.
    ``upstream_tolerance_..._percent`` is how far the medium voltage may lie below or above the
    agreed one, ``largest_upstream_fault_mva`` and ``smallest_upstream_fault_mva`` the short-circuit
    power there.
    """

    rated_power_kva: RatedPowerKva | None = None
    short_circuit_voltage_percent: ShortCircuitVoltagePercent | None = None
    load_loss_kw: LossKw | None = None
    vector_group: Stated[VectorGroup] | None = None
    zero_sequence_impedance_ohm: ImpedanceOhm | None = None
    rated_secondary_voltage_v: LineVoltageV | None = None
    tap_percent: TapPercent | None = None
    no_load_voltage_v: LineVoltageV | None = None
    upstream_tolerance_low_percent: TolerancePercent | None = None
    upstream_tolerance_high_percent: TolerancePercent | None = None
    largest_upstream_fault_mva: FaultMva | None = None
    smallest_upstream_fault_mva: FaultMva | None = None
