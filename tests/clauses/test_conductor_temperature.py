"""Service temperature and hot resistance against printed tables."""

from __future__ import annotations

import pytest

from feasibility.clauses.ampacity import corrected_ampacity_a
from feasibility.clauses.conductor_temperature import conductor_temperature_c, resistance_at_ohm
from feasibility.units import OutOfRange

AMBIENT_FACTORS = {
    70: {10: 1.22, 20: 1.12, 25: 1.06, 35: 0.94, 40: 0.87, 45: 0.79, 50: 0.71, 55: 0.61, 60: 0.50},
    90: {10: 1.15, 20: 1.08, 35: 0.96, 40: 0.91, 50: 0.82, 60: 0.71, 70: 0.58, 80: 0.41},
}
"""IEC 60364-5-52:2009, Table B.52.14, PVC (70) and XLPE (90), against 30 degrees Celsius."""

R20_OHM_PER_KM = {2.5: 7.41, 4: 4.61, 6: 3.08, 10: 1.83, 16: 1.15, 25: 0.727, 35: 0.524, 50: 0.387}
"""IEC 60228:2004, Table 2, class 2, plain copper, the greatest resistance at 20 degrees Celsius."""

TWO_CORE_90C_MV_PER_A_M = {2.5: 19, 4: 12, 6: 7.9, 10: 4.7, 16: 2.9, 25: 1.85, 35: 1.35, 50: 0.99}
"""BS 7671, Appendix 4, Table 4E4B: drop of two copper conductors, resistive part."""

COPPER_PER_K = 0.00393
"""IEC 60287-1-1, Table 1."""


@pytest.mark.parametrize(
    ("maximum_c", "ambient_c", "factor"),
    [(m, t, f) for m, factors in AMBIENT_FACTORS.items() for t, f in factors.items()],
)
def test_full_load_at_a_tabled_ambient_reaches_the_permitted_temperature(
    maximum_c: float, ambient_c: float, factor: float
) -> None:
    # The factor is printed to 0.01, so the rise it allows at the 30-degree rating is known to
    # 0.005 / factor * 2; that rise on top of the ambient must be the permitted temperature.
    tabulated_a = 100.0
    current_a = corrected_ampacity_a(
        tabulated_a=tabulated_a, ambient_factor=factor, grouping_factor=1.0
    )
    rise_k = (
        conductor_temperature_c(
            current_a=current_a, ampacity_a=tabulated_a, ambient_c=30.0, maximum_c=float(maximum_c)
        )
        - 30.0
    )
    printed_to_k = rise_k * 2 * 0.0051 / factor
    assert ambient_c + rise_k == pytest.approx(maximum_c, abs=printed_to_k)


@pytest.mark.parametrize("section_mm2", R20_OHM_PER_KM)
def test_hot_resistance_is_the_printed_drop_of_two_conductors(section_mm2: float) -> None:
    hot_ohm_per_km = resistance_at_ohm(
        resistance_20c_ohm=R20_OHM_PER_KM[section_mm2],
        temperature_coefficient_per_k=COPPER_PER_K,
        temperature_c=90.0,
    )
    # printed to two or three digits
    assert 2 * hot_ohm_per_km == pytest.approx(TWO_CORE_90C_MV_PER_A_M[section_mm2], rel=0.025)


def test_beyond_the_ampacity_the_conductor_is_too_hot() -> None:
    hot_c = conductor_temperature_c(current_a=44.0, ampacity_a=40.0, ambient_c=30.0, maximum_c=70.0)
    assert hot_c > 70.0


def test_no_room_for_any_rise_is_refused() -> None:
    with pytest.raises(OutOfRange, match="rise left"):
        conductor_temperature_c(current_a=0.0, ampacity_a=40.0, ambient_c=70.0, maximum_c=70.0)
