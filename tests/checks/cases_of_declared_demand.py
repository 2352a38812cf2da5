"""Cases of the declared demand: its diversity, and its maximum beside the energy of a year."""

from __future__ import annotations

from feasibility.result import Outcome

from .case import About
from .sites import Changes

DEMAND = "supply.demand"
IEC = "IEC 60364-1, 311.1 (from memory): diversity may be taken into account, where it is known"
H0 = (
    "VDEW M-32/99, profile H0 for 10 MWh: 213.2 W per MWh on a winter Saturday at 19:00 times the "
    "factor of 18 January, 1.257, over the year's sum of 0.997 gives 2.69 kW"
)
H0_PEAK_KW = 2.684

DIVERSITY = About(check="demand-diversity", breach=Outcome.CAUTION, lacking_facts=Outcome.CAUTION)
PROFILE = About(check="demand-profile", breach=Outcome.CAUTION)


def shared(factor: object) -> Changes:
    return {DEMAND: {"maximum_a": 20, "diversity_factor": factor}}


def by_energy(**maximum: float) -> Changes:
    return {DEMAND: {"annual_energy_kwh": 10_000, "load_profile": "H0", **maximum}}


CASES = (
    *DIVERSITY.around(
        "share of the connected load",
        shared({"value": 0.6, "known": "measured"}),
        shared({"value": 0.6, "known": "told"}),
        IEC,
    ),
    DIVERSITY.unknown(
        "supply.demand.load[1].connected_a",
        {DEMAND: {"load": [{"name": "oven", "diversity_factor": 0.6}]}},
    ),
    *PROFILE.around(
        "peak of the profile",
        by_energy(maximum_kw=1.01 * H0_PEAK_KW),
        by_energy(maximum_kw=0.99 * H0_PEAK_KW),
        H0,
        H0_PEAK_KW,
    ),
    PROFILE.unknown("supply.demand.maximum_a", by_energy()),
)
