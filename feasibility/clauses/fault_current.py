"""Fault currents from sums of impedances, the impedance behind a supply, and simplified lengths."""

from __future__ import annotations

import numpy as np

from feasibility.units import SQRT3, Number, require_not_negative, require_positive

GREATEST_VOLTAGE_FACTOR = 1.2
"""IEC 60909-0 voltage factors for low voltage lie between 0.90 and 1.10."""

SIMPLIFIED_VOLTAGE_FRACTION = 0.8
"""Share of the voltage left at the origin of the circuit in the simplified (conventional) method
of the national guides; a trade convention of the handbooks, not an IEC clause."""


def three_phase_fault_a(
    *,
    voltage_factor: Number | float,
    line_voltage_v: Number | float,
    impedance_ohm: Number,
) -> Number:
    """Return the initial symmetrical three-phase short-circuit current in A.

    IEC 60909-0:2016, 7.2: Ik = c U / (sqrt(3) Z), Z per phase from source to fault. Greatest with
    the greatest c and cold conductors. Left out: contribution of motors. Raises OutOfRange.
    """
    require_positive("voltage_factor", voltage_factor, upper=GREATEST_VOLTAGE_FACTOR)
    require_positive("line_voltage_v", line_voltage_v)
    require_positive("impedance_ohm", impedance_ohm)
    return voltage_factor * line_voltage_v / (SQRT3 * impedance_ohm)


def line_line_fault_a(
    *,
    voltage_factor: Number | float,
    line_voltage_v: Number | float,
    impedance_ohm: Number,
) -> Number:
    """Return the initial line-to-line short-circuit current in A.

    IEC 60909-0:2016, 7.3: Ik2 = c U / (2 Z), Z per phase, with Z2 = Z1. Raises OutOfRange.
    """
    require_positive("voltage_factor", voltage_factor, upper=GREATEST_VOLTAGE_FACTOR)
    require_positive("line_voltage_v", line_voltage_v)
    require_positive("impedance_ohm", impedance_ohm)
    return voltage_factor * line_voltage_v / (2 * impedance_ohm)


def line_earth_fault_a(
    *,
    voltage_factor: Number | float,
    voltage_to_earth_v: Number | float,
    loop_impedance_ohm: Number,
) -> Number:
    """Return the current in A of a fault from line to protective conductor (or to neutral).

    IEC 60364-4-41, 411.4.4 solved for the current: I = c U0 / Zs, with the whole loop of source,
    line and return conductor. Left out: impedance of the fault itself. Raises OutOfRange.
    """
    require_positive("voltage_factor", voltage_factor, upper=GREATEST_VOLTAGE_FACTOR)
    require_positive("voltage_to_earth_v", voltage_to_earth_v)
    require_positive("loop_impedance_ohm", loop_impedance_ohm)
    return voltage_factor * voltage_to_earth_v / loop_impedance_ohm


def source_impedance_ohm(
    *,
    voltage_factor: Number | float,
    line_voltage_v: Number | float,
    fault_current_a: Number,
) -> Number:
    """Return the impedance per phase in ohm behind a declared three-phase fault current.

    IEC 60909-0:2016, 6.2 (network feeder): Z = c U / (sqrt(3) Ik). Magnitude only; its angle stays
    unknown (see ``least_sum_ohm``). Raises OutOfRange.
    """
    require_positive("voltage_factor", voltage_factor, upper=GREATEST_VOLTAGE_FACTOR)
    require_positive("line_voltage_v", line_voltage_v)
    require_positive("fault_current_a", fault_current_a)
    return voltage_factor * line_voltage_v / (SQRT3 * fault_current_a)


def source_loop_impedance_ohm(
    *,
    voltage_factor: Number | float,
    voltage_to_earth_v: Number | float,
    fault_current_a: Number,
) -> Number:
    """Return the loop impedance in ohm behind a declared line-to-earth or line-to-neutral current.

    IEC 60364-4-41, 411.4.4 solved for the loop: Z = c U0 / I. An instrument that shows a current
    computes it without a factor from its own nominal voltage: then c is 1. Raises OutOfRange.
    """
    require_positive("voltage_factor", voltage_factor, upper=GREATEST_VOLTAGE_FACTOR)
    require_positive("voltage_to_earth_v", voltage_to_earth_v)
    require_positive("fault_current_a", fault_current_a)
    return voltage_factor * voltage_to_earth_v / fault_current_a


def impedance_ohm(*, resistance_ohm: Number, reactance_ohm: Number | float) -> Number:
    """Return the magnitude in ohm of an impedance: Z = sqrt(R^2 + X^2). Raises OutOfRange."""
    require_not_negative("resistance_ohm", resistance_ohm)
    require_not_negative("reactance_ohm", reactance_ohm)
    magnitude: Number = np.hypot(resistance_ohm, reactance_ohm)
    return magnitude


def least_sum_ohm(
    *, source_ohm: Number, resistance_ohm: Number | float, reactance_ohm: Number | float
) -> Number:
    """Return the smallest magnitude in ohm of a source of unknown angle plus a known cable.

    Z = min(|R + Zq + jX|, |R + j(X + Zq)|). With the source angle anywhere from 0 to 90 degrees the
    sum is smallest where the two angles differ most, so at one of the ends. Gives the greatest
    fault current. Raises OutOfRange.
    """
    require_not_negative("source_ohm", source_ohm)
    require_not_negative("resistance_ohm", resistance_ohm)
    require_not_negative("reactance_ohm", reactance_ohm)
    least: Number = np.minimum(
        np.hypot(resistance_ohm + source_ohm, reactance_ohm),
        np.hypot(resistance_ohm, reactance_ohm + source_ohm),
    )
    return least


