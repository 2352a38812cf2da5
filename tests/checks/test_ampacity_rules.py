"""Which row and which factor of IEC 60364-5-52, Annex B, an ampacity takes, and what is refused.

Figures by hand for 16 mm2 of copper, PVC, three loaded conductors: 76 A (B.52.4, method C), 62 A
(B2), 68 A (B1), 64 A (D1); factors of B.52.14, B.52.15, B.52.17 and B.52.18. Cords: BS 7671, Table
4F1A (6 mm2, 34 A), 0.82 at 40 °C.
"""

from __future__ import annotations

import math

import pytest

from feasibility.result import Finding, Outcome

from .sites import GONE, SINGLE, asked, found, step_result, third_harmonic

MAIN = "Main cable: cable 1"
BAKERY = "bakery-yard"
IN_GROUND: dict[str, object] = {
    "method": "D1",
    "ambient_c": 20,
    "soil_resistivity_k_m_per_w": 2.5,
    "grouping_spacing": "touching",
}


def cable(**fields: object) -> Finding:
    changes = {f"circuit[0].cable[0].{field}": value for field, value in fields.items()}
    return found("ampacity", MAIN, BAKERY, changes)


def cord(**fields: object) -> Finding:
    changes = {f"cord.{field}": value for field, value in fields.items()}
    return found("ampacity", "cord", SINGLE, changes)


def formula(finding: Finding) -> str:
    return next(one.formula for one in finding.working if one.symbol == "Iz")


@pytest.mark.parametrize(
    ("fields", "amperes", "symbols"),
    [
        ({}, 76, "It * ca * cg"),
        ({"grouped_circuits": 3}, 76 * 0.79, "It * ca * cg"),
        ({"grouped_circuits": 3, "grouping": "bunched"}, 76 * 0.70, "It * ca * cg"),
        ({"grouping": "single layer under ceiling"}, 76 * 0.95, "It * ca * cg"),
        # Only the first row of B.52.17 is for cables in conduit.
        (
            {"method": "B2", "grouped_circuits": 3, "grouping": "single layer on perforated tray"},
            62 * 0.70,
            "It * ca * cg",
        ),
        ({"construction": "single-core", "method": "B1"}, 68, "It * ca * cg"),
        ({"in_parallel": 2, "grouping": "bunched"}, 2 * 76 * 0.80, "n * It * ca * cg"),
        (IN_GROUND, 64, "It * ca * cs * cg"),
        ({**IN_GROUND, "grouped_circuits": 2}, 64 * 0.85, "It * ca * cs * cg"),
        ({**IN_GROUND, "soil_resistivity_k_m_per_w": 1.0}, 64 * 1.18, "It * ca * cs * cg"),
        ({**IN_GROUND, "in_sun": True}, 64, "It * ca * cs * cg"),
        ({"in_sun": True}, 76 * 0.71, "It * ca * cg"),
        # XLPE with its own terminals, and with terminals of 70 °C as PVC.
        ({"insulation": "XLPE", "ends_rated_c": 90}, 96, "It * ca * cg"),
        ({"insulation": "XLPE", "ends_rated_c": 89}, 76, "It * ca * cg"),
        ({"insulation": "XLPE"}, 76, "It * ca * cg"),
        ({"metallic_covering": "armour"}, 76, "It * ca * cg"),
        (
            {"construction": "single-core", "metallic_covering": "armour", "ampacity_a": 70},
            70,
            "It * ca * cg",
        ),
        ({"insulation": "XLPE", "ampacity_a": 90}, 90 * math.sqrt(40 / 60), "It * ct * ca * cg"),
    ],
)
def test_the_ampacity_of_a_cable_by_hand(
    fields: dict[str, object], amperes: float, symbols: str
) -> None:
    finding = cable(**fields)
    assert finding.limit == pytest.approx(amperes)
    assert formula(finding) == symbols


@pytest.mark.parametrize(
    ("fields", "parameter"),
    [
        ({"method": "B1"}, "method of a multicore cable"),
        ({"construction": "single-core", "method": "B2"}, "method of a single-core cable"),
        ({"construction": "single-core", "metallic_covering": "armour"}, "metallic covering"),
    ],
)
def test_a_method_that_does_not_go_with_the_construction_is_refused(
    fields: dict[str, object], parameter: str
) -> None:
    finding = cable(**fields)
    assert finding.outcome is Outcome.OPEN
    assert str(finding.reason.values["reason"]).startswith(parameter)


def test_the_permitted_methods_are_named() -> None:
    of_multicore = str(cable(method="B1").reason.values["reason"])
    assert "A2, B2, E, C, D1, D2" in of_multicore
    of_single = str(cable(construction="single-core", method="B2").reason.values["reason"])
    assert "A1, B1, F, G, C, D1, D2" in of_single


