"""Values for the tests before energising and for readings in service."""

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


def initial_test_rule(*, rule: str, condition: str) -> Quantity:
    """Return a value of the tests before energising (IEC 60364-6, 6.4.3, from memory).

    Raises NotTabulated.
    """
    source = table("initial_test_rules")
    row = only(source.rows, {"rule": rule, "condition": condition})
    return quantity(source, row, "value", meaning=rule)
