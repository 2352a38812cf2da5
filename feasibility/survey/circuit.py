"""A circuit as surveyed: its devices, cables and whatever else carries the current."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from feasibility.survey.device_kinds import Characteristic, DeviceKind
from feasibility.survey.quantities import (
    CableMethod,
    Count,
    CountFromZero,
    CurrentA,
    DelayS,
    EnergyA2s,
    FaultKa,
    Flag,
    GroupingArrangement,
    LeakageMa,
    LengthM,
    MilliampereAc,
    Name,
    Note,
    OhmPerKm,
    Phases,
    ProtectiveLaid,
    ProtectiveMm2,
    RatedTemperatureC,
    Ratio,
    ResidualType,
    SectionMm2,
    SetDelayS,
    SettingA,
    TemperatureC,
    Text,
)
from feasibility.survey.source import Source
from feasibility.survey.stated import Record, Stated


class CurvePoint(Record):
    """One point of the maker's time-current curve of this device at its settings.

    At ``current_a`` and below the device does not operate before ``fastest_s``; at ``current_a``
    and above it has operated after ``slowest_s``.
    """

    current_a: Annotated[float, Field(gt=0, le=200_000)]
    fastest_s: Annotated[float, Field(gt=0, le=100_000)] | None = None
    slowest_s: Annotated[float, Field(gt=0, le=100_000)] | None = None


class Device(Record):
    """An overcurrent protective device.

    ``description`` says what a device of kind ``other`` is. ``setting_a`` is the overload setting
    Ir, ``magnetic_setting_a`` the instantaneous short-circuit setting of an adjustable
    circuit-breaker; an electronic release may have a delayed one before it
    (``short_time_setting_a``, ``short_time_delay_s``). A circuit-breaker to IEC 60947-2 that cannot
    be set has a ``characteristic``, or its fixed values as settings. ``curve_point`` are points of
    the maker's curve, which count instead of the standard's band.
    ``continuous_a`` is the maker's continuous current where it stands, if smaller than the rating;
    ``temperature_factor`` and ``grouping_factor`` are the maker's own factors on the rating for its
    enclosure temperature and its neighbours. ``loaded_neighbours`` counts loaded devices side by
    side.
    ``selective_up_to_ka`` is the limit that the maker's selectivity table gives for this device
    behind ``selective_with``, which names the device before it as that table does.
    ``energy_limiting_class`` is printed on a miniature circuit-breaker (the figure in a square);
    ``let_through_a2s`` is the let-through energy by the maker's curve at the fault level here.
    ``backed_up_to_ka`` is the fault current that the maker's back-up table permits for this device
    behind ``backed_up_by``. ``service_breaking_capacity_ka`` is Ics (``breaking_capacity_ka`` is
    Icn or Icu).
    """

    kind: Stated[DeviceKind] | None = None
    description: Text | None = None
    rating_a: CurrentA | None = None
    characteristic: Stated[Characteristic] | None = None
    fuse_system: Stated[Literal["NH", "D", "D0", "cylindrical"]] | None = None
    release: Stated[Literal["thermal-magnetic", "electronic"]] | None = None
    setting_a: CurrentA | None = None
    short_time_setting_a: SettingA | None = None
    short_time_delay_s: SetDelayS | None = None
    magnetic_setting_a: SettingA | None = None
    curve_point: tuple[CurvePoint, ...] = ()
    breaking_capacity_ka: FaultKa | None = None
    service_breaking_capacity_ka: FaultKa | None = None
    backed_up_to_ka: FaultKa | None = None
    backed_up_by: Name | None = None
    continuous_a: CurrentA | None = None
    temperature_factor: Ratio | None = None
    grouping_factor: Ratio | None = None
    enclosure_temperature_c: TemperatureC | None = None
    loaded_neighbours: CountFromZero | None = None
    selective_up_to_ka: FaultKa | None = None
    selective_with: Name | None = None
    energy_limiting_class: Stated[Literal[1, 2, 3]] | None = None
    let_through_a2s: EnergyA2s | None = None
    owner: Name | None = None


class ResidualCurrentDevice(Record):
    """A residual-current device, or the statement that there is none (``present = false``).

    ``combined`` says that it is one unit with the circuit-breaker of the circuit. ``delay_s`` is
    the set delay of an adjustable device (its limiting non-actuating time).
    ``direct_current_detection`` states a detector at the device that cuts off smooth direct
    current above 6 mA (IEC 62955). ``other_leakage_ma`` and ``other_direct_current_ma`` are the
    standing protective-conductor current and the smooth direct residual current of everything
    else behind the device; another station that detects 6 mA counts 6.
    ``conditional_fault_current_ka`` is the fault current that it withstands behind the device its
    maker names.
    """

    present: Flag | None = None
    type: Stated[ResidualType] | None = None
    residual_current_ma: MilliampereAc | None = None
    rating_a: CurrentA | None = None
    delay: Stated[Literal["none", "S", "adjustable"]] | None = None
    delay_s: DelayS | None = None
    combined: Flag | None = None
    direct_current_detection: Flag | None = None
    other_leakage_ma: LeakageMa | None = None
    other_direct_current_ma: LeakageMa | None = None
    conditional_fault_current_ka: FaultKa | None = None


class ParallelCable(Record):
    """A cable in parallel with another one that differs from it in section, length or metal.

    What is not stated here is as for the other cable; section, length and data-sheet values are
    never taken over.
    ``protective_section_mm2 = 0`` states that this cable carries no protective conductor.
    """

    length_m: LengthM | None = None
    section_mm2: SectionMm2 | None = None
    conductor: Stated[Literal["copper", "aluminium"]] | None = None
    neutral_section_mm2: ProtectiveMm2 | None = None
    protective_section_mm2: ProtectiveMm2 | None = None
    ampacity_a: CurrentA | None = None
    resistance_ohm_per_km: OhmPerKm | None = None
    neutral_resistance_ohm_per_km: OhmPerKm | None = None
    protective_resistance_ohm_per_km: OhmPerKm | None = None
    reactance_ohm_per_km: OhmPerKm | None = None


class Cable(Record):
    """One piece of cable with one way of installation; pieces in series form a circuit.

    ``ambient_c`` is the air temperature, or the ground temperature for methods D1 and D2.
    ``in_sun`` says whether the sun shines on it, or on what it lies in, anywhere.
    ``grouped_circuits`` counts this circuit too. ``protective_section_mm2 = 0`` states that
    there is no protective conductor. ``ampacity_a`` is the user's own data-sheet value at the
    table's reference conditions. ``ends_rated_c`` is the temperature for which the terminals at
    both ends are declared. ``in_parallel`` counts equal cables side by side, this one too;
    ``parallel_cable`` lists those that differ. ``metallic_covering`` is a metal sheath or armour.
    The resistances (per conductor, at 20 °C) and the reactance are the user's own data-sheet values
    for a conductor that the tables do not hold.
    ``protective_conductor_laid`` says how the protective conductor runs, of the metal of the line
    conductors; ``second_protective_section_mm2`` is a second one to a terminal of its own.
    """

    length_m: LengthM | None = None
    section_mm2: SectionMm2 | None = None
    conductor: Stated[Literal["copper", "aluminium"]] | None = None
    insulation: Stated[Literal["PVC", "XLPE"]] | None = None
    construction: Stated[Literal["multicore", "single-core"]] | None = None
    metallic_covering: Stated[Literal["none", "sheath", "armour"]] | None = None
    laid: Stated[Literal["touching", "trefoil", "flat", "horizontal", "vertical"]] | None = None
    method: Stated[CableMethod] | None = None
    ambient_c: TemperatureC | None = None
    in_sun: Flag | None = None
    grouped_circuits: Count | None = None
    grouping: Stated[GroupingArrangement] | None = None
    grouping_spacing: (
        Stated[Literal["touching", "one diameter", "0.125 m", "0.25 m", "0.5 m", "1.0 m"]] | None
    ) = None
    soil_resistivity_k_m_per_w: Stated[Annotated[float, Field(gt=0, le=10)]] | None = None
    in_parallel: Count | None = None
    parallel_cable: tuple[ParallelCable, ...] = ()
    neutral_section_mm2: ProtectiveMm2 | None = None
    protective_section_mm2: ProtectiveMm2 | None = None
    protective_conductor_laid: Stated[ProtectiveLaid] | None = None
    second_protective_section_mm2: ProtectiveMm2 | None = None
    ampacity_a: CurrentA | None = None
    resistance_ohm_per_km: OhmPerKm | None = None
    neutral_resistance_ohm_per_km: OhmPerKm | None = None
    protective_resistance_ohm_per_km: OhmPerKm | None = None
    reactance_ohm_per_km: OhmPerKm | None = None
    ends_rated_c: RatedTemperatureC | None = None
    note: Note = ""


class Part(Record):
    """Anything else in the circuit that carries the current: switch, contactor, terminals, ...

    ``conditional_fault_current_ka`` is the fault current that it withstands behind the device its
    maker names.
    """

    kind: Literal[
        "switch-disconnector",
        "interlocked switch",
        "changeover switch",
        "contactor",
        "busbar",
        "terminal block",
        "fuse base",
        "adapter",
        "other",
    ]
    name: Name | None = None
    rating_a: CurrentA | None = None
    continuous_a: CurrentA | None = None
    conditional_fault_current_ka: FaultKa | None = None


class OtherOutlet(Record):
    """Another outlet or tap on the circuit; it counts at its rating unless it is blocked."""

    name: Name
    rating_a: CurrentA | None = None
    phases: Stated[Phases] | None = None
    blocked: Flag | None = None


class Circuit(Record):
    """A circuit from a board (or the origin) to a board or to the outlet of the station.

    ``other_outlets_none = true`` states that somebody looked and found no other outlet or tap.
    ``double_insulated = true`` states double or reinforced insulation over the whole circuit.
    ``fire_risk`` says whether it ends in or passes through a place with a risk of fire because of
    what is processed or stored there (class BE2, IEC 60364-5-51). ``pen_conductor`` says whether
    neutral and protective conductor are one conductor in it (TN-C and TN-C-S). ``source`` lists
    what feeds into the circuit itself, behind its device.
    """

    name: Name
    starts_at: Name
    ends_at: Name
    device: Device | None = None
    residual_current_device: ResidualCurrentDevice | None = None
    cable: tuple[Cable, ...] = ()
    part: tuple[Part, ...] = ()
    other_outlet: tuple[OtherOutlet, ...] = ()
    other_outlets_none: Flag | None = None
    double_insulated: Flag | None = None
    fire_risk: Flag | None = None
    pen_conductor: Flag | None = None
    source: tuple[Source, ...] = ()
