"""What a survey says of a demand must not contradict itself."""

from __future__ import annotations

from typing import Any

import pytest

from feasibility.survey.demand_consistency import demand_inconsistencies

OVEN = {"name": "oven", "connected_kw": 9}


def mistakes(demand: dict[str, Any]) -> list[tuple[object, object, str]]:
    data = {
        "supply": {"nominal_voltage_v": 400},
        "board": [{"name": "Main board", "demand": demand}],
    }
    found = list(demand_inconsistencies(data))
    for one in found:
        assert one.path[:3] == ("board", 0, "demand")
    return [(one.path[-1], one.value, one.expected) for one in found]


@pytest.mark.parametrize(
    "demand",
    [
        {"maximum_a": 20, "diversity_factor": 0.5, "declared_by": "owner"},
        {"load": [OVEN, {"name": "pump", "connected_a": 6}], "diversity_factor": 0.7},
        # 10 A on three phases of up to 440 V for 8784 h are 66 943 kWh (by hand).
        {"maximum_a": 10, "annual_energy_kwh": 66_900, "load_profile": "G3"},
        {"maximum_kw": 5, "annual_energy_kwh": 43_920},
        {"maximum_kw": {"low": 1, "high": 2}, "annual_energy_kwh": 17_500},
        {"maximum_kw": 1, "annual_energy_kwh": {"low": 8000, "high": 1e6}},
        {"load": [OVEN, {"name": "pump", "connected_a": "unknown"}], "annual_energy_kwh": 1e6},
        {"maximum_kw": 1, "annual_energy_kwh": 1e6, "net_of_generation": True},
        {"maximum_l1_a": 1, "maximum_l2_a": 1, "annual_energy_kwh": 1e6},
    ],
)
def test_what_agrees_is_accepted(demand: dict[str, Any]) -> None:
    assert mistakes(demand) == []


def test_the_demand_is_given_in_one_way_only() -> None:
    (one,) = mistakes({"maximum_kw": 9, "load": [OVEN]})
    assert one == ("load", None, "the demand in one way only; maximum_kw already gives it")
    (one,) = mistakes({"load": [{**OVEN, "connected_a": 13}]})
    assert one == ("connected_kw", 9, "the load in one way only; connected_a already gives it")


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("diversity_factor", 0.7),
        ("declared_by", "owner"),
    ],
)
def test_nothing_else_counts_beside_a_log(key: str, value: object) -> None:
    (one,) = mistakes({"log": {"file": "a.csv"}, key: value})
    assert one == (key, value, "nothing here beside a log, which shows what was drawn")


@pytest.mark.parametrize(
    ("demand", "most"),
    [
        ({"maximum_a": 10, "annual_energy_kwh": 67_000}, 66_943),
        ({"maximum_l1_a": 10, "maximum_l2_a": 10, "maximum_l3_a": 10}, 66_943),
        ({"maximum_kw": 5, "annual_energy_kwh": 44_000}, 43_920),
        # A share that would leave less than the meter counts is refused with it.
        ({"maximum_a": 20, "diversity_factor": 0.5, "annual_energy_kwh": 67_000}, 66_943),
        ({"maximum_a": 0, "annual_energy_kwh": 1}, 0),
        # Of bounds those count that leave the most room: 2 kW for 8784 h are 17 568 kWh.
        ({"maximum_kw": {"low": 1, "high": 2}, "annual_energy_kwh": 18_000}, 17_568),
    ],
)
def test_more_energy_than_the_maximum_can_draw_is_refused(
    demand: dict[str, Any], most: int
) -> None:
    (one,) = mistakes({"annual_energy_kwh": 67_000, **demand})
    assert one[0] == "annual_energy_kwh"
    assert one[1] == {"annual_energy_kwh": 67_000, **demand}["annual_energy_kwh"]
    assert one[2].startswith(f"at most the {most} kWh that the declared maximum")


def test_loads_whose_shares_would_draw_less_than_the_meter_counts_are_refused() -> None:
    """A tenth of 9 kW, and 6 A on one phase of up to 254 V: 2.424 kW, 8784 h of it (by hand)."""
    loads = [
        {**OVEN, "diversity_factor": 0.1},
        {"name": "pump", "connected_a": 6, "phases": "L2", "diversity_factor": "unknown"},
    ]
    energy = {"low": 22_000, "high": 30_000}
    (one,) = mistakes({"load": loads, "annual_energy_kwh": energy, "load_profile": "G3"})
    assert one == (
        "annual_energy_kwh",
        22_000,
        "at most the 21294 kWh that the loads with their shares draw if they stand the whole year",
    )
    assert mistakes({"load": loads, "annual_energy_kwh": 21_200}) == []
