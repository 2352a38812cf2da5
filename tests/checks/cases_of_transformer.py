"""Cases of the checks on an own transformer.

The windings: 4 % of 400 V squared over the rated power; the network before it: 500 MVA at most and
at least, voltage factors 1.10 and 1.0 (IEC 60909-0, Table 1).
"""

from __future__ import annotations

from math import hypot, sqrt
from typing import Any

from feasibility.result import Outcome

from .case import About, Case
from .sites import GONE, Changes, drawing, merged

LOADING = About(check="transformer-loading", link="transformer")
AGREEMENT = About(
    check="transformer-agreement",
    link="transformer",
    breach=Outcome.CAUTION,
    lacking_facts=Outcome.CAUTION,
)


def own(**fields: Any) -> Changes:
    """A supply through a transformer of the customer's own, all of it known."""
    plate = {
        "rated_power_kva": 100,
        "short_circuit_voltage_percent": 4,
        "load_loss_kw": 1.75,
        "vector_group": "Dyn5",
        "rated_secondary_voltage_v": 400,
        "tap_percent": 0,
        "upstream_tolerance_low_percent": 5,
        "upstream_tolerance_high_percent": 5,
        "largest_upstream_fault_mva": 500,
        "smallest_upstream_fault_mva": 500,
    }
    return {
        "supply.kind": "own transformer",
        "supply.transformer": {**plate, **fields},
        "supply.prospective_fault_current_ka": GONE,
        "supply.external_loop_impedance_ohm": GONE,
        "supply.external_line_neutral_loop_ohm": GONE,
        "outlet.measured_loop_impedance_ohm": GONE,
    }


RATED_A = 1000 * 22 / (sqrt(3) * 400)

# By hand: Zt = 0.04 x 400² / 100 kVA = 64 mOhm; Rt = 1.75 kW x 400² / (100 kVA)² = 28 mOhm;
# Xt = 57.55 mOhm, 3.597 %; KT = 0.95 x 1.1 / (1 + 0.6 x 0.03597) = 1.0229; the network before it
# 1.1 x 400² / 500 MVA = 0.352 mOhm, whose angle makes the sum smallest as a resistance:
# |1.0229 x 28 + 0.352 + j 58.87| = 65.63 mOhm.
LARGEST_A = 1.1 * 400 / (sqrt(3) * 0.06563)
# The smallest: 0.9 x 400 V / (sqrt(3) x (64 + 0.32) mOhm).
SMALLEST_A = 0.9 * 400 / (sqrt(3) * 0.06432)
# The loop: (2 Z1 + Z0) / 3 with R0 = R1 and X0 = 1.0 X1 at most, 0.8 X1 at least.
LARGEST_LOOP_OHM = 0.064 + 2 * 0.00032 / 3
# |1.0229 x 28 + 2/3 x 0.352 + j 2.8/3 x 58.87|, R0 from 1.0 R1 and X0 from 0.8 X1 on.
SMALLEST_LOOP_OHM = hypot(0.028641 + 2 * 0.000352 / 3, 2.8 / 3 * 0.05887)


def stated(level_a: float) -> Changes:
    """A largest fault current that the survey states beside the transformer."""
    return {"supply.prospective_fault_current_ka": level_a / 1000}


def loop(ohm: float) -> Changes:
    """An earth-fault loop that the survey states beside the transformer."""
    return {"supply.external_loop_impedance_ohm": ohm}


CASES: tuple[Case, ...] = (
    *LOADING.around(
        "22 kVA at 400 V, rated for 31.75 A",
        merged(own(rated_power_kva=22, load_loss_kw=0.6), drawing(RATED_A * 0.99)),
        merged(own(rated_power_kva=22, load_loss_kw=0.6), drawing(RATED_A * 1.01)),
        "IEC 60076-1: rated current = rated power / (sqrt(3) x rated voltage)",
        RATED_A,
    ),
    LOADING.unknown("supply.transformer.rated_power_kva", own(rated_power_kva="unknown")),
    LOADING.unknown(
        "supply.transformer.rated_secondary_voltage_v", own(rated_secondary_voltage_v="unknown")
    ),
    LOADING.unknown("supply.kind", {"supply.kind": "unknown"}),
    LOADING.unknown("supply.transformer.rated_power_kva", {"supply.kind": "own transformer"}),
    *AGREEMENT.around(
        "a stated fault current 20 % above the largest of the transformer",
        merged(own(), stated(LARGEST_A * 1.20 * 0.99)),
        merged(own(), stated(LARGEST_A * 1.20 * 1.01)),
        "IEC 60909-0:2016, 6.3.1 and 6.3.3 by hand; 20 % is common practice, no source",
        20,
    ),
    *AGREEMENT.around(
        "a stated fault current 20 % below the smallest of the transformer",
        merged(own(), stated(SMALLEST_A * 0.80 * 1.01)),
        merged(own(), stated(SMALLEST_A * 0.80 * 0.99)),
        "IEC 60909-0:2016, 6.3.1 by hand; 20 % is common practice, no source",
        20,
    ),
    *AGREEMENT.around(
        "a stated earth-fault loop 20 % above that of the transformer",
        merged(own(), loop(LARGEST_LOOP_OHM * 1.20 * 0.99)),
        merged(own(), loop(LARGEST_LOOP_OHM * 1.20 * 1.01)),
        "IEC 60909-0:2016, 7.5 by hand; 20 % is common practice, no source",
        20,
    ),
    *AGREEMENT.around(
        "a stated earth-fault loop 20 % below that of the transformer",
        merged(own(), loop(SMALLEST_LOOP_OHM * 0.80 * 1.01)),
        merged(own(), loop(SMALLEST_LOOP_OHM * 0.80 * 0.99)),
        "IEC 60909-0:2016, 6.3.3 and 7.5 by hand; 20 % is common practice, no source",
        20,
    ),
    AGREEMENT.unknown(
        "supply.transformer.short_circuit_voltage_percent",
        merged(own(short_circuit_voltage_percent="unknown"), stated(LARGEST_A)),
    ),
    AGREEMENT.unknown(
        "supply.transformer.vector_group", merged(own(vector_group="unknown"), loop(0.07))
    ),
)
