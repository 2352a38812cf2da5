"""Every table file keeps the rules of its folder, and nobody changed a value unnoticed.

The sums pin the files as they were carried over; a changed sum needs a changed source beside it.
"""

from __future__ import annotations

import math
from pathlib import Path

import pytest

import feasibility
from feasibility.resources import data_dir
from feasibility.tables import Confirmation, Row, sources, table, table_names
from feasibility.tables.ampacity import AMPACITY_TABLES

# insulation, conductor, loaded, method, arrangement, number of sections, sum of the column in A
COLUMN_SUMS = [
    ("PVC", "copper", 2, "A1", "", 16, 2243.0),
    ("PVC", "copper", 2, "A2", "", 16, 2056.5),
    ("PVC", "copper", 2, "B1", "", 16, 2816.5),
    ("PVC", "copper", 2, "B2", "", 16, 2453.5),
    ("PVC", "copper", 2, "C", "", 16, 3191.5),
    ("PVC", "copper", 2, "D1", "", 16, 2506.0),
    ("PVC", "copper", 2, "D2", "", 16, 2797.0),
    ("PVC", "aluminium", 2, "A1", "", 15, 1747.0),
    ("PVC", "aluminium", 2, "A2", "", 15, 1598.0),
    ("PVC", "aluminium", 2, "B1", "", 15, 2184.5),
    ("PVC", "aluminium", 2, "B2", "", 15, 1904.5),
    ("PVC", "aluminium", 2, "C", "", 15, 2409.0),
    ("PVC", "aluminium", 2, "D1", "", 15, 1938.0),
    ("PVC", "aluminium", 2, "D2", "", 11, 1991.0),
    ("XLPE", "copper", 2, "A1", "", 16, 2971.0),
    ("XLPE", "copper", 2, "A2", "", 16, 2719.5),
    ("XLPE", "copper", 2, "B1", "", 16, 3706.0),
    ("XLPE", "copper", 2, "B2", "", 16, 3243.0),
    ("XLPE", "copper", 2, "C", "", 16, 4083.0),
    ("XLPE", "copper", 2, "D1", "", 16, 2938.0),
    ("XLPE", "copper", 2, "D2", "", 16, 3291.0),
    ("XLPE", "aluminium", 2, "A1", "", 15, 2341.0),
    ("XLPE", "aluminium", 2, "A2", "", 15, 2144.5),
    ("XLPE", "aluminium", 2, "B1", "", 15, 2895.0),
    ("XLPE", "aluminium", 2, "B2", "", 15, 2528.0),
    ("XLPE", "aluminium", 2, "C", "", 15, 2994.0),
    ("XLPE", "aluminium", 2, "D1", "", 15, 2266.0),
    ("XLPE", "aluminium", 2, "D2", "", 11, 2323.0),
    ("PVC", "copper", 3, "A1", "", 16, 2017.5),
    ("PVC", "copper", 3, "A2", "", 16, 1848.5),
    ("PVC", "copper", 3, "B1", "", 16, 2466.5),
    ("PVC", "copper", 3, "B2", "", 16, 2151.0),
    ("PVC", "copper", 3, "C", "", 16, 2779.5),
    ("PVC", "copper", 3, "D1", "", 16, 2080.0),
    ("PVC", "copper", 3, "D2", "", 16, 2351.0),
    ("PVC", "aluminium", 3, "A1", "", 15, 1579.5),
    ("PVC", "aluminium", 3, "A2", "", 15, 1448.0),
    ("PVC", "aluminium", 3, "B1", "", 15, 1907.5),
    ("PVC", "aluminium", 3, "B2", "", 15, 1665.5),
    ("PVC", "aluminium", 3, "C", "", 15, 2100.5),
    ("PVC", "aluminium", 3, "D1", "", 15, 1611.5),
    ("PVC", "aluminium", 3, "D2", "", 11, 1678.0),
    ("XLPE", "copper", 3, "A1", "", 16, 2659.0),
    ("XLPE", "copper", 3, "A2", "", 16, 2437.5),
    ("XLPE", "copper", 3, "B1", "", 16, 3216.0),
    ("XLPE", "copper", 3, "B2", "", 16, 2839.5),
    ("XLPE", "copper", 3, "C", "", 16, 3456.0),
    ("XLPE", "copper", 3, "D1", "", 16, 2416.0),
    ("XLPE", "copper", 3, "D2", "", 16, 2755.0),
    ("XLPE", "aluminium", 3, "A1", "", 15, 2097.0),
    ("XLPE", "aluminium", 3, "A2", "", 15, 1924.0),
    ("XLPE", "aluminium", 3, "B1", "", 15, 2528.0),
    ("XLPE", "aluminium", 3, "B2", "", 15, 2261.0),
    ("XLPE", "aluminium", 3, "C", "", 15, 2626.0),
    ("XLPE", "aluminium", 3, "D1", "", 15, 1875.0),
    ("XLPE", "aluminium", 3, "D2", "", 11, 1960.0),
    ("PVC", "copper", 2, "E", "", 16, 3516.0),
    ("PVC", "copper", 3, "E", "", 16, 2960.5),
    ("PVC", "copper", 2, "F", "touching", 13, 6067.0),
    ("PVC", "copper", 3, "F", "trefoil", 13, 5273.0),
    ("PVC", "copper", 3, "F", "flat", 13, 5528.0),
    ("PVC", "copper", 3, "G", "horizontal", 13, 6837.0),
    ("PVC", "copper", 3, "G", "vertical", 13, 6328.0),
    ("PVC", "aluminium", 2, "E", "", 15, 2605.0),
    ("PVC", "aluminium", 3, "E", "", 15, 2257.5),
    ("PVC", "aluminium", 2, "F", "touching", 13, 4777.0),
    ("PVC", "aluminium", 3, "F", "trefoil", 13, 4168.0),
    ("PVC", "aluminium", 3, "F", "flat", 13, 4363.0),
    ("PVC", "aluminium", 3, "G", "horizontal", 13, 5358.0),
    ("PVC", "aluminium", 3, "G", "vertical", 13, 4974.0),
    ("XLPE", "copper", 2, "E", "", 16, 4382.0),
    ("XLPE", "copper", 3, "E", "", 16, 3707.0),
    ("XLPE", "copper", 2, "F", "touching", 13, 7545.0),
    ("XLPE", "copper", 3, "F", "trefoil", 13, 6611.0),
    ("XLPE", "copper", 3, "F", "flat", 13, 6938.0),
    ("XLPE", "copper", 3, "G", "horizontal", 13, 8679.0),
    ("XLPE", "copper", 3, "G", "vertical", 13, 7992.0),
    ("XLPE", "aluminium", 2, "E", "", 15, 3204.0),
    ("XLPE", "aluminium", 3, "E", "", 15, 2804.0),
    ("XLPE", "aluminium", 2, "F", "touching", 13, 5889.0),
    ("XLPE", "aluminium", 3, "F", "trefoil", 13, 5234.0),
    ("XLPE", "aluminium", 3, "F", "flat", 13, 5470.0),
    ("XLPE", "aluminium", 3, "G", "horizontal", 13, 6793.0),
    ("XLPE", "aluminium", 3, "G", "vertical", 13, 6239.0),
]


