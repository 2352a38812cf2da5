"""Height of the sun and light through a clear sky, against published figures."""

from __future__ import annotations

import pytest

from feasibility.clauses.sun import clear_sky_ratio, declination_deg, sun_height_deg


def height(latitude: float, day: int, hours_from_noon: float = 0) -> float:
    return sun_height_deg(
        latitude_deg=latitude,
        declination_deg=declination_deg(day_of_year=day),
        hour_angle_deg=15 * hours_from_noon,
    )


def test_a_textbook_example() -> None:
    # A textbook on solar energy, on its author's page: 40 degrees north, 15 June (its day 167), two
    # hours after solar noon: declination 23.35, height 59.75 degrees; the day lasts 14.83 hours.
    assert declination_deg(day_of_year=167) == pytest.approx(23.35, abs=0.005)
    assert height(40, 167, 2) == pytest.approx(59.75, abs=0.05)
    assert height(40, 167, 14.83 / 2) == pytest.approx(0, abs=0.05)
    assert height(40, 167, -14.83 / 2) == pytest.approx(0, abs=0.05)


@pytest.mark.parametrize("latitude", [0, 48, 90])
def test_noon_at_the_equinox_is_ninety_less_the_latitude(latitude: float) -> None:
    assert height(latitude, 81) == pytest.approx(90 - latitude)


@pytest.mark.parametrize(
    ("latitude", "day", "noon"),
    # Heights at solar noon as a column on the length of days lists them: Quito and Abu Dhabi at the
    # solstices, Tromsø at that of summer (refraction at the horizon left out).
    [
        (-0.25, 172, 66.3),
        (-0.25, 355, 66.8),
        (24.8, 172, 89.0),
        (24.8, 355, 42.1),
        (69.7, 172, 43.8),
    ],
)
def test_noons_at_the_solstices(latitude: float, day: int, noon: float) -> None:
    assert height(latitude, day) == pytest.approx(noon, abs=0.5)


def test_the_sun_of_the_south() -> None:
    assert height(-35, 355) == pytest.approx(height(35, 172), abs=0.1)
    assert height(69.7, 172, 12) > 0 > height(69.7, 355)


def test_light_through_air_masses() -> None:
    # Meinel's formula as a course on photovoltaics gives it, 1.353 kW/m² x 0.7^(m^0.678), by hand:
    # 0.947 kW/m² with the sun overhead, 0.846 through 1.5 times the air, at asin(1 / 1.5).
    assert 1.353 * clear_sky_ratio(height_deg=90.0) == pytest.approx(0.947, abs=0.001)
    assert 1.353 * clear_sky_ratio(height_deg=41.81) == pytest.approx(0.846, abs=0.002)
    assert clear_sky_ratio(height_deg=0.0) == 0
    assert clear_sky_ratio(height_deg=-30.0) == 0
    # Kasten and Young: about 38 times the air at the horizon, as encyclopaedias quote them.
    assert clear_sky_ratio(height_deg=1e-9) == pytest.approx(0.7 ** (38**0.678), rel=0.02)
