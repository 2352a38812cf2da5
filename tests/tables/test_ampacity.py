"""Ampacities against the standard's own formula and against printed tables.

Formula: IEC 60364-5-52:2009, Annex D, I = A S^m - B S^n with 47.5 mm2 for the nominal 50 mm2, the
result up to 20 A rounded to 0.5 A and above to 1 A. The coefficients are those of Table D.52.1.
"""

from __future__ import annotations

import itertools
import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from feasibility.tables import NotTabulated, Row, ampacity, ampacity_sections, table
from feasibility.tables.ampacity import AMPACITY_TABLES

ROWS = [row for name in AMPACITY_TABLES for row in table(name).rows]
CURRENT = {
    (
        row.text("insulation"),
        row.text("conductor"),
        int(row.number("loaded")),
        row.text("method"),
        row.text("arrangement"),
        row.number("section_mm2"),
    ): row.number("current_a")
    for row in ROWS
}
# Prints 321 A where the formula gives 320.2 A; DIN VDE 0298-4 prints 320 A.
KNOWN_MISS = ("PVC", "copper", 2, "A1", "", 240.0)


def formula_a(row: Row, section_mm2: float) -> float:
    area = 47.5 if section_mm2 == 50 else section_mm2
    current = row.number("a_coefficient") * area ** row.number("m_exponent")
    b, n = row.optional_number("b_coefficient"), row.optional_number("n_exponent")
    if b is not None and n is not None:
        current -= b * area**n
    step = 0.5 if current <= 20 else 1.0
    return float(math.floor(current / step + 0.5) * step)


def formula_cells() -> dict[tuple[str, str, int, str, str, float], float]:
    cells = {}
    for row in table("d52_1_coefficients").rows:
        low = row.optional_number("over_mm2") or 0.0
        high = row.optional_number("up_to_mm2") or math.inf
        group = tuple(row.cells[c] or "" for c in ("insulation", "conductor", "loaded", "method"))
        for key in CURRENT:
            if key[:4] == group and key[4] == row.text("arrangement") and low < key[5] <= high:
                cells[key] = formula_a(row, key[5])
    return cells


def test_annex_d_gives_939_of_its_940_values() -> None:
    cells = formula_cells()
    misses = {key: (CURRENT[key], value) for key, value in cells.items() if CURRENT[key] != value}
    assert len(cells) == 940
    assert misses == {KNOWN_MISS: (321.0, 320.0)}


def test_annex_d_leaves_out_only_buried_cables_and_large_trunking() -> None:
    left_out = set(CURRENT) - set(formula_cells())
    assert len(left_out) == 1236 - 940
    for _, _, _, method, _, section in left_out:
        assert method in ("D1", "D2") or (method in ("B1", "B2") and section > 120)


def test_confirmed_by_formula_means_that_it_was_recomputed() -> None:
    reached = {key for key, value in formula_cells().items() if CURRENT[key] == value}
    for row, key in zip(ROWS, CURRENT, strict=True):
        assert (row.confirmed_by.value == "formula") == (key in reached), (row.table, row.line)


def test_every_column_rises_with_the_section() -> None:
    for _, group in itertools.groupby(sorted(CURRENT), key=lambda key: key[:5]):
        currents = [CURRENT[key] for key in group]
        assert all(low < high for low, high in itertools.pairwise(currents))


def test_order_of_the_methods() -> None:
    def pairs(better: str, worse: str, loaded: int, smallest: float = 0) -> list[float]:
        return [
            CURRENT[key] / CURRENT[(*key[:3], worse, "", key[5])]
            for key in CURRENT
            if key[3] == better
            and key[2] == loaded
            and key[5] > smallest
            and (*key[:3], worse, "", key[5]) in CURRENT
        ]

    for loaded in (2, 3):
        assert all(ratio >= 1 for ratio in pairs("A1", "A2", loaded))
        for better, worse in (("B1", "A1"), ("B2", "A2"), ("B1", "B2"), ("C", "B2")):
            ratios = pairs(better, worse, loaded)
            assert ratios
            assert all(ratio > 1 for ratio in ratios), (better, worse, loaded)
        assert all(ratio >= 1 for ratio in pairs("E", "C", loaded))
        assert all(ratio > 1 for ratio in pairs("D2", "D1", loaded, smallest=2.5))


