"""Three-phase fault currents by pandapower's IEC 60909, to check the sum of loop impedances."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from feasibility.network.pandapower_model import to_pandapower
from feasibility.network.records import Network, NetworkError
from feasibility.units import require_not_negative, require_positive, require_within


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultCurrents:
    """Largest and smallest initial symmetrical short-circuit current of a three-phase fault."""

    maximum_a: float
    minimum_a: float


def iec60909_currents(
    network: Network,
    *,
    source_max_mva: float,
    source_min_mva: float,
    source_r_to_x_max: float,
    source_r_to_x_min: float,
    end_temperature_c: float,
    voltage_tolerance_percent: int = 10,
) -> Mapping[str, FaultCurrents]:
    """Return the largest and smallest three-phase fault current at every node.

    IEC 60909-0:2016, equivalent voltage source c Un / sqrt(3) at the fault, loads neglected. The
    resistances in ``network`` have to be those at 20 °C; for the smallest current they are raised
    to ``end_temperature_c`` by 0.004 per kelvin (clause 7.1, from memory). ``source_max_mva`` and
    ``source_min_mva`` are sqrt(3) Un Ik" at the source node, so the source impedance is
    c Un^2 / S. Low voltage: c is 1.10 and 0.90 at 10 % voltage tolerance, 1.05 and 0.95 at 6 %.
    The source voltage of the network plays no part. Raises OutOfRange for levels that are not
    positive or for an end temperature outside 20 to 1000 °C, NetworkError for a tolerance other
    than 6 or 10 % and for a smallest level above the largest.
    """
    require_positive("source_max_mva", source_max_mva)
    require_positive("source_min_mva", source_min_mva)
    require_not_negative("source_r_to_x_max", source_r_to_x_max)
    require_not_negative("source_r_to_x_min", source_r_to_x_min)
    require_within("end_temperature_c", end_temperature_c, lower=20.0, upper=1000.0)
    if source_min_mva > source_max_mva:
        message = f"smallest fault level {source_min_mva} MVA above the largest, {source_max_mva}"
        raise NetworkError(message)
    if voltage_tolerance_percent not in (6, 10):
        message = f"voltage tolerance {voltage_tolerance_percent} % is neither 6 nor 10 %"
        raise NetworkError(message)
    from pandapower.shortcircuit import calc_sc

    net = to_pandapower(network)
    net.ext_grid["s_sc_max_mva"] = source_max_mva
    net.ext_grid["s_sc_min_mva"] = source_min_mva
    net.ext_grid["rx_max"] = source_r_to_x_max
    net.ext_grid["rx_min"] = source_r_to_x_min
    net.line["endtemp_degree"] = end_temperature_c
    found = {}
    for case in ("max", "min"):
        calc_sc(net, fault="3ph", case=case, lv_tol_percent=voltage_tolerance_percent)
        found[case] = net.res_bus_sc.ikss_ka.to_numpy() * 1000
    return {
        node: FaultCurrents(maximum_a=float(largest), minimum_a=float(smallest))
        for node, largest, smallest in zip(network.nodes, found["max"], found["min"], strict=True)
    }
