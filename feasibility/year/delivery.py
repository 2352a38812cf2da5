"""What a setting delivers: steady, or following what is free."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from feasibility.checks.operation import Operation
from feasibility.checks.question import NOISE
from feasibility.settings import WHOLE_AMPERE_FROM_A, Settings
from feasibility.units import SQRT3, FloatArray
from feasibility.year.places import hours_of
from feasibility.year.record import (
    ControlledSetting,
    Delivered,
    FixedSetting,
    SettingHours,
)
from feasibility.year.search import NOISE_A
from feasibility.year.series import Calendar

_HOURS_OF_A_DAY = 24
_MOST_SETTINGS = 20
_UNIX_DAY = dt.date(1970, 1, 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What the study is asked: the station's current and settings, over this time."""

    operation: Operation
    settings: Settings
    requested_a: float
    fail_safe_a: float | None
    complete: bool
    calendar: Calendar

    @property
    def kw_per_a(self) -> float:
        """Power that an ampere per phase takes at nominal voltage."""
        phases = sum(self.operation.phases_of_station())
        to_neutral_v = self.operation.nominal_voltage_v / SQRT3
        return phases * to_neutral_v * self.operation.station_power_factor() / 1000


def steady(question: Question, current_a: float) -> Delivered:
    """Return what a steady current delivers."""
    kwh = question.kw_per_a * current_a * _HOURS_OF_A_DAY
    return Delivered(mean_kwh=kwh, worst_day_kwh=kwh, worst_day=None)


def fixed_setting(question: Question, fixed_a: float, *, always_fits: bool) -> FixedSetting:
    """Return the largest fixed setting: the requested current itself where that always fits."""
    settings = question.settings
    setting: float | None
    if not question.complete or not (settings.counts or always_fits):
        setting = None
    else:
        setting = settings.offered_below(fixed_a)
        if always_fits:
            setting = max(setting, question.requested_a)
    current_a = max(fixed_a, question.requested_a) if always_fits else fixed_a
    return FixedSetting(
        current_a=current_a, setting_a=setting, delivered=steady(question, setting or 0.0)
    )


def hours_by_setting(
    question: Question, path: FloatArray, hours_exceeded: float
) -> tuple[SettingHours, ...]:
    """Return for how long each setting below the requested current would exceed, and last it."""
    settings = question.settings
    below = [
        setting
        for setting in _offered(settings, question.requested_a)
        if settings.drawn_at(setting) < question.requested_a - NOISE_A
    ]
    rows = [
        SettingHours(
            setting_a=setting,
            drawn_a=settings.drawn_at(setting),
            hours_exceeded=hours_of(_exceeds(settings.drawn_at(setting), path)),
            delivered=steady(question, setting),
        )
        for setting in _thinned(below)
    ]
    asked = question.requested_a
    last = SettingHours(
        setting_a=asked,
        drawn_a=asked,
        hours_exceeded=hours_exceeded,
        delivered=steady(question, asked),
    )
    return (*rows, last)


def _exceeds(drawn_a: float, path: FloatArray) -> NDArray[np.bool_]:
    return np.asarray(drawn_a > path + NOISE_A)


def _offered(settings: Settings, up_to_a: float) -> tuple[float, ...]:
    if settings.offered_a:
        return settings.offered_a
    return tuple(float(whole) for whole in range(int(WHOLE_AMPERE_FROM_A), int(up_to_a) + 1))


def _thinned(rising: list[float]) -> list[float]:
    """Return at most twenty of them, spread evenly, the first and the last included."""
    if len(rising) <= _MOST_SETTINGS:
        return rising
    places = np.round(np.linspace(0, len(rising) - 1, _MOST_SETTINGS)).astype(int)
    return [rising[place] for place in places]


def controlled_setting(
    question: Question, path: FloatArray, exceeded: NDArray[np.bool_], fixed: FixedSetting
) -> ControlledSetting:
    """Return what a setting delivers that follows the free current down to its fail-safe value."""
    follows = _followed(question, path, exceeded)
    fail_safe_a = question.fail_safe_a
    too_much = 0.0
    if fail_safe_a is not None:
        drawn_a = question.settings.drawn_at(fail_safe_a)
        too_much = hours_of(_exceeds(drawn_a, path))
        follows = np.maximum(follows, min(fail_safe_a, question.requested_a))
    delivered = _delivered(question, follows)
    certain = fail_safe_a is not None and too_much == 0 and question.complete
    return ControlledSetting(
        fail_safe_a=fail_safe_a,
        hours_fail_safe_exceeds=too_much,
        hours_paused=hours_of(follows == 0),
        hours_reduced=hours_of((follows > 0) & (follows < question.requested_a - NOISE_A)),
        helps=certain and delivered.mean_kwh > fixed.delivered.mean_kwh * (1 + NOISE),
        delivered=delivered,
    )


def _followed(question: Question, path: FloatArray, exceeded: NDArray[np.bool_]) -> FloatArray:
    """Return the largest offered setting at each moment, the requested current where it fits."""
    settings = question.settings
    offered = np.array([0.0, *_offered(settings, question.requested_a)])
    drawn = offered * (1 + settings.tolerance_percent / 100)
    usable = drawn <= question.requested_a + NOISE_A
    offered, drawn = offered[usable], drawn[usable]
    place = np.searchsorted(drawn, path + NOISE_A, side="right") - 1
    return np.where(exceeded, offered[np.maximum(place, 0)], question.requested_a)


def _delivered(question: Question, currents: FloatArray) -> Delivered:
    """Return the mean of all quarter-hours, and the day with the least; days count 24 hours."""
    per_a = question.kw_per_a * _HOURS_OF_A_DAY
    days, place = np.unique(question.calendar.days, return_inverse=True)
    count = np.bincount(place)
    means = np.bincount(place, weights=currents) / count
    whole = np.zeros(len(days), dtype=np.bool_)
    whole[1:-1] = True  # the first and the last may have been cut
    starts, ends = question.calendar.midnight_to_midnight
    whole[0], whole[-1] = starts and (len(days) > 1 or ends), ends and (len(days) > 1 or starts)
    mean = float(np.mean(currents)) * per_a
    if not whole.any():
        return Delivered(mean_kwh=mean, worst_day_kwh=None, worst_day=None)
    worst = int(np.argmin(np.where(whole, means, np.inf)))
    return Delivered(
        mean_kwh=mean,
        worst_day_kwh=float(means[worst]) * per_a,
        worst_day=_UNIX_DAY + dt.timedelta(days=int(days[worst])),
    )
