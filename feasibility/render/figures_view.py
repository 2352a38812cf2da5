"""The four figures of the first page, and the sentences that keep them from being misread."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from feasibility.render.numbers import NOT_KNOWN, CurrentsBeside, amount_text, with_unit
from feasibility.render.survey_values import stated_text
from feasibility.render.text_fit import fit_name
from feasibility.render.words import why_no_carryable_current
from feasibility.result import Outcome, Verdict

if TYPE_CHECKING:
    from feasibility.assessment import Assessment

NOT_STATED = "not stated"
NO_SETTING = "no setting"
WEAKEST_WIDTH = 12.0
REMARK_WIDTH = 15.0
"""Room for a line of a link's name in its box, in units of its font size: as figure, as remark."""

_HOLDING = (
    ("setting_locked", "it is locked", "it is not locked"),
    ("setting_survives_restart", "it survives a restart", "it does not survive a restart"),
    (
        "setting_survives_lost_communication",
        "it survives the loss of communication",
        "it does not survive the loss of communication",
    ),
)
"""What a setting must do to count, and what is said where it does not."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One of the figures on the first page."""

    title: str
    value: str
    remark: str


def figures_of(assessment: Assessment, shown: CurrentsBeside) -> tuple[Figure, ...]:
    """Return requested, carryable and advised current, and the weakest link."""
    requested_a = assessment.requested_current_a
    return (
        Figure(
            title="Requested current",
            value=NOT_KNOWN if requested_a is None else with_unit(shown.requested, "A"),
            remark=_drawn(assessment),
        ),
        Figure(
            title="Carryable current",
            value=_offered(assessment.carryable_current_a, shown),
            remark="per phase, what every link carries, as the station can be set, tolerance "
            "counted",
        ),
        Figure(
            title="Advised current",
            value=_offered(_advised_a(assessment), shown),
            remark=f"per phase, with good practice counted too{_advised_by(assessment)}",
        ),
        Figure(
            title="Weakest link",
            value=" ".join(fit_name(assessment.weakest_link, WEAKEST_WIDTH, 1.0, 4)) or NOT_KNOWN,
            remark="of the links that can be judged"
            if _some_not_known(assessment)
            else "the link that holds the current down",
        ),
    )


def notes_of(assessment: Assessment, shown: CurrentsBeside) -> tuple[str, ...]:
    """Return what has to be said with the figures."""
    return tuple(one for one in (_of_setting(assessment), _of_carryable(assessment, shown)) if one)


def _offered(current_a: float | None, shown: CurrentsBeside) -> str:
    if current_a is None:
        return NOT_STATED
    return NO_SETTING if current_a == 0 else with_unit(shown.carried(current_a), "A")


def _advised_a(assessment: Assessment) -> float | None:
    """Return the advised current, none where the verdict lets no current be drawn."""
    stands = assessment.verdict in (Verdict.CARRIES, Verdict.CARRIES_REDUCED)
    return assessment.advised_current_a if stands else None


def _advised_by(assessment: Assessment) -> str:
    """Name the link that holds the advised current below the carryable one."""
    advised_a, carryable_a = _advised_a(assessment), assessment.carryable_current_a
    if advised_a is None or carryable_a is None or advised_a >= carryable_a:
        return ""
    limited = [one for one in assessment.findings if one.carries_a is not None and one.link]
    least = min(limited, key=lambda one: one.carries_a or 0.0, default=None)
    if least is None:
        return ""
    return f"; held down by: {' '.join(fit_name(least.link, REMARK_WIDTH, 1.0, 2))}"


def _some_not_known(assessment: Assessment) -> bool:
    return any(one.carries_a is None and one.outcome is Outcome.OPEN for one in assessment.chain)


def _drawn(assessment: Assessment) -> str:
    """Say what the requested current is: the setting in force, or what the station draws."""
    settings, setting = assessment.settings, assessment.survey.station.setting_a
    requested_a = assessment.requested_current_a
    if setting is not None and setting.value is not None and requested_a is not None:
        drawn_a = settings.drawn_at(setting.value)
        if settings.counts and math.isclose(drawn_a, requested_a, rel_tol=1e-6):
            tolerance = amount_text(settings.tolerance_percent, "%")
            stated = stated_text(setting, "A")
            return f"per phase for many hours: the setting of {stated} with {tolerance} tolerance"
    return "per phase, what the station draws for many hours"


def _of_setting(assessment: Assessment) -> str:
    """Say why the station's setting does not count, where it does not."""
    setting = assessment.survey.station.setting_a
    if setting is None or setting.unknown or assessment.settings.counts:
        return ""
    stated = stated_text(setting, "A")
    return f"The station's setting of {stated} does not count: {_why_not_counted(assessment)}."


def _why_not_counted(assessment: Assessment) -> str:
    station = assessment.survey.station
    limits = station.setting_limits
    if limits is None or limits.value is None:
        return "it is not known whether it limits the whole station"
    if limits.value != "whole station":
        return f"it limits the {limits.value} only"
    for field, holds, lacking in _HOLDING:
        held = getattr(station, field)
        if held is None or held.value is None:
            return f"it is not known whether {holds}"
        if not held.value:
            return lacking
    return "it does not hold under all conditions"


def _of_carryable(assessment: Assessment, shown: CurrentsBeside) -> str:
    """Say why no carryable current is stated, and what the links give as far as current goes."""
    why = why_no_carryable_current(assessment)
    current_a = assessment.current_limit_only_a
    if not why or current_a is None:
        return f"Carryable current: {why}" if why else ""
    if current_a == 0:
        smallest = amount_text(assessment.settings.smallest_a, "A")
        alone = f"By current alone no setting of the station is low enough (smallest: {smallest})."
    elif _some_not_known(assessment):
        alone = (
            f"The links that can be judged let {with_unit(shown.carried(current_a), 'A')} per "
            "phase through, the others perhaps less."
        )
    else:
        alone = (
            f"By current alone {with_unit(shown.carried(current_a), 'A')} per phase; nobody may "
            "rely on that."
        )
    return f"Carryable current: {why} {alone}"