def test_an_unknown_temperature_is_that_of_air_or_of_the_ground() -> None:
    # Ranges of the code basis: up to 40 °C in air (0.87), up to 25 °C in the ground (0.95).
    assert cable(ambient_c=GONE).limit == pytest.approx(76 * 0.87)
    assert cable(**{**IN_GROUND, "ambient_c": GONE}).limit == pytest.approx(64 * 0.95)


def test_what_a_table_value_is_for_is_said() -> None:
    (step,) = [one for one in cable().working if one.symbol == "Iz"]
    meaning = next(one.meaning for one in step.inputs if one.symbol == "It")
    assert meaning == "table value, 16 mm² copper, PVC, method C, 3 loaded conductors"


def test_unequal_cables_in_parallel_group_with_each_other() -> None:
    """Three: B.52.17, 0.70; 16, 25 and 35 mm2 of B.52.4, method C: 76, 96 and 119 A."""
    beside = [{"section_mm2": 25, "length_m": 14}, {"section_mm2": 35, "length_m": 14}]
    finding = cable(parallel_cable=beside, grouping="bunched")
    branches = [1 / complex(r, 0.08) for r in (1.15, 0.727, 0.524)]
    shares = [abs(one) / abs(sum(branches)) for one in branches]
    full = [0.70 * one / share for one, share in zip((76, 96, 119), shares, strict=True)]
    assert finding.limit == pytest.approx(min(full))
    assert step_result(finding, "Iz3") == pytest.approx(0.70 * 119)


@pytest.mark.parametrize(
    ("fields", "amperes"),
    [
        ({}, 34),
        ({"ambient_c": 40}, 34 * 0.82),
        ({"ampacity_a": 30}, 30),
        ({"ampacity_a": 30, "ambient_c": 40}, 30 * 0.82),
    ],
)
def test_the_ampacity_of_a_cord_by_hand(fields: dict[str, object], amperes: float) -> None:
    assert cord(**fields).limit == pytest.approx(amperes)


@pytest.mark.parametrize(
    ("ambient_c", "ends_rated_c", "share"),
    # BS 7671, Table 4F2A: 0.95 at 35 °C, which holds where the plug may be as hot as the cord.
    [(35, 90, 0.95), (35, 70, math.sqrt(35 / 60)), (69, 70, math.sqrt(1 / 60))],
)
def test_plug_and_inlet_bound_the_temperature_of_a_hotter_cord(
    ambient_c: float, ends_rated_c: float, share: float
) -> None:
    """Heat grows with the square of the current: sqrt((Tt - Ta) / (Tmax - 30))."""
    hotter = {"grade": "90 C thermosetting", "ends_rated_c": ends_rated_c}
    at_reference = cord(grade="90 C thermosetting", ambient_c=30, ends_rated_c=90).limit
    assert at_reference is not None
    assert cord(**hotter, ambient_c=ambient_c).limit == pytest.approx(at_reference * share)


def test_a_cord_in_air_as_hot_as_its_plug_may_be_is_not_judged() -> None:
    finding = cord(grade="90 C thermosetting", ambient_c=70, ends_rated_c=70)
    assert finding.outcome is Outcome.OPEN
    assert "ends are rated 70 C" in str(finding.reason.values["reason"])


@pytest.mark.parametrize(
    ("method", "laid", "amperes"),
    # Table B.52.10, copper, PVC, 25 mm2, three loaded conductors.
    [
        ("F", "trefoil", 110),
        ("G", "horizontal", 146),
        ("G", "vertical", 130),
    ],
)
def test_how_single_cores_lie_decides_in_free_air(method: str, laid: str, amperes: float) -> None:
    finding = cable(construction="single-core", method=method, laid=laid, section_mm2=25)
    assert finding.limit == pytest.approx(amperes)


def test_a_third_harmonic_lowers_what_the_line_conductors_carry() -> None:
    # Annex E, Table E.52.1: 0.86 from 15 % to 33 %.
    finding = found("ampacity", MAIN, BAKERY, third_harmonic(20))
    assert finding.limit == pytest.approx(76 * 0.86)


def test_the_temperature_of_terminals_is_no_assumption_where_no_conductor_is_hotter() -> None:
    for link in (MAIN, "cord"):
        name = BAKERY if link == MAIN else SINGLE
        (judged,) = [one for one in asked("ampacity", name) if one.unfavourable.link == link]
        assert not [fact for fact in judged.facts if fact.path.endswith("ends_rated_c")]
