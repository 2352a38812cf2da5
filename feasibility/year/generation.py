"""The year of second sources: what they feed in, and for how long the voltage with no load is high.

Generation never counts as relief: nothing here is subtracted from a current, and no finding and no
verdict comes from it. The rises are those of ``checks.infeed_rise``, linear in each output.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from feasibility.checks.infeed import all_sources
from feasibility.checks.infeed_rise import (
    PHASES,
    Output,
    between_lines,
    cables_before,
    cables_of_path,
    compared_voltage_v,
    link_of,
    outputs_of,
    raises_at_station,
    rise_percent,
    rises_by_v,
    rises_in_transformer_v,
)
from feasibility.checks.infeed_voltage import PLACE, RISE, STATION
from feasibility.checks.question import NOISE, Run
from feasibility.checks.run import Judgement
from feasibility.checks.voltage import window_voltage
from feasibility.checks.voltage_band import highest_voltage
from feasibility.demand_log.quarters import QUARTERS_OF_A_DAY
from feasibility.installation.facts import NotKnown
from feasibility.survey.source import Source
from feasibility.tables import NotTabulated
from feasibility.units import FloatArray, OutOfRange
from feasibility.year.generation_record import (
    GenerationStudy,
    MonthEnergy,
    OutputBy,
    OverTheYear,
    RaisedVoltage,
    SourceOverTime,
)
from feasibility.year.outputs import Course, NotStudied, courses_of, states_its_course
from feasibility.year.places import hours_of
from feasibility.year.series import Calendar, year_and_month

_QUARTERS_OF_AN_HOUR = 4


def generation_study(judgement: Judgement) -> GenerationStudy | None:
    """Return the study; None where the survey does not say how any output runs over the year.

    None as well where nothing ever feeds in beside the network. All ranges are at the end that is
    unfavourable to the findings.
    """
    run = judgement.unfavourable
    records = [one.data.record for one in all_sources(run.installation)]
    if not any(isinstance(one, Source) and states_its_course(one) for one in records):
        return None
    try:
        outputs = outputs_of(run)
        if not outputs:
            return None
        calendar, courses, missing = courses_of(run, outputs)
    except NotKnown as lacking:
        return GenerationStudy(missing=tuple(one.label for one in lacking.facts), over_year=None)
    except (NotStudied, NotTabulated, OutOfRange) as refused:
        return GenerationStudy(missing=(str(refused),), over_year=None)
    if all(one.by is OutputBy.RATING for one in courses):
        return GenerationStudy(missing=missing, over_year=None)
    return _study(run, calendar, courses, list(missing))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Moments:
    """The quarter-hours in which every output is known: which, and each output's share then.

    ``shares`` is by quarter-hour and source.
    """

    calendar: Calendar
    places: NDArray[np.intp]
    outputs: Sequence[Output]
    shares: FloatArray

    def most(self, by_phase: FloatArray) -> FloatArray:
        """Return, of what each source makes at its rating in each phase, the sum of the worst."""
        worst: FloatArray = np.max(self.shares @ by_phase, axis=1)
        return worst

    @property
    def feeding(self) -> NDArray[np.bool_]:
        """Whether anything feeds in."""
        feeding: NDArray[np.bool_] = np.max(self.shares, axis=1) > 0
        return feeding


def _study(
    run: Run, calendar: Calendar, courses: tuple[Course, ...], missing: list[str]
) -> GenerationStudy:
    shares = np.column_stack([one.share for one in courses])
    places = np.flatnonzero(~np.isnan(shares).any(axis=1))
    if not np.any(shares[places]):
        missing.append("logs from the same time in which something is delivered")
        return GenerationStudy(missing=tuple(missing), over_year=None)
    moments = _Moments(
        calendar=calendar,
        places=places,
        outputs=[one.output for one in courses],
        shares=shares[places],
    )
    voltages = tuple(_voltages(run, moments, missing))
    over = _over_year(run, courses, moments, voltages)
    return GenerationStudy(missing=tuple(dict.fromkeys(missing)), over_year=over)


def _over_year(
    run: Run,
    courses: tuple[Course, ...],
    moments: _Moments,
    voltages: tuple[RaisedVoltage, ...],
) -> OverTheYear:
    calendar, hours = moments.calendar, moments.places.size / _QUARTERS_OF_AN_HOUR
    kinds = [one.by for one in courses]
    full_year_days = run.basis.number("log_full_year_days")
    currents = [[one.output.on(phase) for phase in PHASES] for one in courses]
    amperes = moments.shares @ np.array(currents)
    most, phase = np.unravel_index(int(np.argmax(amperes)), amperes.shape)
    return OverTheYear(
        first=calendar.moment(0),
        last=calendar.moment(calendar.count),
        time_zone=calendar.zone_name,
        hours=hours,
        hours_left_out=calendar.count / _QUARTERS_OF_AN_HOUR - hours,
        whole_year=OutputBy.LOG not in kinds
        or calendar.count >= full_year_days * QUARTERS_OF_A_DAY,
        years_laid_over=max(one.years_laid_over for one in courses),
        latitude_deg=(
            run.installation.survey.site.latitude_deg if OutputBy.CLEAR_SKY in kinds else None
        ),
        sources=tuple(_over_time(one, moments, number) for number, one in enumerate(courses)),
        largest_a=float(amperes[most, phase]),
        largest_on=PHASES[phase],
        largest_at=calendar.moment(int(moments.places[most])),
        origin_v=_or_none(lambda: highest_voltage(run)[0]),
        voltages=voltages,
    )


def _or_none(value: Callable[[], float]) -> float | None:
    try:
        return value()
    except NotKnown:
        return None


def _over_time(course: Course, moments: _Moments, number: int) -> SourceOverTime:
    share = moments.shares[:, number]
    most = int(np.argmax(share))
    by_rating = course.by is OutputBy.RATING
    months = () if by_rating else tuple(_months(course.power_kw * share, moments))
    return SourceOverTime(
        path=course.output.source.data.path,
        name=course.output.source.name,
        by=course.by,
        highest_a=float(share[most]) * course.output.current_a,
        highest_at=moments.calendar.moment(int(moments.places[most])),
        energy_kwh=None if by_rating else sum(one.energy_kwh for one in months),
        months=months,
        log=course.log,
    )


def _months(power_kw: FloatArray, moments: _Moments) -> Iterator[MonthEnergy]:
    months = moments.calendar.months[moments.places]
    for number in np.unique(months):
        energy = float(power_kw[months == number].sum()) / _QUARTERS_OF_AN_HOUR
        year, month = year_and_month(int(number))
        yield MonthEnergy(year=year, month=month, energy_kwh=energy)


def _voltages(run: Run, moments: _Moments, missing: list[str]) -> Iterator[RaisedVoltage]:
    """Yield what becomes of each question; facts that one lacks are added to ``missing``."""
    asked: list[Callable[[], RaisedVoltage]] = []
    for one in moments.outputs:
        asked += [partial(question, run, moments, one) for question in (_rise, _at_source)]
    if raises_at_station(run.installation):
        asked.append(partial(_at_station, run, moments))
    for question in asked:
        try:
            yield question()
        except NotKnown as lacking:
            missing.extend(one.label for one in lacking.facts)
        except (NotTabulated, OutOfRange) as refused:
            missing.append(str(refused))


def _rise_percent(run: Run, moments: _Moments, output: Output) -> FloatArray:
    cables = cables_before(run.installation, output.source)
    return rise_percent(run, moments.most(rises_by_v(run, moments.outputs, cables, between=False)))


def _rise(run: Run, moments: _Moments, output: Output) -> RaisedVoltage:
    limit = run.basis.number("infeed_voltage_rise_percent")
    percent = _rise_percent(run, moments, output)
    return _raised(moments, RISE.name, link_of(output.source).name, percent, limit, "%")


def _at_source(run: Run, moments: _Moments, output: Output) -> RaisedVoltage:
    limit = run.basis.number("infeed_highest_voltage_percent")
    highest, nominal = highest_voltage(run)[0], compared_voltage_v(run)
    raised = _in_transformer_v(run, moments) / nominal * 100 + _rise_percent(run, moments, output)
    up_to_v = (limit - float(raised.max())) / 100 * nominal
    value = 100 * highest / nominal + raised
    name = link_of(output.source).name
    return _raised(moments, PLACE.name, name, value, limit, "%", up_to_v)


def _at_station(run: Run, moments: _Moments) -> RaisedVoltage:
    limit = window_voltage(run, "maximum_voltage_v", high_is_bad=False)[0]
    cables = cables_of_path(run.installation)
    rises = rises_by_v(run, moments.outputs, cables, between=between_lines(run))
    raised = _in_transformer_v(run, moments) + moments.most(rises)
    up_to_v = limit - float(raised.max())
    value = highest_voltage(run)[0] + raised
    return _raised(moments, STATION.name, "station", value, limit, "V", up_to_v)


def _in_transformer_v(run: Run, moments: _Moments) -> FloatArray:
    """Return what is raised in an own transformer, as the station sees it; else nothing."""
    own = run.operation.transformer_branch()
    if own is None:
        return np.zeros(len(moments.places))
    return moments.most(rises_in_transformer_v(run, moments.outputs, own))


def _raised(
    moments: _Moments,
    check: str,
    link: str,
    value: FloatArray,
    limit: float,
    unit: str,
    origin_up_to_v: float | None = None,
) -> RaisedVoltage:
    worst = int(np.argmax(np.where(moments.feeding, value, -np.inf)))
    return RaisedVoltage(
        check=check,
        link=link,
        highest=float(value[worst]),
        highest_at=moments.calendar.moment(int(moments.places[worst])),
        limit=limit,
        unit=unit,
        hours_exceeded=hours_of((value > limit * (1 + NOISE)) & moments.feeding),
        origin_up_to_v=origin_up_to_v,
    )
