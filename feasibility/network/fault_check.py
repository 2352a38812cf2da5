"""Fault currents by pandapower's IEC 60909, to check the sum of loop impedances."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from feasibility.network.pandapower_model import to_pandapower
from feasibility.network.records import Network, NetworkError
from feasibility.units import require_positive, require_within

Fault = Literal["three-phase", "line-line", "line to return conductor"]

_LIBRARY_WORDS: Mapping[Fault, str] = {
    "three-phase": "3ph",
    "line-line": "2ph",
    "line to return conductor": "1ph",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultCurrents:
    """Largest and smallest initial symmetrical short-circuit current of one kind of fault."""

    maximum_a: float
    minimum_a: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultSource:
    """The supply in one of its two states: fault level, R/X, and zero over positive sequence.

    ``level_mva`` is sqrt(3) Un Ik" at the source node, so that Z1 = c Un^2 / S. The zero-sequence
    impedance has the same angle; the loop of line and return conductor is (2 Z1 + Z0) / 3.
    """

    level_mva: float
    r_to_x: float
    zero_to_positive: float = 1.0

    def __post_init__(self) -> None:
        """Refuse what no supply has."""
        require_positive("level_mva", self.level_mva)
        require_positive("r_to_x", self.r_to_x)
        require_positive("zero_to_positive", self.zero_to_positive)


def iec60909_currents(
    network: Network,
    *,
    strongest: FaultSource,
    weakest: FaultSource,
    end_temperature_c: float,
    voltage_tolerance_percent: int = 10,
    fault: Fault = "three-phase",
) -> Mapping[str, FaultCurrents]:
    """Return the largest and smallest fault current of a kind at every node.

    IEC 60909-0:2016, equivalent voltage source c Un / sqrt(3) at the fault, loads neglected; a
    fault to the return conductor by the zero-sequence network Z0 = Z1 + 3 Zn, Zn being the
    ``neutral_`` impedance of the branches (of the neutral, or of the protective conductor). The
    resistances in ``network`` have to be those at 20 °C; for the smallest current they are raised
    to ``end_temperature_c`` by 0.004 per kelvin (clause 7.1, from memory). Low voltage: c is 1.10
    and 0.90 at 10 % voltage tolerance, 1.05 and 0.95 at 6 %. The source voltage of the network
    plays no part. Raises OutOfRange for an end temperature outside 20 to 1000 °C, NetworkError for
    a tolerance other than 6 or 10 %, a weakest level above the strongest, and a fault to a return
    conductor that a branch does not have.
    """
    _require_possible(
        network, strongest, weakest, end_temperature_c, voltage_tolerance_percent, fault
    )
    from pandapower.shortcircuit import calc_sc

    net = to_pandapower(network)
    for case, source in (("max", strongest), ("min", weakest)):
        net.ext_grid[f"s_sc_{case}_mva"] = source.level_mva
        net.ext_grid[f"rx_{case}"] = source.r_to_x
        net.ext_grid[f"x0x_{case}"] = source.zero_to_positive
        net.ext_grid[f"r0x0_{case}"] = source.r_to_x
    net.line["endtemp_degree"] = end_temperature_c
    found = {}
    for case in ("max", "min"):
        words = _LIBRARY_WORDS[fault]
        calc_sc(net, fault=words, case=case, lv_tol_percent=voltage_tolerance_percent)
        found[case] = net.res_bus_sc.ikss_ka.to_numpy() * 1000
    return {
        node: FaultCurrents(maximum_a=float(largest), minimum_a=float(smallest))
        for node, largest, smallest in zip(network.nodes, found["max"], found["min"], strict=True)
    }


def _require_possible(
    network: Network,
    strongest: FaultSource,
    weakest: FaultSource,
    end_temperature_c: float,
    voltage_tolerance_percent: int,
    fault: Fault,
) -> None:
    require_within("end_temperature_c", end_temperature_c, lower=20.0, upper=1000.0)
    if weakest.level_mva > strongest.level_mva:
        message = (
            f"smallest fault level {weakest.level_mva} MVA above the largest, {strongest.level_mva}"
        )
        raise NetworkError(message)
    if voltage_tolerance_percent not in (6, 10):
        message = f"voltage tolerance {voltage_tolerance_percent} % is neither 6 nor 10 %"
        raise NetworkError(message)
    if fault == "line to return conductor" and not all(one.has_neutral for one in network.branches):
        message = "a branch has no return conductor: there is no fault to it"
        raise NetworkError(message)
