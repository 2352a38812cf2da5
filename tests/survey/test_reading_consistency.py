"""Readings that cannot be right together: a loop only grows on the way from the supply."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from feasibility.survey.consistency import inconsistencies
from feasibility.survey.model import Board, Supply
from feasibility.survey.outlet import Outlet
from feasibility.survey.reading_consistency import BETWEEN, CURRENT, LOOP

Data = dict[str, Any]


def survey(board: Data, outlet: Data, *, external_ohm: Any = 0.2) -> Data:
    return {
        "supply": {"external_loop_impedance_ohm": external_ohm},
        "board": [{"name": "other"}, {"name": "main", **board}],
        "circuit": [
            {"name": "a", "starts_at": "origin", "ends_at": "main"},
            {"name": "b", "starts_at": "main", "ends_at": "outlet"},
            {"name": "c", "starts_at": "main", "ends_at": "other"},
        ],
        "outlet": outlet,
    }


def found(data: Data) -> list[tuple[tuple[str | int, ...], str]]:
    return [(one.path, one.expected) for one in inconsistencies(data)]


@pytest.mark.parametrize(
    ("data", "path", "words"),
    [
        (survey({LOOP: 0.19}, {}), ("board", 1, LOOP), "external_loop_impedance_ohm"),
        (survey({}, {LOOP: 0.19}), ("outlet", LOOP), "external_loop_impedance_ohm"),
        (survey({LOOP: 0.3}, {LOOP: 0.29}), ("outlet", LOOP), 'at board "main", 0.3 Ω'),
        (
            survey({LOOP: 0.3}, {LOOP: 0.29}, external_ohm="unknown"),
            ("outlet", LOOP),
            "of which this loop consists in part",
        ),
        (
            survey(
                {CURRENT: 2.0, BETWEEN: "line-line"},
                {CURRENT: 2.1, BETWEEN: "line-line"},
            ),
            ("outlet", CURRENT),
            'at most the line-line fault current at board "main", 2 kA',
        ),
        (survey({CURRENT: 2.0}, {}), ("board", 1, BETWEEN), "line-neutral"),
        (survey({}, {CURRENT: {"value": 1.0}}), ("outlet", BETWEEN), "since"),
        (
            survey({}, {CURRENT: 1.0, BETWEEN: "line-neutral", "poles": "3P+E"}),
            ("outlet", BETWEEN),
            '"line-line" at an outlet with 3P+E',
        ),
        (
            survey({}, {CURRENT: 1.0, BETWEEN: "line-line", "poles": "2P+E"}),
            ("outlet", BETWEEN),
            '"line-neutral" at an outlet with 2P+E',
        ),
    ],
)
def test_readings_that_contradict_one_another(
    data: Data, path: tuple[str | int, ...], words: str
) -> None:
    ((where, expected),) = found(data)
    assert where == path
    assert words in expected


@pytest.mark.parametrize(
    "data",
    [
        survey({LOOP: 0.2}, {LOOP: 0.2}),
        survey({LOOP: 0.3}, {LOOP: {"low": 0.1, "high": 0.2}}),
        survey({LOOP: "unknown"}, {LOOP: 0.25}),
        survey({CURRENT: 2.0, BETWEEN: "line-line"}, {CURRENT: 2.1, BETWEEN: "line-neutral"}),
        survey({CURRENT: 1.0, BETWEEN: "unknown"}, {}),
        survey({CURRENT: "unknown"}, {CURRENT: 1.0, BETWEEN: "line-line", "poles": "3P+N+E"}),
        survey({CURRENT: 2.0, BETWEEN: "line-line"}, {CURRENT: 2.0, BETWEEN: "line-line"}),
    ],
)
def test_readings_that_may_stand_together(data: Data) -> None:
    assert found(data) == []


def test_a_board_beside_the_feed_path_is_not_compared() -> None:
    data = survey({LOOP: 0.5}, {LOOP: 0.6})
    data["board"][0][LOOP] = 0.05
    assert found(data) == []


def test_a_loop_of_circuits_ends_the_walk() -> None:
    data = survey({LOOP: 0.5}, {LOOP: 0.4})
    data["circuit"][0]["starts_at"] = "main"
    assert ("outlet", LOOP) in [path for path, _ in found(data)]


@pytest.mark.parametrize(
    "values",
    [
        {LOOP: 0},
        {LOOP: -0.3},
        {LOOP: float("nan")},
        {CURRENT: 900},
        {CURRENT: 0},
        {CURRENT: -1.0},
        {CURRENT: {"low": 0, "high": 3}},
        {BETWEEN: "line-earth"},
    ],
)
def test_readings_that_cannot_be_are_refused(values: Data) -> None:
    for record in (Outlet, Board):
        name = {"name": "main"} if record is Board else {}
        with pytest.raises(ValidationError):
            record.model_validate(values | name)


@pytest.mark.parametrize(
    "field",
    ["smallest_fault_current_ka", "external_line_neutral_loop_ohm", "external_loop_impedance_ohm"],
)
@pytest.mark.parametrize("value", [0, -0.1, 9000])
def test_supplies_that_cannot_be_are_refused(field: str, value: float) -> None:
    with pytest.raises(ValidationError):
        Supply.model_validate({field: value})


def test_a_loop_through_an_electrode_may_be_long() -> None:
    assert Outlet.model_validate({LOOP: 180.0}).measured_loop_impedance_ohm is not None
