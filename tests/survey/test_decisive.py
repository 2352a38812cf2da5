"""The fields that are marked as deciding are those whose absence opens a question."""

from __future__ import annotations

import pytest

from feasibility.code_basis import code_basis
from feasibility.examples import example_names
from feasibility.importance import DECISIVE, Importance, importance_of
from feasibility.survey.model import Survey

from ..checks.sites import assessed_quickly, site_data
from .decisive import decisive_of, open_questions, stated_fields, without


@pytest.mark.parametrize(
    "path",
    [
        ("supply", "earthing_system"),
        ("circuit", 1, "cable", 0, "length_m"),
        ("circuit", 1, "device", "rating_a"),
        ("cord", "section_mm2"),
        ("outlet", "condition"),
    ],
)
def test_a_deciding_field_opens_a_question_when_it_is_left_out(path: tuple[str | int, ...]) -> None:
    field = ".".join(part for part in path if isinstance(part, str))
    assert importance_of(field) is Importance.DECIDES
    data = site_data("bakery-yard")
    before = open_questions(assessed_quickly(Survey.model_validate(data)))
    after = open_questions(assessed_quickly(Survey.model_validate(without(data, path))))
    assert after - before


def test_a_field_with_a_range_is_never_said_to_decide() -> None:
    ranged = {key for key in code_basis("iec-60364").ranges if key.startswith(("cable.", "cord."))}
    assert len(ranged) > 10
    for key in ranged:
        field = f"circuit.{key}" if key.startswith("cable.") else key
        assert importance_of(field) is Importance.NARROWS


def test_every_field_of_a_site_is_looked_at() -> None:
    paths = list(stated_fields(site_data("bakery-yard")))
    assert ("circuit", 1, "cable", 0, "length_m") in paths
    assert ("outlet", "measured_loop_impedance_ohm") in paths
    assert len(paths) > 100


@pytest.mark.campaign
@pytest.mark.parametrize("name", example_names())
def test_no_deciding_field_lacks_its_mark(name: str) -> None:
    assert list(decisive_of(name, DECISIVE)) == []
