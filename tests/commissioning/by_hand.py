"""Readings as they would be, from resistances by phasors alone; shares no code with the program.

Resistance per km at 20 °C: IEC 60228. Temperature coefficient of copper 0.00393 per K and
R = R20 (1 + a (T - 20)): IEC 60287-1-1. Reactance 0.08 ohm/km: IEC 60364-5-52:2009, Annex G.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

PHASES = ("L1", "L2", "L3")
R20_OHM_PER_KM = {6: 3.08, 10: 1.83, 16: 1.15}
R20_FLEXIBLE_OHM_PER_KM = {6: 3.30}
REACTANCE_OHM_PER_KM = 0.08


@dataclass(frozen=True)
class Stretch:
    """A cable with the joints in it: ohms beside those of the conductor."""

    length_m: float
    ohm_per_km: float
    celsius: float
    joints_ohm: Mapping[str, float] = field(default_factory=dict)

    def impedance(self, conductor: str) -> complex:
        warm = 1 + 0.00393 * (self.celsius - 20)
        resistance = self.ohm_per_km * warm * self.length_m / 1000
        reactance = REACTANCE_OHM_PER_KM * self.length_m / 1000
        return complex(resistance + self.joints_ohm.get(conductor, 0.0), reactance)


def voltages_v(
    stretches: Sequence[Stretch], currents_a: Sequence[float], cosphi: float, origin_v: float
) -> list[dict[str, float]]:
    """Return line-neutral and line-line voltages at the origin and behind each stretch."""
    sources = [cmath.rect(origin_v, -phase * 2 * math.pi / 3) for phase in range(3)]
    lag = math.acos(cosphi)
    amperes = [
        cmath.rect(size, cmath.phase(u) - lag) for size, u in zip(currents_a, sources, strict=True)
    ]
    neutral = sum(amperes)
    levels = list(sources)
    found = [_read(levels)]
    for stretch in stretches:
        levels = [
            u - i * stretch.impedance(name) - neutral * stretch.impedance("N")
            for u, i, name in zip(levels, amperes, PHASES, strict=True)
        ]
        found.append(_read(levels))
    return found


def _read(levels: Sequence[complex]) -> dict[str, float]:
    first, second, third = levels
    return {
        "l1_n_v": abs(first),
        "l2_n_v": abs(second),
        "l3_n_v": abs(third),
        "l1_l2_v": abs(first - second),
        "l2_l3_v": abs(second - third),
        "l3_l1_v": abs(third - first),
    }
