"""The outlet as found, and the flexible cord with its plug."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from feasibility.survey.quantities import (
    CountFromZero,
    CurrentA,
    FaultBetween,
    FaultKa,
    Flag,
    LengthM,
    LoopOhm,
    OhmPerKm,
    Poles,
    ProtectiveMm2,
    RatedTemperatureC,
    SectionMm2,
    TemperatureC,
)
from feasibility.survey.stated import Record, Stated


class Outlet(Record):
    """The outlet that the station is plugged into, or its fixed connection.

    ``measured_loop_impedance_ohm`` is that of line and protective conductor;
    ``measured_fault_between`` says between which conductors ``measured_fault_current_ka`` was
    measured. ``building_site`` says whether it serves a building or demolition site.
    """

    kind: Stated[Literal["IEC 60309", "fixed connection"]] | None = None
    rating_a: CurrentA | None = None
    continuous_a: CurrentA | None = None
    poles: Stated[Poles] | None = None
    clock_position: Stated[Annotated[int, Field(ge=1, le=12)]] | None = None
    measured_loop_impedance_ohm: LoopOhm | None = None
    measured_fault_current_ka: FaultKa | None = None
    measured_fault_between: Stated[FaultBetween] | None = None
    building_site: Flag | None = None


class Cord(Record):
    """The flexible cord with its plug, from the outlet to the station.

    ``layers_on_drum = 0`` states that it lies fully unwound.
    """

    length_m: LengthM | None = None
    section_mm2: SectionMm2 | None = None
    protective_section_mm2: ProtectiveMm2 | None = None
    grade: Stated[Literal["60 C rubber", "90 C thermosetting"]] | None = None
    ambient_c: TemperatureC | None = None
    in_sun: Flag | None = None
    layers_on_drum: CountFromZero | None = None
    ampacity_a: CurrentA | None = None
    resistance_ohm_per_km: OhmPerKm | None = None
    protective_resistance_ohm_per_km: OhmPerKm | None = None
    reactance_ohm_per_km: OhmPerKm | None = None
    ends_rated_c: RatedTemperatureC | None = None
    plug_rating_a: CurrentA | None = None
    plug_poles: Stated[Poles] | None = None
    plug_clock_position: Stated[Annotated[int, Field(ge=1, le=12)]] | None = None
