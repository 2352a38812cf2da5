"""The sections of the report in their order, so that their numbers stand in one place."""

from __future__ import annotations

SECTIONS = (
    "site",
    "feed_path",
    "network",
    "findings",
    "upgrade",
    "year",
    "remarks",
    "workings",
    "time_current",
    "precautions",
    "scope",
    "commissioning",
    "operator",
)
"""A new section goes into this list at its place; the templates take its number from it."""

NUMBER_OF = {name: number for number, name in enumerate(SECTIONS, start=1)}
