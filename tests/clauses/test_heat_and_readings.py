"""Heat of a fault current with its direct current, and readings made warm, against outside sums."""

from __future__ import annotations

import math

import pytest
from scipy.integrate import quad

from feasibility.clauses.adiabatic import asymmetrical_energy_a2s, direct_current_share
from feasibility.clauses.disconnection import warmed_loop_ohm
from feasibility.units import OutOfRange


@pytest.mark.parametrize("peak_factor", [1.05, 1.4, 1.8, 1.95])
@pytest.mark.parametrize("time_s", [0.01, 0.05, 0.1])
@pytest.mark.parametrize("frequency_hz", [50.0, 60.0])
def test_the_heat_of_the_direct_current_by_integration(
    peak_factor: float, time_s: float, frequency_hz: float
) -> None:
    """IEC 60909-0, clause 12: i = sqrt(2) I exp(-t / T), squared and integrated over the time.

    After half a period kappa - 1 of the direct current is left (clause 8).
    """
    decay_per_s = -2 * frequency_hz * math.log(peak_factor - 1)
    heat, _ = quad(lambda t: 2 * math.exp(-2 * decay_per_s * t), 0, time_s, epsabs=1e-15)
    share = direct_current_share(time_s=time_s, peak_factor=peak_factor, frequency_hz=frequency_hz)
    assert share == pytest.approx(heat / time_s, rel=1e-9)


@pytest.mark.parametrize("peak_factor", [1.0, 1.0 + 5e-7, 2.0 - 5e-7, 2.0, 2.5, math.nan])
def test_a_peak_factor_without_decay_is_refused(peak_factor: float) -> None:
    with pytest.raises(OutOfRange):
        direct_current_share(time_s=0.05, peak_factor=peak_factor, frequency_hz=50.0)


def test_the_energy_of_both_parts_by_hand() -> None:
    # IEC 60909-0, clause 12: I^2 (m + n) T with n = 1: 1000^2 * 1.4 * 0.05.
    energy = asymmetrical_energy_a2s(fault_current_a=1000.0, time_s=0.05, direct_current_share=0.4)
    assert energy == pytest.approx(70_000)


def test_the_share_inside_the_installation_is_made_warm_by_hand() -> None:
    # IEC 60364-6, Annex D, from memory: 0.28 + 0.24 * (1 + 0.00393 * 50).
    values = {"reading_ohm": 0.52, "outside_ohm": 0.28, "temperature_coefficient_per_k": 0.00393}
    assert warmed_loop_ohm(**values, temperature_c=70.0) == pytest.approx(0.28 + 0.24 * 1.1965)
    assert warmed_loop_ohm(**values, temperature_c=20.0) == pytest.approx(0.52)
    smaller = values | {"reading_ohm": 0.2}
    assert warmed_loop_ohm(**smaller, temperature_c=70.0) == 0.28


@pytest.mark.parametrize("temperature_c", [19.9, 250.1])
def test_a_temperature_that_no_conductor_has_is_refused(temperature_c: float) -> None:
    with pytest.raises(OutOfRange):
        warmed_loop_ohm(
            reading_ohm=0.5,
            outside_ohm=0.2,
            temperature_coefficient_per_k=0.004,
            temperature_c=temperature_c,
        )
