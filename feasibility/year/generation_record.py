"""What the study of second sources over the year found. No figure in it relieves anything."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from enum import StrEnum

from feasibility.demand_log.record import DemandLog


class OutputBy(StrEnum):
    """What the output of a source over the year is taken from."""

    CLEAR_SKY = "clear sky"
    LOG = "log"
    RATING = "rating"


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthEnergy:
    """What a source delivers in one month of the time studied, in kWh."""

    year: int
    month: int
    energy_kwh: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceOverTime:
    """A source that feeds in beside the network: the largest current in each of its phases, energy.

    One that counts at its rating at every moment (``by``) has neither energy nor months. ``log`` is
    the file that was read for it.
    """

    path: str
    name: str
    by: OutputBy
    highest_a: float
    highest_at: dt.datetime
    energy_kwh: float | None
    months: tuple[MonthEnergy, ...]
    log: DemandLog | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RaisedVoltage:
    """One question on the voltage with no load, asked of each quarter-hour.

    ``check`` names the finding that asks it of full output, ``highest`` and ``limit`` are in
    ``unit`` as there; both ``highest`` and ``hours_exceeded`` are while something feeds in.
    ``origin_up_to_v`` is the voltage at the origin (of an own transformer: without infeed) up to
    which the limit holds all the time, between lines for a three-phase station; None where the
    limit is on the rise alone.
    """

    check: str
    link: str
    highest: float
    highest_at: dt.datetime
    limit: float
    unit: str
    hours_exceeded: float
    origin_up_to_v: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class OverTheYear:
    """All that feeds in beside the network, in each quarter-hour in which all of it is known.

    ``hours`` are those studied, ``hours_left_out`` those in which a log has no figure.
    ``whole_year`` is False where less than a year was logged, ``years_laid_over`` is above 1 where
    more was. ``latitude_deg`` is None where no source follows the sun.
    ``origin_v`` is the highest voltage that the supply may have, by which voltages are counted,
    between lines for a three-phase station, else to neutral; None where it is not known.
    """

    first: dt.datetime
    last: dt.datetime
    time_zone: str
    hours: float
    hours_left_out: float
    whole_year: bool
    years_laid_over: int
    latitude_deg: float | None
    sources: tuple[SourceOverTime, ...]
    largest_a: float
    largest_on: str
    largest_at: dt.datetime
    origin_v: float | None
    voltages: tuple[RaisedVoltage, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GenerationStudy:
    """The year of the second sources of which the survey says how their output runs.

    ``missing`` names what would have to be known for the rest; ``over_year`` is None where nothing
    could be studied without it.
    """

    missing: tuple[str, ...]
    over_year: OverTheYear | None
