"""The commissioning record: what was read, with which instrument, after the installation.

Bare values, each with its unit in its name; a value that was not read is left out.
"""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Literal

from pydantic import Field

from feasibility.survey.quantities import Name, Note
from feasibility.survey.stated import Record

RECORD_VERSION = 1

VoltageV = Annotated[float, Field(gt=0, le=1000)]
StationA = Annotated[float, Field(ge=0, le=1000)]
ReadLoopOhm = Annotated[float, Field(gt=0, le=5000)]
ReadTemperatureC = Annotated[float, Field(ge=-50, le=300)]
AccuracyPercent = Annotated[float, Field(ge=0, le=50)]
Digits = Annotated[float, Field(ge=0, le=100)]
Conductor = Literal["L1", "L2", "L3", "N", "PE"]


class Meter(Record):
    """An instrument with its accuracy: percent of the reading and digits of the last place."""

    name: Name
    serial: Name | None = None
    calibrated: dt.date | None = None
    percent: AccuracyPercent
    digits: Digits


class Voltmeter(Meter):
    """The instrument of all voltages; ``resolution_v`` is the value of one digit."""

    resolution_v: Annotated[float, Field(gt=0, le=10)]


class Clamp(Meter):
    """The instrument of the currents; ``resolution_a`` is the value of one digit."""

    resolution_a: Annotated[float, Field(gt=0, le=10)]


class LoopTester(Meter):
    """The instrument of the loop impedances; ``resolution_ohm`` is the value of one digit."""

    resolution_ohm: Annotated[float, Field(gt=0, le=10)]


class Thermometer(Record):
    """The instrument of the temperatures; ``error_k`` is its permitted error."""

    name: Name
    serial: Name | None = None
    calibrated: dt.date | None = None
    error_k: Annotated[float, Field(ge=0, le=20)]


class Load(Record):
    """What the station drew while voltages and temperatures were read.

    ``minutes`` is how long it had drawn this current, ``ambient_c`` the air at the place,
    ``origin_swing_v`` by how much the voltage at the origin changed by itself meanwhile.
    """

    l1_a: StationA | None = None
    l2_a: StationA | None = None
    l3_a: StationA | None = None
    minutes: Annotated[float, Field(ge=0, le=100_000)] | None = None
    ambient_c: Annotated[float, Field(ge=-50, le=70)] | None = None
    origin_swing_v: Annotated[float, Field(ge=0, le=50)] | None = None


class Voltages(Record):
    """Voltages at one node, between the conductors that the names say."""

    l1_n_v: VoltageV | None = None
    l2_n_v: VoltageV | None = None
    l3_n_v: VoltageV | None = None
    l1_l2_v: VoltageV | None = None
    l2_l3_v: VoltageV | None = None
    l3_l1_v: VoltageV | None = None


class NodeReadings(Record):
    """The readings at a node of the feed path: origin, a board, outlet, station.

    Voltages with the station drawing the current of ``load``, and without it; loops of each line
    and the protective conductor, before the first load, so that the conductors are cold.
    """

    name: Name
    with_station: Voltages | None = None
    without_station: Voltages | None = None
    loop_l1_ohm: ReadLoopOhm | None = None
    loop_l2_ohm: ReadLoopOhm | None = None
    loop_l3_ohm: ReadLoopOhm | None = None


class TemperatureReading(Record):
    """A temperature of a part of a link; ``ambient_c`` where the air there is not that of load."""

    link: Name
    part: Name
    conductor: Conductor | None = None
    temperature_c: ReadTemperatureC
    ambient_c: Annotated[float, Field(ge=-50, le=90)] | None = None


class CommissioningRecord(Record):
    """Everything that was read in one commissioning.

    ``survey_reference`` is that of the survey whose assessment it is compared with.
    """

    record_version: Literal[1]
    survey_reference: Name
    date: dt.date
    read_by: Name
    qualification: Name | None = None
    note: Note = ""
    voltmeter: Voltmeter | None = None
    clamp: Clamp | None = None
    loop_tester: LoopTester | None = None
    thermometer: Thermometer | None = None
    load: Load | None = None
    node: tuple[NodeReadings, ...] = ()
    temperature: tuple[TemperatureReading, ...] = ()
