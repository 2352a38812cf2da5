"""Cases of the check on the unbalance of the voltages at the station.

A load on one phase behind windings of which all three sequence impedances are the same (Dyn, X0 =
X1): each phase drops its own current times that impedance. The voltages between the lines then
give the unbalance by the formula of IEC 61000-4-30, 5.7.1 (from memory), which knows nothing of
symmetrical components.
"""

from __future__ import annotations

import cmath
from math import hypot, sqrt

from scipy.optimize import brentq

from feasibility.result import Outcome

from .case import About, Case
from .cases_of_transformer import own
from .sites import Changes, drawing, merged

UNBALANCE = About(
    check="unbalance-at-station",
    link="station",
    breach=Outcome.CAUTION,
    lacking_facts=Outcome.CAUTION,
)
STATION_A = 6.0
# 20 % of 400 V squared over 100 kVA, with 1.75 kW of loss; 5 % below 400 V without load.
RESISTANCE = 1750 * (400 / 100e3) ** 2
REACTANCE = sqrt((0.2 * 400**2 / 100e3) ** 2 - RESISTANCE**2)
WINDINGS = complex(RESISTANCE, REACTANCE)
SOURCE = 380 / sqrt(3)
TURN = cmath.exp(2j * cmath.pi / 3)


def line_voltage_formula_percent(between_lines: list[float]) -> float:
    """IEC 61000-4-30, 5.7.1: the unbalance from the three voltages between lines."""
    squares = [one**2 for one in between_lines]
    beta = sum(one**2 for one in squares) / sum(squares) ** 2
    root = sqrt(max(0.0, 3 - 6 * beta))
    return 100 * sqrt(max(0.0, (1 - root) / (1 + root)))


def unbalance_by_hand(first_a: float) -> float:
    """The unbalance with this current on L1, in phase with its voltage, and the station on all."""
    phases = [_loaded(first_a + STATION_A), *(_loaded(STATION_A) for _ in range(2))]
    turned = [one * TURN ** (-index) for index, one in enumerate(phases)]
    return line_voltage_formula_percent(
        [abs(turned[a] - turned[b]) for a, b in ((0, 1), (1, 2), (2, 0))]
    )


def _loaded(current_a: float) -> complex:
    voltage = complex(SOURCE)
    for _ in range(60):
        voltage = SOURCE - WINDINGS * current_a * voltage / hypot(voltage.real, voltage.imag)
    return voltage


FIRST_A = float(brentq(lambda amperes: unbalance_by_hand(amperes) - 2, 1, 200))


def on_first_phase(current_a: float) -> Changes:
    """That load on L1, behind the windings, and a station of unity power factor."""
    return merged(
        own(short_circuit_voltage_percent=20),
        drawing(STATION_A),
        {
            "station.power_factor": 1.0,
            "station.phases": "L1L2L3",
            "supply.demand": {
                "maximum_l1_a": current_a,
                "maximum_l2_a": 0,
                "maximum_l3_a": 0,
                "power_factor": 1.0,
            },
        },
    )


CASES: tuple[Case, ...] = (
    *UNBALANCE.around(
        "a load on L1 of the customer's own transformer that makes 2 %",
        on_first_phase(FIRST_A * 0.99),
        on_first_phase(FIRST_A * 1.01),
        "EN 50160: 2 %; IEC 61000-4-30, 5.7.1: unbalance from voltages between lines",
        2,
    ),
    UNBALANCE.unknown(
        "supply.transformer.vector_group",
        merged(
            on_first_phase(FIRST_A),
            {"supply.transformer": own(vector_group="unknown")["supply.transformer"]},
        ),
    ),
)
