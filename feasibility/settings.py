"""The current settings that the station offers, with the tolerance of its own limit."""

from __future__ import annotations

import math
from dataclasses import dataclass

from feasibility.checks.station_load import setting_counts
from feasibility.installation.facts import Ends
from feasibility.installation.model import Installation
from feasibility.survey.model import Station

WHOLE_AMPERE_FROM_A = 6.0
"""Where the survey lists no settings, whole amperes from here are assumed (said in the report)."""

_SEARCH_TOLERANCE_A = 1e-5
"""The search for a limit ends this close below it; far below anything that can be set."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """Offered settings in A, rising; empty means whole amperes from ``WHOLE_AMPERE_FROM_A``.

    ``counts``: a setting limits the whole station, is locked, and survives restart and loss of
    communication. If not, no lower setting helps: the station may draw its maximum.
    """

    offered_a: tuple[float, ...]
    tolerance_percent: float
    counts: bool

    @property
    def smallest_a(self) -> float:
        """The smallest setting."""
        return self.offered_a[0] if self.offered_a else WHOLE_AMPERE_FROM_A

    @property
    def smallest_drawn_a(self) -> float:
        """What the station may draw at its smallest setting; infinite if no setting counts."""
        return self.drawn_at(self.smallest_a) if self.counts else math.inf

    def drawn_at(self, setting_a: float) -> float:
        """Return what the station may draw at a setting, tolerance included."""
        return setting_a * (1 + self.tolerance_percent / 100)

    def offered_below(self, limit_a: float) -> float:
        """Return the largest setting that draws no more than ``limit_a``; 0 if none does."""
        limit_a += _SEARCH_TOLERANCE_A
        if self.offered_a:
            return max((s for s in self.offered_a if self.drawn_at(s) <= limit_a), default=0.0)
        whole = math.floor(limit_a / (1 + self.tolerance_percent / 100))
        return float(whole) if whole >= WHOLE_AMPERE_FROM_A else 0.0


def settings_of(installation: Installation, ends: Ends) -> Settings:
    """Return the station's settings with the unfavourable end of their tolerance."""
    record = installation.station.record
    offered = record.settings_a if isinstance(record, Station) else ()
    tolerance = ends.high_is_bad(installation.station.number("setting_tolerance_percent"))
    return Settings(
        offered_a=tuple(sorted(offered)),
        tolerance_percent=tolerance,
        counts=setting_counts(installation, ends),
    )
