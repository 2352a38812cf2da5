"""The verdict from the findings alone, by the verdict table, and the currents that go with it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from feasibility.result import Finding, Outcome, Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class Currents:
    """The ampere result: station current, per phase, in A.

    ``carryable_a`` is what requirements and makers' limits let through, before rounding to a
    setting; None if nothing limits it. ``advised_a`` also counts recommendations and practice.
    ``weakest_link`` holds the current at ``carryable_a``.
    """

    carryable_a: float | None
    advised_a: float | None
    weakest_link: str
    complete: bool


def currents_of(findings: Iterable[Finding]) -> Currents:
    """Collect the largest station currents that the findings let through.

    ``complete`` is False where a binding check on current could not say what it lets through.
    """
    everything = list(findings)
    binding = [one for one in everything if one.force.binds]
    limited = [one for one in binding if one.carries_a is not None]
    weakest = min(limited, key=lambda one: one.carries_a or 0.0, default=None)
    advised = [one.carries_a for one in everything if one.carries_a is not None]
    unknown = any(
        one.outcome is Outcome.OPEN and one.carries_a is None
        for one in binding
        if one.depends_on_current
    )
    return Currents(
        carryable_a=weakest.carries_a if weakest else None,
        advised_a=min(advised, default=None),
        weakest_link=weakest.link if weakest else "",
        complete=not unknown,
    )


def verdict_from(
    findings: Sequence[Finding],
    *,
    requested_a: float | None,
    carryable_a: float | None,
    smallest_setting_a: float,
    must_be_judged: Iterable[str] = (),
) -> Verdict:
    """Return the verdict by the table.

    1. any failure that does not depend on current: upgrade;
    2. any open question (a range within which the answer flips is open too), or a check of
       ``must_be_judged`` that nobody asked: undecided;
    3. requested current not above the carryable current: carries;
    4. carryable current not below the smallest setting: carries-reduced;
    5. otherwise: upgrade.

    ``carryable_a`` is None where nothing limits the current, ``requested_a`` where it is unknown
    (which is an open question).
    """
    if any(one.outcome is Outcome.FAIL and not one.depends_on_current for one in findings):
        return Verdict.UPGRADE
    asked = {one.check for one in findings}
    unasked = [name for name in must_be_judged if name not in asked]
    if unasked or requested_a is None or any(one.outcome is Outcome.OPEN for one in findings):
        return Verdict.UNDECIDED
    failed = any(one.outcome is Outcome.FAIL for one in findings)
    fits = requested_a <= (math.inf if carryable_a is None else carryable_a)
    if not failed and fits:
        return Verdict.CARRIES
    if carryable_a is not None and carryable_a >= smallest_setting_a:
        return Verdict.CARRIES_REDUCED
    return Verdict.UPGRADE
