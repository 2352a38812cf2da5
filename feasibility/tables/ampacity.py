"""Ampacity of fixed cables and insulated conductors (IEC 60364-5-52, Annex B)."""

from __future__ import annotations

from functools import cache

from feasibility.result import Quantity
from feasibility.tables.errors import NotTabulated
from feasibility.tables.loader import table
from feasibility.tables.lookup import distinct, only, quantity, select
from feasibility.tables.record import Row

AMPACITY_TABLES = (
    "b52_02_ampacity_pvc_two_loaded",
    "b52_03_ampacity_xlpe_two_loaded",
    "b52_04_ampacity_pvc_three_loaded",
    "b52_05_ampacity_xlpe_three_loaded",
    "b52_10_ampacity_pvc_copper_free_air",
    "b52_11_ampacity_pvc_aluminium_free_air",
    "b52_12_ampacity_xlpe_copper_free_air",
    "b52_13_ampacity_xlpe_aluminium_free_air",
)


@cache
def ampacity(
    *,
    conductor: str,
    insulation: str,
    loaded: int,
    method: str,
    section_mm2: float,
    arrangement: str = "",
) -> Quantity:
    """Return the tabulated ampacity Iz in A at the table's reference conditions.

    Source: IEC 60364-5-52:2009, Tables B.52.2 to B.52.5 and B.52.10 to B.52.13. Conductor
    ``copper`` or ``aluminium``; insulation ``PVC`` (70 C) or ``XLPE`` (also EPR, 90 C); 2 or 3
    loaded conductors. The arrangement is needed for F (``touching`` for two, ``trefoil`` or
    ``flat`` for three) and G (``horizontal``, ``vertical``) and empty otherwise.
    Raises NotTabulated; nothing is interpolated.
    """
    rows = select(
        _rows(),
        {"insulation": insulation, "conductor": conductor, "method": method, "loaded": loaded},
    )
    laid = arrangement or None
    if laid not in distinct(rows, "arrangement"):
        choices = (choice or "" for choice in distinct(rows, "arrangement"))
        raise NotTabulated(parameter="arrangement", value=arrangement, permitted=choices)
    row = only(rows, {"arrangement": laid, "section_mm2": section_mm2})
    return quantity(
        table(row.table),
        row,
        "current_a",
        symbol="It",
        meaning=f"tabulated ampacity, {section_mm2:g} mm2 {conductor}, {insulation}, {method}",
    )


@cache
def ampacity_sections(
    *, conductor: str, insulation: str, loaded: int, method: str, arrangement: str = ""
) -> tuple[float, ...]:
    """Return the sections in mm2 for which an ampacity is tabulated, rising.

    Raises NotTabulated for a combination that no table holds.
    """
    rows = select(
        _rows(),
        {
            "insulation": insulation,
            "conductor": conductor,
            "method": method,
            "loaded": loaded,
            "arrangement": arrangement or None,
        },
    )
    return tuple(sorted(row.number("section_mm2") for row in rows))


@cache
def _rows() -> tuple[Row, ...]:
    return tuple(row for name in AMPACITY_TABLES for row in table(name).rows)
