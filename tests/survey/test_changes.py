"""Places of a survey, and what comes of other values in them."""

from __future__ import annotations

import tomllib
from copy import deepcopy
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from feasibility.examples import example_names, example_text
from feasibility.survey.changes import (
    Change,
    ChangeRefused,
    NoSuchPlace,
    changed_data,
    changed_survey,
    keys_of,
    plain_data_of,
    written,
)
from feasibility.survey.model import Survey


def survey_of(name: str) -> Survey:
    return Survey.model_validate(tomllib.loads(example_text(name)))


BAKERY = survey_of("bakery-yard")

places = st.lists(
    st.tuples(st.from_regex(r"[a-z][a-z0-9_]{0,9}", fullmatch=True), st.none() | st.integers(0, 99))
    .map(lambda pair: pair if pair[1] is not None else pair[:1]),
    min_size=1,
    max_size=4,
).map(lambda parts: tuple(key for part in parts for key in part))  # fmt: skip


@given(places)
def test_a_place_is_read_as_it_is_written(keys: tuple[str | int, ...]) -> None:
    assert keys_of(written(keys)) == keys


@pytest.mark.parametrize("name", example_names())
def test_the_plain_data_of_a_survey_are_that_survey(name: str) -> None:
    survey = survey_of(name)
    assert Survey.model_validate(plain_data_of(survey)) == survey
    assert changed_survey(survey, ()) == survey


def test_a_change_reaches_its_place_and_nothing_else() -> None:
    data = plain_data_of(BAKERY)
    before = deepcopy(data)
    changed = changed_data(data, [Change(place="circuit[2].cable[1].section_mm2", value=10)])
    assert data == before
    assert changed["circuit"][1]["cable"][0].pop("section_mm2") == 10
    data["circuit"][1]["cable"][0].pop("section_mm2")
    assert Survey.model_validate(changed) == Survey.model_validate(data)


def test_a_later_change_counts_and_a_next_table_is_added() -> None:
    place = "circuit[2].part[1].rating_a"
    kind = Change(place="circuit[2].part[1].kind", value="contactor")
    changes = [kind, Change(place=place, value=40), Change(place=place, value=63)]
    (part,) = changed_survey(BAKERY, changes).circuit[1].part
    assert part.rating_a is not None
    assert part.rating_a.value == 63


@pytest.mark.parametrize(
    ("place", "expected"),
    [
        ("", "a place such as"),
        ("circuit[0].name", "numbers from 1"),
        ("circuit[1]name", "a place such as"),
        ("Circuit[1].name", "a place such as"),
        ("circuit.name", "circuit[1] to circuit[2]"),
        ("circuit[2].cable.length_m", "circuit[2].cable[1]"),
        ("circuit[4].name", "circuit[1] to circuit[2], or circuit[3] for a new one"),
        ("station[1].name", "there is only one"),
        ("site.name.first", "nothing behind site.name"),
        ("site.name[1]", "site.name without a number"),
    ],
)
def test_a_place_that_is_none_is_refused(place: str, expected: str) -> None:
    with pytest.raises(NoSuchPlace) as refused:
        changed_data(plain_data_of(BAKERY), [Change(place=place, value=1)])
    assert expected in refused.value.expected
    assert refused.value.place == place


@pytest.mark.parametrize(
    ("place", "value"),
    [
        ("station.setting_a", 17),  # not among its settings
        ("circuit[2].cable[1].length_m", -1),
        ("circuit[2].cable[1].no_such_field", 1),
        ("supply.lowest_voltage_v", 700),
        ("circuit[2].starts_at", "nowhere"),
        ("circuit[2].cable[1].length_m", float("nan")),
    ],
)
def test_a_changed_survey_keeps_to_the_rules_of_a_file(place: str, value: Any) -> None:
    with pytest.raises(ChangeRefused):
        changed_survey(BAKERY, [Change(place=place, value=value)])
