"""Resistances, k and protective conductors against physics, an open library and printed tables."""

from __future__ import annotations

import itertools
import math
import warnings
from collections.abc import Callable

import pytest

from feasibility.result import Quantity
from feasibility.tables import (
    NotTabulated,
    annex_g_resistivity,
    k_factor,
    minimum_protective_section,
    reactance,
    resistance_20c,
    resistivity_20c,
    standard_sections,
    table,
    temperature_coefficient,
    typical_reactance,
    voltage_drop_length_allowance,
    voltage_drop_limit,
)

# Adiabatic formula and constants: IEC 60364-5-54:2011, Annex A (also IEC 60949).
BETA_C = {"copper": 234.5, "aluminium": 228.0, "steel": 202.0}
HEAT_J_PER_C_MM3 = {"copper": 3.45e-3, "aluminium": 2.5e-3, "steel": 3.8e-3}
RHO_OHM_MM = {"copper": 17.241e-6, "aluminium": 28.264e-6, "steel": 138e-6}


def adiabatic_k(metal: str, initial_c: float, final_c: float) -> float:
    beta = BETA_C[metal]
    heat = HEAT_J_PER_C_MM3[metal] * (beta + 20) / RHO_OHM_MM[metal]
    return math.sqrt(heat * math.log((beta + final_c) / (beta + initial_c)))


def test_every_k_is_the_adiabatic_one() -> None:
    rows = table("k_factors").rows
    assert len(rows) == 86
    compared = 0
    for row in rows:
        final_c = row.optional_number("final_c")
        metal = row.text("conductor")
        if final_c is None:
            # IEC 60364-5-54, A.54.6, visible and in restricted areas: 500 C, aluminium 300 C.
            final_c = 300.0 if metal == "aluminium" else 500.0
        calculated = adiabatic_k(metal, row.number("initial_c"), final_c)
        assert abs(row.number("k_a_s05_per_mm2") - calculated) <= 0.65, row.line
        compared += 1
    assert compared == 86


# BS 7671 Tables 43.1 and 54.2 to 54.5, as a pocket guide prints them.
@pytest.mark.parametrize(
    ("use", "insulation", "conductor", "section_mm2", "printed"),
    [
        ("live conductor", "PVC", "copper", 16, 115),
        ("live conductor", "PVC", "copper", 400, 103),
        ("live conductor", "PVC", "aluminium", 300, 76),
        ("live conductor", "XLPE", "copper", 16, 143),
        ("live conductor", "XLPE", "aluminium", 16, 94),
        ("live conductor", "rubber 60 C", "copper", 6, 141),
        ("live conductor", "PVC 90 C", "copper", 6, 100),
        ("protective core of cable", "PVC", "copper", 16, 115),
        ("separate protective conductor", "PVC", "copper", 16, 143),
        ("separate protective conductor", "XLPE", "copper", 16, 176),
        ("armour, sheath or concentric conductor", "PVC", "steel", 50, 51),
        ("armour, sheath or concentric conductor", "XLPE", "aluminium", 50, 85),
    ],
)
def test_printed_k(
    use: str, insulation: str, conductor: str, section_mm2: float, printed: float
) -> None:
    found = k_factor(use=use, insulation=insulation, conductor=conductor, section_mm2=section_mm2)
    assert (found.value, found.unit) == (printed, "A s^0.5/mm2")


def test_resistances_lie_just_above_the_metal_of_the_nominal_section() -> None:
    """IEC 60228 limits include stranding and tolerance: 5 to 17 % above rho / S (47.5 for 50)."""
    for metal, flexible in (("copper", False), ("copper", True), ("aluminium", False)):
        rho = resistivity_20c(conductor=metal).value
        for section in standard_sections(conductor=metal, flexible=flexible):
            found = resistance_20c(conductor=metal, section_mm2=section, flexible=flexible)
            excess = found.value * section / (1000 * rho)
            assert 1.0 < excess < 1.17, (metal, flexible, section, excess)


def test_resistances_fall_with_the_section() -> None:
    for metal, flexible in (("copper", False), ("copper", True), ("aluminium", False)):
        values = [
            resistance_20c(conductor=metal, section_mm2=section, flexible=flexible).value
            for section in standard_sections(conductor=metal, flexible=flexible)
        ]
        assert all(small > large for small, large in itertools.pairwise(values))


def test_flexible_copper_resists_up_to_ten_percent_more() -> None:
    for section in standard_sections(flexible=True):
        flexible = resistance_20c(conductor="copper", section_mm2=section, flexible=True).value
        stranded = resistance_20c(conductor="copper", section_mm2=section, flexible=False).value
        assert 0.99 < flexible / stranded < 1.101, section