def greatest_sum_ohm(
    *, source_ohm: Number, resistance_ohm: Number | float, reactance_ohm: Number | float
) -> Number:
    """Return the greatest magnitude in ohm of a source of unknown angle plus a known cable.

    Z = Zq + sqrt(R^2 + X^2): equal angles. Gives the least fault current. Raises OutOfRange.
    """
    require_not_negative("source_ohm", source_ohm)
    require_not_negative("resistance_ohm", resistance_ohm)
    require_not_negative("reactance_ohm", reactance_ohm)
    greatest: Number = source_ohm + np.hypot(resistance_ohm, reactance_ohm)
    return greatest


def loop_resistance_ohm(
    *, line_resistance_ohm: Number, protective_resistance_ohm: Number | float
) -> Number:
    """Return the resistance in ohm of line conductor and return conductor in series.

    R = R1 + R2 (protective conductor, PEN or neutral), both at the same end of the temperature
    range: cold for the greatest fault current, hot for the least. Raises OutOfRange.
    """
    require_not_negative("line_resistance_ohm", line_resistance_ohm)
    require_not_negative("protective_resistance_ohm", protective_resistance_ohm)
    return line_resistance_ohm + protective_resistance_ohm


def transformer_impedance_ohm(
    *,
    rated_va: Number,
    line_voltage_v: Number | float,
    impedance_percent: Number | float,
) -> Number:
    """Return the short-circuit impedance per phase in ohm of a transformer, secondary side.

    IEC 60909-0:2016, 6.3: Z = uk / 100 * U^2 / S, U the rated (no-load) secondary voltage.
    Raises OutOfRange.
    """
    require_positive("rated_va", rated_va)
    require_positive("line_voltage_v", line_voltage_v)
    require_positive("impedance_percent", impedance_percent, upper=100.0)
    return impedance_percent / 100 * line_voltage_v**2 / rated_va


def transformer_fault_a(
    *,
    rated_va: Number,
    line_voltage_v: Number | float,
    impedance_percent: Number | float,
    upstream_va: Number | float | None = None,
) -> Number:
    """Return the three-phase fault current in A at the secondary terminals of a transformer.

    Handbook form of IEC 60909-0: Ik = U / (sqrt(3) (Zt + U^2 / Sk)), both taken as reactances, U
    the no-load secondary voltage, factor c left out. Without ``upstream_va`` the upstream network
    counts as infinitely strong, which gives the upper bound. Raises OutOfRange.
    """
    total_ohm = transformer_impedance_ohm(
        rated_va=rated_va, line_voltage_v=line_voltage_v, impedance_percent=impedance_percent
    )
    if upstream_va is not None:
        require_positive("upstream_va", upstream_va)
        total_ohm = total_ohm + line_voltage_v**2 / upstream_va
    return line_voltage_v / (SQRT3 * total_ohm)


def simplified_fault_a(
    *,
    voltage_to_earth_v: Number | float,
    resistance_ohm: Number,
    voltage_fraction: Number | float = SIMPLIFIED_VOLTAGE_FRACTION,
) -> Number:
    """Return the single-phase fault current in A by the simplified method of the handbooks.

    I = 0.8 U0 / R: the voltage at the origin falls to 80 %, the circuit is resistance only, out and
    back. A rough working value, no bound: not for breaking capacity. Raises OutOfRange.
    """
    require_positive("voltage_to_earth_v", voltage_to_earth_v)
    require_positive("voltage_fraction", voltage_fraction, upper=1.0)
    require_positive("resistance_ohm", resistance_ohm)
    return voltage_fraction * voltage_to_earth_v / resistance_ohm


def longest_circuit_m(
    *,
    voltage_to_earth_v: Number | float,
    section_mm2: Number | float,
    protective_section_mm2: Number | float,
    resistivity_ohm_mm2_per_m: Number | float,
    operating_current_a: Number,
    voltage_fraction: Number | float = SIMPLIFIED_VOLTAGE_FRACTION,
) -> Number:
    """Return the longest circuit in m whose fault current still operates the device.

    Simplified method of the handbooks: L = 0.8 U0 S / (rho (1 + m) Ia), m = S / Spe, resistance
    only. The operating current includes the tolerance of the release (1.2 Im). To compare with
    printed tables; the tool judges by the loop impedance. Raises OutOfRange.
    """
    require_positive("section_mm2", section_mm2)
    require_positive("protective_section_mm2", protective_section_mm2)
    require_positive("resistivity_ohm_mm2_per_m", resistivity_ohm_mm2_per_m)
    require_positive("operating_current_a", operating_current_a)
    require_positive("voltage_to_earth_v", voltage_to_earth_v)
    require_positive("voltage_fraction", voltage_fraction, upper=1.0)
    ohm_per_m = resistivity_ohm_mm2_per_m * (1 / section_mm2 + 1 / protective_section_mm2)
    return voltage_fraction * voltage_to_earth_v / (ohm_per_m * operating_current_a)
