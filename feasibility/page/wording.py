"""Words for the fields of the form: labels, what is asked first, hints. Trade words only."""

from __future__ import annotations

from collections.abc import Mapping

from feasibility.render.survey_labels import report_label
from feasibility.survey_io.wording import name_in_words

_METER = {
    "percent": "permitted error, of the reading",
    "digits": "and digits of the last place",
    "resolution_v": "one digit is worth",
    "resolution_a": "one digit is worth",
    "resolution_ohm": "one digit is worth",
}
_LABELS: Mapping[str, Mapping[str, str]] = {
    "Site": {
        "reference": "reference of the survey",
        "name": "name of the site",
        "metering_point": "number of the metering place",
        "planned_operation": "station shall draw from",
        "latitude_deg": "geographical latitude",
    },
    "Surveyor": {
        "name": "name",
        "registration": "number in the register of installers",
        "date": "date of the survey",
    },
    "Survey": {"code_basis": "code basis"},
    "Device": {
        "rating_a": "rated current",
        "setting_a": "overload setting Ir",
        "short_time_setting_a": "short-time setting",
        "short_time_delay_s": "short-time delay",
        "magnetic_setting_a": "short-circuit setting",
        "breaking_capacity_ka": "breaking capacity (Icn or Icu)",
        "backed_up_by": "backed up by",
        "selective_up_to_ka": "selective up to, by the maker's table",
        "selective_with": "selective with (the device before)",
    },
    "CurvePoint": {
        "fastest_s": "does not operate before",
        "slowest_s": "has operated after",
    },
    "ResidualCurrentDevice": {
        "residual_current_ma": "rated residual current",
        "rating_a": "rated current",
    },
    "Cable": {
        "section_mm2": "section of a line conductor",
        "laid": "single cores laid",
        "method": "installation method",
        "ambient_c": "temperature of the air, or of the ground where buried",
        "grouped_circuits": "loaded circuits together, this one included",
        "grouping": "how they lie together",
        "grouping_spacing": "spacing where buried",
        "soil_resistivity_k_m_per_w": "thermal resistivity of the soil",
        "in_parallel": "equal cables in parallel",
        "ampacity_a": "ampacity by its data sheet",
        "ends_rated_c": "terminals at both ends declared for",
    },
    "Part": {"rating_a": "rated current", "continuous_a": "maker's continuous current"},
    "OtherOutlet": {"rating_a": "rated current", "blocked": "blocked against use"},
    "Outlet": {"rating_a": "rated current", "poles": "poles", "clock_position": "clock position"},
    "Cord": {
        "section_mm2": "section of a line conductor",
        "ampacity_a": "ampacity by its data sheet",
        "ends_rated_c": "plug and inlet declared for",
        "plug_rating_a": "rated current of the plug",
        "plug_poles": "poles of the plug",
        "plug_clock_position": "clock position of the plug",
    },
    "Station": {"settings_a": "input currents that can be set, per phase"},
    "CommissioningRecord": {"date": "date of the readings"},
    "Voltmeter": _METER,
    "Clamp": _METER,
    "LoopTester": _METER,
    "Voltages": {
        "l1_n_v": "L1 to neutral",
        "l2_n_v": "L2 to neutral",
        "l3_n_v": "L3 to neutral",
        "l1_l2_v": "L1 to L2",
        "l2_l3_v": "L2 to L3",
        "l3_l1_v": "L3 to L1",
    },
    "NodeReadings": {
        "name": "name of the place, as in the report",
        "loop_l1_ohm": "loop of L1 and protective conductor",
        "loop_l2_ohm": "loop of L2 and protective conductor",
        "loop_l3_ohm": "loop of L3 and protective conductor",
    },
    "Load": {
        "l1_a": "the station draws in L1",
        "l2_a": "the station draws in L2",
        "l3_a": "the station draws in L3",
        "minutes": "for how many minutes by now",
        "ambient_c": "air about",
        "origin_swing_v": "the voltage at the origin changed by itself by",
    },
    "Thermometer": {"error_k": "permitted error in K"},
    "MeasuredLog": {
        "l1_column": "heading of the column of L1",
        "l2_column": "heading of the column of L2",
        "l3_column": "heading of the column of L3",
        "total_column": "heading of the column of the total",
        "time_column": "heading of the column of times",
        "generation_column": "heading of the column of generation",
        "interval_s": "time between two rows",
        "measured_at": "measured at (name of the board, or origin)",
        "file": "file of the log",
    },
    "OutputLog": {
        "file": "file of the log",
        "time_column": "heading of the column of times",
        "output_column": "heading of the column of what it delivered",
        "interval_s": "time between two rows",
    },
}

