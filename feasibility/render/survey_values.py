"""What the survey states, as rows of label, value and how it is known."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from feasibility.render.demand_log_rows import evidence_rows, log_rows
from feasibility.render.numbers import EN_DASH, NOT_KNOWN, number_text, options_text, with_unit

if TYPE_CHECKING:
    from feasibility.demand_evidence import DemandEvidence, KnownDemand
    from feasibility.survey.circuit import Circuit, Device
    from feasibility.survey.model import Survey
    from feasibility.survey.stated import Record, Stated

_HOW_KNOWN = {
    None: "",
    "measured": "measured",
    "read": "read from label or drawing",
    "told": "told",
    "assumed": "assumed by the surveyor",
}

_SUPPLY = (
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
_TRANSFORMER = (
    ("load_loss_kw", "load loss at rated current", "kW"),
    ("zero_sequence_impedance_ohm", "zero-sequence impedance by the test report", "Ω"),
    ("tap_percent", "tapping in use, voltage of the high-voltage side", "%"),
    ("no_load_voltage_v", "low voltage without load at the tapping in use", "V"),
    ("upstream_tolerance_low_percent", "medium voltage may fall by", "%"),
    ("upstream_tolerance_high_percent", "medium voltage may rise by", "%"),
    ("largest_upstream_fault_mva", "largest short-circuit power of the medium voltage", "MVA"),
    ("smallest_upstream_fault_mva", "smallest short-circuit power of the medium voltage", "MVA"),
)
_DEMAND = (
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
_LOAD = (
    ("connected_a", "current in each of its phases", "A"),
    ("connected_kw", "power", "kW"),
    ("phases", "phases", ""),
    ("power_factor", "power factor", ""),
    ("diversity_factor", "diversity factor", ""),
)
_LOG = (
    ("each_sample", "a sample of the log is the", ""),
    ("generation_behind_meter", "generation behind the place of the log", ""),
)
_DEVICE = (
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
_READINGS = (
    ("measured_loop_impedance_ohm", "measured earth-fault loop impedance", "Ω"),
    ("measured_fault_current_ka", "measured fault current", "kA"),
    ("measured_fault_between", "fault current measured between", ""),
)
_BOARD = (
    ("assembly", "assembly", ""),
    ("rated_diversity_factor", "maker's rated diversity factor", ""),
    ("loaded_outgoing_circuits", "outgoing circuits loaded at the same time", ""),
    ("rated_current_a", "rated current of the board", "A"),
    ("other_sources_none", "nothing else feeds in here", ""),
    ("surge_protection", "surge protective device", ""),
    *_READINGS,
)
_SOURCE = (
    ("kind", "kind", ""),
    ("rated_current_a", "largest output current per phase", "A"),
    ("phases", "phases", ""),
    ("changeover", "a changeover device keeps it from the network", ""),
    ("islanding", "can feed the site without the network", ""),
    ("feeds_station", "the station can draw from it then", ""),
)
_OUTLET = (
    ("continuous_a", "continuous current", "A"),
    *_READINGS,
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
_CIRCUIT = (
    ("other_outlets_none", "no other outlet or tap", ""),
    ("double_insulated", "double or reinforced insulation throughout", ""),
    ("fire_risk", "particular risk of fire along it", ""),
    ("pen_conductor", "neutral and protective conductor are one", ""),
)
_RESIDUAL_CURRENT_DEVICE = (
    ("present", "residual-current device present", ""),
    ("delay", "its delay", ""),
    ("delay_s", "its set delay", "s"),
    ("combined", "one unit with the circuit-breaker", ""),
    ("conditional_fault_current_ka", "fault current that it withstands", "kA"),
    ("direct_current_detection", "detects smooth direct current above 6 mA", ""),
    ("other_leakage_ma", "standing current of what else hangs on it", "mA"),
    ("other_direct_current_ma", "smooth direct current of what else hangs on it", "mA"),
)
_CABLE = (
    ("in_sun", "lies in the sun", ""),
    ("neutral_section_mm2", "neutral", "mm²"),
    ("protective_section_mm2", "protective conductor", "mm²"),
    ("protective_conductor_laid", "protective conductor laid as", ""),
    ("second_protective_section_mm2", "second protective conductor", "mm²"),
)
_PART = (("conditional_fault_current_ka", "fault current that it withstands", "kA"),)
_CORD = (
    ("condition", "condition of the cord as seen", ""),
    ("plug_condition", "condition of the plug as seen", ""),
    ("plug_terminals_from_mm2", "smallest conductor the plug takes", "mm²"),
    ("plug_terminals_to_mm2", "largest conductor the plug takes", "mm²"),
    ("protective_section_mm2", "protective conductor of the cord", "mm²"),
    ("ambient_c", "air about the cord", "°C"),
    ("in_sun", "lies in the sun", ""),
    ("layers_on_drum", "layers on a drum", ""),
)
_STATION = (
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
    "Supply": _SUPPLY,
    "Demand": _DEMAND,
    "MeasuredLog": _LOG,
    "Device": _DEVICE,
    "Board": _BOARD,
    "Source": _SOURCE,
    "Outlet": _OUTLET,
    "Circuit": _CIRCUIT,
    "ResidualCurrentDevice": _RESIDUAL_CURRENT_DEVICE,
    "Cable": _CABLE,
    "Part": _PART,
    "Cord": _CORD,
    "Station": _STATION,
}


def report_label(table: str, field: str) -> str:
    """Return the words of the report for a field of a survey table, or an empty text."""
    return next((label for name, label, _ in _BY_TABLE.get(table, ()) if name == field), "")


@dataclass(frozen=True, slots=True, kw_only=True)
class SurveyRow:
    """One surveyed value."""

    label: str
    value: str
    known: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SurveyTable:
    """The surveyed values of one part of the site."""

    title: str
    rows: tuple[SurveyRow, ...]


def stated_text(stated: Stated[Any] | None, unit: str = "") -> str:
    """Return a stated value, the bounds where only these are known, or ``not known``."""
    if stated is None:
        return NOT_KNOWN
    known = [one for one in (stated.value, stated.low, stated.high) if one is not None]
    if known and not unit and all(_is_plain_date_or_year(one) for one in known):
        return EN_DASH.join(str(one) for one in known)
    return options_text(known, unit) if known else NOT_KNOWN


def _is_plain_date_or_year(value: object) -> bool:
    """Whether a value is written digit by digit: a date, or a whole number without a unit."""
    return isinstance(value, dt.date) or (isinstance(value, int) and not isinstance(value, bool))


def how_known(stated: Stated[Any] | None) -> str:
    """Return how a value is known: measured with which instrument, when, by which method."""
    if stated is None:
        return ""
    words = [_HOW_KNOWN[stated.known]]
    if stated.instrument:
        words.append(f"with {stated.instrument}")
    if stated.date:
        words.append(f"on {stated.date.isoformat()}")
    text = " ".join(word for word in words if word)
    return "; ".join(part for part in (text, stated.method, stated.note) if part)


def survey_tables(
    survey: Survey, logs: Iterable[DemandEvidence] = (), demands: Iterable[KnownDemand] = ()
) -> tuple[SurveyTable, ...]:
    """Return the values of supply, demand, boards, devices, circuits, outlet and station.

    ``logs`` are the demands that are stated as a measured log, with what was found in it,
    ``demands`` says of each how it is known. What the drawing of the feed path shows of a device is
    not repeated.
    """
    boards = [_table(f"Board: {board.name}", board, _BOARD) for board in survey.board]
    sources = [
        _table(f"Second source at {where}: {source.name}", source, _SOURCE)
        for where, listed in (
            ("the origin", survey.supply.source),
            *((board.name, board.source) for board in survey.board),
            *((f"circuit '{circuit.name}'", circuit.source) for circuit in survey.circuit),
        )
        for source in listed
    ]
    settings = survey.station.settings_a
    station = _table(f"Station: {survey.station.name}", survey.station, _STATION)
    if settings:
        offered = with_unit(", ".join(number_text(one) for one in settings), "A")
        row = SurveyRow(label="settings offered", value=offered, known="")
        station = SurveyTable(title=station.title, rows=(*station.rows, row))
    tables = (
        _table("Supply", survey.supply, _SUPPLY, always=("earthing_system", "nominal_voltage_v")),
        *_transformer(survey),
        *_demand_tables(survey, logs, demands),
        *_devices(survey),
        *boards,
        *sources,
        *(_circuit_table(circuit) for circuit in survey.circuit),
        _table("Outlet", survey.outlet, _OUTLET),
        *([] if survey.cord is None else [_table("Cord", survey.cord, _CORD)]),
        station,
    )
    return tuple(one for one in tables if one.rows)


def _transformer(survey: Survey) -> Iterable[SurveyTable]:
    own = survey.supply.transformer
    return () if own is None else (_table("Own transformer", own, _TRANSFORMER),)


def _demand_tables(
    survey: Survey, logs: Iterable[DemandEvidence], demands: Iterable[KnownDemand]
) -> Iterable[SurveyTable]:
    used = {one.path: one for one in logs}
    known = {one.path: one for one in demands}
    stated = [("Existing demand on the service", "supply.demand", survey.supply.demand)]
    stated += [
        (f"Existing demand: {board.name}", f"board[{number}].demand", board.demand)
        for number, board in enumerate(survey.board, start=1)
    ]
    for title, path, demand in stated:
        if demand is None:
            continue
        rows = _rows(evidence_rows(known[path])) if path in known else ()
        rows += _table(title, demand, _DEMAND).rows
        for load in demand.load:
            fields = [(name, f"{load.name}: {label}", unit) for name, label, unit in _LOAD]
            rows += _table(title, load, fields).rows
        if demand.log is not None:
            rows += _rows(log_rows(demand.log, used.get(f"{path}.log")))
            rows += _table(title, demand.log, _LOG, always=("generation_behind_meter",)).rows
        yield SurveyTable(title=title, rows=rows)


def _rows(found: Iterable[tuple[str, str, str]]) -> tuple[SurveyRow, ...]:
    return tuple(SurveyRow(label=one, value=value, known=how) for one, value, how in found)


def _circuit_table(circuit: Circuit) -> SurveyTable:
    own = _table(f"Circuit: {circuit.name}", circuit, _CIRCUIT)
    rows = list(own.rows)
    for number, cable in enumerate(circuit.cable, start=1):
        fields = [(name, f"cable {number} {label}", unit) for name, label, unit in _CABLE]
        rows += _table(own.title, cable, fields).rows
    for part in circuit.part:
        fields = [(name, f"{part.name or part.kind}: {label}", unit) for name, label, unit in _PART]
        rows += _table(own.title, part, fields).rows
    if circuit.residual_current_device is not None:
        device = circuit.residual_current_device
        rows += _table(own.title, device, _RESIDUAL_CURRENT_DEVICE).rows
    return SurveyTable(title=own.title, rows=tuple(rows))


def _devices(survey: Survey) -> Iterable[SurveyTable]:
    named = [("service device", survey.supply.service_device)]
    named += [(f"device of '{circuit.name}'", circuit.device) for circuit in survey.circuit]
    for name, device in named:
        if device is not None:
            table = _table(f"Protective device: {name}", device, _DEVICE)
            yield SurveyTable(title=table.title, rows=(*table.rows, *_curve_rows(device)))


def _curve_rows(device: Device) -> Iterable[SurveyRow]:
    for point in device.curve_point:
        times = [
            f"{words} {with_unit(number_text(time_s), 's')}"
            for words, time_s in (
                ("not before", point.fastest_s),
                ("at the latest after", point.slowest_s),
            )
            if time_s is not None
        ]
        at = with_unit(number_text(point.current_a), "A")
        yield SurveyRow(label=f"maker's curve at {at}", value=", ".join(times), known="")


def _table(
    title: str,
    record: Record,
    fields: Iterable[tuple[str, str, str]],
    always: tuple[str, ...] = (),
) -> SurveyTable:
    rows = []
    for name, label, unit in fields:
        stated: Stated[Any] | None = getattr(record, name)
        if stated is not None or name in always:
            value = stated_text(stated, unit)
            rows.append(SurveyRow(label=label, value=value, known=how_known(stated)))
    return SurveyTable(title=title, rows=tuple(rows))