def test_three_loaded_conductors_carry_less_than_two() -> None:
    both = [key for key in CURRENT if key[2] == 3 and (*key[:2], 2, *key[3:]) in CURRENT]
    assert len(both) == 426 + 62
    for key in both:
        assert 0.80 < CURRENT[key] / CURRENT[(*key[:2], 2, *key[3:])] < 0.96, key


def test_aluminium_carries_between_72_and_84_percent_of_copper() -> None:
    ratios = [
        CURRENT[key] / CURRENT[(key[0], "copper", *key[2:])]
        for key in CURRENT
        if key[1] == "aluminium"
    ]
    assert len(ratios) > 500
    assert min(ratios) >= 0.72
    assert max(ratios) <= 0.84


def test_xlpe_carries_more_than_pvc() -> None:
    """Equal heat transfer gives 1.146 in the ground, sqrt(70/50 x 1.196/1.275), and more in air."""
    for key, current in CURRENT.items():
        if key[0] == "PVC":
            assert 1.13 < CURRENT[("XLPE", *key[1:])] / current < 1.38, key


# Instruction book of a machine, cable sizing after IEC 60364-5-52, PVC, copper, 3 loaded, B2.
MACHINE_BOOK_B2 = {
    4: 27,
    6: 34,
    10: 46,
    16: 62,
    25: 80,
    35: 99,
    50: 118,
    70: 149,
    95: 179,
    120: 206,
}
# A second instruction book: B2 and C. It rounds 1.5 mm2, C down to 17 A (17.5 A in the standard).
SECOND_BOOK_B2 = {1.5: 15, 2.5: 20, 4: 27, 6: 34, 10: 46, 16: 62, 25: 80, 35: 99}
SECOND_BOOK_C = {2.5: 24, 4: 32, 6: 41, 10: 57, 16: 76, 25: 96, 35: 119}
# A third instruction book: single-core in trefoil, free air, copper, 70 C and 90 C.
THIRD_BOOK_F_70 = {25: 110, 35: 137, 50: 167, 70: 216, 95: 264, 120: 308, 150: 356, 185: 409}
THIRD_BOOK_F_90 = {25: 135, 35: 169, 50: 207, 70: 268, 95: 328, 120: 383, 150: 444, 185: 510}
# BS 7671 Table 4E1A as a cable maker reprints it: 90 C, copper, methods A1 and B1.
BS_4E1A_A1_3 = {1.5: 17, 2.5: 23, 4: 31, 6: 40, 10: 54, 16: 73, 25: 95, 35: 117, 50: 141, 70: 179}
BS_4E1A_B1_3 = {
    1.5: 20,
    2.5: 28,
    4: 37,
    6: 48,
    10: 66,
    16: 88,
    95: 269,
    120: 312,
    150: 342,
    185: 384,
}
BS_4E1A_B1_2 = {1.5: 23, 16: 100, 95: 306, 120: 354, 150: 393, 185: 449, 240: 528, 300: 603}
# NEN 1010:2015, page with method G: PVC, copper, one diameter apart, horizontal.
NEN_G_70 = {25: 146, 35: 181, 50: 219, 70: 281, 95: 341, 120: 396, 240: 615, 400: 852, 630: 1138}
# PN-IEC 60364-5-523:2001, first rows: PVC, copper, 2 loaded, 2.5 mm2.
PN_523_2_5 = {"A1": 19.5, "A2": 18.5, "B1": 24, "B2": 23, "C": 27}


