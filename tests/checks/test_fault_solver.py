"""Every fault current at every node against pandapower's IEC 60909, which sums sequence networks.

The program does not ask for the supply's angle. Its largest current has to be at least that of the
library at any angle and is met at one of them to 0.1 %; its smallest one has to be at most that of
the library, and is met exactly where the supply has the angle of the conductors. Both use c = 1.10
and 0.90 (the library's figures for 10 % tolerance).
"""

from __future__ import annotations

import copy
from typing import Any

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from feasibility.checks.fault_levels import fault_levels, node_names
from feasibility.checks.question import Run
from feasibility.examples import example_names
from feasibility.installation.build import build_installation

from .fault_networks import (
    FAULTS,
    Supply,
    angle_of_cables,
    behind_level_ohm,
    largest_a,
    smallest_a,
)
from .hand import CLASS_2_OHM_PER_KM
from .sites import Data, site_data, survey_of

ANGLES = (1e-3, 1.0, 1e3)
EXACT = 1e-6
BETWEEN_LINES = ("three-phase", "line-line")


def known(name: str) -> Data:
    """Return a shipped site with everything known that a fault current depends on."""
    data = site_data(name)
    supply = data["supply"]
    if supply["earthing_system"]["value"] == "TT":
        supply["earthing_system"] = "TN-S"
    # An own transformer has its own comparison: test_transformer_solvers.py.
    supply.pop("transformer", None)
    supply |= {
        "kind": "public network",
        "prospective_fault_current_ka": 8.0,
        "smallest_fault_current_ka": 5.0,
        "external_loop_impedance_ohm": 0.14,
        "external_line_neutral_loop_ohm": 0.11,
    }
    for place in (data["outlet"], *data["board"]):
        for field in [field for field in place if field.startswith("measured_")]:
            del place[field]
    for circuit in data["circuit"]:
        for cable in circuit["cable"]:
            for field in ("length_m", "section_mm2", "insulation", "protective_section_mm2"):
                value = cable.get(field, 20)
                cable[field] = value.get("value", 20) if isinstance(value, dict) else value
                if cable[field] == "unknown":
                    cable[field] = {"insulation": "PVC"}.get(field, 6)
    return data


def compared(data: Data) -> None:
    """Compare all kinds of fault at all nodes; angles and tolerances as said above."""
    run = Run.over(build_installation(survey_of(data)), favourable=False)
    supply = data["supply"]
    neutral_ohm = supply["external_line_neutral_loop_ohm"]
    earth_ohm = supply["external_loop_impedance_ohm"]
    strong_ohm = behind_level_ohm(supply["prospective_fault_current_ka"], 1.10)
    weak_ohm = behind_level_ohm(supply["smallest_fault_current_ka"], 0.90)
    levels = dict(zip(node_names(run.installation), fault_levels(run)[0], strict=True))
    for kind in FAULTS:
        loop_ohm = {"line-neutral": neutral_ohm, "line-earth": earth_ohm}.get(kind)
        strong = Supply(ohm=loop_ohm or strong_ohm)
        # In the weakest state a loop is at least (2 + Z0/Z1) / 3, 0.7, of the line (IEC 60909-0).
        weak = Supply(ohm=max(loop_ohm, 0.7 * weak_ohm) if loop_ohm else weak_ohm)
        largest = largest_a(data, kind, strong, ANGLES)
        smallest = smallest_a(data, kind, weak, ANGLES)
        for name, at_node in levels.items():
            found = {level.kind: level for level in at_node.levels}
            if kind not in found:
                assert kind in BETWEEN_LINES  # a single-phase circuit
                continue
            high, low = found[kind].largest_a, found[kind].smallest_a
            assert high is not None
            assert low is not None
            assert high >= max(largest[name]) * (1 - EXACT)
            assert high == pytest.approx(max(largest[name]), rel=1e-3)
            assert low <= min(smallest[name]) * (1 + EXACT)
            if name == "origin":
                assert low == pytest.approx(min(smallest[name]), rel=EXACT)
            elif name != "outlet":  # the nodes before and behind it show the same
                angle = angle_of_cables(data, kind, name)
                exact = smallest_a(data, kind, weak, [angle])[name][0]
                assert low == pytest.approx(exact, rel=EXACT)


@pytest.mark.parametrize("name", example_names())
def test_the_shipped_sites(name: str) -> None:
    compared(known(name))


SECTIONS = sorted(CLASS_2_OHM_PER_KM)


@st.composite
def random_sites(draw: st.DrawFn) -> Data:
    """One to three circuits of one or two cables each, neutrals and protective conductors of any
    section.
    """
    data = copy.deepcopy(known("river-depot"))
    count = draw(st.integers(1, 3))
    names = [*("origin", "Main board", "Shed board")[:count], "outlet"]
    data["board"] = data["board"][: count - 1]
    if count == 1:
        data["supply"]["demand"] = {"maximum_a": 0}
    template = data["circuit"][-1]
    data["circuit"] = []
    for number in range(count):
        circuit: dict[str, Any] = copy.deepcopy(template)
        circuit |= {"name": f"c{number}", "starts_at": names[number], "ends_at": names[number + 1]}
        circuit["cable"] = [
            circuit["cable"][0]
            | {
                "length_m": draw(st.floats(1, 300)),
                "section_mm2": draw(st.sampled_from(SECTIONS)),
                "neutral_section_mm2": draw(st.sampled_from(SECTIONS)),
                "protective_section_mm2": draw(st.sampled_from(SECTIONS)),
                "insulation": draw(st.sampled_from(["PVC", "XLPE"])),
            }
            for _ in range(draw(st.integers(1, 2)))
        ]
        circuit["other_outlet"] = []
        data["circuit"].append(circuit)
    largest = draw(st.floats(1, 40))
    line_ohm = behind_level_ohm(largest, 1.10)
    data["supply"] |= {
        "prospective_fault_current_ka": largest,
        "smallest_fault_current_ka": largest * draw(st.floats(0.3, 1)),
        # Not below the line's own impedance: a smaller loop says that the level is larger.
        "external_loop_impedance_ohm": line_ohm * draw(st.floats(1.01, 6)),
        "external_line_neutral_loop_ohm": line_ohm * draw(st.floats(0.9, 6)),
    }
    data["cord"]["length_m"] = draw(st.floats(1, 50))
    return data


@settings(max_examples=4, phases=[Phase.explicit, Phase.generate])  # each asks the library often
@given(random_sites())
def test_random_sites(data: Data) -> None:
    compared(data)


@pytest.mark.campaign
@settings(max_examples=300)
@given(random_sites())
def test_very_many_random_sites(data: Data) -> None:
    compared(data)


def test_the_comparison_can_fail() -> None:
    """A neutral of half the section that one side forgets is noticed."""
    data = known("bakery-yard")
    run = Run.over(build_installation(survey_of(data)), favourable=False)
    (_, _, outlet, _) = fault_levels(run)[0]
    at_outlet = {level.kind: level for level in outlet.levels}["line-neutral"]
    other = copy.deepcopy(data)
    other["circuit"][1]["cable"][0]["neutral_section_mm2"] = 4
    independent = largest_a(other, "line-neutral", Supply(ohm=0.11), ANGLES)["outlet"]
    assert at_outlet.largest_a is not None
    assert at_outlet.largest_a > 1.05 * max(independent)
