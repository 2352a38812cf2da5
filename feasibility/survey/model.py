"""The survey: what a person saw, read, measured or was told on site. Nothing computed.

Every numeric field carries its unit in its name. A field left out counts as not known; what an
unknown value is replaced by (a range) or that it stays open is decided by the installation.
"""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Literal

from pydantic import Field

from feasibility.survey.circuit import Circuit, Device
from feasibility.survey.demand import Demand
from feasibility.survey.device_kinds import Characteristic, InputDeviceKind
from feasibility.survey.outlet import Cord, Outlet
from feasibility.survey.quantities import (
    Count,
    CurrentA,
    ElectrodeOhm,
    FaultBetween,
    FaultKa,
    Flag,
    ImpedanceOhm,
    LeakageMa,
    LineVoltageV,
    LoopOhm,
    Name,
    Note,
    Percent,
    Phases,
    PowerKw,
    PowerW,
    Ratio,
    ResidualKind,
    ResidualType,
    SettingA,
    ShortCircuitKva,
    ShortCircuitRatio,
    StorageKwh,
    TolerancePercent,
    WeightedPercent,
)
from feasibility.survey.source import Source
from feasibility.survey.stated import Record, Stated
from feasibility.survey.transformer import Transformer

PenLossMeasure = Literal[
    "none",
    "separate earth electrode",
    "separation by a transformer",
    "low-resistance main electrode",
    "disconnecting device",
]
FeedBackBlock = Literal["no hardware for it", "locked setting", "disconnecting device", "nothing"]
RemoteLimitation = Literal["none", "switching contact", "communication"]
SURVEY_VERSION = 1

ORIGIN = "origin"
OUTLET = "outlet"


class Site(Record):
    """The place and the survey's own reference.

    ``metering_point`` is the network operator's number of the metering place, ``planned_operation``
    the day from which the station shall draw, ``latitude_deg`` how far north of the equator it is
    (south is negative); a whole degree is enough.
    """

    reference: Name
    name: Name
    address: Note = ""
    client: Name | None = None
    metering_point: Name | None = None
    planned_operation: dt.date | None = None
    latitude_deg: Annotated[float, Field(ge=-90, le=90)] | None = None
    note: Note = ""


class Instrument(Record):
    """A measuring instrument that was used on site."""

    name: Name
    serial: Name | None = None
    calibrated: dt.date | None = None


class Surveyor(Record):
    """Who surveyed, when, and with what.

    ``registration`` is the number in the register of installers that the network operator or the
    licensing body keeps.
    """

    name: Name
    qualification: Name | None = None
    company: Name | None = None
    registration: Name | None = None
    date: dt.date
    instrument: tuple[Instrument, ...] = ()


class Board(Record):
    """A distribution board.

    ``rated_diversity_factor`` is the board maker's thermal factor (RDF) for outgoing circuits that
    are loaded together, ``loaded_outgoing_circuits`` how many are, the one of the feed path
    included. ``assembly`` says by the label what the board is: a switchboard (IEC 61439-2) or a
    distribution board for ordinary persons (IEC 61439-3).
    ``measured_loop_impedance_ohm`` (line to protective conductor) and
    ``measured_fault_current_ka`` are readings at its incoming terminals;
    ``measured_fault_between`` says between which conductors the current was measured.
    ``rated_current_a`` is the rated current of the whole board (InA). ``other_sources_none = true``
    states that somebody looked and found nothing but the network that feeds it; otherwise each
    such thing is a ``source``.
    """

    name: Name
    demand: Demand | None = None
    assembly: Stated[Literal["switchboard", "distribution board for ordinary persons"]] | None = (
        None
    )
    rated_diversity_factor: Ratio | None = None
    loaded_outgoing_circuits: Count | None = None
    rated_current_a: CurrentA | None = None
    source: tuple[Source, ...] = ()
    other_sources_none: Flag | None = None
    surge_protection: Flag | None = None
    measured_loop_impedance_ohm: LoopOhm | None = None
    measured_fault_current_ka: FaultKa | None = None
    measured_fault_between: Stated[FaultBetween] | None = None