def every_row() -> list[Row]:
    return [row for name in table_names() for row in table(name).rows]


def test_all_files_are_read_and_every_row_names_a_listed_source() -> None:
    files = {file.stem for file in data_dir("cable_tables").glob("*.csv")} - {"sources"}
    assert set(table_names()) == files
    assert len(files) >= 52
    for row in every_row():
        assert row.source_ids
        assert set(row.source_ids) <= set(sources())


def test_every_document_that_was_read_stands_beside_a_value() -> None:
    used = {source for row in every_row() for source in row.source_ids}
    used |= {row.text("standard_id") for row in every_row()}
    opened = ("excerpt", "package data")
    read = {source.id for source in sources().values() if source.opened in opened}
    # Some stand beside a limit of the code basis, or beside what a check computes from a library.
    package = Path(feasibility.__file__).parent
    files = [path for suffix in ("py", "toml") for path in package.rglob(f"*.{suffix}")]
    text = "".join(path.read_text(encoding="utf-8") for path in files)
    used |= {one for one in read if f'"{one}"' in text}
    assert len(read) > 80
    assert read - used == set()


def test_confirmation_agrees_with_the_number_of_documents() -> None:
    for row in every_row():
        opened = set(row.source_ids) - {"memory", "common-practice"}
        if row.confirmed_by is Confirmation.SECOND_SOURCE:
            assert len(opened) >= 2, (row.table, row.line)
        if row.confirmed_by is Confirmation.MEMORY:
            assert set(row.source_ids) != opened, (row.table, row.line)
        if row.confirmed_by is Confirmation.ONE_SOURCE:
            assert len(opened) == 1, (row.table, row.line)


@pytest.mark.parametrize("column", COLUMN_SUMS, ids=str)
def test_ampacity_column_sums(column: tuple[str, str, int, str, str, int, float]) -> None:
    insulation, conductor, loaded, method, arrangement, count, total = column
    values = [
        row.number("current_a")
        for name in AMPACITY_TABLES
        for row in table(name).rows
        if row.cells["insulation"] == insulation
        and row.cells["conductor"] == conductor
        and row.cells["loaded"] == loaded
        and row.cells["method"] == method
        and row.text("arrangement") == arrangement
    ]
    assert len(values) == count
    assert math.isclose(math.fsum(values), total, abs_tol=1e-6)


def test_the_column_sums_cover_every_ampacity() -> None:
    rows = sum(len(table(name).rows) for name in AMPACITY_TABLES)
    assert rows == sum(column[5] for column in COLUMN_SUMS) == 1236


FACTOR_SUMS = {
    "b52_14_air_temperature": (26, 22.55),
    "b52_15_ground_temperature": (26, 20.57),
    "b52_16_soil_resistivity": (14, 17.07),
    "b52_17_grouping_in_air": (48, 34.96),
    "b52_18_grouping_buried": (55, 33.72),
    "b52_19a_grouping_ducts_multicore": (76, 54.5),
    "b52_19b_grouping_ducts_single_core": (76, 50.37),
    "b52_20_grouping_trays_multicore": (124, 104.86),
    "b52_21_grouping_trays_single_core": (46, 42.73),
}


@pytest.mark.parametrize("name", sorted(FACTOR_SUMS))
def test_factor_sums(name: str) -> None:
    values = [row.number("factor") for row in table(name).rows]
    count, total = FACTOR_SUMS[name]
    assert len(values) == count
    assert math.isclose(math.fsum(values), total, abs_tol=1e-6)
