"""What is said about a field, compared with what the model accepts on both sides of each bound."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Literal, get_args, get_origin

import pytest
from pydantic import BaseModel, ValidationError

from feasibility.survey.circuit import Circuit
from feasibility.survey.model import Survey
from feasibility.survey.stated import Stated
from feasibility.survey_io.problems import KeyPath
from feasibility.survey_io.wording import FieldType, expected_text, fields_of, unit_of


def simple_fields(
    record: type[BaseModel], path: KeyPath = ()
) -> Iterator[tuple[type[BaseModel], str, KeyPath, FieldType]]:
    """Every field of every survey table that is not itself a table."""
    for name, field in fields_of(record).items():
        inner = (field.item or field).record
        if inner is not None and not issubclass(inner, Stated):
            yield from simple_fields(
                inner, (*path, name) if field.item is None else (*path, name, 0)
            )
        else:
            yield record, name, (*path, name), field


FIELDS = list(simple_fields(Survey))


def accepts(record: type[BaseModel], name: str, value: object) -> bool:
    try:
        record.model_validate({name: value})
    except ValidationError as error:
        return all(detail["loc"][0] != name for detail in error.errors())
    return True


def test_the_survey_has_fields() -> None:
    assert len(FIELDS) > 120
    assert (Circuit, "starts_at", ("circuit", 0, "starts_at")) in [field[:3] for field in FIELDS]


@pytest.mark.parametrize(("record", "name", "path", "field"), FIELDS)
def test_stated_bounds_and_choices_are_those_of_the_model(
    record: type[BaseModel], name: str, path: KeyPath, field: FieldType
) -> None:
    text = expected_text(path)
    simple = fields_of(field.record)["value"] if field.stated else field.item or field

    def wrapped(value: object) -> object:
        return [value] if field.item is not None else value

    if get_origin(simple.kind) is Literal:
        for choice in get_args(simple.kind):
            assert str(choice) in text
            assert accepts(record, name, choice)
        return
    if simple.kind not in (int, float):
        assert text
        return
    bounds = re.search(
        r"(?:from (?P<ge>\S+) to (?P<high>\S+)|greater than (?P<gt>\S+) and at most (?P<le>\S+))"
        r"(?: \(|$)",
        text,
    )
    assert bounds, text
    low, high = float(bounds["ge"] or bounds["gt"]), float(bounds["high"] or bounds["le"])
    step: float = 1 if simple.kind is int else 1e-6
    low, high = (int(low), int(high)) if simple.kind is int else (low, high)
    assert accepts(record, name, wrapped(high))
    assert not accepts(record, name, wrapped(high + step))
    assert accepts(record, name, wrapped(low)) == (bounds["ge"] is not None)
    assert accepts(record, name, wrapped(low + step))
    assert not accepts(record, name, wrapped(low - step))


def test_every_field_with_a_unit_in_its_name_shows_it() -> None:
    units = {path[-1]: unit_of(path) for *_, path, _ in FIELDS}
    assert units["soil_resistivity_k_m_per_w"] == "K·m/W"
    assert units["residual_current_ma"] == "mA"
    assert units["breaking_capacity_ka"] == "kA"
    assert units["contracted_power_kva"] == "kVA"
    assert units["enclosure_temperature_c"] == "°C"
    assert units["external_loop_impedance_ohm"] == "Ω"
    assert units["auxiliary_l1_w"] == "W"
    assert units["short_time_delay_s"] == "s"
    assert units["ramp_s"] == "s"
    without = {
        path[-1]
        for *_, path, field in FIELDS
        if field.stated
        and fields_of(field.record)["value"].kind in (int, float)
        and not units[path[-1]]
    }
    assert without == {
        "clock_position",
        "declared_short_circuit_ratio",
        "diversity_factor",
        "efficiency",
        "erected_year",
        "grouped_circuits",
        "grouping_factor",
        "in_parallel",
        "layers_on_drum",
        "loaded_outgoing_circuits",
        "loaded_neighbours",
        "plug_clock_position",
        "power_factor",
        "rated_diversity_factor",
        "temperature_factor",
    }
