"""The same operating point put to the second solver, which knows no constant current per phase."""

from __future__ import annotations

from dataclasses import replace

from feasibility.network.records import Load, Network
from feasibility.network.solution import Solution
from feasibility.units import SQRT3


def at_voltages(network: Network, state: Solution) -> Network:
    """Return the network with every constant current written as its power at these voltages.

    The second solver then needs one load flow. It finds the same voltages only if they are right.
    A balanced network stays so.
    """
    nominal = network.nominal_voltage_v / SQRT3
    balanced = network.balanced

    def as_power(load: Load) -> Load:
        if load.kind == "power":
            return load
        ratio = state.voltage_v(load.node) / nominal
        if balanced:
            ratio[:] = ratio.mean()
        active = [float(w * r) for w, r in zip(load.active_w, ratio, strict=True)]
        reactive = [float(var * r) for var, r in zip(load.reactive_var, ratio, strict=True)]
        return replace(
            load,
            active_w=(active[0], active[1], active[2]),
            reactive_var=(reactive[0], reactive[1], reactive[2]),
            kind="power",
        )

    return replace(network, loads=tuple(as_power(load) for load in network.loads))
