"""What a board's other circuits draw, and by which kind of evidence that is known."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from feasibility.load_profile.record import ProfileName
from feasibility.survey.measured_log import MeasuredLog
from feasibility.survey.quantities import (
    CurrentA,
    DemandA,
    DemandKw,
    EnergyKwh,
    Flag,
    Name,
    Phases,
    PowerKw,
    Ratio,
)
from feasibility.survey.stated import Record, Stated


class ConnectedLoad(Record):
    """A load of a board by its rating plate: its current in each of its phases, or its power.

    ``connected_kw`` is the power of all its phases together; of a load whose phases nobody knows,
    all of it may be on each. ``diversity_factor`` is the share of it that is on at the worst time.
    """

    name: Name
    connected_a: CurrentA | None = None
    connected_kw: PowerKw | None = None
    phases: Stated[Phases] | None = None
    power_factor: Ratio | None = None
    diversity_factor: Ratio | None = None


class Demand(Record):
    """What a board's other circuits draw at most, without this survey's lower boards and station.

    Either ``maximum_a`` (the worst phase, taken for all three), or one value per phase, or
    ``maximum_kw`` (three-phase, balanced), or each connected ``load``, or a measured ``log``. With
    a ``diversity_factor`` the figures are the connected load of which that share draws at the same
    time, and the factors of single loads apply besides; a factor that is not known counts as 1.
    ``declared_by`` is whose figures they are.

    ``annual_energy_kwh`` by the meter and the standard ``load_profile`` of such customers say how
    the demand runs over the year; alone they are the mean of many and no evidence of a maximum.
    Beside a log they say how it runs while nothing was logged, and whether that time was a quiet
    one.

    ``net_of_generation = true`` states that what a second source gave at the time, here or on a
    board behind, is subtracted from the figure; of a log its own fields say so.
    """

    maximum_a: DemandA | None = None
    maximum_l1_a: DemandA | None = None
    maximum_l2_a: DemandA | None = None
    maximum_l3_a: DemandA | None = None
    maximum_kw: DemandKw | None = None
    load: Annotated[tuple[ConnectedLoad, ...], Field(max_length=200)] = ()
    diversity_factor: Ratio | None = None
    declared_by: Name | None = None
    annual_energy_kwh: EnergyKwh | None = None
    load_profile: Stated[ProfileName] | None = None
    power_factor: Ratio | None = None
    net_of_generation: Flag | None = None
    log: MeasuredLog | None = None
