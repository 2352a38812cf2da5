"""The voltage along the feed path, against the load flow that a second solver confirmed."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from feasibility.survey.model import Survey
from feasibility.units import SQRT3
from tests.render import sites

SOLVED = [name for name in sites.names() if name != "old-mill"]


@pytest.mark.parametrize("name", SOLVED)
def test_it_runs_through_the_nodes_of_the_confirmed_load_flow(name: str) -> None:
    assessment = sites.shipped(name)
    along, network = assessment.voltage_along, assessment.network
    assert along is not None
    assert network is not None
    nodes = [node for node in network.nodes if node.name != "transformer without load"]
    assert [point.name for point in along.points] == [node.name for node in nodes]
    assert along.points[0].distance_m == 0
    assert along.station_current_a == network.station_current_a
    if along.between_lines:
        # pandapower's result stands in the network state (feasibility/checks/operation.py).
        for point, node in zip(along.points, nodes, strict=True):
            assert math.isclose(point.loaded_v, node.line_voltage_v, rel_tol=1e-9)


@pytest.mark.parametrize("name", SOLVED)
def test_voltages_fall_away_from_the_origin_and_with_the_station(name: str) -> None:
    along = sites.shipped(name).voltage_along
    assert along is not None
    loaded = [point.loaded_v for point in along.points]
    assert all(near >= far - 1e-6 for near, far in pairwise(loaded))
    assert all(point.idle_v >= point.loaded_v - 1e-6 for point in along.points)
    assert along.points[-1].idle_v > along.points[-1].loaded_v
    # IEC 60038:2009, Table 1: 230/400 V and 10 % either way where no band was measured.
    assert along.nominal_v == pytest.approx(400 if along.between_lines else 400 / SQRT3)
    # The quarry's own transformer: 400 V at a tapping of -2.5 %, 5 % above it at most.
    highest = 400 / 0.975 * 1.05 if name == "quarry-workshop" else 440
    assert along.highest_v == pytest.approx(highest if along.between_lines else 253)


def test_lengths_add_up_as_surveyed() -> None:
    survey: Survey = sites.shipped("bakery-yard").survey
    along = sites.shipped("bakery-yard").voltage_along
    assert along is not None
    lengths = [cable.length_m for circuit in survey.circuit for cable in circuit.cable]
    assert survey.cord is not None
    lengths.append(survey.cord.length_m)
    total = sum(one.value for one in lengths if one is not None and one.value is not None)
    assert along.points[-1].distance_m == pytest.approx(total)
    distances = [point.distance_m for point in along.points]
    assert distances == sorted(distances)
    assert distances[0] == 0


def test_without_the_facts_there_is_none() -> None:
    assert sites.shipped("old-mill").voltage_along is None
