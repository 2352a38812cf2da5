"""Temperature, soil and harmonic factors.

Independent rule: heat flow in proportion to the temperature difference gives the factor
sqrt((limit - T) / (limit - reference)), 70 C for PVC, 90 C for XLPE.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from feasibility.result import Quantity
from feasibility.tables import (
    NotTabulated,
    ambient_air_factor,
    ground_temperature_factor,
    soil_factor,
    table,
    third_harmonic_factor,
)

LIMIT_C = {"PVC": 70.0, "XLPE": 90.0}


@pytest.mark.parametrize(
    ("name", "reference_c"), [("b52_14_air_temperature", 30), ("b52_15_ground_temperature", 20)]
)
def test_temperature_factors_follow_the_square_root_law(name: str, reference_c: float) -> None:
    rows = table(name).rows
    assert len(rows) == 26
    for row in rows:
        limit = LIMIT_C[row.text("insulation")]
        law = math.sqrt((limit - row.number("temperature_c")) / (limit - reference_c))
        assert abs(row.number("factor") - law) <= 0.0051, row.line


# DIN VDE 0298-4:2013-06, table 17, PVC column, as a cable maker's extract prints it.
PRINTED_PVC = {10: 1.22, 20: 1.12, 25: 1.06, 30: 1.0, 35: 0.94, 40: 0.87, 45: 0.79, 50: 0.71}


def test_printed_air_factors() -> None:
    for temperature_c, factor in PRINTED_PVC.items():
        found = ambient_air_factor(insulation="PVC", temperature_c=temperature_c)
        assert (found.value, found.unit, found.note) == (factor, "", "")


@given(
    st.sampled_from(("PVC", "XLPE")),
    st.floats(min_value=-40, max_value=60, allow_nan=False),
)
def test_an_air_factor_is_never_more_favourable_than_the_law(
    insulation: str, temperature_c: float
) -> None:
    found = ambient_air_factor(insulation=insulation, temperature_c=temperature_c)
    limit = LIMIT_C[insulation]
    assert found.value <= math.sqrt((limit - temperature_c) / (limit - 30)) + 0.0051
    tabulated = temperature_c in {float(entry) for entry in range(10, 61, 5)}
    assert bool(found.note) != tabulated


@given(
    st.floats(min_value=-40, max_value=60, allow_nan=False),
    st.floats(min_value=0, max_value=30, allow_nan=False),
)
def test_a_hotter_place_never_helps(cool_c: float, rise_c: float) -> None:
    hot_c = min(60.0, cool_c + rise_c)
    cool = ambient_air_factor(insulation="PVC", temperature_c=cool_c)
    hot = ambient_air_factor(insulation="PVC", temperature_c=hot_c)
    assert hot.value <= cool.value


def test_a_cold_place_counts_as_the_coldest_entry() -> None:
    found = ambient_air_factor(insulation="PVC", temperature_c=-5)
    assert found.value == 1.22
    assert "taken as 10" in found.note


def test_between_entries_the_hotter_one_counts() -> None:
    found = ambient_air_factor(insulation="XLPE", temperature_c=36)
    assert found.value == 0.91
    assert "temperature_c 36 taken as 40" in found.note
    assert ground_temperature_factor(insulation="PVC", temperature_c=21).value == 0.95


# IEC 60364-5-52:2009, Table B.52.16: moist soil of 1.0 K m/W gives 1.18 in a duct, 1.50 direct.
@pytest.mark.parametrize(
    ("method", "resistivity", "factor"),
    [
        ("D1", 1.0, 1.18),
        ("D2", 1.0, 1.5),
        ("D1", 2.5, 1.0),
        ("D2", 2.5, 1.0),
        ("D2", 0.71, 1.5),
        ("D1", 2.6, 0.96),
        ("D2", 3.0, 0.9),
    ],
)
def test_soil_factors(method: str, resistivity: float, factor: float) -> None:
    found = soil_factor(method=method, resistivity_k_m_per_w=resistivity)
    assert found.value == factor
    assert bool(found.note) == (resistivity in (0.71, 2.6))


# BS 7671 Table 4Aa (the same bands as IEC 60364-5-52, E.52.1), as an engineering page prints it.
@pytest.mark.parametrize(
    ("share", "factor", "basis"),
    [
        (0, 1.0, "line"),
        (15, 1.0, "line"),
        (15.1, 0.86, "line"),
        (33, 0.86, "line"),
        (33.1, 0.86, "neutral"),
        (45, 0.86, "neutral"),
        (45.1, 1.0, "neutral"),
        (100, 1.0, "neutral"),
    ],
)
def test_third_harmonic(share: float, factor: float, basis: str) -> None:
    found, decided_by = third_harmonic_factor(third_harmonic_percent=share)
    assert (found.value, decided_by) == (factor, basis)
    assert not found.note  # a lecture that quotes the IEC table confirms what BS 7671 reproduces


@pytest.mark.parametrize(
    ("refused", "parameter"),
    [
        (lambda: ambient_air_factor(insulation="PVC", temperature_c=61), "temperature_c"),
        (lambda: ambient_air_factor(insulation="XLPE", temperature_c=80.1), "temperature_c"),
        (lambda: ambient_air_factor(insulation="PVC", temperature_c=math.nan), "temperature_c"),
        (lambda: ambient_air_factor(insulation="PVC", temperature_c=-math.inf), "temperature_c"),
        (lambda: ambient_air_factor(insulation="rubber", temperature_c=30), "insulation"),
        (lambda: ground_temperature_factor(insulation="PVC", temperature_c=9), "temperature_c"),
        (lambda: ground_temperature_factor(insulation="PVC", temperature_c=65), "temperature_c"),
        (lambda: soil_factor(method="E", resistivity_k_m_per_w=1), "method"),
        (lambda: soil_factor(method="D1", resistivity_k_m_per_w=3.1), "resistivity_k_m_per_w"),
        (lambda: soil_factor(method="D1", resistivity_k_m_per_w=0.4), "resistivity_k_m_per_w"),
        (
            lambda: third_harmonic_factor(third_harmonic_percent=-1)[0],
            "third_harmonic_percent",
        ),
        (
            lambda: third_harmonic_factor(third_harmonic_percent=math.nan)[0],
            "third_harmonic_percent",
        ),
    ],
)
def test_outside_the_tables_is_refused(refused: Callable[[], Quantity], parameter: str) -> None:
    with pytest.raises(NotTabulated) as refusal:
        refused()
    assert refusal.value.parameter == parameter
    assert refusal.value.permitted