FIRST: Mapping[str, tuple[str, ...]] = {
    "Site": ("name", "reference", "address", "client"),
    "Surveyor": ("name", "qualification", "date"),
    "Supply": (
        "kind",
        "earthing_system",
        "nominal_voltage_v",
        "contracted_current_a",
        "metering_continuous_a",
        "prospective_fault_current_ka",
        "external_loop_impedance_ohm",
        "other_sources_none",
    ),
    "Device": (
        "kind",
        "rating_a",
        "characteristic",
        "fuse_system",
        "breaking_capacity_ka",
        "energy_limiting_class",
    ),
    "ResidualCurrentDevice": (
        "present",
        "type",
        "residual_current_ma",
        "delay",
        "rating_a",
        "conditional_fault_current_ka",
        "other_leakage_ma",
    ),
    "Board": (
        "name",
        "rated_current_a",
        "other_sources_none",
        "assembly",
        "rated_diversity_factor",
    ),
    "Demand": ("maximum_a", "maximum_l1_a", "maximum_l2_a", "maximum_l3_a"),
    "Circuit": ("name", "starts_at", "ends_at", "other_outlets_none", "fire_risk"),
    "Cable": (
        "length_m",
        "section_mm2",
        "protective_section_mm2",
        "conductor",
        "insulation",
        "construction",
        "method",
        "ambient_c",
        "in_sun",
        "grouped_circuits",
        "grouping",
    ),
    "Outlet": (
        "kind",
        "rating_a",
        "poles",
        "clock_position",
        "location",
        "ip_code",
        "condition",
        "vehicle_traffic",
        "lockable_isolation",
        "neutral_earth_bridge",
        "measured_loop_impedance_ohm",
    ),
    "Cord": (
        "length_m",
        "section_mm2",
        "protective_section_mm2",
        "grade",
        "ambient_c",
        "in_sun",
        "layers_on_drum",
        "plug_rating_a",
        "plug_poles",
        "plug_clock_position",
        "condition",
        "plug_condition",
    ),
    "Station": (
        "name",
        "maker",
        "type_designation",
        "phases",
        "needs_neutral",
        "input_power_kw",
        "dc_power_kw",
        "efficiency",
        "nameplate_current_a",
        "settings_a",
        "setting_a",
        "setting_limits",
        "setting_locked",
        "setting_survives_restart",
        "setting_survives_lost_communication",
        "residual_current_kind",
        "third_harmonic_percent",
        "can_feed_back",
    ),
    "CommissioningRecord": ("date", "read_by", "qualification", "note"),
    "Voltmeter": ("name", "percent", "digits", "resolution_v"),
    "Clamp": ("name", "percent", "digits", "resolution_a"),
    "LoopTester": ("name", "percent", "digits", "resolution_ohm"),
    "Thermometer": ("name", "error_k"),
    "Voltages": ("l1_n_v", "l2_n_v", "l3_n_v"),
    "NodeReadings": ("loop_l1_ohm", "loop_l2_ohm", "loop_l3_ohm"),
}
"""What is asked first in each table; the rest stands behind a heading that opens."""

