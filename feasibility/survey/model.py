"""The survey: what a person saw, read, measured or was told on site. Nothing computed.

Every numeric field carries its unit in its name. A field left out counts as not known; what an
unknown value is replaced by (a range) or that it stays open is decided by the installation.
"""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from feasibility.survey.stated import UNKNOWN, Record, Stated

SURVEY_VERSION = 1

ORIGIN = "origin"
OUTLET = "outlet"


def _not_unknown(name: str) -> str:
    if name == UNKNOWN:
        message = "a name must not be the word for a value that nobody knows"
        raise ValueError(message)
    return name


Name = Annotated[str, Field(min_length=1, max_length=200), AfterValidator(_not_unknown)]
Note = Annotated[str, Field(max_length=4000)]


Flag = Stated[bool]
Text = Stated[Name]
CurrentA = Stated[Annotated[float, Field(gt=0, le=6300)]]
DemandA = Stated[Annotated[float, Field(ge=0, le=6300)]]
PowerKw = Stated[Annotated[float, Field(gt=0, le=2000)]]
DemandKw = Stated[Annotated[float, Field(ge=0, le=4000)]]
PowerW = Stated[Annotated[float, Field(ge=0, le=100_000)]]
FaultKa = Stated[Annotated[float, Field(gt=0, le=200)]]
ImpedanceOhm = Stated[Annotated[float, Field(gt=0, le=100)]]
ElectrodeOhm = Stated[Annotated[float, Field(gt=0, le=100_000)]]
LineVoltageV = Stated[Annotated[float, Field(ge=100, le=1000)]]
LengthM = Stated[Annotated[float, Field(gt=0, le=5000)]]
SectionMm2 = Stated[Annotated[float, Field(gt=0, le=1000)]]
ProtectiveMm2 = Stated[Annotated[float, Field(ge=0, le=1000)]]
TemperatureC = Stated[Annotated[float, Field(ge=-50, le=90)]]
RatedTemperatureC = Stated[Annotated[float, Field(ge=40, le=250)]]
Percent = Stated[Annotated[float, Field(ge=0, le=100)]]
TolerancePercent = Stated[Annotated[float, Field(ge=0, le=30)]]
Ratio = Stated[Annotated[float, Field(gt=0, le=1)]]
Count = Stated[Annotated[int, Field(ge=1, le=100)]]
CountFromZero = Stated[Annotated[int, Field(ge=0, le=100)]]
MilliampereAc = Stated[Annotated[float, Field(gt=0, le=30_000)]]
LeakageMa = Stated[Annotated[float, Field(ge=0, le=30_000)]]

Phases = Literal["L1L2L3", "L1", "L2", "L3"]
Poles = Literal["2P+E", "3P+E", "3P+N+E"]
DeviceKind = Literal["IEC 60898-1 circuit-breaker", "IEC 60947-2 circuit-breaker", "gG fuse"]
CableMethod = Literal["A1", "A2", "B1", "B2", "C", "D1", "D2", "E", "F", "G"]
GroupingArrangement = Literal[
    "bunched",
    "single layer on wall or floor",
    "single layer under ceiling",
    "single layer on perforated tray",
    "single layer on ladder",
]
ResidualKind = Literal["alternating", "pulsating", "smooth direct"]


class Site(Record):
    """The place and the survey's own reference."""

    reference: Name
    name: Name
    address: Note = ""
    client: Name | None = None
    note: Note = ""


class Instrument(Record):
    """A measuring instrument that was used on site."""

    name: Name
    serial: Name | None = None
    calibrated: dt.date | None = None


class Surveyor(Record):
    """Who surveyed, when, and with what."""

    name: Name
    qualification: Name | None = None
    date: dt.date
    instrument: tuple[Instrument, ...] = ()


class Device(Record):
    """An overcurrent protective device.

    ``setting_a`` is the overload setting Ir and ``magnetic_setting_a`` the short-circuit setting Im
    of an adjustable circuit-breaker. ``continuous_a`` is the maker's continuous current where it
    stands, if smaller than the rating. ``loaded_neighbours`` counts loaded devices side by side.
    """

    kind: Stated[DeviceKind] | None = None
    rating_a: CurrentA | None = None
    characteristic: Stated[Literal["B", "C", "D"]] | None = None
    setting_a: CurrentA | None = None
    magnetic_setting_a: Stated[Annotated[float, Field(gt=0, le=100_000)]] | None = None
    breaking_capacity_ka: FaultKa | None = None
    continuous_a: CurrentA | None = None
    enclosure_temperature_c: TemperatureC | None = None
    loaded_neighbours: CountFromZero | None = None
    terminal_temperature_c: RatedTemperatureC | None = None
    owner: Name | None = None


