"""How much a field of the survey matters: it decides, it narrows, or only where it applies."""

from __future__ import annotations

from enum import StrEnum

from feasibility.code_basis import code_basis

_BASIS = "iec-60364"

DECISIVE = frozenset(
    {
        "board.demand.load.connected_kw",
        "board.demand.log.generation_behind_meter",
        "board.demand.log.l1_column",
        "board.demand.log.l2_column",
        "board.demand.log.l3_column",
        "board.demand.maximum_a",
        "board.demand.maximum_l1_a",
        "board.demand.maximum_l2_a",
        "board.demand.maximum_l3_a",
        "board.demand.net_of_generation",
        "board.other_sources_none",
        "board.rated_current_a",
        "board.source.changeover",
        "board.source.feeds_station",
        "board.source.islanding",
        "board.source.kind",
        "board.source.phases",
        "board.source.rated_current_a",
        "circuit.cable.ambient_c",
        "circuit.cable.conductor",
        "circuit.cable.grouped_circuits",
        "circuit.cable.in_sun",
        "circuit.cable.length_m",
        "circuit.cable.method",
        "circuit.cable.protective_section_mm2",
        "circuit.cable.section_mm2",
        "circuit.device.breaking_capacity_ka",
        "circuit.device.kind",
        "circuit.device.magnetic_setting_a",
        "circuit.device.rating_a",
        "circuit.device.setting_a",
        "circuit.double_insulated",
        "circuit.fire_risk",
        "circuit.other_outlet.rating_a",
        "circuit.other_outlets_none",
        "circuit.pen_conductor",
        "circuit.residual_current_device.delay",
        "circuit.residual_current_device.present",
        "circuit.residual_current_device.rating_a",
        "circuit.residual_current_device.residual_current_ma",
        "circuit.residual_current_device.type",
        "cord.ambient_c",
        "cord.condition",
        "cord.in_sun",
        "cord.layers_on_drum",
        "cord.length_m",
        "cord.plug_clock_position",
        "cord.plug_condition",
        "cord.plug_poles",
        "cord.plug_rating_a",
        "cord.plug_terminals_from_mm2",
        "cord.plug_terminals_to_mm2",
        "cord.protective_section_mm2",
        "cord.section_mm2",
        "outlet.clock_position",
        "outlet.condition",
        "outlet.ik_code",
        "outlet.impact_guarded",
        "outlet.ip_code",
        "outlet.kind",
        "outlet.lockable_isolation",
        "outlet.poles",
        "outlet.rating_a",
        "station.can_feed_back",
        "station.phases",
        "station.third_harmonic_percent",
        "supply.contracted_current_a",
        "supply.contracted_power_kva",
        "supply.demand.maximum_l1_a",
        "supply.demand.maximum_l2_a",
        "supply.demand.maximum_l3_a",
        "supply.earthing_system",
        "supply.electrode_resistance_ohm",
        "supply.external_loop_impedance_ohm",
        "supply.kind",
        "supply.metering_continuous_a",
        "supply.nominal_voltage_v",
        "supply.other_sources_none",
        "supply.prospective_fault_current_ka",
        "supply.service_device.kind",
        "supply.service_device.rating_a",
        "supply.transformer.rated_power_kva",
        "supply.transformer.rated_secondary_voltage_v",
        "supply.transformer.short_circuit_voltage_percent",
        "supply.transformer.vector_group",
    }
)
"""Left out of a shipped site's survey, each of these opens a question (``tests/survey/decisive.py``
finds them); a field that the code basis has a range for counts by that range all the same."""

_RANGE_KEYS = {
    "service_device": "device",
    "auxiliary_l1_w": "auxiliary_w",
    "auxiliary_l2_w": "auxiliary_w",
    "auxiliary_l3_w": "auxiliary_w",
    "minimum_voltage_v": "minimum_voltage_ratio",
    "full_power_voltage_v": "full_power_voltage_ratio",
    "maximum_voltage_v": "maximum_voltage_ratio",
    "inrush_peak_a": "inrush_ratio",
}
"""Fields and tables under whose other name the code basis keeps a range."""


class Importance(StrEnum):
    """What a missing value does to the answer."""

    DECIDES = "decides"
    NARROWS = "narrows"
    WHERE_IT_APPLIES = "where it applies"


def importance_of(field: str) -> Importance:
    """Return how much a field matters; ``circuit.cable.length_m``, without positions."""
    table, _, name = field.rpartition(".")
    owner = table.rpartition(".")[2]
    key = f"{_RANGE_KEYS.get(owner, owner)}.{_RANGE_KEYS.get(name, name)}"
    if key in code_basis(_BASIS).ranges:
        return Importance.NARROWS
    return Importance.DECIDES if field in DECISIVE else Importance.WHERE_IT_APPLIES
