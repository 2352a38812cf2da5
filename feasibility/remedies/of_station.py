"""The remedy that touches nothing of the installation: a lower setting, one that holds."""

from __future__ import annotations

from feasibility.assessment import Assessment
from feasibility.remedies.record import Kind, Part
from feasibility.remedies.values import HYPOTHETICAL, figure
from feasibility.result import Message
from feasibility.survey.changes import Change
from feasibility.survey.model import Survey

_HOLDING = {
    "setting_limits": "whole station",
    "setting_locked": True,
    "setting_survives_restart": True,
    "setting_survives_lost_communication": True,
}


def lower_settings(survey: Survey, assessment: Assessment) -> tuple[tuple[Part, ...], ...]:
    """Return ways to a lower current, the least first: the setting that current lets through.

    Where no setting holds, the present one is made to hold, or both. Nothing where no setting is
    small enough, where the requested current is let through, or where what limits it is not known.
    """
    limit, requested = assessment.current_limit_only_a, assessment.requested_current_a
    if not limit or requested is None or limit >= requested:
        return ()
    setting = Part(
        kind=Kind.LOWER_SETTING,
        place="station.setting_a",
        link="station",
        words=Message(
            template="Set the station to {setting} per phase.",
            values={"setting": figure(limit, "A")},
        ),
        changes=(_assumed("station.setting_a", limit),),
    )
    if assessment.settings.counts:
        return ((setting,),)
    holding = _holding(survey)
    return ((holding,), (setting, holding))


def _holding(survey: Survey) -> Part:
    """Return the change by which the setting counts, as far as the station's maker provides it."""
    lacking = [
        field
        for field, value in _HOLDING.items()
        if (stated := getattr(survey.station, field)) is None or stated.value != value
    ]
    words = {
        "setting_limits": "limits the whole station",
        "setting_locked": "is locked",
        "setting_survives_restart": "survives a restart",
        "setting_survives_lost_communication": "survives the loss of communication",
    }
    return Part(
        kind=Kind.HOLDING_SETTING,
        place="station.setting",
        link="station",
        words=Message(
            template="Have the station's setting made to hold, as far as its maker provides for "
            "it: it {needs}.",
            values={"needs": ", ".join(words[field] for field in lacking)},
        ),
        changes=tuple(_assumed(f"station.{field}", _HOLDING[field]) for field in lacking),
    )


def _assumed(place: str, value: object) -> Change:
    return Change(place=place, value={"value": value, "known": "assumed", "note": HYPOTHETICAL})
