"""The outlet as found, and the flexible cord with its plug."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Literal

from pydantic import Field

from feasibility.survey.quantities import (
    CountFromZero,
    CurrentA,
    Example,
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

Condition = Literal["no damage seen", "worn contacts", "heat marks", "damaged", "not inspected"]
Water = Literal["none", "drops", "spray", "splashes", "jets", "waves", "immersion"]
IpCode = Annotated[
    str,
    Field(pattern=r"^IP[0-6X][0-9X][A-Z]*(/IP[0-6X][0-9X][A-Z]*)*$", max_length=40),
    Example('"IP44", "IPX4" or "IP66/IP67"'),
]
IkCode = Annotated[str, Field(pattern=r"^IK(0[0-9]|1[01])$"), Example('"IK08"')]


class Outlet(Record):
    """The outlet that the station is plugged into, or its fixed connection.

    ``measured_loop_impedance_ohm`` is that of line and protective conductor;
    ``measured_fault_between`` says between which conductors ``measured_fault_current_ka`` was
    measured.
    ``building_site`` says whether it serves a building or demolition site. ``water`` is the worst
    water that reaches it; ``ip_code`` and ``ik_code`` are marked on it. ``impact_guarded``: its
    position or a guard keeps vehicles away. ``terminals_from_mm2`` and ``terminals_to_mm2`` are
    marked on it or stand in its data sheet. ``interlocked_switch``: a switch that the plug cannot
    be pulled under. ``lockable_isolation``: all live conductors can be isolated and secured
    against switching on, by a lock or in a locked room. ``neutral_earth_bridge`` is measured.
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
    location: Stated[Literal["indoors", "outdoors"]] | None = None
    water: Stated[Water] | None = None
    ip_code: Stated[IpCode] | None = None
    ik_code: Stated[IkCode] | None = None
    vehicle_traffic: Flag | None = None
    impact_guarded: Flag | None = None
    condition: Stated[Condition] | None = None
    terminals_from_mm2: SectionMm2 | None = None
    terminals_to_mm2: SectionMm2 | None = None
    pilot_contact: Stated[Literal["none", "connected", "not connected"]] | None = None
    interlocked_switch: Flag | None = None
    lockable_isolation: Flag | None = None
    neutral_earth_bridge: Flag | None = None
    erected_year: Stated[Annotated[int, Field(ge=1900, le=2200)]] | None = None
    last_inspection: Stated[dt.date] | None = None


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
    condition: Stated[Condition] | None = None
    plug_condition: Stated[Condition] | None = None
    plug_rating_a: CurrentA | None = None
    plug_poles: Stated[Poles] | None = None
    plug_clock_position: Stated[Annotated[int, Field(ge=1, le=12)]] | None = None
    plug_terminals_from_mm2: SectionMm2 | None = None
    plug_terminals_to_mm2: SectionMm2 | None = None