class ResidualCurrentDevice(Record):
    """A residual-current device, or the statement that there is none (``present = false``).

    ``combined`` says that it is one unit with the circuit-breaker of the circuit.
    """

    present: Flag | None = None
    type: Stated[Literal["AC", "A", "F", "B"]] | None = None
    residual_current_ma: MilliampereAc | None = None
    rating_a: CurrentA | None = None
    delay: Stated[Literal["none", "S"]] | None = None
    combined: Flag | None = None


class Cable(Record):
    """One piece of cable with one way of installation; pieces in series form a circuit.

    ``ambient_c`` is the air temperature, or the ground temperature for methods D1 and D2.
    ``grouped_circuits`` counts this circuit too. ``protective_section_mm2 = 0`` states that
    there is no protective conductor. ``ampacity_a`` is the user's own data-sheet value at the
    table's reference conditions. ``ends_rated_c`` is the temperature for which the terminals at
    both ends are declared.
    """

    length_m: LengthM | None = None
    section_mm2: SectionMm2 | None = None
    conductor: Stated[Literal["copper", "aluminium"]] | None = None
    insulation: Stated[Literal["PVC", "XLPE"]] | None = None
    construction: Stated[Literal["multicore", "single-core"]] | None = None
    laid: Stated[Literal["touching", "trefoil", "flat", "horizontal", "vertical"]] | None = None
    method: Stated[CableMethod] | None = None
    ambient_c: TemperatureC | None = None
    grouped_circuits: Count | None = None
    grouping: Stated[GroupingArrangement] | None = None
    grouping_spacing: (
        Stated[Literal["touching", "one diameter", "0.125 m", "0.25 m", "0.5 m", "1.0 m"]] | None
    ) = None
    soil_resistivity_k_m_per_w: Stated[Annotated[float, Field(gt=0, le=10)]] | None = None
    in_parallel: Count | None = None
    neutral_section_mm2: ProtectiveMm2 | None = None
    protective_section_mm2: ProtectiveMm2 | None = None
    ampacity_a: CurrentA | None = None
    ends_rated_c: RatedTemperatureC | None = None
    note: Note = ""


class Part(Record):
    """Anything else in the circuit that carries the current: switch, contactor, terminals, ..."""

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


class Demand(Record):
    """What a board's other circuits draw at most, without this survey's lower boards and station.

    Either ``maximum_a`` (the worst phase, taken for all three), or one value per phase, or
    ``maximum_kw`` (three-phase, balanced).
    """

    maximum_a: DemandA | None = None
    maximum_l1_a: DemandA | None = None
    maximum_l2_a: DemandA | None = None
    maximum_l3_a: DemandA | None = None
    maximum_kw: DemandKw | None = None
    power_factor: Ratio | None = None


class Board(Record):
    """A distribution board."""

    name: Name
    demand: Demand | None = None


class Supply(Record):
    """The supply at the origin of the installation.

    ``nominal_voltage_v`` is between lines. ``lowest_voltage_v`` and ``highest_voltage_v`` are a
    measured or declared band at the origin, between lines; without them the tolerance counts.
    ``prospective_fault_current_ka`` is the largest three-phase fault current at the origin;
    ``external_loop_impedance_ohm`` the earth-fault loop impedance outside the installation.
    ``demand`` is what hangs on the service beside the boards; a survey without any board needs it.
    """

    kind: Stated[Literal["public network", "own transformer"]] | None = None
    earthing_system: Stated[Literal["TN-S", "TN-C-S", "TN-C", "TT", "IT"]] | None = None
    nominal_voltage_v: LineVoltageV | None = None
    tolerance_low_percent: TolerancePercent | None = None
    tolerance_high_percent: TolerancePercent | None = None
    lowest_voltage_v: LineVoltageV | None = None
    highest_voltage_v: LineVoltageV | None = None
    frequency_hz: Stated[Literal[50, 60]] | None = None
    prospective_fault_current_ka: FaultKa | None = None
    external_loop_impedance_ohm: ImpedanceOhm | None = None
    electrode_resistance_ohm: ElectrodeOhm | None = None
    service_device: Device | None = None
    contracted_current_a: CurrentA | None = None
    contracted_power_kva: PowerKw | None = None
    metering_continuous_a: CurrentA | None = None
    demand: Demand | None = None