ALWAYS_SHOWN = frozenset(
    {
        ("board", "demand"),
        ("loop_tester",),
        ("voltmeter",),
        ("clamp",),
        ("load",),
        ("node", "with_station"),
        ("node", "without_station"),
    }
)
"""Tables that a new survey or record has not yet and every site needs."""

HINTS: Mapping[str, str] = {
    "Supply.nominal_voltage_v": "between lines, such as 400",
    "Supply.prospective_fault_current_ka": "the largest three-phase one at the origin",
    "Supply.external_loop_impedance_ohm": "line and protective conductor, at the origin",
    "Demand.maximum_a": "the worst phase, without the station; or the three phases one by one",
    "Cable.protective_section_mm2": "0 where there is none",
    "Cable.grouped_circuits": "1 where it lies alone",
    "Cord.layers_on_drum": "0 where it lies fully unwound",
    "Cord.protective_section_mm2": "0 where there is none",
    "Voltmeter.percent": "by the data sheet of the instrument",
    "Clamp.percent": "by the data sheet of the instrument",
    "LoopTester.percent": "by the data sheet of the instrument",
    "Load.l1_a": "while voltages and temperatures are read",
    "Load.origin_swing_v": "between two readings, without the station",
    "Station.input_power_kw": "or the direct-current power with the efficiency",
    "Station.third_harmonic_percent": "of the input current, by its data sheet",
    "Station.settings_a": "such as 10, 13, 16, 20",
    "Outlet.neutral_earth_bridge": "measured with the plug out and the outlet dead",
    "Outlet.ip_code": "such as IP44",
    "ResidualCurrentDevice.other_leakage_ma": "what else hangs on it drives; 0 if none",
    "Board.other_sources_none": "somebody looked: no photovoltaic, battery or generator here",
    "Supply.other_sources_none": "somebody looked: no photovoltaic, battery or generator here",
    "Circuit.other_outlets_none": "somebody looked along the whole circuit",
    "Source.rated_current_a": "in each of its phases; where they differ, state a source for each",
    "Source.output_profile": "needs the site's latitude; or give a file with what it delivered",
    "Site.latitude_deg": "a whole degree is enough, south is negative; for photovoltaics only",
    "OutputLog.unit": "A in each of its phases, or kW all of it",
}

LOGS: Mapping[str, tuple[str, str]] = {
    "Demand": ("log", "Measured log of this demand"),
    "Source": ("output", "Log of what this source delivered"),
}
"""The field of a table that names a log, and what such a file shows."""

USUAL: Mapping[str, tuple[str, ...]] = {
    "Outlet.rating_a": ("16", "32", "63", "125"),
    "Cord.plug_rating_a": ("16", "32", "63", "125"),
    "Device.rating_a": ("16", "20", "25", "32", "40", "50", "63"),
    "Cable.section_mm2": ("2.5", "4", "6", "10", "16", "25", "35"),
    "Cord.section_mm2": ("2.5", "4", "6", "10", "16", "25"),
    "Supply.nominal_voltage_v": ("400", "230"),
}
"""Usual figures that can be taken with one tap; any other can be typed."""

METHODS: Mapping[str, str] = {
    "A1": "single cores in conduit in a thermally insulated wall",
    "A2": "multicore cable in conduit in a thermally insulated wall",
    "B1": "single cores in conduit on a wall",
    "B2": "multicore cable in conduit on a wall",
    "C": "cable directly on a wall",
    "D1": "multicore cable in a duct in the ground",
    "D2": "multicore cable directly in the ground",
    "E": "multicore cable in free air, on a tray or ladder",
    "F": "single cores touching, in free air",
    "G": "single cores spaced, in free air",
}
"""IEC 60364-5-52:2009, Table B.52.1 (from memory)."""


def label_of(table: str, field: str) -> str:
    """Return the words for a field: the form's own, else the report's, else its name."""
    own = _LABELS.get(table, {}).get(field)
    return own or report_label(table, field) or name_in_words(field)
