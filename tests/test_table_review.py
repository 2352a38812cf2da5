"""Tables laid out for print: every value once, with its evidence; ampacities against Annex D.

The figures of Annex D are worked by hand from Table D.52.1 of IEC 60364-5-52:2009 as reproduced in
the formula column of DIN VDE 0298-4 and of the British adoption.
"""

from __future__ import annotations

from collections import Counter

import pytest

from feasibility.render.plain_lines import COLUMNS
from feasibility.render.table_text import confirmation_text, table_list_text, table_page_text
from feasibility.table_review import confirmed_ampacities, table_lines, table_page
from feasibility.tables import NotTabulated, table, table_names


@pytest.mark.parametrize("name", table_names())
def test_a_page_holds_every_value_once_with_its_evidence(name: str) -> None:
    page, found = table_page(name), table(name)
    marks = {evidence.mark: evidence for evidence in page.evidence}
    assert len(marks) == len(page.evidence)
    shown = Counter(
        (place.value, marks[place.mark].confirmed_by, marks[place.mark].note)
        for row in page.rows
        for place in row.places
        if place is not None
    )
    stored = Counter(
        (row.cells[column], row.confirmed_by, row.text("note"))
        for row in found.rows
        for column in found.header.units
        if row.cells[column] is not None
    )
    assert shown == stored
    keys = [(row.labels, page.across) for row in page.rows]
    assert len(set(keys)) == len(keys) or not found.header.across


@pytest.mark.parametrize("name", table_names())
def test_a_printed_page_names_standard_unit_and_every_source(name: str) -> None:
    text, page = table_page_text(table_page(name)), table_page(name)
    one_line = " ".join(text.split())
    assert page.standard.id in one_line
    assert "unit:" in one_line
    for evidence in page.evidence:
        assert evidence.sources
        for source in evidence.sources:
            assert f"({source.id})" in one_line
    explanation = text.partition("What the marks stand for:")[2].splitlines()
    assert max(len(line) for line in explanation) <= COLUMNS


def test_a_table_is_printed_as_the_standard_prints_it() -> None:
    """IEC 60364-5-52:2009, Table B.52.4, copper, 16 mm2: 56, 52, 68, 62, 76, 64, 70."""
    page = table_page("b52_04_ampacity_pvc_three_loaded")
    assert [head[0] for head in page.across] == ["A1", "A2", "B1", "B2", "C", "D1", "D2"]
    (row,) = [row for row in page.rows if row.labels == ("copper", 16.0)]
    values = [place.value for place in row.places if place is not None]
    assert values == [56, 52, 68, 62, 76, 64, 70]
    assert dict(page.common) == {"insulation": "PVC", "loaded": 3}


def test_an_unknown_table_is_refused() -> None:
    with pytest.raises(NotTabulated, match="b52_99"):
        table_page("b52_99")


@pytest.mark.parametrize(
    ("method", "loaded", "section", "by_hand_a"),
    [
        ("C", 3, 16.0, 76.37),  # 13.5 * 16 ** 0.625 = 13.5 * 2 ** 2.5
        ("A1", 2, 240.0, 320.2),  # 11.2 * 240 ** 0.6118, which the print gives as 321
    ],
)
def test_deviation_from_annex_d(method: str, loaded: int, section: float, by_hand_a: float) -> None:
    name = f"b52_0{2 if loaded == 2 else 4}_ampacity_pvc_{'two' if loaded == 2 else 'three'}_loaded"
    (one,) = [
        one
        for one in confirmed_ampacities()[name]
        if one.row.text("conductor") == "copper"
        and one.row.text("method") == method
        and one.row.number("section_mm2") == section
    ]
    assert one.formula_a == pytest.approx(by_hand_a, rel=1e-3)
    deviation = 100 * (one.row.number("current_a") / by_hand_a - 1)
    assert one.deviation_percent == pytest.approx(deviation, abs=0.1)


def test_no_printed_ampacity_is_further_from_annex_d_than_rounding_explains() -> None:
    """Half a step of 0.5 A or 1 A; the one known miss (321 for 320.2 A) is 0.8 A off."""
    checked = 0
    for cells in confirmed_ampacities().values():
        for one in cells:
            if one.formula_a is None:
                assert one.deviation_percent is None
                continue
            printed = one.row.number("current_a")
            step = 0.5 if one.formula_a <= 20 else 1.0
            known = printed == 321.0 and one.row.text("method") == "A1"
            assert abs(printed - one.formula_a) <= (0.9 if known else step / 2 + 1e-9)
            checked += 1
    assert checked == 940


def test_the_overview_counts_every_row_of_every_table() -> None:
    lines = table_lines()
    assert [line.name for line in lines] == list(table_names())
    for line in lines:
        assert sum(line.confirmed.values()) == len(table(line.name).rows)
    text = confirmation_text(confirmed_ampacities(), lines)
    assert "11 print" in text
    for line in lines:
        assert f"\n{line.name} " in text
    listed = table_list_text(lines)
    assert max(len(line) for line in listed.splitlines()) <= COLUMNS
