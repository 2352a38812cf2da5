"""The catalogue: every check that is asked, in the order in which findings are listed."""

from __future__ import annotations

from feasibility.checks import (
    arrangement,
    board_loading,
    breaking,
    conditional_rating,
    cord_second_set,
    declared_demand,
    demand_log,
    device_hold,
    disconnection,
    disconnection_in_tt,
    earthing,
    harmonic_emission,
    infeed,
    infeed_voltage,
    inrush,
    load_flow,
    loading,
    neutral,
    outlet_condition,
    outlet_configuration,
    outlet_place,
    overload,
    parallel_conductors,
    power_quality,
    protective_conductor,
    reading_agreement,
    reinforced_conductor,
    residual_chain,
    residual_current,
    selectivity,
    transformer,
    unbalance,
    voltage,
    withstand,
)
from feasibility.checks.question import Check

CARRYING: tuple[Check, ...] = (
    load_flow.LOAD_FLOW,  # first, so that the second solver's result feeds all that follow
    *demand_log.CHECKS,
    *declared_demand.CHECKS,
    *transformer.CHECKS,
    *loading.CHECKS,
    *device_hold.CHECKS,
    *board_loading.CHECKS,
    *cord_second_set.CHECKS,
    *neutral.CHECKS,
    *parallel_conductors.CHECKS,
    *voltage.CHECKS,
    *unbalance.CHECKS,
)
"""What carries the current, and with which voltage it arrives."""

PROTECTION: tuple[Check, ...] = (
    *overload.CHECKS,
    *disconnection.CHECKS,
    *disconnection_in_tt.CHECKS,
    *reading_agreement.CHECKS,
    *breaking.CHECKS,
    *withstand.CHECKS,
    *conditional_rating.CHECKS,
    *residual_current.CHECKS,
    *residual_chain.CHECKS,
    *protective_conductor.CHECKS,
    *reinforced_conductor.CHECKS,
    *earthing.CHECKS,
    *infeed.CHECKS,
    *infeed_voltage.CHECKS,
    *selectivity.CHECKS,
    *inrush.CHECKS,
)
"""Overload, faults, shock, residual current, selectivity."""

CONNECTION: tuple[Check, ...] = (
    *outlet_configuration.CHECKS,
    *outlet_condition.CHECKS,
    *outlet_place.CHECKS,
    *arrangement.CHECKS,
    *harmonic_emission.CHECKS,
    *power_quality.CHECKS,
)
"""The outlet as found, and what the station does to the network."""

CATALOGUE = (*CARRYING, *PROTECTION, *CONNECTION)

MUST_BE_JUDGED = (
    "disconnection",
    "breaking-capacity",
    "short-circuit-withstand",
    "residual-current-type",
    "protective-conductor",
)
"""Without an answer to each of these no verdict is better than undecided."""

NOT_CHECKED = (
    "Short-circuit ratings of outlets, plugs and inlets; whether the device before a part is the "
    "one that its maker's conditional rating names.",
    "Flicker (Pst, Plt): it needs the pattern of the station's current in time.",
    "Even harmonics and those above the 13th one by one; harmonics together with the neighbours'.",
    "Third harmonics of the site's other loads in the neutral.",
    "A measured voltage band at the origin counts as it stands: what the station's own current "
    "takes off it in the network before the origin is not added.",
    "Hour-by-hour demand where there is neither log nor load profile: a declared maximum counts "
    "all the time.",
    "An own transformer's ambient temperature and harmonics: its rated current counts under the "
    "usual service conditions, without a cycle of overload.",
    "What running motors and inverters on the same boards add to a fault current.",
    "By how much second sources raise the voltage in the network before the origin, beyond its "
    "stated band; infeed counts at a power factor of 1.",
    "Temperature rise inside boards (no heat balance; the surveyed or assumed temperature counts).",
    "Tightness of terminals and pressure of contacts, and damage that nobody has seen.",
    "The station itself, its battery, and everything behind its input terminals.",
)
