"""Power quality at the supply: limits of harmonic currents, the reference impedance."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from feasibility.result import Quantity
from feasibility.tables.errors import NotTabulated
from feasibility.tables.loader import table
from feasibility.tables.lookup import distinct, exact, quantity, select

HARMONIC_COLUMNS = ("i3", "i5", "i7", "i9", "i11", "i13", "thc", "pwhc")


@dataclass(frozen=True, slots=True, kw_only=True)
class HarmonicLimits:
    """The limits from one short-circuit ratio on, in percent of the reference current.

    By i3, i5, ... i13, thc (all orders up to 40) and pwhc (orders 14 to 40, weighted). An order
    without a limit is left out.
    """

    ratio_from: float
    percent: Mapping[str, Quantity]


def harmonic_limits(
    *, equipment: str, short_circuit_ratio: float
) -> tuple[HarmonicLimits, HarmonicLimits | None]:
    """Return the row that a short-circuit ratio reaches and the next one, None beyond the last.

    Source: IEC 61000-3-12:2011, Tables 2 to 5; public low voltage, 16 A to 75 A. Between the two
    rows the standard allows linear interpolation. Below 33 NotTabulated is raised.
    """
    source = table("harmonics_61000_3_12")
    rows = sorted(
        select(source.rows, {"equipment": equipment}), key=lambda row: row.number("ratio_from")
    )
    reached = [row for row in rows if row.number("ratio_from") <= short_circuit_ratio]
    if not reached or math.isnan(short_circuit_ratio):
        raise NotTabulated(
            parameter="short_circuit_ratio",
            value=short_circuit_ratio,
            permitted=distinct(rows, "ratio_from"),
        )
    found = [
        HarmonicLimits(
            ratio_from=row.number("ratio_from"),
            percent={
                name: quantity(source, row, f"{name}_percent", meaning=f"limit of {name}")
                for name in HARMONIC_COLUMNS
                if row.optional_number(f"{name}_percent") is not None
            },
        )
        for row in rows[len(reached) - 1 : len(reached) + 1]
    ]
    return found[0], found[1] if len(found) > 1 else None


def smallest_short_circuit_ratio(*, equipment: str) -> float:
    """Return the smallest short-circuit ratio for which IEC 61000-3-12 gives limits."""
    rows = select(table("harmonics_61000_3_12").rows, {"equipment": equipment})
    return min(row.number("ratio_from") for row in rows)


def class_a_harmonic_limits() -> dict[str, Quantity]:
    """Return the largest harmonic currents in A by i3, i5, ... i13 (IEC 61000-3-2, class A)."""
    source = table("harmonics_61000_3_2")
    return {
        f"i{row.text('order')}": quantity(
            source, row, "current_a", meaning=f"limit of order {row.text('order')}, class A"
        )
        for row in source.rows
    }


def reference_impedance(*, conductor: str) -> tuple[Quantity, Quantity]:
    """Return resistance and reactance in ohm of IEC 60725, per conductor, 230/400 V, 50 Hz.

    ``conductor`` is ``line conductor`` or ``neutral``. Raises NotTabulated.
    """
    resistance, reactance = (
        exact(
            "reference_impedance",
            column,
            {"item": conductor},
            meaning=f"reference {word} of the {conductor}",
        )
        for column, word in (("resistance_ohm", "resistance"), ("reactance_ohm", "reactance"))
    )
    return resistance, reactance
