"""Grouping factors: which table holds for which method, and that grouping never helps.

Printed values: the rows of the published tables as the named documents print them.
"""

from __future__ import annotations

import itertools
from typing import Any

import pytest

from feasibility.tables import Arrangement, NotTabulated, Spacing, grouping_factor, table
from feasibility.tables.grouping import PERMITTED


def factor(**wanted: Any) -> float:
    return grouping_factor(**wanted).value


# DIN VDE 0298-4:2003-08, table 21, as a cable catalogue prints it (same as B.52.17).
BUNCHED = {1: 1.0, 2: 0.8, 3: 0.7, 4: 0.65, 5: 0.6, 6: 0.57, 7: 0.54, 8: 0.52, 9: 0.5}
BUNCHED |= {12: 0.45, 16: 0.41, 20: 0.38}
ON_WALL = {1: 1.0, 2: 0.85, 3: 0.79, 4: 0.75, 5: 0.73, 6: 0.72, 7: 0.72, 8: 0.71, 9: 0.7}
CEILING = {1: 0.95, 2: 0.81, 3: 0.72, 4: 0.68, 5: 0.66, 6: 0.64, 7: 0.63, 8: 0.62, 9: 0.61}
# NF C 15-100, table 52.17A (same as B.52.19 A), ducts touching and 1 m apart.
DUCTS_TOUCHING = {2: 0.85, 3: 0.75, 4: 0.7, 5: 0.65, 6: 0.6, 10: 0.49, 15: 0.41, 20: 0.34}
DUCTS_1_M = {2: 0.95, 3: 0.95, 4: 0.9, 6: 0.9, 10: 0.86, 20: 0.82}
# NEK 400, table 52B-18 (same as B.52.18), cables touching, up to 12.
BURIED_TOUCHING = {2: 0.75, 3: 0.65, 4: 0.6, 5: 0.55, 6: 0.5, 7: 0.45, 8: 0.43, 9: 0.41, 12: 0.36}
# DIN VDE 0298-4:2003-08, table 22, as a cable catalogue prints it (same as B.52.20).
PERFORATED = {1: 1.0, 2: 0.88, 3: 0.82, 4: 0.79, 6: 0.76, 9: 0.73}
PERFORATED_6_TRAYS = {1: 1.0, 2: 0.84, 3: 0.77, 4: 0.73, 6: 0.68, 9: 0.64}
LADDER = {1: 1.0, 2: 0.87, 3: 0.82, 4: 0.8, 6: 0.79, 9: 0.78}
# A derating table of a cable handbook (same as B.52.21): trefoil groups two diameters apart.
LADDER_TREFOIL_2 = {1: 0.97, 2: 0.95, 3: 0.93}


@pytest.mark.parametrize(
    ("printed", "wanted"),
    [
        (BUNCHED, {"method": "B2", "arrangement": "bunched"}),
        (BUNCHED, {"method": "E", "arrangement": "bunched"}),
        (ON_WALL, {"method": "C", "arrangement": "single layer on wall or floor"}),
        (CEILING, {"method": "C", "arrangement": "single layer under ceiling"}),
        (DUCTS_TOUCHING, {"method": "D1", "arrangement": "in ground"}),
        (DUCTS_1_M, {"method": "D1", "arrangement": "", "spacing": "1.0 m"}),
        (BURIED_TOUCHING, {"method": "D2", "arrangement": ""}),
        (PERFORATED, {"method": "E", "arrangement": "single layer on perforated tray"}),
        (
            PERFORATED_6_TRAYS,
            {"method": "E", "arrangement": "single layer on perforated tray", "trays": 6},
        ),
        (LADDER, {"method": "E", "arrangement": "single layer on ladder"}),
        (
            LADDER_TREFOIL_2,
            {
                "method": "F",
                "arrangement": "single layer on ladder",
                "spacing": "two diameters",
                "trays": 2,
            },
        ),
    ],
)
def test_printed_factors(printed: dict[int, float], wanted: dict[str, Any]) -> None:
    for circuits, value in printed.items():
        assert factor(circuits=circuits, **wanted) == value, circuits


@pytest.mark.parametrize("method", sorted(PERMITTED))
def test_more_circuits_or_trays_never_help_and_one_alone_is_at_most_one(method: str) -> None:
    compared = 0
    for laid, spacing, single in itertools.product(
        PERMITTED[method], Spacing, (False, True) if method == "D1" else (False,)
    ):
        last: dict[int, float] = {}
        for trays, circuits in itertools.product(range(1, 8), range(1, 25)):
            try:
                value = factor(
                    method=method,
                    arrangement=laid,
                    circuits=circuits,
                    spacing=spacing,
                    trays=trays,
                    single_core=single,
                )
            except NotTabulated:
                continue
            assert 0 < value <= 1
            if circuits - 1 in last and circuits > 1:
                assert value <= last[circuits - 1], (laid, spacing, trays, circuits)
            if trays > 1 and circuits in last:
                assert value <= last[circuits], (laid, spacing, trays, circuits)
            last[circuits] = value
            compared += 1
    assert compared


