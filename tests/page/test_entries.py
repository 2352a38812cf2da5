"""What is typed and what stands in the file; the survey's own reader says what it then means."""

from __future__ import annotations

import datetime as dt
import tomllib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from feasibility.page.entries import Shown, choices_of, entry_value, shown, with_origin
from feasibility.page.places import path_of
from feasibility.survey_io.toml_writer import to_toml
from feasibility.survey_io.wording import field_type

LENGTH, FLAG, SETTINGS = "circuit[1].cable[1].length_m", "supply.surge_protection", "settings_a"


def entered(place: str, typed: str) -> Any:
    field = field_type(path_of(place))
    assert field is not None
    return entry_value(field, typed)


@pytest.mark.parametrize(
    ("place", "typed", "held"),
    [
        (LENGTH, "25", 25),
        (LENGTH, " 2.5 ", 2.5),
        (LENGTH, "2,5", 2.5),
        (LENGTH, "unknown", "unknown"),
        (LENGTH, "20 to 30", {"low": 20, "high": 30}),
        (LENGTH, "20-30", {"low": 20, "high": 30}),
        (LENGTH, "20,5 – 30", {"low": 20.5, "high": 30}),
        ("cord.ambient_c", "-5", -5),
        ("cord.ambient_c", "\u22125", -5),
        ("cord.ambient_c", "-5 to 40", {"low": -5, "high": 40}),
        (LENGTH, "28m", "28m"),
        (LENGTH, "1 000", "1 000"),
        (LENGTH, "", None),
        (FLAG, "yes", True),
        (FLAG, "no", False),
        (FLAG, "perhaps", "perhaps"),
        ("supply.frequency_hz", "50", 50),
        ("supply.earthing_system", "TN-S", "TN-S"),
        ("supply.earthing_system", "XX", "XX"),
        ("surveyor.date", "2026-03-12", dt.date(2026, 3, 12)),
        ("surveyor.date", "12.3.2026", "12.3.2026"),
        ("station.settings_a", "10, 13, 16", [10, 13, 16]),
        ("station.settings_a", "6,5; 10 13", [6.5, 10, 13]),
        ("station.settings_a", "ten", "ten"),
        ("site.name", "7", "7"),
    ],
)
def test_what_the_file_holds_for_a_typed_text(place: str, typed: str, held: object) -> None:
    found = entered(place, typed)
    assert found == held
    assert type(found) is type(held)


@pytest.mark.parametrize("place", [LENGTH, FLAG, "station.settings_a", "surveyor.date"])
@given(typed=st.text(max_size=30))
def test_anything_typed_can_be_written_and_is_shown_again(place: str, typed: str) -> None:
    held = entered(place, typed)
    if held is None:
        assert not typed.strip()
        return
    data = tomllib.loads(to_toml({"a": held}))
    assert data["a"] == held
    again = shown(held)
    assert again.unknown is (held == "unknown")
    if not again.unknown:
        assert entered(place, again.text) == held


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        ({"value": 22, "known": "measured"}, Shown("22")),
        ({"low": 20, "high": 30}, Shown("20 to 30")),
        ({"unknown": True}, Shown(unknown=True)),
        ("unknown", Shown(unknown=True)),
        (None, Shown("")),
        (0.1 + 0.2, Shown("0.3")),
        ([10, 13.5], Shown("10, 13.5")),
    ],
)
def test_how_a_value_is_shown(value: object, expected: Shown) -> None:
    assert shown(value) == expected


def test_how_a_value_is_known_stays_with_it_and_goes_when_nobody_knows() -> None:
    before = {"value": 22, "known": "measured", "instrument": "tester 1"}
    origin = {"known": "measured", "instrument": "tester 1"}
    assert with_origin(before, 25) == {"value": 25, **origin}
    assert with_origin(before, {"low": 1, "high": 2}) == {"low": 1, "high": 2, **origin}
    assert with_origin(before, "unknown") == "unknown"
    assert with_origin(before, None) is None
    assert with_origin({"value": 22}, 25) == 25
    assert with_origin(22, 25) == 25


def test_a_flag_takes_yes_or_no() -> None:
    flag = field_type(path_of(FLAG))
    assert flag is not None
    assert choices_of(flag) == ("yes", "no")
