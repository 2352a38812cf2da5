"""What is no radial network is refused in words."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from feasibility.network.records import Branch, Load, Network, NetworkError

CABLE = Branch(
    name="cable",
    from_node="source",
    to_node="end",
    resistance_ohm=0.1,
    reactance_ohm=0.03,
    neutral_resistance_ohm=0.1,
    neutral_reactance_ohm=0.03,
    has_neutral=True,
)
LOAD = Load(
    name="load", node="end", active_w=(100.0, 200.0, 300.0), reactive_var=(0, 0, 0), kind="power"
)


def network(*branches: Branch, loads: tuple[Load, ...] = (LOAD,), **values: Any) -> Network:
    given: dict[str, Any] = {
        "nominal_voltage_v": 400.0,
        "source_node": "source",
        "source_voltage_v": 400.0,
        "frequency_hz": 50.0,
    }
    return Network(branches=branches, loads=loads, **(given | values))


@pytest.mark.parametrize(
    "parameter",
    ["resistance_ohm", "reactance_ohm", "neutral_resistance_ohm", "neutral_reactance_ohm"],
)
@pytest.mark.parametrize("value", [-0.001, math.nan, math.inf])
def test_impedance_that_no_conductor_has(parameter: str, value: float) -> None:
    with pytest.raises(NetworkError, match=f"branch 'cable': {parameter} = {value}"):
        replace(CABLE, **{parameter: value})  # type: ignore[arg-type]


def test_branch_without_impedance() -> None:
    with pytest.raises(NetworkError, match="join its two nodes"):
        replace(CABLE, resistance_ohm=0, reactance_ohm=0)


def test_neutral_impedance_without_a_neutral() -> None:
    with pytest.raises(NetworkError, match="no neutral but a neutral impedance"):
        replace(CABLE, has_neutral=False)


@pytest.mark.parametrize("parameter", ["active_w", "reactive_var"])
@pytest.mark.parametrize("powers", [(1.0, 2.0), (1.0, math.nan, 2.0), (1.0, 2.0, math.inf)])
def test_load_without_three_finite_powers(parameter: str, powers: tuple[float, ...]) -> None:
    with pytest.raises(NetworkError, match="load 'load' does not give three finite powers"):
        replace(LOAD, **{parameter: powers})  # type: ignore[arg-type]


def test_load_of_unknown_kind() -> None:
    with pytest.raises(NetworkError, match="kind 'impedance' is neither"):
        replace(LOAD, kind="impedance")  # type: ignore[arg-type]


@pytest.mark.parametrize("parameter", ["nominal_voltage_v", "source_voltage_v", "frequency_hz"])
@pytest.mark.parametrize("value", [0.0, -400.0, math.nan, math.inf])
def test_network_quantity_that_is_not_positive(parameter: str, value: float) -> None:
    with pytest.raises(NetworkError, match=f"network: {parameter} = {value}"):
        network(CABLE, **{parameter: value})  # type: ignore[arg-type]


def test_network_without_branches() -> None:
    with pytest.raises(NetworkError, match="no branches"):
        network()


@pytest.mark.parametrize(
    ("branches", "message"),
    [
        ((CABLE, replace(CABLE, to_node="other")), "two items are called branch 'cable'"),
        ((CABLE, replace(CABLE, name="second")), "'end' is fed twice, by 'cable' and 'second'"),
        (
            (CABLE, replace(CABLE, name="back", from_node="end", to_node="source")),
            "branch 'back' runs back to the source",
        ),
        (
            (CABLE, replace(CABLE, name="island", from_node="nowhere", to_node="island")),
            "node 'nowhere' is not connected to the source",
        ),
        (
            (
                CABLE,
                replace(CABLE, name="one", from_node="a", to_node="b"),
                replace(CABLE, name="two", from_node="b", to_node="a"),
            ),
            "branch 'one' lies in or behind a loop",
        ),
        (
            (CABLE, replace(CABLE, name="self", from_node="a", to_node="a")),
            "branch 'self' lies in or behind a loop",
        ),
    ],
)
def test_what_is_not_a_tree(branches: tuple[Branch, ...], message: str) -> None:
    with pytest.raises(NetworkError, match=message):
        network(*branches)


def test_loads_that_fit_no_network() -> None:
    with pytest.raises(NetworkError, match="two items are called load 'load'"):
        network(CABLE, loads=(LOAD, LOAD))
    with pytest.raises(NetworkError, match="node 'nowhere', which does not exist"):
        network(CABLE, loads=(replace(LOAD, node="nowhere"),))


def test_neutral_has_to_reach_from_the_source() -> None:
    bare = replace(
        CABLE, has_neutral=False, neutral_resistance_ohm=0, neutral_reactance_ohm=0, to_node="board"
    )
    cord = replace(CABLE, name="cord", from_node="board", to_node="end")
    behind = replace(CABLE, name="with", to_node="other")
    balanced = replace(LOAD, active_w=(100, 100, 100))
    site = network(cord, behind, bare, loads=(balanced,))
    assert site.branches_with_neutral() == {"with"}
    assert site.balanced
    with pytest.raises(NetworkError, match="unbalanced, but no neutral reaches node 'end'"):
        network(cord, behind, bare)


def test_nodes_follow_the_branches() -> None:
    second = replace(CABLE, name="second", from_node="end", to_node="far")
    site = network(second, CABLE)
    assert site.nodes == ("source", "far", "end")
    assert not site.balanced
