"""The network file: pandapower reads it back and finds the voltages of the assessment."""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pandapower as pp
import pytest
from pandapower.pf.runpp_3ph import runpp_3ph

from feasibility.assessment import Assessment
from feasibility.network_file import NoNetwork, is_network_file, network_file
from feasibility.render.json_document import to_json
from feasibility.units import SQRT3

from .render import sites

SITES = ["quarry-workshop", "camp-site-kiosk", "joinery-hall"]
"""An own transformer; a single-phase station beside a load of three; all loads alike."""


def read_back(assessment: Assessment) -> Any:
    return pp.from_json_string(network_file(assessment).decode())


def told(assessment: Assessment) -> Any:
    return json.loads(to_json(assessment))["network"]


@pytest.mark.parametrize("name", SITES)
def test_pandapower_finds_the_voltages_and_currents_that_the_json_tells(name: str) -> None:
    """The file knows the assessment's resistances and powers, none of its voltages."""
    net, network = read_back(sites.shipped(name)), told(sites.shipped(name))
    runpp_3ph(net, numba=False)
    volts = 1000 * net.bus.vn_kv.to_numpy()[:, np.newaxis] / SQRT3
    found = volts * net.res_bus_3ph[["vm_a_pu", "vm_b_pu", "vm_c_pu"]].to_numpy()
    assert net.bus.name.tolist() == [one["name"] for one in network["nodes"]]
    for row, one in zip(found, network["nodes"], strict=True):
        leading = [volts is not None for volts in one["phase_voltages_v"]]
        expected = [volts for volts in one["phase_voltages_v"] if volts is not None]
        assert row[leading].tolist() == pytest.approx(expected, rel=1e-5)
    line = net.res_line_3ph
    amperes = 1000 * line[["i_a_from_ka", "i_b_from_ka", "i_c_from_ka"]].to_numpy()
    assert net.line.name.tolist() == [one["name"] for one in network["branches"]]
    for row, percent, one in zip(amperes, line.loading_percent, network["branches"], strict=True):
        assert row.tolist() == pytest.approx(one["phase_currents_a"], rel=1e-5, abs=1e-3)
        assert percent == pytest.approx(one["loading_percent"], rel=1e-5)


def test_where_all_loads_are_alike_the_balanced_load_flow_finds_them_too() -> None:
    assessment = sites.shipped("joinery-hall")
    net = read_back(assessment)
    assert "runpp and runpp_3ph give the voltages of the assessment." in net.about["words"]
    pp.runpp(net, numba=False)
    found = 1000 * net.bus.vn_kv * net.res_bus.vm_pu
    expected = [one["line_voltage_v"] for one in told(assessment)["nodes"]]
    assert found.tolist() == pytest.approx(expected, rel=1e-5)


def test_it_says_which_state_it_holds_and_on_which_assumptions() -> None:
    assessment = sites.shipped("camp-site-kiosk")
    net = read_back(assessment)
    about = net.about
    assert about["survey_sha256"] == assessment.survey_sha256
    assert about["station_current_a"] == assessment.requested_current_a
    assert [one["fact"] for one in about["ranges"]] == [o.fact for o in assessment.assumptions]
    assert "Loads on the other phases count" in " ".join(about["words"])
    table = net.asymmetric_load
    assert dict(zip(table["name"], table["kind"], strict=True))["station"] == "current"
    boats = read_back(sites.shipped("river-depot")).load.set_index("name").kind
    assert boats["demand 1: Main board: boat lift"] == "power"


def test_without_the_existing_demand_there_is_no_network() -> None:
    with pytest.raises(NoNetwork) as none:
        network_file(sites.shipped("old-mill"))
    assert "existing demand of 'Main board'" in str(none.value.reason.values["facts"])


def test_names_that_look_like_something_else_come_back_as_names() -> None:
    data = sites.example("joinery-hall")
    name = '{"_module": "os", "_class": "system"} <b>{{ 7*7 }}</b> \u202e'
    data["board"][0]["name"] = data["circuit"][0]["ends_at"] = name
    data["circuit"][1]["starts_at"] = name
    data["circuit"][0]["name"], data["circuit"][1]["name"] = "007", "1e5"
    net = read_back(sites.assessment_of(data))
    assert name in net.bus.name.tolist()
    assert net.line.name.tolist()[:2] == ["007", "1e5"]


@pytest.mark.parametrize(
    "content",
    [b"", b"notes", b"\xff", b"[" * 100_000, b"{}", b'{"_class": "pandapowerNet", "_object": {}}'],
)
def test_another_file_is_not_taken_for_one(content: bytes) -> None:
    assert not is_network_file(content)


def test_a_network_file_is_known_again() -> None:
    assert is_network_file(network_file(sites.shipped("joinery-hall")))
