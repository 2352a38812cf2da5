"""The code basis file: every limit has a source and a force, every range a reason and a field."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from itertools import pairwise
from typing import Any

import pytest

from feasibility import tables
from feasibility.code_basis import UnknownCodeBasis, code_basis, code_basis_names
from feasibility.result import Force
from feasibility.survey.circuit import Cable, Circuit, Device, ResidualCurrentDevice
from feasibility.survey.demand import ConnectedLoad, Demand
from feasibility.survey.model import Board, Station, Supply
from feasibility.survey.outlet import Cord, Outlet
from feasibility.survey.stated import Record
from feasibility.survey.transformer import Transformer

BASES = [code_basis(name) for name in code_basis_names()]
LIMITS = [(basis, limit) for basis in BASES for limit in basis.limits.values()]
RANGES = [
    (key, fill)
    for basis in BASES
    for key, fill in (*basis.ranges.items(), *basis.first_values.items())
]

RECORDS: dict[str, type[Record]] = {
    "board": Board,
    "supply": Supply,
    "cable": Cable,
    "device": Device,
    "residual_current_device": ResidualCurrentDevice,
    "circuit": Circuit,
    "outlet": Outlet,
    "cord": Cord,
    "station": Station,
    "demand": Demand,
    "load": ConnectedLoad,
    "transformer": Transformer,
}

PSEUDO_FIELDS = {
    "load.phase_share": "share of each phase in the power of a load whose phases nobody knows",
    "demand.log_phase_share": "share of each phase in the total of a measured log",
    "transformer.load_loss_percent": "load_loss_kw in percent of the rated power",
    "cable.ground_c": "ambient_c of a buried cable",
    "device.fuse_breaking_capacity_ka": "breaking_capacity_ka of a fuse",
    "supply.line_neutral_loop_ratio": "external_line_neutral_loop_ohm over the line's impedance",
    "device.service_breaking_share": "service_breaking_capacity_ka over breaking_capacity_ka",
    "station.auxiliary_w": "auxiliary_l1_w to auxiliary_l3_w",
    "station.inrush_ratio": "inrush_peak_a as a multiple of the requested current's peak",
    "station.minimum_voltage_ratio": "minimum_voltage_v as a share of nominal",
    "station.full_power_voltage_ratio": "full_power_voltage_v as a share of nominal",
    "station.maximum_voltage_ratio": "maximum_voltage_v as a share of nominal",
}

NEVER_FILLED = (
    "supply.earthing_system",
    "supply.prospective_fault_current_ka",
    "supply.external_loop_impedance_ohm",
    "cable.section_mm2",
    "cable.protective_section_mm2",
    "cord.section_mm2",
    "cord.protective_section_mm2",
    "transformer.rated_power_kva",
    "transformer.short_circuit_voltage_percent",
    "transformer.rated_secondary_voltage_v",
    "transformer.vector_group",
    "device.kind",
    "device.rating_a",
    "device.setting_a",
    "residual_current_device.present",
    "residual_current_device.type",
    "residual_current_device.residual_current_ma",
    "residual_current_device.other_leakage_ma",
    "demand.maximum_a",
    "demand.maximum_l1_a",
    "demand.maximum_kw",
)


@pytest.mark.parametrize(("basis", "limit"), LIMITS, ids=lambda value: getattr(value, "key", ""))
def test_every_limit_names_a_source_that_is_listed_and_a_force(basis: Any, limit: Any) -> None:
    assert limit.citation.source in tables.sources(), basis.id
    assert limit.citation.clause
    assert limit.force in Force


@pytest.mark.parametrize(
    "limit",
    [limit for _, limit in LIMITS if limit.citation.source == "common-practice"],
    ids=lambda limit: limit.key,
)
def test_what_is_common_practice_says_so_or_says_whose_rule_it_is(limit: Any) -> None:
    note = limit.citation.note
    assert any(words in note for words in ("no source", "from memory", "our own", "publi")), note
    # Without a source there is no requirement of a standard or maker, except the tool's own rules.
    assert not limit.force.binds or "our own" in note


def test_the_choices_name_table_sets_that_there_are() -> None:
    for basis in BASES:
        sets = [basis.choices[key] for key in ("cord_table_set", "cord_second_table_set")]
        assert len(set(sets)) == 2
        for name in sets:
            assert "60 C rubber" in tables.cord_grades(table_set=name)
        assert basis.choices["cord_table_reason"]


@pytest.mark.parametrize(("key", "fill"), RANGES, ids=[key for key, _ in RANGES])
def test_every_range_has_a_reason_and_options_that_the_survey_would_accept(
    key: str, fill: Any
) -> None:
    assert len(fill.reason) > 10
    assert fill.options
    kind, _, field = key.partition(".")
    if key in PSEUDO_FIELDS:
        assert field not in RECORDS[kind].model_fields
    else:
        for option in fill.options:
            fields = RECORDS[kind].model_fields
            needed = {name: "any" for name, info in fields.items() if info.is_required()}
            stated = getattr(RECORDS[kind].model_validate({**needed, field: option}), field)
            assert stated.value == option
    numbers = [o for o in fill.options if isinstance(o, (int, float)) and not isinstance(o, bool)]
    assert all(low < high for low, high in pairwise(numbers))


def test_every_pseudo_field_is_in_use() -> None:
    assert set(PSEUDO_FIELDS) <= {key for key, _ in RANGES}


@pytest.mark.parametrize("key", NEVER_FILLED)
def test_some_facts_are_never_filled(key: str) -> None:
    kind, _, field = key.partition(".")
    assert field in RECORDS[kind].model_fields
    assert all(key not in basis.ranges for basis in BASES)


def source_text() -> str:
    """All of the program's own code, to see which keys it asks for."""
    package = files("feasibility")
    found: list[str] = []
    waiting = [package]
    while waiting:
        for item in waiting.pop().iterdir():
            if item.is_dir():
                waiting.append(item)
            elif item.name.endswith(".py"):
                found.append(item.read_text(encoding="utf-8"))
    return "\n".join(found)


