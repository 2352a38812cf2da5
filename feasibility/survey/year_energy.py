"""The most energy of a year that a largest demand leaves: a mean is never above its maximum."""

from __future__ import annotations

import math
from collections.abc import Iterable

_LONGEST_YEAR_H = 8784
_HIGHEST_VOLTAGE = 1.1
"""Above the nominal voltage a current draws more power: up to 10 % (IEC 60038)."""


def most_power_kw(phase_currents_a: Iterable[float], nominal_voltage_v: float) -> float:
    """Return the most power in kW of these currents, one a phase: power factor 1, highest voltage.

    ``nominal_voltage_v`` is between lines.
    """
    return sum(phase_currents_a) * _HIGHEST_VOLTAGE * nominal_voltage_v / math.sqrt(3) / 1000


def most_energy_kwh(power_kw: float) -> float:
    """Return the energy in kWh of this power throughout the longest year, 8784 h."""
    return power_kw * _LONGEST_YEAR_H