class Supply(Record):
    """The supply at the origin of the installation.

    ``nominal_voltage_v`` is between lines. ``lowest_voltage_v`` and ``highest_voltage_v`` are a
    measured or declared band at the origin, between lines; without them the tolerance counts.
    ``prospective_fault_current_ka`` is the largest three-phase fault current at the origin;
    ``smallest_fault_current_ka`` the smallest one (weakest state of the network).
    ``external_loop_impedance_ohm`` is the earth-fault loop impedance outside the installation,
    ``external_line_neutral_loop_ohm`` that of line and neutral.
    ``short_circuit_power_kva`` is what the network operator states for judging disturbances: the
    smallest three-phase short-circuit power in normal operation, not the one for breaking capacity.
    ``demand`` is what hangs on the service beside the boards; a survey without any board needs it.
    ``source`` and ``other_sources_none`` are as for a board: what feeds in at the origin.
    ``pen_loss_measure`` is what protects persons at the station if the PEN conductor breaks.
    ``transformer`` describes the customer's own one.
    """

    kind: Stated[Literal["public network", "own transformer"]] | None = None
    earthing_system: Stated[Literal["TN-S", "TN-C-S", "TN-C", "TT", "IT"]] | None = None
    nominal_voltage_v: LineVoltageV | None = None
    tolerance_low_percent: TolerancePercent | None = None
    tolerance_high_percent: TolerancePercent | None = None
    lowest_voltage_v: LineVoltageV | None = None
    highest_voltage_v: LineVoltageV | None = None
    frequency_hz: Stated[Literal[50, 60]] | None = None
    transformer: Transformer | None = None
    prospective_fault_current_ka: FaultKa | None = None
    smallest_fault_current_ka: FaultKa | None = None
    short_circuit_power_kva: ShortCircuitKva | None = None
    external_loop_impedance_ohm: LoopOhm | None = None
    external_line_neutral_loop_ohm: ImpedanceOhm | None = None
    electrode_resistance_ohm: ElectrodeOhm | None = None
    service_device: Device | None = None
    contracted_current_a: CurrentA | None = None
    contracted_power_kva: PowerKw | None = None
    metering_continuous_a: CurrentA | None = None
    source: tuple[Source, ...] = ()
    other_sources_none: Flag | None = None
    surge_protection: Flag | None = None
    pen_loss_measure: Stated[PenLossMeasure] | None = None
    demand: Demand | None = None


class Station(Record):
    """The battery-buffered charging station, as a load on its supply.

    Power: ``input_power_kw``, or ``dc_power_kw`` with ``efficiency``. ``settings_a`` lists the
    input current settings it offers, per phase. Voltages are between lines for a three-phase
    station, line to neutral for a single-phase one. ``protective_conductor_monitored`` states that
    the supply is cut off when the protective conductor loses its continuity.

    Harmonics are in percent of the fundamental at rated load, ``current_distortion_percent`` all
    together (THC) and ``weighted_distortion_percent`` orders 14 to 40, each weighted with its order
    (PWHC). ``largest_step_a`` is the largest change of the input current, r.m.s., from one steady
    state to the next, and ``ramp_s`` the time it takes. What the maker declares of the supply:
    ``declared_short_circuit_ratio`` (Rsce, IEC 61000-3-12), ``permitted_supply_impedance_ohm``
    (Zmax, IEC 61000-3-11) or, in its place, ``declared_service_current_a`` per phase.
    ``input_device_*`` is the overcurrent device at the station's own input.

    For the network operator: ``maker`` and ``type_designation`` are what the type plate says,
    ``feed_back_blocked_by`` is what keeps the battery from feeding into
    the network, ``remote_limitation`` by what the operator can lower the station's power,
    ``storage_capacity_kwh`` the usable energy of its battery.
    """

    name: Name
    maker: Name | None = None
    type_designation: Name | None = None
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
    input_device_kind: Stated[InputDeviceKind] | None = None
    input_device_rating_a: CurrentA | None = None
    input_device_characteristic: Stated[Characteristic] | None = None
    input_device_setting_a: CurrentA | None = None
    input_device_magnetic_setting_a: SettingA | None = None
    settings_a: tuple[Annotated[float, Field(gt=0, le=1000)], ...] = ()
    setting_a: CurrentA | None = None
    setting_tolerance_percent: Percent | None = None
    setting_limits: Stated[Literal["whole station", "rectifier only"]] | None = None
    setting_locked: Flag | None = None
    setting_survives_restart: Flag | None = None
    setting_survives_lost_communication: Flag | None = None
    managed_fail_safe_a: CurrentA | None = None
    third_harmonic_percent: Percent | None = None
    harmonic_5_percent: Percent | None = None
    harmonic_7_percent: Percent | None = None
    harmonic_9_percent: Percent | None = None
    harmonic_11_percent: Percent | None = None
    harmonic_13_percent: Percent | None = None
    current_distortion_percent: Percent | None = None
    weighted_distortion_percent: WeightedPercent | None = None
    declared_short_circuit_ratio: ShortCircuitRatio | None = None
    inrush_peak_a: Stated[Annotated[float, Field(ge=0, le=100_000)]] | None = None
    inrush_duration_ms: Stated[Annotated[float, Field(ge=0, le=60_000)]] | None = None
    largest_step_a: CurrentA | None = None
    ramp_s: Stated[Annotated[float, Field(ge=0, le=3600)]] | None = None
    permitted_supply_impedance_ohm: ImpedanceOhm | None = None
    declared_service_current_a: CurrentA | None = None
    protective_conductor_current_ma: LeakageMa | None = None
    protective_conductor_monitored: Flag | None = None
    residual_current_kind: Stated[ResidualKind] | None = None
    direct_current_detection: Flag | None = None
    required_residual_current_type: Stated[ResidualType] | None = None
    full_power_voltage_v: LineVoltageV | None = None
    minimum_voltage_v: Stated[Annotated[float, Field(gt=0, le=1000)]] | None = None
    maximum_voltage_v: LineVoltageV | None = None
    largest_upstream_device_a: CurrentA | None = None
    permitted_fault_current_ka: FaultKa | None = None
    can_feed_back: Flag | None = None
    feed_back_blocked_by: Stated[FeedBackBlock] | None = None
    remote_limitation: Stated[RemoteLimitation] | None = None
    storage_capacity_kwh: StorageKwh | None = None


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
