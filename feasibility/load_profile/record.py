"""Which standard load profile a demand follows, and what can be wrong with the question."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from feasibility.citation import Citation

ProfileName = Literal[
    "G0", "G1", "G2", "G3", "G4", "G5", "G6", "H0", "L0", "L1", "L2", "G25", "H25", "L25"
]
"""The standard load profiles of the German energy industry, by the names they were published with.

G: trade and business (G0 in general, G1 working days, G2 evenings, G3 continuous, G4 shops, G5
bakeries, G6 weekends), H: households, L: farms (L1 with dairy, L2 others). 0 to 6: of 1999; 25: of
2025. Those of households with photovoltaics (P25, S25) are left out: what the network gives them is
their demand less generation, and generation never counts as relief.
"""

FIRST_YEAR, LAST_YEAR = 1990, 2100
"""Weekdays of other years are no use to anybody (our own rule)."""

PROFILE_NAMES: tuple[ProfileName, ...] = get_args(ProfileName)


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadProfile:
    """How a demand runs over the year: by which profile, and its energy where that is stated."""

    name: ProfileName
    annual_energy_kwh: float | None


def profile_source(profile: LoadProfile) -> Citation:
    """Return where a profile was published."""
    source = "BDEW-2025" if profile.name.endswith("25") else "VDEW-M-32/99"
    return Citation(source=source, clause=f"profile {profile.name}")


class UnknownProfile(ValueError):
    """A standard load profile of this name is not there."""
