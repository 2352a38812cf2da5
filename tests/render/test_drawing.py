"""Layout of the one-line drawing as numbers."""

from __future__ import annotations

import itertools
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from feasibility.chain import PathElement
from feasibility.render import drawing
from feasibility.render.details import detail_texts
from feasibility.render.text_fit import BOLD, text_width
from feasibility.resources import data_dir
from feasibility.result import Quantity
from tests.render import sites

SUPPLY = drawing.Item(symbol=drawing.Symbol.NETWORK, number="", name="supply", details=())
ROOM_ON_A_PAGE = 240.0


def element(kind: str, *details: Quantity | str, name: str = "x") -> PathElement:
    return PathElement(name=name, kind=kind, details=details)


def path_of_length(count: int) -> list[PathElement]:
    return [element("cable", name=f"cable {number}") for number in range(count)]


@pytest.mark.parametrize("count", [0, 1, 6, 7, 12, 13, 25, 26, 27, 36, 80])
def test_every_element_is_placed_once_in_order_and_inside_the_sheet(count: int) -> None:
    sheets = drawing.one_line_drawing(path_of_length(count), SUPPLY)
    names = []
    for sheet in sheets:
        assert sheet.height <= ROOM_ON_A_PAGE
        for column in sheet.columns:
            assert 0 <= column.x <= sheet.width
            assert column.bottom + drawing.LEAD <= sheet.height + 0.01
            ys = [one.y for one in column.elements]
            assert all(
                lower - upper >= drawing.SLOT - 0.01 for upper, lower in itertools.pairwise(ys)
            )
            names += [one.lines[0].text for one in column.elements]
    assert names == ["supply", *(f"cable {number}" for number in range(count))]


@pytest.mark.parametrize("count", [3, 12, 30, 80])
def test_where_a_column_ends_a_mark_leads_to_the_next(count: int) -> None:
    columns = [
        column
        for sheet in drawing.one_line_drawing(path_of_length(count), SUPPLY)
        for column in sheet.columns
    ]
    assert columns[0].enters == ""
    assert columns[-1].leaves == ""
    for left, right in itertools.pairwise(columns):
        assert left.leaves
        assert left.leaves == right.enters
    marks = [column.leaves for column in columns[:-1]]
    assert len(set(marks)) == len(marks)


@given(st.integers(1, 200))
def test_columns_hold_all_rows_and_are_even_on_each_sheet(rows: int) -> None:
    sizes = drawing.column_sizes(rows)
    assert sum(sizes) == rows
    assert max(sizes) <= drawing.ROWS_AT_MOST
    for left, right in zip(sizes[::2], sizes[1::2], strict=False):
        assert 0 <= left - right <= 1


def test_links_are_numbered_like_the_chain_and_boards_are_not() -> None:
    assessment = sites.shipped("river-depot")
    items = drawing.items_of(assessment.path)
    numbered = {item.number: item.name for item in items if item.number}
    assert numbered == {
        str(number): link.name for number, link in enumerate(assessment.chain, start=1)
    }
    boards = [item for item in items if not item.number]
    assert [item.name for item in boards] == ["Main board", "Shed board"]
    assert {item.symbol for item in boards} == {drawing.Symbol.BUSBAR}


@pytest.mark.parametrize(
    ("one", "symbol"),
    [
        (element("protective device", "gG fuse"), drawing.Symbol.FUSE),
        (
            element("protective device", "IEC 60898-1 circuit-breaker", "B"),
            drawing.Symbol.CIRCUIT_BREAKER,
        ),
        (
            element("protective device", "IEC 60947-2 circuit-breaker"),
            drawing.Symbol.CIRCUIT_BREAKER,
        ),
        (element("protective device", "not known"), drawing.Symbol.BOX),
        (element("residual-current device", "A"), drawing.Symbol.RESIDUAL_CURRENT_DEVICE),
        (element("part", "contactor"), drawing.Symbol.CONTACTOR),
        (element("part", "switch-disconnector"), drawing.Symbol.SWITCH_DISCONNECTOR),
        (element("part", "interlocked switch"), drawing.Symbol.SWITCH_DISCONNECTOR),
        (element("part", "changeover switch"), drawing.Symbol.CHANGEOVER_SWITCH),
        (element("part", "busbar"), drawing.Symbol.BUSBAR),
        (element("part", "terminal block"), drawing.Symbol.TERMINAL),
        (element("part", "fuse base"), drawing.Symbol.FUSE),
        (element("part", "adapter"), drawing.Symbol.ADAPTER),
        (element("part", "other"), drawing.Symbol.BOX),
        (element("metering"), drawing.Symbol.METER),
        (element("transformer"), drawing.Symbol.TRANSFORMER),
        (element("contracted capacity"), drawing.Symbol.BOUNDARY),
        (element("outlet", "IEC 60309"), drawing.Symbol.OUTLET),
        (element("outlet", "fixed connection"), drawing.Symbol.TERMINAL),
        (element("plug"), drawing.Symbol.PLUG),
        (element("inlet"), drawing.Symbol.PLUG),
        (element("flexible cord"), drawing.Symbol.CORD),
        (element("station"), drawing.Symbol.STATION),
        (element("something new"), drawing.Symbol.BOX),
    ],
)
def test_symbols(one: PathElement, symbol: drawing.Symbol) -> None:
    assert drawing.symbol_of(one) is symbol


def test_every_symbol_has_its_macro() -> None:
    source = (data_dir("templates") / "svg" / "_symbols.svg.j2").read_text(encoding="utf-8")
    assert set(re.findall(r"macro (\w+)\(", source)) >= {one.value for one in drawing.Symbol}


def test_text_keeps_to_its_column() -> None:
    long = element("cable", *["16 mm² copper in a long conduit"] * 9, name="Ü" * 200 + ": cable 2")
    sheets = drawing.one_line_drawing([long] * 30, SUPPLY)
    for sheet in sheets:
        half = sheet.width / len(sheet.columns)
        for place, column in enumerate(sheet.columns):
            for one in column.elements:
                assert len(one.lines) <= 4
                for line in one.lines:
                    size = drawing.NAME_SIZE * BOLD if line.is_name else drawing.DETAIL_SIZE
                    assert one.text_x + text_width(line.text, size) <= (place + 1) * half
                    assert abs(line.y - one.y) < drawing.SLOT / 2


def test_details_say_what_a_bare_letter_means() -> None:
    assert detail_texts(element("protective device", "gG fuse", "B")) == (
        "gG fuse",
        "characteristic B",
    )
    assert detail_texts(element("residual-current device", "A")) == ("type A",)
    assert detail_texts(element("cable", "C", "PVC")) == ("method C", "PVC")
    clock = Quantity(value=6, unit="", meaning="clock position of the outlet")
    rating = Quantity(value=32, unit="A")
    assert detail_texts(element("outlet", rating, clock)) == ("32\u202fA", "6\u202fh")
