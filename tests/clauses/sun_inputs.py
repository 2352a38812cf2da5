"""Inputs for the clauses on the sun, for the tests that ask the same of every clause."""

from __future__ import annotations

from typing import Any

EXAMPLES: dict[str, dict[str, Any]] = {
    "sun.declination_deg": {"day_of_year": 167},
    "sun.sun_height_deg": {"latitude_deg": 40, "declination_deg": 23.35, "hour_angle_deg": 30},
    "sun.clear_sky_ratio": {"height_deg": 30},
}
BOUNDS: list[tuple[str, str, float, float]] = [
    ("sun.declination_deg", "day_of_year", 1, 0.9),
    ("sun.declination_deg", "day_of_year", 366, 366.1),
    ("sun.sun_height_deg", "latitude_deg", -90, -90.1),
    ("sun.sun_height_deg", "latitude_deg", 90, 90.1),
    ("sun.sun_height_deg", "declination_deg", -23.45, -23.46),
    ("sun.sun_height_deg", "declination_deg", 23.45, 23.46),
    ("sun.sun_height_deg", "hour_angle_deg", -180, -180.1),
    ("sun.sun_height_deg", "hour_angle_deg", 180, 180.1),
    ("sun.clear_sky_ratio", "height_deg", -90, -90.1),
    ("sun.clear_sky_ratio", "height_deg", 90, 90.1),
]
