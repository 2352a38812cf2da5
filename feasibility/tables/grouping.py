"""Grouping factors; the method of installation decides which table holds (IEC 60364-5-52, B.52)."""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum

from feasibility.citation import Citation
from feasibility.result import Quantity
from feasibility.tables.errors import NotTabulated
from feasibility.tables.loader import table
from feasibility.tables.lookup import quantity, select, unfavourable
from feasibility.tables.record import Row, Table

STANDARD = "IEC60364-5-52:2009"
IN_AIR = "b52_17_grouping_in_air"
BURIED = "b52_18_grouping_buried"
DUCTS_MULTICORE = "b52_19a_grouping_ducts_multicore"
DUCTS_SINGLE_CORE = "b52_19b_grouping_ducts_single_core"
TRAYS_MULTICORE = "b52_20_grouping_trays_multicore"
TRAYS_SINGLE_CORE = "b52_21_grouping_trays_single_core"
NO_FURTHER_REDUCTION_ABOVE = 9


class Arrangement(StrEnum):
    """How the circuits of a group lie beside each other."""

    BUNCHED = "bunched"
    WALL_OR_FLOOR = "single layer on wall or floor"
    UNDER_CEILING = "single layer under ceiling"
    PERFORATED_TRAY = "single layer on perforated tray"
    VERTICAL_TRAY = "single layer on vertical perforated tray"
    UNPERFORATED_TRAY = "single layer on unperforated tray"
    LADDER = "single layer on ladder"
    FREE_AIR = "in free air"
    IN_GROUND = "in ground"


class Spacing(StrEnum):
    """The clearance between neighbouring cables, ducts or groups."""

    TOUCHING = "touching"
    ONE_DIAMETER = "one diameter"
    TWO_DIAMETERS = "two diameters"
    OVER_TWO_DIAMETERS = "over two diameters"
    M_0_125 = "0.125 m"
    M_0_25 = "0.25 m"
    M_0_5 = "0.5 m"
    M_1_0 = "1.0 m"


_TRAYS = (Arrangement.PERFORATED_TRAY, Arrangement.VERTICAL_TRAY, Arrangement.LADDER)
PERMITTED: dict[str, tuple[Arrangement, ...]] = {
    "A1": (Arrangement.BUNCHED,),
    "A2": (Arrangement.BUNCHED,),
    "B1": (Arrangement.BUNCHED,),
    "B2": (Arrangement.BUNCHED,),
    "C": (
        Arrangement.BUNCHED,
        Arrangement.WALL_OR_FLOOR,
        Arrangement.UNPERFORATED_TRAY,
        Arrangement.UNDER_CEILING,
    ),
    "D1": (Arrangement.IN_GROUND,),
    "D2": (Arrangement.IN_GROUND,),
    "E": (Arrangement.BUNCHED, *_TRAYS, Arrangement.UNPERFORATED_TRAY, Arrangement.FREE_AIR),
    "F": (Arrangement.BUNCHED, *_TRAYS, Arrangement.FREE_AIR),
    "G": (Arrangement.FREE_AIR,),
}
_ROW_OF_B52_17 = {
    Arrangement.VERTICAL_TRAY: Arrangement.PERFORATED_TRAY,
    Arrangement.UNPERFORATED_TRAY: Arrangement.WALL_OR_FLOOR,
}


def grouping_factor(
    *,
    method: str,
    arrangement: str,
    circuits: int,
    spacing: str = "touching",
    trays: int = 1,
    single_core: bool = False,
) -> Quantity:
    """Return the factor for ``circuits`` equal, fully loaded circuits, this one counted.

    Source: IEC 60364-5-52:2009, Tables B.52.17 (A1 to F), B.52.18 (D2), B.52.19 (D1), B.52.20 (E
    on trays), B.52.21 (F on trays). ``arrangement`` and ``spacing`` are the words of Arrangement
    and Spacing; methods D1 and D2 take ``in ground`` or an empty one. Between tabulated numbers
    the next higher counts; above nine circuits only the rows whose factor no longer falls go on.
    Raises NotTabulated for a pair of method and arrangement that no table holds.
    """
    if method not in PERMITTED:
        raise NotTabulated(parameter="method", value=method, permitted=PERMITTED)
    in_ground = PERMITTED[method] == (Arrangement.IN_GROUND,)
    laid = Arrangement.IN_GROUND.value if in_ground and not arrangement else arrangement
    if laid not in PERMITTED[method]:
        raise NotTabulated(
            parameter="arrangement",
            value=arrangement,
            permitted=PERMITTED[method],
        )
    if spacing not in tuple(Spacing):
        raise NotTabulated(parameter="spacing", value=spacing, permitted=tuple(Spacing))
    for name, count in (("circuits", circuits), ("trays", trays)):
        if count < 1:
            raise NotTabulated(parameter=name, value=count, permitted=("1 and above",))
    if in_ground:
        found = _in_ground(method, circuits, spacing, trays, single_core=single_core)
    else:
        found = _in_air(method, Arrangement(laid), circuits, Spacing(spacing), trays)
    meaning = f"grouping factor, {circuits} circuits, method {method}, {laid}, {spacing}"
    return found.named("cg", meaning)


