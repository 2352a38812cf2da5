"""A circuit by hand: what a pocket calculator and the standards give, without the program.

Resistances at 20 °C in ohm/km: IEC 60228:2004, class 2 (cables) and class 5 (cords). Temperature
coefficient of copper 0.00393 per kelvin: IEC 60287-1-1. Reactance 0.08 ohm/km: IEC 60364-5-52,
Annex G. Conductor temperature: T = Ta + (Tmax - Ta) (I / Iz)^2, the law behind Table B.52.14.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from scipy.optimize import brentq

SQRT3 = math.sqrt(3)
CLASS_2_OHM_PER_KM = {
    4: 4.61,
    6: 3.08,
    10: 1.83,
    16: 1.15,
    25: 0.727,
    35: 0.524,
    50: 0.387,
    95: 0.193,
}
CLASS_5_OHM_PER_KM = {4: 4.95, 6: 3.30, 10: 1.91, 16: 1.21}
ALPHA_PER_K = 0.00393
REACTANCE_OHM_PER_KM = 0.08


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One copper conductor over a length."""

    length_m: float
    section_mm2: int
    ampacity_a: float
    maximum_c: float = 70.0
    ambient_c: float = 30.0
    flexible: bool = False

    @property
    def resistance_20c_ohm(self) -> float:
        """Resistance at 20 °C."""
        table = CLASS_5_OHM_PER_KM if self.flexible else CLASS_2_OHM_PER_KM
        return table[self.section_mm2] * self.length_m / 1000

    def resistance_ohm(self, temperature_c: float) -> float:
        """Resistance at a conductor temperature."""
        return self.resistance_20c_ohm * (1 + ALPHA_PER_K * (temperature_c - 20))

    @property
    def reactance_ohm(self) -> float:
        """Reactance."""
        return REACTANCE_OHM_PER_KM * self.length_m / 1000

    def impedance_ohm(self, current_a: float) -> complex:
        """Impedance while a current flows for long."""
        rise_k = (self.maximum_c - self.ambient_c) * (current_a / self.ampacity_a) ** 2
        return complex(self.resistance_ohm(self.ambient_c + rise_k), self.reactance_ohm)

    @property
    def hot_loop_ohm(self) -> float:
        """Loop of line and equal protective conductor, both as hot as permitted."""
        return 2 * abs(complex(self.resistance_ohm(self.maximum_c), self.reactance_ohm))


YARD_CABLE = Piece(length_m=22, section_mm2=6, ampacity_a=41)
YARD_CORD = Piece(length_m=8, section_mm2=6, ampacity_a=34, maximum_c=60, flexible=True)
YARD = (YARD_CABLE, YARD_CORD)
"""What the bakery's single circuit consists of."""

KIOSK_CABLE = Piece(length_m=30, section_mm2=4, ampacity_a=36)
KIOSK_CORD = Piece(length_m=5, section_mm2=4, ampacity_a=30, maximum_c=60, flexible=True)
KIOSK = (KIOSK_CABLE, KIOSK_CORD)
"""The camp site's last circuit, two loaded conductors: IEC 60364-5-52 B.52.2; BS 7671 4F1A."""


def voltage_behind(
    pieces: Sequence[Piece],
    *,
    source_v: float,
    current_a: float,
    power_factor: float,
    conductors: int = 1,
) -> float:
    """Return the voltage to neutral at the end, by the phasors: E = |U + I Z|.

    ``conductors`` is 1 for a balanced three-phase load, 2 for a load from line to neutral.
    """
    impedance = conductors * sum(piece.impedance_ohm(current_a) for piece in pieces)
    current = current_a * complex(power_factor, -math.sqrt(1 - power_factor**2))

    def gap_v(voltage_v: float) -> float:
        return abs(voltage_v + current * impedance) - source_v

    return float(brentq(gap_v, 0.5 * source_v, source_v, xtol=1e-10))


def current_at_constant_power(
    pieces: Sequence[Piece],
    *,
    source_v: float,
    power_va: float,
    power_factor: float,
    conductors: int = 1,
) -> float:
    """Return the current of one phase that takes this power at the voltage it leaves itself."""

    def gap_a(current_a: float) -> float:
        voltage_v = voltage_behind(
            pieces,
            source_v=source_v,
            current_a=current_a,
            power_factor=power_factor,
            conductors=conductors,
        )
        return current_a - power_va / voltage_v

    least = power_va / source_v
    return float(brentq(gap_a, 0.9 * least, 1.5 * least, xtol=1e-10))