def test_columns_of_the_tables_never_rise_with_the_number_of_circuits() -> None:
    names = (
        "b52_17_grouping_in_air",
        "b52_18_grouping_buried",
        "b52_19a_grouping_ducts_multicore",
        "b52_19b_grouping_ducts_single_core",
    )
    for name in names:
        found = table(name)
        column = found.header.key[0]
        for value in {row.cells[column] for row in found.rows}:
            factors = [row.number("factor") for row in found.rows if row.cells[column] == value]
            assert factors == sorted(factors, reverse=True), name


def test_wider_spacing_in_the_ground_never_hurts() -> None:
    for method, circuits in itertools.product(("D1", "D2"), range(2, 21)):
        order = ("touching", "one diameter", "0.125 m", "0.25 m", "0.5 m", "1.0 m")
        known = {"D1": ("touching", "0.25 m", "0.5 m", "1.0 m"), "D2": order[:-1]}[method]
        values = [
            factor(method=method, arrangement="", circuits=circuits, spacing=spacing)
            for spacing in order
            if spacing in known
        ]
        assert values == sorted(values)


def test_single_core_cables_in_ducts_have_their_own_table() -> None:
    wanted = {"method": "D1", "arrangement": "in ground", "circuits": 4}
    multicore = grouping_factor(**wanted, single_core=False)  # type: ignore[arg-type]
    single = grouping_factor(**wanted, single_core=True)  # type: ignore[arg-type]
    assert (multicore.value, multicore.sources[0].clause) == (0.7, "Table B.52.19 A")
    assert (single.value, single.sources[0].clause) == (0.65, "Table B.52.19 B")


def test_an_untabulated_number_counts_as_the_next_higher() -> None:
    found = grouping_factor(method="B1", arrangement="bunched", circuits=10)
    assert found.value == 0.45
    assert "circuits 10 taken as 12" in found.note


def test_single_layers_do_not_fall_further_above_nine() -> None:
    found = grouping_factor(method="C", arrangement="single layer on wall or floor", circuits=30)
    assert found.value == 0.7
    assert "no further reduction above nine" in found.note


def test_one_circuit_under_the_ceiling_is_already_reduced() -> None:
    wanted = {"method": "C", "arrangement": "single layer under ceiling"}
    assert factor(circuits=1, **wanted) == 0.95
    assert factor(circuits=5, spacing="over two diameters", **wanted) == 0.95


def test_a_value_of_one_document_says_so() -> None:
    found = grouping_factor(method="D1", arrangement="", circuits=11, single_core=True)
    assert "one source only" in found.note


@pytest.mark.parametrize(
    ("wanted", "parameter"),
    [
        ({"method": "B1", "arrangement": "single layer on ladder"}, "arrangement"),
        ({"method": "D2", "arrangement": "bunched"}, "arrangement"),
        ({"method": "E", "arrangement": "in ground"}, "arrangement"),
        ({"method": "C", "arrangement": ""}, "arrangement"),
        ({"method": "H", "arrangement": "bunched"}, "method"),
        ({"method": "A1", "arrangement": "bunched", "circuits": 21}, "circuits"),
        ({"method": "D2", "arrangement": "", "circuits": 21}, "circuits"),
        ({"method": "G", "arrangement": "in free air", "circuits": 2}, "circuits"),
        ({"method": "A1", "arrangement": "bunched", "circuits": 0}, "circuits"),
        ({"method": "A1", "arrangement": "bunched", "spacing": "one diameter"}, "spacing"),
        ({"method": "A1", "arrangement": "bunched", "spacing": "over two diameters"}, "spacing"),
        ({"method": "D1", "arrangement": "", "spacing": "one diameter"}, "spacing"),
        ({"method": "D2", "arrangement": "", "spacing": "3 cm"}, "spacing"),
        ({"method": "D2", "arrangement": "", "trays": 2}, "trays"),
        ({"method": "A1", "arrangement": "bunched", "trays": 2}, "trays"),
        ({"method": "E", "arrangement": Arrangement.PERFORATED_TRAY, "trays": 7}, "trays"),
        ({"method": "E", "arrangement": Arrangement.PERFORATED_TRAY, "trays": 0}, "trays"),
    ],
)
def test_pairs_that_no_table_holds_are_refused(wanted: dict[str, Any], parameter: str) -> None:
    with pytest.raises(NotTabulated) as refusal:
        grouping_factor(**({"circuits": 3} | wanted))
    assert refusal.value.parameter == parameter
