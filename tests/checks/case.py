"""One case of one check: a changed site, and the outcome that a source outside the project asks."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from feasibility.result import Outcome

from .sites import SINGLE, Changes


class Side(StrEnum):
    """On which side of its limit a case lies."""

    INSIDE = "inside"
    OUTSIDE = "outside"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """``fact`` is what an unknown case must name; ``limit`` the limit by the named ``source``."""

    check: str
    what: str
    side: Side
    outcome: Outcome
    changes: Changes = field(default_factory=dict)
    site: str = SINGLE
    link: str = ""
    source: str = ""
    limit: float | None = None
    fact: str = ""

    def __str__(self) -> str:
        # Plain ASCII, or the mutation tester does not find the test again by its name.
        return f"{self.check}: {self.what}".replace("°", "deg ")


@dataclass(frozen=True, slots=True, kw_only=True)
class About:
    """What the cases of one check on one link have in common."""

    check: str
    link: str = ""
    site: str = SINGLE
    breach: Outcome = Outcome.FAIL
    lacking_facts: Outcome = Outcome.OPEN

    def around(
        self, what: str, inside: Changes, outside: Changes, source: str, limit: float | None = None
    ) -> tuple[Case, Case]:
        """Two cases, one on each side of a limit."""
        return (
            Case(
                check=self.check,
                link=self.link,
                site=self.site,
                what=f"{what}, within",
                side=Side.INSIDE,
                outcome=Outcome.PASS,
                changes=inside,
                source=source,
                limit=limit,
            ),
            Case(
                check=self.check,
                link=self.link,
                site=self.site,
                what=f"{what}, beyond",
                side=Side.OUTSIDE,
                outcome=self.breach,
                changes=outside,
                source=source,
                limit=limit,
            ),
        )

    def unknown(self, fact: str, changes: Changes) -> Case:
        """Leave a fact out, and expect a finding that names it."""
        return Case(
            check=self.check,
            link=self.link,
            site=self.site,
            what=f"{fact} not known",
            side=Side.UNKNOWN,
            outcome=self.lacking_facts,
            changes=changes,
            fact=fact,
        )
