"""How a fact that nobody knows is found out: with which instrument, at which point, from whom.

Common practice of the trade, no source, except where one is named.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

_POSITION = re.compile(r"\[\d+\]")

_READ_PART = "Read it on the part itself, dead where a cover has to come off, or in its data sheet."
_STATION = "Ask the maker of the station, or read its data sheet."
_OPERATOR = "Ask the network operator."
_LOGGER = (
    "Log the current of each line at the board's incomer with a clamp logger, one-minute maxima, "
    "over at least a week with the usual load; or have whoever knows the site declare the maximum."
)
_SOURCES = (
    "Look for photovoltaics, batteries and generators along everything that hangs on it, and ask "
    "the owner."
)
_SOURCE = "Read its rating plate and its wiring diagram, or ask whoever installed it."
_LOG = "Ask whoever took the log."
_CABLE_PRINT = "Read the print on the sheath, or measure the cores where they end, dead."
_ROUTE = "Follow the route of the cable from end to end."

_HOW: Mapping[str, str] = {
    # Supply
    "supply.kind": _OPERATOR,
    "supply.earthing_system": "Look at the origin how neutral, protective conductor and earth are "
    "connected, and ask the network operator.",
    "supply.nominal_voltage_v": "Measure it at the origin between lines, or ask the operator.",
    "supply.prospective_fault_current_ka": "Ask the network operator for the largest three-phase "
    "value, or measure it at the origin with an installation tester: the highest reading between "
    "two lines times 2/√3.",
    "supply.smallest_fault_current_ka": _OPERATOR,
    "supply.short_circuit_power_kva": _OPERATOR,
    "supply.external_loop_impedance_ohm": "Measure the loop of each line to the protective "
    "conductor at the origin with an installation tester; the highest counts.",
    "supply.external_line_neutral_loop_ohm": "Measure the loop of each line to neutral at the "
    "origin with an installation tester; the highest counts.",
    "supply.electrode_resistance_ohm": "Measure the earth electrode with an earth tester.",
    "supply.contracted_current_a": "Read the supply contract, or ask the network operator.",
    "supply.contracted_power_kva": "Read the supply contract, or ask the network operator.",
    "supply.metering_continuous_a": "Ask whoever runs the metering place, or read its label.",
    "supply.other_sources_none": _SOURCES,
    "supply.surge_protection": "Look in the board at the origin.",
    "supply.service_device": "Ask the network operator whose device it is; do not break its seal.",
    "supply.transformer": "Read the rating plate or the test report of the transformer.",
    # Boards and their demand
    "demand.log": _LOG,
    "demand.load": "Read the rating plate of the load.",
    "demand.net_of_generation": "Ask whoever stated the demand.",
    "demand": _LOGGER,
    "board.other_sources_none": _SOURCES,
    "board.surge_protection": "Look in the board.",
    "board.loaded_outgoing_circuits": "Count the outgoing circuits that are loaded together.",
    "board": "Read the label of the board or its maker's documents.",
    "source": _SOURCE,
    # Devices
    "device.backed_up_to_ka": "Look up the back-up table of the device's maker for the device that "
    "stands before it, or ask the maker.",
    "device.breaking_capacity_ka": "Read it on the front of the device (the figure in a frame, or "
    "Icu in its data sheet).",
    "device.characteristic": "Read the letter before the rating on the front of the device.",
    "device.enclosure_temperature_c": "Measure the air between the devices after hours of load, "
    "covers on.",
    "device.loaded_neighbours": "Look which devices at its sides are loaded at the same time.",
    "device.let_through_a2s": "Take it from the maker's curve at this fault level.",
    "device": _READ_PART,
    "residual_current_device.present": "Look in the board for a device with a test button.",
    "residual_current_device.type": "Read the symbol or letter of the type on its front.",
    "residual_current_device.other_leakage_ma": "Measure with a clamp for leakage currents about "
    "all live conductors behind it, station off.",
    "residual_current_device": _READ_PART,
    # Circuits and cables
    "circuit.other_outlets_none": "Look along the whole circuit.",
    "circuit.other_outlet": "Read the rating on the outlet.",
    "circuit.double_insulated": "Look at cable, enclosures and the maker's marks.",
    "circuit.fire_risk": "Ask the owner what is stored or worked along the circuit.",
    "circuit.pen_conductor": "Look in the board, dead, whether neutral and protective conductor "
    "are two conductors.",
    "cable.length_m": "Measure along the route with a tape or wheel, or read the metre marks on "
    "the sheath.",
    "cable.section_mm2": _CABLE_PRINT,
    "cable.protective_section_mm2": _CABLE_PRINT,
    "cable.neutral_section_mm2": _CABLE_PRINT,
    "cable.conductor": _CABLE_PRINT,
    "cable.insulation": _CABLE_PRINT,
    "cable.method": _ROUTE + " The worst place counts: in a wall, in conduit, on a wall, in air, "
    "in the ground.",
    "cable.grouped_circuits": _ROUTE + " Count the loaded circuits where most lie together.",
    "cable.grouping": _ROUTE + " Look how the circuits lie beside each other.",
    "cable.ambient_c": "Measure the air, or the ground, at the warmest place of the route, or take "
    "the warmest that is known there.",
    "cable.in_sun": _ROUTE,
    "cable.ends_rated_c": "Ask the makers of the devices and terminals at both ends.",
    "part": _READ_PART,
    # Outlet and cord
    "outlet.condition": "Isolate, prove dead, open the outlet, and look for damage and traces of "
    "heat.",
    "outlet.ip_code": "Read it on the outlet.",
    "outlet.ik_code": "Read it on the outlet or in its data sheet.",
    "outlet.lockable_isolation": "Look in the board whether a switch or device for all live "
    "conductors can be locked off.",
    "outlet.impact_guarded": "Look whether its place, or a guard, keeps vehicles away.",
    "outlet.vehicle_traffic": "Look whether vehicles move at the outlet.",
    "outlet.neutral_earth_bridge": "Measure between neutral and protective conductor, circuit "
    "dead, neutral disconnected at the board.",
    "outlet": _READ_PART,
    "cord.length_m": "Measure it.",
    "cord.layers_on_drum": "Look how it lies in use.",
    "cord.in_sun": "Look where it lies in use.",
    "cord.ambient_c": "Take the warmest air that is known where it lies.",
    "cord.condition": "Look at the whole cord.",
    "cord.plug_condition": "Unplug and open the plug, and look for damage and traces of heat.",
    "cord": "Read the print on the cord and the marks on its plug.",
    # Station
    "station.setting_locked": "Ask the maker of the station whether the setting can be changed "
    "without a tool or a pass word.",
    "station": _STATION,
}
"""By place in the survey without positions: a field counts before the table that it stands in."""


def how_to_find_out(place: str) -> str:
    """Return how the value at a place of the survey (``circuit[1].cable[2].length_m``) is found."""
    names = _POSITION.sub("", place).split(".")
    for stop in range(len(names), 0, -1):
        for start in range(stop):
            if (how := _HOW.get(".".join(names[start:stop]))) is not None:
                return how
    return _READ_PART