@pytest.mark.parametrize(
    ("printed", "insulation", "loaded", "method", "arrangement"),
    [
        (MACHINE_BOOK_B2, "PVC", 3, "B2", ""),
        (SECOND_BOOK_B2, "PVC", 3, "B2", ""),
        (SECOND_BOOK_C, "PVC", 3, "C", ""),
        (THIRD_BOOK_F_70, "PVC", 3, "F", "trefoil"),
        (THIRD_BOOK_F_90, "XLPE", 3, "F", "trefoil"),
        (BS_4E1A_A1_3, "XLPE", 3, "A1", ""),
        (BS_4E1A_B1_3, "XLPE", 3, "B1", ""),
        (BS_4E1A_B1_2, "XLPE", 2, "B1", ""),
        (NEN_G_70, "PVC", 3, "G", "horizontal"),
    ],
)
def test_printed_copper_values(
    printed: dict[float, float], insulation: str, loaded: int, method: str, arrangement: str
) -> None:
    for section_mm2, current_a in printed.items():
        found = ampacity(
            conductor="copper",
            insulation=insulation,
            loaded=loaded,
            method=method,
            section_mm2=section_mm2,
            arrangement=arrangement,
        )
        assert (found.value, found.unit) == (current_a, "A"), section_mm2


def test_printed_polish_rows() -> None:
    for method, current_a in PN_523_2_5.items():
        found = ampacity(
            conductor="copper", insulation="PVC", loaded=2, method=method, section_mm2=2.5
        )
        assert found.value == current_a


def test_the_disputed_cell_is_the_one_that_keeps_the_order() -> None:
    """B.52.4, copper, D1, 120 mm2: at least one print shows 292 between 169 (95) and 217 (150)."""
    found = ampacity(conductor="copper", insulation="PVC", loaded=3, method="D1", section_mm2=120)
    assert found.value == 192


def test_a_value_cites_its_table_and_an_unsure_one_says_so() -> None:
    sure = ampacity(conductor="copper", insulation="PVC", loaded=3, method="B2", section_mm2=16)
    assert [str(source) for source in sure.sources] == [
        "IEC60364-5-52:2009, Table B.52.4 (2009 edition values, cross-checked)"
    ]
    assert not sure.note
    buried = ampacity(conductor="copper", insulation="PVC", loaded=3, method="D2", section_mm2=16)
    assert "families of documents; a calculation by IEC 60287" in buried.note


@pytest.mark.parametrize(
    ("changed", "parameter", "some_permitted"),
    [
        ({"section_mm2": 15}, "section_mm2", 16.0),
        ({"section_mm2": 400}, "section_mm2", 300.0),
        ({"section_mm2": math.nan}, "section_mm2", 16.0),
        ({"method": "H"}, "method", "B2"),
        ({"loaded": 4}, "loaded", 3),
        ({"insulation": "paper"}, "insulation", "PVC"),
        ({"conductor": "silver"}, "conductor", "copper"),
        ({"arrangement": "flat"}, "arrangement", ""),
        ({"method": "F", "section_mm2": 25}, "arrangement", "trefoil"),
        ({"method": "F", "section_mm2": 16, "arrangement": "flat"}, "section_mm2", 25.0),
        ({"method": "G", "loaded": 2, "arrangement": "vertical"}, "loaded", 3),
        ({"method": "D2", "conductor": "aluminium", "section_mm2": 10}, "section_mm2", 16.0),
    ],
)
def test_what_is_not_tabulated_is_refused(
    changed: dict[str, Any], parameter: str, some_permitted: object
) -> None:
    wanted: dict[str, Any] = {
        "conductor": "copper",
        "insulation": "PVC",
        "loaded": 3,
        "method": "B2",
        "section_mm2": 16,
    }
    with pytest.raises(NotTabulated) as refusal:
        ampacity(**(wanted | changed))
    assert refusal.value.parameter == parameter
    assert some_permitted in refusal.value.permitted
    assert str(refusal.value).startswith(f"{parameter} ")
    assert "is not tabulated; tabulated: " in str(refusal.value)


@given(st.floats(min_value=0.1, max_value=700, allow_nan=False))
def test_only_tabulated_sections_are_answered(section_mm2: float) -> None:
    known = ampacity_sections(conductor="copper", insulation="XLPE", loaded=3, method="E")
    if section_mm2 in known:
        return
    with pytest.raises(NotTabulated):
        ampacity(
            conductor="copper", insulation="XLPE", loaded=3, method="E", section_mm2=section_mm2
        )
