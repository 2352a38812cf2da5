"""Does a lower setting help? Only if a setting of this station counts at all."""

from __future__ import annotations

from typing import Any

from feasibility.checks.question import Check, Run, finding, verdict_of
from feasibility.checks.station_load import SETTING_FLAGS, setting_counts
from feasibility.installation.facts import Fact
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.result import Finding, Outcome


def lower_setting(favourable: Run) -> Finding:
    """Return the finding for a path that only a setting which does not surely count would fit."""
    installation = favourable.installation
    limit = installation.basis.limit("setting_counts")
    (station,) = installation.links_of(LinkKind.STATION)
    if not setting_counts(installation, favourable.ends):
        return finding(
            LOWER_SETTING,
            station,
            limit,
            verdict_of(limit, passes=False),
            "A lower setting would fit the path but does not count: the station may draw its "
            "maximum unless the setting limits the whole station, is locked, and survives a "
            "restart and the loss of communication.",
        )
    facts: list[Fact[Any]] = [
        installation.station.word("setting_limits"),
        *(installation.station.flag(flag) for flag in SETTING_FLAGS),
    ]
    deciding = [fact for fact in facts if fact.is_ranged]
    return finding(
        LOWER_SETTING,
        station,
        limit,
        Outcome.OPEN,
        "A lower setting would fit the path, but whether it counts is not known: {facts}.",
        {"facts": "; ".join(fact.label for fact in deciding)},
        facts=deciding,
    )


def _never(_: Installation) -> tuple[Link, ...]:
    """Not part of the catalogue: asked by the assessment once the other findings are there."""
    return ()


LOWER_SETTING = Check(
    name="lower-setting",
    question="Does a lower setting of the station help?",
    links=_never,
    judge=lambda run, _: lower_setting(run),
    depends_on_current=True,
)
