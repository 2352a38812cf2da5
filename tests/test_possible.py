"""Between which currents an unfinished survey leaves the answer, and what stands in for it."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

from feasibility.assessment import assess
from feasibility.examples import example_names, example_text
from feasibility.indication import with_first_values
from feasibility.result import Verdict
from feasibility.survey.model import Survey

FIVE: dict[str, Any] = {
    "survey_version": 1,
    "site": {"reference": "T", "name": "Test"},
    "surveyor": {"name": "T", "date": tomllib.loads("d = 2026-03-12")["d"]},
    "supply": {},
    "board": [{"name": "Main board"}],
    "circuit": [
        {"name": "Main cable", "starts_at": "origin", "ends_at": "Main board"},
        {
            "name": "Outlet",
            "starts_at": "Main board",
            "ends_at": "outlet",
            "device": {"kind": "IEC 60898-1 circuit-breaker", "rating_a": 32.0},
            "cable": [{"length_m": 25.0, "section_mm2": 6.0}],
        },
    ],
    "outlet": {"kind": "IEC 60309", "rating_a": 32.0},
    "station": {"name": "Station", "input_power_kw": 11.0},
}


def known_cable(**changed: Any) -> dict[str, Any]:
    """Return the five answers with everything that Iz of the outlet's cable depends on."""
    cable = {
        "length_m": 25.0, "section_mm2": 6.0, "conductor": "copper", "insulation": "PVC",
        "construction": "multicore", "method": "C", "ambient_c": 30.0, "in_sun": False,
        "grouped_circuits": 1, "grouping": "single layer on wall or floor",
    }  # fmt: skip
    cable = {key: value for key, value in (cable | changed).items() if value is not None}
    main, outlet = FIVE["circuit"]
    station = FIVE["station"] | {"needs_neutral": False}
    return FIVE | {"circuit": [main, outlet | {"cable": [cable]}], "station": station}


def indicated(data: dict[str, Any]) -> Any:
    survey, stood_in = with_first_values(Survey.model_validate(data))
    assert {one.fact for one in stood_in} == {"supply.nominal_voltage_v", "station.phases"}
    return assess(survey, sha256="")


def test_five_answers_give_a_range_and_no_verdict() -> None:
    """The upper end is the outlet's and the device's rated current (IEC 60309-2: 32 A)."""
    found = indicated(FIVE)
    assert found.verdict is Verdict.UNDECIDED
    assert found.possible.highest_a == 32.0
    assert 0 < found.possible.lowest_a < 32.0
    assert found.possible.lowest_link == "Outlet: cable 1"
    assert "circuit[2].cable[1].method" in found.possible.deciding
    for name in ("service device", "Main cable: cable 1", "cord", "metering place"):
        assert name in found.possible.not_counted


def test_a_range_of_one_factor_shows_in_the_lower_end() -> None:
    """41 A: IEC 60364-5-52, Table B.52.4, method C, 6 mm², times 0.57: Table B.52.17, bunched, six
    circuits. Those six are what the code basis assumes at most."""
    cable = known_cable(grouped_circuits=None, grouping="bunched")
    found = indicated(cable).possible
    assert found.lowest_a == pytest.approx(41 * 0.57, rel=1e-6)
    assert "circuit[2].cable[1].grouped_circuits" in found.deciding
    assert "circuit[2].cable[1].method" not in found.deciding
    assert found.highest_a == 32.0


def test_a_link_that_is_not_counted_does_not_limit_until_it_is() -> None:
    """16 mm² and more carry more than 32 A by every method; 1.5 mm² carries at most 24 A (E)."""
    main, outlet = known_cable()["circuit"]
    thin = main | {"cable": [{"length_m": 10.0, "section_mm2": 1.5, "conductor": "copper",
                              "insulation": "PVC"}]}  # fmt: skip
    drawn = {"board": [{"name": "Main board", "demand": {"maximum_a": 0.0}}]}
    before = indicated(known_cable() | drawn).possible
    after = indicated(known_cable() | drawn | {"circuit": [thin, outlet]}).possible
    assert "Main cable: cable 1" in before.not_counted
    assert "Main cable: cable 1" not in after.not_counted
    assert before.highest_a == 32.0
    assert after.highest_link == "Main cable: cable 1"
    assert after.highest_a < 24


@pytest.mark.parametrize(
    ("poles", "phases"), [("2P+E", "L1"), ("3P+N+E", "L1L2L3"), ("unknown", "L1L2L3")]
)
def test_phases_that_nobody_stated_follow_the_poles(poles: str, phases: str) -> None:
    outlet = FIVE["outlet"] | {"poles": poles}
    survey, stood_in = with_first_values(Survey.model_validate(FIVE | {"outlet": outlet}))
    assert survey.station.phases is not None
    assert survey.station.phases.value == phases
    assert all(one.reason for one in stood_in)


@pytest.mark.parametrize("name", example_names())
def test_a_survey_that_states_both_is_left_as_it_is(name: str) -> None:
    survey = Survey.model_validate(tomllib.loads(example_text(name)))
    assert with_first_values(survey) == (survey, ())


BEFORE_THE_BOARD = ("contracted_current_a", "metering_continuous_a", "service_device")


@pytest.mark.parametrize("name", example_names())
def test_what_is_not_known_yet_never_lowers_the_upper_end(name: str) -> None:
    """The five answers of a finished survey promise no less than the whole of it gives."""
    data = tomllib.loads(example_text(name))
    whole = assess(Survey.model_validate(data), sha256="").possible
    for key in BEFORE_THE_BOARD:
        data["supply"].pop(key, None)
    fewer = assess(Survey.model_validate(data), sha256="").possible
    data.pop("cord", None)
    fewest = assess(Survey.model_validate(data), sha256="").possible
    for less, more in ((fewer, whole), (fewest, fewer)):
        assert less.highest_a is not None
        assert more.highest_a is not None
        assert less.highest_a >= more.highest_a - 1e-6
        assert set(less.not_counted) >= set(more.not_counted)
    assert whole.lowest_a is None or whole.lowest_a <= (whole.highest_a or 0)
