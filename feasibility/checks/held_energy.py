"""Whether a fuse stands what the circuit-breaker behind it lets through: I2t against I2t.

IEC 60947-2, Annex A and the usual guides (from memory): in the range of a circuit-breaker's
quickest operation selectivity is judged by energies, not by times.
"""

from __future__ import annotations

from dataclasses import dataclass

from feasibility import tables
from feasibility.checks.device_energy import passage_of
from feasibility.checks.devices_in_series import Pair
from feasibility.checks.question import Run
from feasibility.checks.working import step
from feasibility.result import Quantity, Step
from feasibility.survey.device_kinds import FUSE


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldEnergy:
    """The let-through energy that does not melt the fuse, and up to which current that is known."""

    up_to_a: float
    energy_a2s: float
    melting: Quantity
    steps: tuple[Step, ...]


def held_energy(run: Run, pair: Pair, fault_a: float) -> HeldEnergy | None:
    """Return what is known of it; None where it melts the fuse, or nothing is known.

    A maker's figure holds up to the fault level for which it was read, the limit of an energy class
    up to the breaking capacity.
    """
    kinds = [run.ends.known(one.data.word("kind")) for one in (pair.upstream, pair.downstream)]
    if kinds[0] != FUSE or kinds[1] == FUSE:
        return None
    try:
        rating = run.ends.low_is_bad(pair.upstream.data.number("rating_a"))
        limits = tables.fuse_energy(rating_a=rating)
    except tables.NotTabulated:
        return None
    # Two limits of two parts of the standard: the smaller one is sure.
    melting = min(
        limits.prearcing_min, limits.system_a_prearcing_min, key=lambda limit: limit.value
    ).named("Emin")
    fitting = [
        ceiling
        for ceiling in passage_of(run, pair.downstream).ceilings
        if ceiling.working.result <= melting.value
    ]
    if not fitting:
        return None
    best = max(fitting, key=lambda ceiling: ceiling.up_to_a)
    meaning = f"smallest pre-arcing I2t of {pair.upstream.name}, to be compared with it"
    return HeldEnergy(
        up_to_a=min(best.up_to_a, fault_a),
        energy_a2s=best.working.result,
        melting=melting,
        steps=(best.working, step("E0", meaning, "Emin", [melting], melting.value, "A²s")),
    )
