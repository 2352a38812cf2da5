"""What is written is read again as it was, by the TOML reader of the standard library."""

from __future__ import annotations

import datetime as dt
import tomllib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from feasibility.examples import example_names, example_text
from feasibility.survey_io.toml_writer import to_toml

texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
scalars = st.one_of(
    st.booleans(),
    st.integers(-(2**63), 2**63 - 1),
    st.floats(allow_nan=False),
    texts,
    st.dates(),
    st.datetimes(),
    st.times(),
)
values = st.recursive(
    scalars,
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(texts, inner, max_size=3)),
    max_leaves=12,
)
stated = st.dictionaries(st.sampled_from(["value", "low", "high", "known"]), scalars, min_size=1)


@given(st.dictionaries(texts, st.one_of(values, stated), max_size=4))
def test_anything_that_toml_can_hold_comes_back(data: dict[str, Any]) -> None:
    assert tomllib.loads(to_toml(data)) == data


@pytest.mark.parametrize("name", example_names())
def test_every_shipped_survey_comes_back_in_its_own_order(name: str) -> None:
    data = tomllib.loads(example_text(name))
    written = to_toml(data)
    assert tomllib.loads(written) == data
    assert list(tomllib.loads(written)) == list(data)


def test_it_reads_like_a_survey_that_a_person_wrote() -> None:
    data = {
        "survey_version": 1,
        "circuit": [
            {"name": "A", "cable": [{"length_m": {"low": 20, "high": 30, "known": "assumed"}}]}
        ],
        "surveyor": {"date": dt.date(2026, 3, 12)},
    }
    assert to_toml(data) == (
        'survey_version = 1\n\n[[circuit]]\nname = "A"\n\n[[circuit.cable]]\n'
        'length_m = { low = 20, high = 30, known = "assumed" }\n\n[surveyor]\ndate = 2026-03-12\n'
    )


def test_what_toml_cannot_hold_is_refused() -> None:
    with pytest.raises(TypeError, match="NoneType"):
        to_toml({"a": None})
