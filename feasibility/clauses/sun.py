"""Where the sun stands, and how much of its light comes through a clear sky."""

from __future__ import annotations

import numpy as np

from feasibility.units import Number, require_within

_OBLIQUITY_DEG = 23.45
_DAYS_OF_A_YEAR = 365


def declination_deg(*, day_of_year: Number) -> Number:
    """Return the declination of the sun in degrees, from 1 January as day 1.

    d = 23.45 sin(360 (284 + n) / 365): Cooper 1969 as in Duffie and Beckman, Solar Engineering of
    Thermal Processes, third edition, 1.6 (from memory; published code and an example agree). In
    October up to 1.3 degrees low, at other times closer. From 1 to 366. Raises OutOfRange.
    """
    require_within("day_of_year", day_of_year, lower=1, upper=366)
    angle = 2 * np.pi * (284 + day_of_year) / _DAYS_OF_A_YEAR
    declination: Number = _OBLIQUITY_DEG * np.sin(angle)
    return declination


def sun_height_deg(
    *, latitude_deg: Number, declination_deg: Number | float, hour_angle_deg: Number | float
) -> Number:
    """Return the height of the sun over the horizon in degrees; negative below it.

    sin h = sin L sin d + cos L cos d cos w: as above. The hour angle
    is 15 degrees for each hour from solar noon; southern latitudes are negative. Refraction is left
    out. Latitude from -90 to 90, declination from -23.45 to 23.45, hour angle from -180 to 180.
    Raises OutOfRange.
    """
    require_within("latitude_deg", latitude_deg, lower=-90, upper=90)
    require_within("declination_deg", declination_deg, lower=-_OBLIQUITY_DEG, upper=_OBLIQUITY_DEG)
    require_within("hour_angle_deg", hour_angle_deg, lower=-180, upper=180)
    latitude, declination = np.radians(latitude_deg), np.radians(declination_deg)
    sine = np.sin(latitude) * np.sin(declination) + np.cos(latitude) * np.cos(declination) * np.cos(
        np.radians(hour_angle_deg)
    )
    height: Number = np.degrees(np.arcsin(np.clip(sine, -1, 1)))
    return height


def clear_sky_ratio(*, height_deg: Number) -> Number:
    """Return the share of the sun's light that comes straight through a clear sky; 0 at night.

    r = 0.7^(m^0.678): Meinel and Meinel, Applied Solar Energy, 1976, as courses on photovoltaics
    quote it. m = 1 / (sin h + 0.50572 (h + 6.07995)^-1.6364): Kasten and Young, Applied Optics 28,
    1989, the air that the light passes through at sea level. Height from -90 to 90 degrees. Raises
    OutOfRange.
    """
    require_within("height_deg", height_deg, lower=-90, upper=90)
    above = np.maximum(height_deg, 0.0)
    air_mass = 1 / (np.sin(np.radians(above)) + 0.50572 * (above + 6.07995) ** -1.6364)
    ratio: Number = 0.7 ** (air_mass**0.678) * (np.asarray(height_deg) > 0)
    return ratio
