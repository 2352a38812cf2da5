"""Tabulated values of standards: exact lookup with source, refusal outside the table."""

from __future__ import annotations

from feasibility.tables.ampacity import ampacity, ampacity_sections
from feasibility.tables.boards import (
    assembly_loading_factor,
    breaker_ambient_factors,
    breaker_grouping_factor,
    residual_current_rule,
)
from feasibility.tables.conductors import (
    annex_g_resistivity,
    k_factor,
    minimum_protective_section,
    reactance,
    resistance_20c,
    resistivity_20c,
    standard_sections,
    temperature_coefficient,
    typical_reactance,
    voltage_drop_length_allowance,
    voltage_drop_limit,
)
from feasibility.tables.cords import (
    cord_ambient_factor,
    cord_ampacity,
    cord_drum_factor,
    cord_grades,
    cord_sections,
)
from feasibility.tables.devices import (
    BreakerPoint,
    FuseConventional,
    FuseEnergy,
    FuseGates,
    breaker_points,
    breaking_capacities,
    fuse_conventional,
    fuse_energy,
    fuse_gates,
    let_through_energy,
    standard_device_ratings,
)
from feasibility.tables.errors import NotTabulated, TableError
from feasibility.tables.factors import (
    ambient_air_factor,
    ground_temperature_factor,
    soil_factor,
    third_harmonic_factor,
)
from feasibility.tables.faults import (
    disconnection_time,
    electrode_limit,
    harmonic_limits,
    voltage_factors,
    voltage_factors_above_1_kv,
)
from feasibility.tables.grouping import Arrangement, Spacing, grouping_factor
from feasibility.tables.loader import sources, table, table_names
from feasibility.tables.outlets import (
    OutletConfiguration,
    industrial_outlet,
    outlet_configurations,
    outlet_ratings,
    terminal_sections,
)
from feasibility.tables.record import Confirmation, Header, Row, Source, Table

__all__ = [
    "Arrangement",
    "BreakerPoint",
    "Confirmation",
    "FuseConventional",
    "FuseEnergy",
    "FuseGates",
    "Header",
    "NotTabulated",
    "OutletConfiguration",
    "Row",
    "Source",
    "Spacing",
    "Table",
    "TableError",
    "ambient_air_factor",
    "ampacity",
    "ampacity_sections",
    "annex_g_resistivity",
    "assembly_loading_factor",
    "breaker_ambient_factors",
    "breaker_grouping_factor",
    "breaker_points",
    "breaking_capacities",
    "cord_ambient_factor",
    "cord_ampacity",
    "cord_drum_factor",
    "cord_grades",
    "cord_sections",
    "disconnection_time",
    "electrode_limit",
    "fuse_conventional",
    "fuse_energy",
    "fuse_gates",
    "ground_temperature_factor",
    "grouping_factor",
    "harmonic_limits",
    "industrial_outlet",
    "k_factor",
    "let_through_energy",
    "minimum_protective_section",
    "outlet_configurations",
    "outlet_ratings",
    "reactance",
    "residual_current_rule",
    "resistance_20c",
    "resistivity_20c",
    "soil_factor",
    "sources",
    "standard_device_ratings",
    "standard_sections",
    "table",
    "table_names",
    "temperature_coefficient",
    "terminal_sections",
    "third_harmonic_factor",
    "typical_reactance",
    "voltage_drop_length_allowance",
    "voltage_drop_limit",
    "voltage_factors",
    "voltage_factors_above_1_kv",
]
