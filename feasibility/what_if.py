"""Two assessments of one site, as surveyed and with other values: which findings change."""

from __future__ import annotations

from dataclasses import dataclass

from feasibility.assessment import Assessment
from feasibility.result import Finding

_CHANGED_A = 0.05
"""A current that a link carries counts as changed from here (our own rule: no setting is finer)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangedFinding:
    """One question of one link; None where it is not asked before or after."""

    check: str
    link: str
    before: Finding | None
    after: Finding | None


def changed_findings(before: Assessment, after: Assessment) -> tuple[ChangedFinding, ...]:
    """Return every finding whose outcome or carried current is another one, in feed order."""
    old = {(one.check, one.link): one for one in before.findings}
    new = {(one.check, one.link): one for one in after.findings}
    pairs = (
        ChangedFinding(check=key[0], link=key[1], before=old.get(key), after=new.get(key))
        for key in dict.fromkeys((*old, *new))
    )
    return tuple(one for one in pairs if _differs(one.before, one.after))


def _differs(before: Finding | None, after: Finding | None) -> bool:
    if before is None or after is None:
        return True
    if before.outcome is not after.outcome:
        return True
    if before.carries_a is None or after.carries_a is None:
        return before.carries_a is not after.carries_a
    return abs(before.carries_a - after.carries_a) > _CHANGED_A
