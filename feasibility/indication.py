"""A first indication from a survey that is still being written."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from feasibility.code_basis import code_basis
from feasibility.survey.model import Survey
from feasibility.survey.stated import Stated

_TWO_POLES, _ONE_PHASE = "2P+E", "L1"


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstValue:
    """What stands for a value that nobody has stated: its place in the survey, and why it may."""

    fact: str
    value: float | str
    reason: str


def with_first_values(survey: Survey) -> tuple[Survey, tuple[FirstValue, ...]]:
    """Return the survey with nominal voltage and phases filled in where they are not stated.

    Without them no requested current follows from a power. What is assessed with them is an
    indication, never a verdict. The phases follow the outlet where it has two poles.
    """
    found: list[FirstValue] = []
    basis = code_basis(survey.code_basis)
    supply, station = survey.supply, survey.station
    if not _is_stated(supply.nominal_voltage_v):
        usual = basis.first_values["supply.nominal_voltage_v"]
        volts = float(usual.options[0])
        supply = supply.model_copy(update={"nominal_voltage_v": Stated[float](value=volts)})
        fact = "supply.nominal_voltage_v"
        found.append(FirstValue(fact=fact, value=volts, reason=usual.reason))
    if not _is_stated(station.phases):
        usual = basis.first_values["station.phases"]
        phases, reason = str(usual.options[0]), usual.reason
        poles = survey.outlet.poles
        if poles is not None and poles.value == _TWO_POLES:
            phases, reason = _ONE_PHASE, f"the outlet has {_TWO_POLES}"
        station = station.model_copy(update={"phases": Stated[str](value=phases)})
        found.append(FirstValue(fact="station.phases", value=phases, reason=reason))
    if not found:
        return survey, ()
    return survey.model_copy(update={"supply": supply, "station": station}), tuple(found)


def _is_stated(stated: Stated[Any] | None) -> bool:
    return stated is not None and not stated.unknown
