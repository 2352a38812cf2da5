"""A two-winding transformer seen from its low-voltage side, and the network before it."""

from __future__ import annotations

import numpy as np

from feasibility.clauses.fault_current import GREATEST_VOLTAGE_FACTOR
from feasibility.units import (
    Number,
    require_not_negative,
    require_positive,
    require_within,
)

GREATEST_TAP_PERCENT = 20.0


def transformer_resistance_ohm(
    *, load_loss_w: Number, rated_va: Number | float, rated_voltage_v: Number | float
) -> Number:
    """Return the resistance per phase in ohm that makes the load loss at rated current.

    IEC 60909-0:2016, 6.3.1: R = P U^2 / S^2, U the rated secondary voltage. Raises OutOfRange.
    """
    require_not_negative("load_loss_w", load_loss_w)
    require_positive("rated_va", rated_va)
    require_positive("rated_voltage_v", rated_voltage_v)
    return load_loss_w * rated_voltage_v**2 / rated_va**2


def transformer_reactance_ohm(*, impedance_ohm: Number, resistance_ohm: Number | float) -> Number:
    """Return the reactance per phase in ohm: X = sqrt(Z^2 - R^2) (IEC 60909-0:2016, 6.3.1).

    Raises OutOfRange, also for a resistance above the impedance.
    """
    require_positive("impedance_ohm", impedance_ohm)
    require_not_negative("resistance_ohm", resistance_ohm)
    ratio = np.max(np.asarray(resistance_ohm) / np.asarray(impedance_ohm))
    require_within("resistance_ohm / impedance_ohm", float(ratio), lower=0.0, upper=1.0)
    reactance: Number = np.sqrt(impedance_ohm**2 - resistance_ohm**2)
    return reactance


def transformer_correction_factor(
    *, voltage_factor: Number | float, reactance_percent: Number
) -> Number:
    """Return the factor on a transformer's impedance for the largest fault currents.

    IEC 60909-0:2016, 6.3.3: K = 0.95 cmax / (1 + 0.6 x / 100), x the reactance in percent of U^2 /
    S and cmax that of the low-voltage network. For transformers of a network, not of a power
    station; for the smallest fault currents it is 1. Raises OutOfRange.
    """
    require_positive("voltage_factor", voltage_factor, upper=GREATEST_VOLTAGE_FACTOR)
    require_within("reactance_percent", reactance_percent, lower=0.0, upper=100.0)
    return 0.95 * voltage_factor / (1 + 0.6 * reactance_percent / 100)


def upstream_impedance_ohm(
    *,
    voltage_factor: Number | float,
    rated_voltage_v: Number | float,
    short_circuit_power_va: Number,
) -> Number:
    """Return the impedance in ohm of the network before a transformer, on its secondary side.

    IEC 60909-0:2016, 6.2: Z = c U^2 / S, with the rated ratio of the transformer and c of the
    medium voltage. Magnitude only. Raises OutOfRange.
    """
    require_positive("voltage_factor", voltage_factor, upper=GREATEST_VOLTAGE_FACTOR)
    require_positive("rated_voltage_v", rated_voltage_v)
    require_positive("short_circuit_power_va", short_circuit_power_va)
    return voltage_factor * rated_voltage_v**2 / short_circuit_power_va


def loop_part_ohm(*, positive_ohm: Number, zero_ohm: Number | float) -> Number:
    """Return a resistance or reactance of the loop of one line and the return conductor, in ohm.

    IEC 60909-0:2016, 7.5: a fault of one line drives sqrt(3) c U / |2 Z1 + Z0|, so that the loop is
    Z = (2 Z1 + Z0) / 3, and so is each of its two parts. Raises OutOfRange.
    """
    require_not_negative("positive_ohm", positive_ohm)
    require_not_negative("zero_ohm", zero_ohm)
    return (2 * positive_ohm + zero_ohm) / 3


def no_load_voltage_v(*, rated_voltage_v: Number, tap_percent: Number | float) -> Number:
    """Return the secondary voltage in V without load at the agreed medium voltage.

    The high-voltage winding stands at a tapping of (1 + t / 100) times its rated voltage, so that
    U2 = U / (1 + t / 100) (IEC 60076-1:2011, 3.5: tapping factor; from memory). Raises OutOfRange.
    """
    require_positive("rated_voltage_v", rated_voltage_v)
    require_within(
        "tap_percent", tap_percent, lower=-GREATEST_TAP_PERCENT, upper=GREATEST_TAP_PERCENT
    )
    return rated_voltage_v / (1 + tap_percent / 100)
