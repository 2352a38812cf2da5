"""What a field of the survey may hold: a number within bounds, or one of a set of words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from feasibility.survey.stated import UNKNOWN, Stated


def _not_unknown(name: str) -> str:
    if name == UNKNOWN:
        message = "a name must not be the word for a value that nobody knows"
        raise ValueError(message)
    return name


@dataclass(frozen=True, slots=True)
class Example:
    """What a text of a prescribed form looks like, for whoever wrote it differently."""

    text: str


Name = Annotated[str, Field(min_length=1, max_length=200), AfterValidator(_not_unknown)]
Note = Annotated[str, Field(max_length=4000)]


Flag = Stated[bool]
Text = Stated[Name]
CurrentA = Stated[Annotated[float, Field(gt=0, le=6300)]]
DemandA = Stated[Annotated[float, Field(ge=0, le=6300)]]
PowerKw = Stated[Annotated[float, Field(gt=0, le=2000)]]
StorageKwh = Stated[Annotated[float, Field(gt=0, le=100_000)]]
DemandKw = Stated[Annotated[float, Field(ge=0, le=4000)]]
EnergyKwh = Stated[Annotated[float, Field(gt=0, le=20_000_000)]]
PowerW = Stated[Annotated[float, Field(ge=0, le=100_000)]]
SettingA = Stated[Annotated[float, Field(gt=0, le=100_000)]]
SetDelayS = Stated[Annotated[float, Field(gt=0, le=10)]]
FaultKa = Stated[Annotated[float, Field(gt=0, le=200)]]
EnergyA2s = Stated[Annotated[float, Field(gt=0, le=1e9)]]
ImpedanceOhm = Stated[Annotated[float, Field(gt=0, le=100)]]
OhmPerKm = Stated[Annotated[float, Field(gt=0, le=100)]]
LoopOhm = Stated[Annotated[float, Field(gt=0, le=5000)]]
ElectrodeOhm = Stated[Annotated[float, Field(gt=0, le=100_000)]]
LineVoltageV = Stated[Annotated[float, Field(ge=100, le=1000)]]
LengthM = Stated[Annotated[float, Field(gt=0, le=5000)]]
SectionMm2 = Stated[Annotated[float, Field(gt=0, le=1000)]]
ProtectiveMm2 = Stated[Annotated[float, Field(ge=0, le=1000)]]
TemperatureC = Stated[Annotated[float, Field(ge=-50, le=90)]]
RatedTemperatureC = Stated[Annotated[float, Field(ge=40, le=250)]]
Percent = Stated[Annotated[float, Field(ge=0, le=100)]]
WeightedPercent = Stated[Annotated[float, Field(ge=0, le=1000)]]
ShortCircuitKva = Stated[Annotated[float, Field(gt=0, le=200_000)]]
ShortCircuitRatio = Stated[Annotated[float, Field(ge=33, le=10_000)]]
TolerancePercent = Stated[Annotated[float, Field(ge=0, le=30)]]
Ratio = Stated[Annotated[float, Field(gt=0, le=1)]]
Count = Stated[Annotated[int, Field(ge=1, le=100)]]
CountFromZero = Stated[Annotated[int, Field(ge=0, le=100)]]
MilliampereAc = Stated[Annotated[float, Field(gt=0, le=30_000)]]
DelayS = Stated[Annotated[float, Field(ge=0, le=10)]]
LeakageMa = Stated[Annotated[float, Field(ge=0, le=30_000)]]

Phases = Literal["L1L2L3", "L1", "L2", "L3"]
Poles = Literal["2P+E", "3P+E", "3P+N+E"]
CableMethod = Literal["A1", "A2", "B1", "B2", "C", "D1", "D2", "E", "F", "G"]
FaultBetween = Literal["line-line", "line-neutral"]
GroupingArrangement = Literal[
    "bunched",
    "single layer on wall or floor",
    "single layer under ceiling",
    "single layer on perforated tray",
    "single layer on ladder",
]
ResidualType = Literal["AC", "A", "F", "B", "B+"]
ProtectiveLaid = Literal[
    "core of the cable",
    "bunched with the line conductors",
    "separate, protected",
    "separate, unprotected",
    "concentric conductor",
]
ResidualKind = Literal["alternating", "pulsating", "smooth direct"]