def test_aluminium_cables_of_an_open_network_library() -> None:
    """Standard types of pandapower; its 4x120 type lies 11 % below IEC 60228 and is left out."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import pandapower

        types = pandapower.create_empty_network().std_types["line"]
    for name, section in (("NAYY 4x50 SE", 50), ("NAYY 4x150 SE", 150)):
        found = resistance_20c(conductor="aluminium", section_mm2=section, flexible=False)
        assert found.value == pytest.approx(types[name]["r_ohm_per_km"], rel=0.011)
        assert reactance().value == pytest.approx(types[name]["x_ohm_per_km"], rel=0.04)


# IEC 60228:2004 as several makers' conductor data print it.
@pytest.mark.parametrize(
    ("conductor", "flexible", "section_mm2", "printed"),
    [
        ("copper", False, 2.5, 7.41),
        ("copper", False, 16, 1.15),
        ("copper", False, 35, 0.524),
        ("copper", False, 185, 0.0991),
        ("copper", True, 16, 1.21),
        ("copper", True, 35, 0.554),
        ("aluminium", False, 150, 0.206),
        ("aluminium", False, 25, 1.2),
    ],
)
def test_printed_resistances(
    conductor: str, flexible: bool, section_mm2: float, printed: float
) -> None:
    found = resistance_20c(conductor=conductor, section_mm2=section_mm2, flexible=flexible)
    assert (found.value, found.unit) == (printed, "ohm/km")


def test_constants() -> None:
    # IEC 60287-1-1, Table 1, and IEC 60364-5-52, Annex G.
    assert temperature_coefficient("copper").value == 3.93e-3
    assert temperature_coefficient("aluminium").value == 4.03e-3
    assert temperature_coefficient("copper").unit == "1/K"
    assert reactance().value == 0.08
    assert annex_g_resistivity(conductor="copper").value == 0.0225
    assert annex_g_resistivity(conductor="aluminium").unit == "ohm mm2/m"
    for metal in ("copper", "aluminium"):
        ratio = annex_g_resistivity(conductor=metal).value / resistivity_20c(conductor=metal).value
        assert ratio == pytest.approx(1.25, rel=0.05)
    typical = typical_reactance(cable="multicore", section_mm2=16)
    assert typical.value == 0.081
    assert "indicative" in typical.note


def test_voltage_drop_limits() -> None:
    # IEC 60364-5-52:2009, Table G.52.1, as two pages print it.
    printed = {"public": {"lighting": 3, "other": 5}, "private": {"lighting": 6, "other": 8}}
    for supply, uses in printed.items():
        for use, limit in uses.items():
            found = voltage_drop_limit(supply=supply, use=use)
            assert (found.value, found.unit) == (limit, "%")
    allowance = voltage_drop_length_allowance()
    assert [(part.value, part.unit) for part in allowance] == [
        (100, "m"),
        (0.005, "%/m"),
        (0.5, "%"),
    ]


# IEC 60364-5-54, Table 54.2; half a section is rounded up, never down (150 / 2 = 75 gives 95).
PROTECTIVE = {1.5: 1.5, 16: 16, 25: 16, 35: 16, 50: 25, 70: 35, 95: 50, 120: 70, 150: 95, 185: 95}
PROTECTIVE |= {240: 120, 300: 150}


def test_protective_sections() -> None:
    for line, protective in PROTECTIVE.items():
        found = minimum_protective_section(line_section_mm2=line)
        assert (found.value, found.unit) == (protective, "mm2"), line
    assert "75 mm2 rounded up" in minimum_protective_section(line_section_mm2=150).note


@pytest.mark.parametrize(
    ("refused", "parameter"),
    [
        (
            lambda: resistance_20c(conductor="aluminium", section_mm2=6, flexible=False),
            "section_mm2",
        ),
        (
            lambda: resistance_20c(conductor="aluminium", section_mm2=16, flexible=True),
            "construction",
        ),
        (lambda: minimum_protective_section(line_section_mm2=15), "line_section_mm2"),
        (lambda: voltage_drop_limit(supply="own", use="other"), "supply"),
        (lambda: temperature_coefficient("silver"), "conductor"),
        (lambda: typical_reactance(cable="multicore", section_mm2=400), "section_mm2"),
        (
            lambda: k_factor(
                use="live conductor", insulation="PVC", conductor="steel", section_mm2=16
            ),
            "conductor",
        ),
        (
            lambda: k_factor(
                use="live conductor", insulation="PVC", conductor="copper", section_mm2=math.nan
            ),
            "section_mm2",
        ),
    ],
)
def test_what_is_not_tabulated_is_refused(refused: Callable[[], Quantity], parameter: str) -> None:
    with pytest.raises(NotTabulated) as refusal:
        refused()
    assert refusal.value.parameter == parameter
