"""Boards and circuits as one tree; a walk from the origin is the witness."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from feasibility.survey.plain_data import KeyPath
from feasibility.survey.tree_consistency import tree_inconsistencies

Ends = tuple[str, str]


def plain(boards: list[Any], circuits: list[Ends]) -> dict[str, Any]:
    return {
        "board": [{"name": name} for name in boards],
        "circuit": [
            {"name": f"circuit {number}", "starts_at": start, "ends_at": end}
            for number, (start, end) in enumerate(circuits)
        ],
    }


def found(boards: list[Any], circuits: list[Ends]) -> list[tuple[KeyPath, str]]:
    mistakes = tree_inconsistencies(plain(boards, circuits))
    return [(mistake.path, mistake.expected) for mistake in mistakes]


@pytest.mark.parametrize(
    ("boards", "circuits"),
    [
        ([], [("origin", "outlet")]),
        (["A"], [("origin", "A"), ("A", "outlet")]),
        (["B", "A"], [("A", "outlet"), ("A", "B"), ("origin", "A")]),
        (["A", "B"], [("origin", "A"), ("origin", "B"), ("B", "outlet")]),
        ([" A "], [("origin", "A"), ("A ", "outlet")]),
    ],
)
def test_a_tree_is_accepted(boards: list[str], circuits: list[Ends]) -> None:
    assert found(boards, circuits) == []


@pytest.mark.parametrize(
    ("boards", "circuits", "path", "words"),
    [
        ([], [("origin", "origin")], ("circuit", 0, "ends_at"), 'from the "origin" towards'),
        ([], [("outlet", "outlet")], ("circuit", 0, "starts_at"), 'from the "origin" towards'),
        ([], [("Panel", "outlet")], ("circuit", 0, "starts_at"), "the survey lists no board"),
        (
            ["Board"],
            [("origin", "Board"), ("board", "outlet")],
            ("circuit", 1, "starts_at"),
            'the nearest is "Board"',
        ),
        (
            ["Board"],
            [("origin", "Bord"), ("Board", "outlet")],
            ("circuit", 0, "ends_at"),
            'the nearest is "Board"',
        ),
        ([], [("origin", "Outlet")], ("circuit", 0, "ends_at"), 'the nearest is "outlet"'),
        (
            ["A", "B"],
            [("origin", "A"), ("A", "B"), ("Q99", "outlet")],
            ("circuit", 2, "starts_at"),
            'the boards are "A", "B"',
        ),
        (
            ["A", "B"],
            [("origin", "A"), ("A", "outlet")],
            ("board", 1, "name"),
            "a circuit that ends at this board",
        ),
        (["A"], [("origin", "A")], ("circuit",), 'one circuit with ends_at = "outlet"'),
        (
            ["A"],
            [("origin", "A"), ("A", "outlet"), ("origin", "outlet")],
            ("circuit", 2, "ends_at"),
            "only one circuit that ends at the",
        ),
        (
            ["A"],
            [("origin", "A"), ("origin", "A"), ("A", "outlet")],
            ("circuit", 1, "ends_at"),
            "circuit 1 already does",
        ),
        (
            ["A"],
            [("origin", "A"), ("A", "A"), ("A", "outlet")],
            ("circuit", 1, "ends_at"),
            'the loop is "A" - "A"',
        ),
        (
            ["A", "B"],
            [("A", "B"), ("B", "A"), ("B", "outlet")],
            ("circuit", 1, "ends_at"),
            'the loop is "A" - "B" - "A"',
        ),
        (
            ["A", "B", "C"],
            [("origin", "A"), ("C", "B"), ("A", "outlet"), ("B", "C")],
            ("circuit", 1, "ends_at"),
            'the loop is "B" - "C" - "B"',
        ),
        (
            ["A", "B"],
            [("origin", "B"), ("B", "A"), ("A", "B"), ("A", "outlet")],
            ("circuit", 2, "ends_at"),
            'the loop is "B" - "A" - "B"',
        ),
        (
            ["origin"],
            [("origin", "outlet")],
            ("board", 0, "name"),
            "another name",
        ),
        (["outlet"], [("origin", "outlet")], ("board", 0, "name"), "another name"),
        (
            ["A", "A"],
            [("origin", "A"), ("A", "outlet")],
            ("board", 1, "name"),
            "board 1 already has this name",
        ),
    ],
)
def test_one_flaw_is_one_mistake(
    boards: list[str], circuits: list[Ends], path: KeyPath, words: str
) -> None:
    mistakes = [
        mistake
        for mistake in found(boards, circuits)
        # A circuit that ends nowhere useful also leaves the survey without its outlet.
        if not (mistake[0] == ("circuit",) and path == ("circuit", 0, "ends_at"))
    ]
    ((where, expected),) = mistakes
    assert where == path
    assert words in expected


def test_repeated_circuit_names_are_found() -> None:
    data = plain(["A"], [("origin", "A"), ("A", "outlet")])
    data["circuit"][1]["name"] = "circuit 0"
    (mistake,) = tree_inconsistencies(data)
    assert mistake.path == ("circuit", 1, "name")
    assert "circuit 1 already has this name" in mistake.expected


def test_a_board_and_a_circuit_may_share_a_name() -> None:
    data = plain(["A"], [("origin", "A"), ("A", "outlet")])
    data["circuit"][0]["name"] = "A"
    assert list(tree_inconsistencies(data)) == []


def test_flaws_that_do_not_belong_together_are_all_found() -> None:
    boards = ["A", "B", "C", "D", "A"]
    circuits = [("origin", "A"), ("B", "C"), ("C", "B"), ("Q99", "A"), ("A", "origin")]
    assert {path for path, _ in found(boards, circuits)} == {
        ("board", 4, "name"),
        ("circuit", 3, "starts_at"),
        ("circuit", 4, "ends_at"),
        ("circuit", 2, "ends_at"),
        ("circuit", 3, "ends_at"),
        ("board", 3, "name"),
        ("circuit",),
    }


@pytest.mark.parametrize("spoilt", [None, "", "  ", 3, {"low": "A", "high": "B"}])
def test_an_end_that_is_no_name_does_not_draw_in_other_mistakes(spoilt: object) -> None:
    data = plain(["A", "B"], [("origin", "A"), ("A", "B"), ("B", "outlet")])
    for number, key in ((0, "ends_at"), (2, "ends_at"), (1, "starts_at")):
        kept = data["circuit"][number][key]
        data["circuit"][number][key] = spoilt
        assert list(tree_inconsistencies(data)) == []
        data["circuit"][number][key] = kept
    data["board"][0]["name"] = spoilt
    assert list(tree_inconsistencies(data)) == []


def test_a_long_chain_and_a_long_loop_are_walked() -> None:
    names = [f"B{number}" for number in range(20_000)]
    chain = [("origin", "B0"), *pairwise(names), (names[-1], "outlet")]
    assert found(names, chain) == []
    ((path, expected),) = found(names, [(names[-1], "B0"), *chain[1:]])
    assert path == ("circuit", 0, "ends_at")
    assert len(expected) < 200


_boards = st.lists(st.sampled_from("ABCDE"), max_size=5, unique=True)
_ends = st.sampled_from(["origin", "outlet", *"ABCDE"])


@given(_boards, st.lists(st.tuples(_ends, _ends), min_size=1, max_size=8))
def test_accepted_means_one_tree_with_one_outlet(boards: list[str], circuits: list[Ends]) -> None:
    known = {"origin", "outlet", *boards}
    reached = {"origin"}
    for _ in circuits:
        reached |= {end for start, end in circuits if start in reached}
    fed = [end for _, end in circuits]
    is_tree = (
        all(start in known - {"outlet"} and end in known - {"origin"} for start, end in circuits)
        and all(fed.count(board) == 1 for board in boards)
        and fed.count("outlet") == 1
        and reached >= known
    )
    assert (found(boards, circuits) == []) == is_tree