def _in_ground(
    method: str, circuits: int, spacing: str, trays: int, *, single_core: bool
) -> Quantity:
    ducts = DUCTS_SINGLE_CORE if single_core else DUCTS_MULTICORE
    name = BURIED if method == "D2" else ducts
    source = table(name)
    rows = select(source.rows, {"spacing": spacing})
    if trays > 1:
        raise NotTabulated(parameter="trays", value=trays, permitted=(1,))
    if circuits == 1:
        return _no_reduction(source.header.clause, "one circuit: the reference of the table")
    row, note = unfavourable(rows, "circuits", circuits)
    return quantity(source, row, "factor", note=note)


def _in_air(
    method: str, laid: Arrangement, circuits: int, spacing: Spacing, trays: int
) -> Quantity:
    if spacing is Spacing.OVER_TWO_DIAMETERS and laid is not Arrangement.BUNCHED and trays == 1:
        alone = _in_air(method, laid, 1, Spacing.TOUCHING, trays)
        note = "horizontal clearance over two cable diameters: as for one circuit"
        return replace(alone, note="; ".join(part for part in (note, alone.note) if part))
    if laid is Arrangement.FREE_AIR:
        if circuits > 1:
            raise NotTabulated(parameter="circuits", value=circuits, permitted=(1,))
        return _no_reduction("Annex B", "one circuit: the reference of the table")
    if method == "E" and laid is not Arrangement.BUNCHED:
        return _multicore_on_trays(laid, circuits, spacing, trays)
    if method == "F" and laid is not Arrangement.BUNCHED:
        return _single_core_on_trays(laid, circuits, spacing, trays)
    if spacing is not Spacing.TOUCHING:
        raise NotTabulated(parameter="spacing", value=spacing, permitted=(Spacing.TOUCHING,))
    if trays > 1:
        raise NotTabulated(parameter="trays", value=trays, permitted=(1,))
    source, row, note = _table_17(laid, circuits)
    return quantity(source, row, "factor", note=note)


def _multicore_on_trays(laid: Arrangement, circuits: int, spacing: Spacing, trays: int) -> Quantity:
    source = table(TRAYS_MULTICORE)
    rows = select(source.rows, {"arrangement": laid.value, "spacing": spacing.value})
    beyond = max(row.number("circuits") for row in rows) < circuits
    if not (beyond and trays == 1 and spacing is Spacing.TOUCHING):
        row, note = _by_trays_and_circuits(rows, trays, circuits)
        return quantity(source, row, "factor", note=note)
    other, general, note = _table_17(laid, circuits)
    last, _ = _by_trays_and_circuits(rows, trays, NO_FURTHER_REDUCTION_ABOVE)
    if last.number("factor") < general.number("factor"):
        return quantity(source, last, "factor", note=f"{note} (Table B.52.17)")
    return quantity(other, general, "factor", note=note)


def _single_core_on_trays(
    laid: Arrangement, circuits: int, spacing: Spacing, trays: int
) -> Quantity:
    """Touching circuits: the smaller of B.52.21 and B.52.17, as the formation is not asked."""
    source = table(TRAYS_SINGLE_CORE)
    rows = select(source.rows, {"arrangement": laid.value, "spacing": spacing.value})
    beyond = max(row.number("circuits") for row in rows) < circuits
    if spacing is not Spacing.TOUCHING or (beyond and trays > 1):
        row, note = _by_trays_and_circuits(rows, trays, circuits)
        return quantity(source, row, "factor", note=note)
    other, general, general_note = _table_17(laid, circuits)
    if beyond:
        return quantity(other, general, "factor", note=general_note)
    row, note = _by_trays_and_circuits(rows, trays, circuits)
    if row.number("factor") <= general.number("factor"):
        return quantity(source, row, "factor", note=note)
    return quantity(other, general, "factor", note="smaller than in Table B.52.21")


def _by_trays_and_circuits(rows: tuple[Row, ...], trays: int, circuits: int) -> tuple[Row, str]:
    row, tray_note = unfavourable(
        tuple({row.cells["trays"]: row for row in rows}.values()), "trays", trays
    )
    row, note = unfavourable(select(rows, {"trays": row.cells["trays"]}), "circuits", circuits)
    return row, "; ".join(part for part in (tray_note, note) if part)


def _table_17(laid: Arrangement, circuits: int) -> tuple[Table, Row, str]:
    source = table(IN_AIR)
    wanted = _ROW_OF_B52_17.get(laid, laid)
    rows = select(source.rows, {"arrangement": wanted.value})
    if circuits > NO_FURTHER_REDUCTION_ABOVE and wanted is not Arrangement.BUNCHED:
        row, _ = unfavourable(rows, "circuits", NO_FURTHER_REDUCTION_ABOVE)
        return source, row, "no further reduction above nine circuits"
    row, note = unfavourable(rows, "circuits", circuits)
    return source, row, note


def _no_reduction(clause: str, note: str) -> Quantity:
    return Quantity(
        value=1.0, unit="", sources=(Citation(source=STANDARD, clause=clause),), note=note
    )
