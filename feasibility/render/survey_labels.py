"""The words of the report for the fields of a survey: field, label and unit, by table."""

from __future__ import annotations

SUPPLY = (
    ("kind", "kind of supply", ""),
    ("earthing_system", "earthing system", ""),
    ("nominal_voltage_v", "nominal voltage between lines", "V"),
    ("tolerance_low_percent", "lowest voltage below nominal", "%"),
    ("tolerance_high_percent", "highest voltage above nominal", "%"),
    ("lowest_voltage_v", "lowest voltage at the origin", "V"),
    ("highest_voltage_v", "highest voltage at the origin", "V"),
    ("frequency_hz", "frequency", "Hz"),
    ("prospective_fault_current_ka", "prospective fault current at the origin", "kA"),
    ("smallest_fault_current_ka", "smallest fault current at the origin", "kA"),
    ("short_circuit_power_kva", "short-circuit power for judging disturbances", "kVA"),
    ("external_loop_impedance_ohm", "external earth-fault loop impedance", "Ω"),
    ("external_line_neutral_loop_ohm", "external line-neutral loop impedance", "Ω"),
    ("electrode_resistance_ohm", "resistance of the earth electrode", "Ω"),
    ("contracted_current_a", "contracted current", "A"),
    ("contracted_power_kva", "contracted power", "kVA"),
    ("metering_continuous_a", "continuous current of the metering place", "A"),
    ("other_sources_none", "nothing else feeds in at the origin", ""),
    ("surge_protection", "surge protective device at the origin", ""),
    ("pen_loss_measure", "measure against loss of the PEN conductor", ""),
)
TRANSFORMER = (
    ("load_loss_kw", "load loss at rated current", "kW"),
    ("zero_sequence_impedance_ohm", "zero-sequence impedance by the test report", "Ω"),
    ("tap_percent", "tapping in use, voltage of the high-voltage side", "%"),
    ("no_load_voltage_v", "low voltage without load at the tapping in use", "V"),
    ("upstream_tolerance_low_percent", "medium voltage may fall by", "%"),
    ("upstream_tolerance_high_percent", "medium voltage may rise by", "%"),
    ("largest_upstream_fault_mva", "largest short-circuit power of the medium voltage", "MVA"),
    ("smallest_upstream_fault_mva", "smallest short-circuit power of the medium voltage", "MVA"),
)
DEMAND = (
    ("maximum_a", "maximum of the worst phase", "A"),
    ("maximum_l1_a", "maximum L1", "A"),
    ("maximum_l2_a", "maximum L2", "A"),
    ("maximum_l3_a", "maximum L3", "A"),
    ("maximum_kw", "maximum power", "kW"),
    ("diversity_factor", "diversity factor over all of it", ""),
    ("annual_energy_kwh", "energy of a year", "kWh"),
    ("load_profile", "standard load profile", ""),
    ("power_factor", "power factor", ""),
    ("net_of_generation", "generation is subtracted from it", ""),
)
LOAD = (
    ("connected_a", "current in each of its phases", "A"),
    ("connected_kw", "power", "kW"),
    ("phases", "phases", ""),
    ("power_factor", "power factor", ""),
    ("diversity_factor", "diversity factor", ""),
)
LOG = (
    ("each_sample", "a sample of the log is the", ""),
    ("generation_behind_meter", "generation behind the place of the log", ""),
)
DEVICE = (
    ("enclosure_temperature_c", "temperature in its enclosure", "°C"),
    ("loaded_neighbours", "loaded devices beside it", ""),
    ("continuous_a", "maker's continuous current", "A"),
    ("energy_limiting_class", "energy limiting class", ""),
    ("let_through_a2s", "let-through energy by the maker's curve", "A2s"),
    ("temperature_factor", "maker's factor for the temperature", ""),
    ("grouping_factor", "maker's factor for neighbours", ""),
    ("service_breaking_capacity_ka", "service short-circuit capacity", "kA"),
    ("backed_up_to_ka", "backed up by the device before it to", "kA"),
)
READINGS = (
    ("measured_loop_impedance_ohm", "measured earth-fault loop impedance", "Ω"),
    ("measured_fault_current_ka", "measured fault current", "kA"),
    ("measured_fault_between", "fault current measured between", ""),
)
BOARD = (
    ("assembly", "assembly", ""),
    ("rated_diversity_factor", "maker's rated diversity factor", ""),
    ("loaded_outgoing_circuits", "outgoing circuits loaded at the same time", ""),
    ("rated_current_a", "rated current of the board", "A"),
    ("other_sources_none", "nothing else feeds in here", ""),
    ("surge_protection", "surge protective device", ""),
    *READINGS,
)
SOURCE = (
    ("kind", "kind", ""),
    ("rated_current_a", "largest output current per phase", "A"),
    ("phases", "phases", ""),
    ("changeover", "a changeover device keeps it from the network", ""),
    ("islanding", "can feed the site without the network", ""),
    ("feeds_station", "the station can draw from it then", ""),
)
OUTLET = (
    ("continuous_a", "continuous current", "A"),
    *READINGS,
    ("building_site", "serves a building site", ""),
    ("location", "location", ""),
    ("water", "water that reaches it", ""),
    ("ip_code", "degree of protection", ""),
    ("vehicle_traffic", "vehicles move at it", ""),
    ("impact_guarded", "position or guard keeps vehicles away", ""),
    ("ik_code", "protection against impact", ""),
    ("condition", "condition as seen", ""),
    ("terminals_from_mm2", "smallest conductor its terminals take", "mm²"),
    ("terminals_to_mm2", "largest conductor its terminals take", "mm²"),
    ("pilot_contact", "pilot contact", ""),
    ("interlocked_switch", "interlocked switch", ""),
    ("lockable_isolation", "can be isolated and locked off", ""),
    ("neutral_earth_bridge", "neutral and protective conductor joined at it", ""),
    ("erected_year", "year of erection", ""),
    ("last_inspection", "last inspection and test", ""),
)
CIRCUIT = (
    ("other_outlets_none", "no other outlet or tap", ""),
    ("double_insulated", "double or reinforced insulation throughout", ""),
    ("fire_risk", "particular risk of fire along it", ""),
    ("pen_conductor", "neutral and protective conductor are one", ""),
)
RESIDUAL_CURRENT_DEVICE = (
    ("present", "residual-current device present", ""),
    ("delay", "its delay", ""),
    ("delay_s", "its set delay", "s"),
    ("combined", "one unit with the circuit-breaker", ""),
    ("conditional_fault_current_ka", "fault current that it withstands", "kA"),
    ("direct_current_detection", "detects smooth direct current above 6 mA", ""),
    ("other_leakage_ma", "standing current of what else hangs on it", "mA"),
    ("other_direct_current_ma", "smooth direct current of what else hangs on it", "mA"),
)
CABLE = (
    ("in_sun", "lies in the sun", ""),
    ("neutral_section_mm2", "neutral", "mm²"),
    ("protective_section_mm2", "protective conductor", "mm²"),
    ("protective_conductor_laid", "protective conductor laid as", ""),
    ("second_protective_section_mm2", "second protective conductor", "mm²"),
)
PART = (("conditional_fault_current_ka", "fault current that it withstands", "kA"),)
CORD = (
    ("condition", "condition of the cord as seen", ""),
    ("plug_condition", "condition of the plug as seen", ""),
    ("plug_terminals_from_mm2", "smallest conductor the plug takes", "mm²"),
    ("plug_terminals_to_mm2", "largest conductor the plug takes", "mm²"),
    ("protective_section_mm2", "protective conductor of the cord", "mm²"),
    ("ambient_c", "air about the cord", "°C"),
    ("in_sun", "lies in the sun", ""),
    ("layers_on_drum", "layers on a drum", ""),
)
STATION = (
    ("phases", "phases", ""),
    ("needs_neutral", "needs a neutral", ""),
    ("input_power_kw", "input power", "kW"),
    ("dc_power_kw", "direct-current power", "kW"),
    ("efficiency", "efficiency", ""),
    ("power_factor", "power factor", ""),
    ("auxiliary_l1_w", "auxiliaries on L1", "W"),
    ("auxiliary_l2_w", "auxiliaries on L2", "W"),
    ("auxiliary_l3_w", "auxiliaries on L3", "W"),
    ("nameplate_current_a", "nameplate input current", "A"),
    ("inlet_rating_a", "rating of the inlet", "A"),
    ("input_device_kind", "its own input device", ""),
    ("input_device_rating_a", "rating of its own input device", "A"),
    ("input_device_characteristic", "characteristic of its own input device", ""),
    ("input_device_setting_a", "overload setting of its own input device", "A"),
    ("input_device_magnetic_setting_a", "short-circuit setting of its own input device", "A"),
    ("setting_a", "setting of the input current", "A"),
    ("setting_tolerance_percent", "tolerance of the setting", "%"),
    ("setting_limits", "the setting limits", ""),
    ("setting_locked", "setting locked", ""),
    ("setting_survives_restart", "setting survives a restart", ""),
    ("setting_survives_lost_communication", "setting survives lost communication", ""),
    ("managed_fail_safe_a", "current on loss of load management", "A"),
    ("minimum_voltage_v", "minimum operating voltage", "V"),
    ("full_power_voltage_v", "voltage for full power", "V"),
    ("maximum_voltage_v", "highest voltage", "V"),
    ("largest_upstream_device_a", "largest device before it", "A"),
    ("permitted_fault_current_ka", "permitted fault current", "kA"),
    ("third_harmonic_percent", "third harmonic", "%"),
    ("harmonic_5_percent", "5th harmonic", "%"),
    ("harmonic_7_percent", "7th harmonic", "%"),
    ("harmonic_9_percent", "9th harmonic", "%"),
    ("harmonic_11_percent", "11th harmonic", "%"),
    ("harmonic_13_percent", "13th harmonic", "%"),
    ("current_distortion_percent", "distortion of the current (THC)", "%"),
    ("weighted_distortion_percent", "weighted distortion of orders 14 to 40 (PWHC)", "%"),
    ("declared_short_circuit_ratio", "least short-circuit ratio Rsce that its maker declares", ""),
    ("inrush_peak_a", "peak of the inrush current", "A"),
    ("inrush_duration_ms", "duration of the inrush current", "ms"),
    ("largest_step_a", "largest step of its current", "A"),
    ("ramp_s", "time that this step takes", "s"),
    ("permitted_supply_impedance_ohm", "largest supply impedance Zmax that its maker permits", "Ω"),
    ("declared_service_current_a", "least service current that its maker declares", "A"),
    ("protective_conductor_current_ma", "standing protective-conductor current", "mA"),
    ("protective_conductor_monitored", "continuity of the protective conductor monitored", ""),
    ("residual_current_kind", "kind of residual current", ""),
    ("direct_current_detection", "detects smooth direct residual current itself", ""),
    ("required_residual_current_type", "type of residual-current device its manual asks for", ""),
    ("can_feed_back", "can feed back", ""),
    ("feed_back_blocked_by", "feeding back is blocked by", ""),
    ("remote_limitation", "limitation of its power from outside by", ""),
    ("storage_capacity_kwh", "usable energy of its battery", "kWh"),
)


_BY_TABLE = {
    "Supply": SUPPLY,
    "Transformer": TRANSFORMER,
    "ConnectedLoad": LOAD,
    "Demand": DEMAND,
    "MeasuredLog": LOG,
    "Device": DEVICE,
    "Board": BOARD,
    "Source": SOURCE,
    "Outlet": OUTLET,
    "Circuit": CIRCUIT,
    "ResidualCurrentDevice": RESIDUAL_CURRENT_DEVICE,
    "Cable": CABLE,
    "Part": PART,
    "Cord": CORD,
    "Station": STATION,
}


def report_label(table: str, field: str) -> str:
    """Return the words of the report for a field of a survey table, or an empty text."""
    return next((label for name, label, _ in _BY_TABLE.get(table, ()) if name == field), "")