class Outlet(Record):
    """The outlet that the station is plugged into, or its fixed connection."""

    kind: Stated[Literal["IEC 60309", "fixed connection"]] | None = None
    rating_a: CurrentA | None = None
    continuous_a: CurrentA | None = None
    poles: Stated[Poles] | None = None
    clock_position: Stated[Annotated[int, Field(ge=1, le=12)]] | None = None
    measured_loop_impedance_ohm: ImpedanceOhm | None = None


class Cord(Record):
    """The flexible cord with its plug, from the outlet to the station.

    ``layers_on_drum = 0`` states that it lies fully unwound.
    """

    length_m: LengthM | None = None
    section_mm2: SectionMm2 | None = None
    protective_section_mm2: ProtectiveMm2 | None = None
    grade: Stated[Literal["60 C rubber", "90 C thermosetting"]] | None = None
    ambient_c: TemperatureC | None = None
    layers_on_drum: CountFromZero | None = None
    ampacity_a: CurrentA | None = None
    ends_rated_c: RatedTemperatureC | None = None
    plug_rating_a: CurrentA | None = None
    plug_poles: Stated[Poles] | None = None
    plug_clock_position: Stated[Annotated[int, Field(ge=1, le=12)]] | None = None


class Station(Record):
    """The battery-buffered charging station, as a load on its supply.

    Power: ``input_power_kw``, or ``dc_power_kw`` with ``efficiency``. ``settings_a`` lists the
    input current settings it offers, per phase. Voltages are between lines for a three-phase
    station, line to neutral for a single-phase one.
    """

    name: Name
    phases: Stated[Phases] | None = None
    needs_neutral: Flag | None = None
    input_power_kw: PowerKw | None = None
    dc_power_kw: PowerKw | None = None
    efficiency: Ratio | None = None
    power_factor: Ratio | None = None
    auxiliary_l1_w: PowerW | None = None
    auxiliary_l2_w: PowerW | None = None
    auxiliary_l3_w: PowerW | None = None
    nameplate_current_a: CurrentA | None = None
    inlet_rating_a: CurrentA | None = None
    input_device_rating_a: CurrentA | None = None
    settings_a: tuple[Annotated[float, Field(gt=0, le=1000)], ...] = ()
    setting_a: CurrentA | None = None
    setting_tolerance_percent: Percent | None = None
    setting_limits: Stated[Literal["whole station", "rectifier only"]] | None = None
    setting_locked: Flag | None = None
    setting_survives_restart: Flag | None = None
    setting_survives_lost_communication: Flag | None = None
    managed_fail_safe_a: CurrentA | None = None
    third_harmonic_percent: Percent | None = None
    current_distortion_percent: Percent | None = None
    inrush_peak_a: Stated[Annotated[float, Field(ge=0, le=100_000)]] | None = None
    inrush_duration_ms: Stated[Annotated[float, Field(ge=0, le=60_000)]] | None = None
    protective_conductor_current_ma: LeakageMa | None = None
    residual_current_kind: Stated[ResidualKind] | None = None
    direct_current_detection: Flag | None = None
    full_power_voltage_v: LineVoltageV | None = None
    minimum_voltage_v: Stated[Annotated[float, Field(gt=0, le=1000)]] | None = None
    maximum_voltage_v: LineVoltageV | None = None
    largest_upstream_device_a: CurrentA | None = None
    permitted_fault_current_ka: FaultKa | None = None
    can_feed_back: Flag | None = None


class Survey(Record):
    """The whole survey of one supply."""

    survey_version: Literal[1]
    code_basis: Name = "iec-60364"
    site: Site
    surveyor: Surveyor
    supply: Supply
    board: tuple[Board, ...] = ()
    circuit: Annotated[tuple[Circuit, ...], Field(min_length=1)]
    outlet: Outlet
    cord: Cord | None = None
    station: Station