def test_no_limit_stands_in_the_file_for_nothing() -> None:
    text = source_text()
    unused = {limit.key for _, limit in LIMITS if f'"{limit.key}"' not in text}
    assert unused == set()


def test_values_that_other_documents_print() -> None:
    basis = code_basis("iec-60364")
    # IEC 60364-4-43:2008, 433.1: I2 <= 1.45 Iz, no surcharge for continuous load.
    assert basis.number("overload_conventional") == 1.45
    assert basis.number("continuous_load_factor") == 1.0
    # IEC 60364-4-41, 411.3.3 and 411.5.3: 30 mA up to 32 A, 50 V.
    assert basis.number("additional_protection") == 30.0
    assert basis.number("additional_protection_outlet_a") == 32.0
    assert basis.number("touch_voltage_v") == 50.0
    # IEC 60364-4-41:2005+A1:2017, 411.3.2.2: 63 A with outlets, 32 A fixed.
    assert basis.number("table_41_1_outlet_a") == 63.0
    assert basis.number("table_41_1_fixed_a") == 32.0
    # IEC 60364-6:2016, Annex D, from memory.
    assert basis.number("cold_reading_factor") == pytest.approx(2 / 3)
    # IEC 60364-5-53, 531.3.2.
    assert basis.number("standing_leakage_share") == 0.3
    # IEC 60038: 10 % about nominal.
    assert basis.ranges["supply.tolerance_low_percent"].options == (0.0, 10.0)
    assert basis.first_values["supply.nominal_voltage_v"].options == (400.0,)


def test_advice_of_standards_and_trade_does_not_bind() -> None:
    basis = code_basis("iec-60364")
    for key in ("voltage_drop", "outlet_continuous_share", "device_hold", "standing_leakage_share"):
        assert not basis.limit(key).force.binds
    for key in ("design_current", "equipment_rating", "disconnection", "breaking_capacity"):
        assert basis.limit(key).force is Force.REQUIREMENT
    for key in ("makers_continuous_current", "minimum_operating_voltage", "station_maker"):
        assert basis.limit(key).force is Force.MAKERS_LIMIT


def test_a_limit_without_a_value_of_its_own_has_none_to_give() -> None:
    basis = code_basis("iec-60364")
    with pytest.raises(ValueError, match="design_current"):
        basis.number("design_current")
    with pytest.raises(KeyError):
        basis.limit("no such limit")


@pytest.mark.parametrize("name", ["", "iec_60364", "../iec-60364", "IEC-60364", "nowhere"])
def test_a_code_basis_that_is_not_there_is_refused(name: str) -> None:
    with pytest.raises(UnknownCodeBasis, match="iec-60364"):
        code_basis(name)


def test_the_file_says_who_it_is() -> None:
    for basis in BASES:
        path = files("feasibility") / "code_basis" / f"{basis.id.replace('-', '_')}.toml"
        data = tomllib.loads(path.read_text(encoding="utf-8"))
        assert set(data) == {"id", "title", "limit", "choice", "range", "first_value"}
        assert basis.title
