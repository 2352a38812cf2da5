"""Factors and parallel conductors. Percentages by mistake and forgotten shares are refused."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from feasibility.clauses.ampacity import (
    annex_d_ampacity_a,
    corrected_ampacity_a,
    parallel_ampacity_a,
    parallel_share,
)
from feasibility.units import OutOfRange

OHMS = st.floats(min_value=1e-4, max_value=1.0)


def test_a_percentage_is_no_factor() -> None:
    with pytest.raises(OutOfRange) as refusal:
        corrected_ampacity_a(tabulated_a=57.0, ambient_factor=87.0, grouping_factor=0.8)
    assert refusal.value.parameter == "ambient_factor"
    assert (refusal.value.value, refusal.value.upper) == (87.0, 2.0)


FACTORS = ("ambient_factor", "grouping_factor", "soil_factor", "harmonic_factor", "other_factor")


@pytest.mark.parametrize("name", FACTORS)
def test_each_factor_counts_once(name: str) -> None:
    # IEC 60364-5-52:2009, 523: the factors multiply; halving one halves the ampacity
    factors = dict.fromkeys(FACTORS, 0.9)
    whole_a = corrected_ampacity_a(tabulated_a=57.0, **factors)
    half_a = corrected_ampacity_a(tabulated_a=57.0, **(factors | {name: 0.45}))
    assert whole_a == pytest.approx(57.0 * 0.9**5)
    assert half_a == pytest.approx(whole_a / 2)


def test_factors_not_given_are_one() -> None:
    plain_a = corrected_ampacity_a(tabulated_a=57.0, ambient_factor=1.0, grouping_factor=1.0)
    assert plain_a == 57.0


@pytest.mark.parametrize(
    ("section_mm2", "printed_a"), [(1.5, 14.5), (2.5, 19.5), (16.0, 61.0), (50.0, 119.0)]
)
def test_annex_d_without_a_second_term(section_mm2: float, printed_a: float) -> None:
    # IEC 60364-5-52:2009, Table D.52.1, A1, two copper conductors, PVC: 11.2 and 0.6118;
    # Table B.52.2 prints the results, in steps of 0.5 A up to 20 A and of 1 A above
    found_a = annex_d_ampacity_a(section_mm2=section_mm2, a_coefficient=11.2, m_exponent=0.6118)
    assert found_a == pytest.approx(printed_a, abs=0.25 if printed_a <= 20 else 0.5)


def test_a_conductor_of_no_impedance_is_refused() -> None:
    for impedances in ([0j, 0.1 + 0j], [0.1 - 0.1j, 0.1 + 0j], [-0.1 + 0.1j, 0.1 + 0j]):
        with pytest.raises(OutOfRange, match="impedances_ohm"):
            parallel_share(impedances_ohm=impedances)


def test_grouping_never_raises_the_ampacity() -> None:
    with pytest.raises(OutOfRange, match="grouping_factor"):
        corrected_ampacity_a(tabulated_a=57.0, ambient_factor=1.0, grouping_factor=1.01)


@given(st.lists(st.tuples(OHMS, OHMS), min_size=2, max_size=6))
def test_shares_obey_kirchhoff(parts: list[tuple[float, float]]) -> None:
    # Circuit theory: under 1 A in total the same voltage lies across every conductor.
    impedances = np.array([complex(r, x) for r, x in parts])
    shares = parallel_share(impedances_ohm=impedances)
    voltage_v = 1 / np.sum(1 / impedances)
    np.testing.assert_allclose(shares * np.abs(impedances), np.abs(voltage_v), rtol=1e-9)
    assert shares.sum() >= 1 - 1e-12


@given(st.floats(min_value=10, max_value=500), OHMS, OHMS, st.integers(min_value=1, max_value=6))
def test_equal_conductors_share_equally(
    ampacity_a: float, resistance_ohm: float, reactance_ohm: float, count: int
) -> None:
    # IEC 60364-4-43, Annex A: equal conductors in parallel count with the sum of their ampacities.
    shares = parallel_share(impedances_ohm=[complex(resistance_ohm, reactance_ohm)] * count)
    total_a = parallel_ampacity_a(ampacities_a=[ampacity_a] * count, shares=shares)
    assert total_a == pytest.approx(count * ampacity_a)


def test_the_shorter_cable_is_full_first() -> None:
    # Circuit theory: 20 m beside 30 m of the same cable share 3 to 2, so 100 A + 66.7 A.
    shares = parallel_share(impedances_ohm=[20 * (0.001 + 1e-4j), 30 * (0.001 + 1e-4j)])
    np.testing.assert_allclose(shares, [0.6, 0.4])
    assert parallel_ampacity_a(ampacities_a=[100.0, 100.0], shares=shares) == pytest.approx(500 / 3)


@pytest.mark.parametrize("shares", [[0.4, 0.4], [0.5, 0.4999], 0.4])
def test_a_forgotten_share_is_refused(shares: object) -> None:
    with pytest.raises(OutOfRange, match="sum of shares"):
        parallel_ampacity_a(ampacities_a=[100.0, 100.0], shares=shares)  # type: ignore[arg-type]
