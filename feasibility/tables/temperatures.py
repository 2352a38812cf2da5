"""Permitted temperature rises of terminals and temperatures of parts that are touched."""

from __future__ import annotations

from feasibility.result import Quantity
from feasibility.tables.loader import table
from feasibility.tables.lookup import only, quantity


def permitted_temperature(*, part: str) -> Quantity:
    """Return the permitted rise in K of a terminal, or temperature in °C of a touched part.

    Sources per row: IEC 60898-1, IEC 60947-1, IEC 61439-1, IEC 60364-4-42. Raises NotTabulated.
    """
    source = table("permitted_temperatures")
    return quantity(source, only(source.rows, {"part": part}), "value", meaning=part)
