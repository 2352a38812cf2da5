"""Whether boards and circuits form one tree from the origin, with the station's outlet in it.

Where no rule objects, every board and every circuit can be reached from the origin: each board is
fed by a circuit, each circuit starts at the origin or at a board, and there is no loop.
"""

from __future__ import annotations

import difflib
from collections.abc import Generator, Iterator
from dataclasses import dataclass, field

from feasibility.survey.model import ORIGIN, OUTLET
from feasibility.survey.plain_data import (
    Inconsistency,
    Table,
    all_are_tables,
    quoted,
    tables,
    text,
)

# Looking for similar names takes time; in a file with more mistakes than this it helps nobody.
_MOST_SUGGESTIONS = 50
_MOST_NAMES_COMPARED = 200
_MOST_NAMES_LISTED = 5


def tree_inconsistencies(data: Table) -> Iterator[Inconsistency]:
    """Find what keeps boards and circuits from being one tree.

    Rules that would only repeat another mistake stay silent: a board is not reported as unfed
    while some circuit's end is missing or is a misspelling of that board's name.
    """
    yield from _repeated_names(data, "board")
    yield from _repeated_names(data, "circuit")
    for number, board in tables(data, "board"):
        if (name := text(board, "name")) in (ORIGIN, OUTLET):
            expected = f"another name; {quoted(str(name))} has its own meaning for a circuit's ends"
            yield Inconsistency(("board", number, "name"), name, expected)
    tree = _Tree.of(data)
    yield from _unknown_ends(tree)
    closing = yield from _loops(tree)
    yield from _feeds(tree, closing)
    yield from _outlet_circuits(tree)


@dataclass(slots=True)
class _Tree:
    """Boards by name and the two ends of each circuit, as far as the data give them.

    ``boards_certain`` and ``ends_certain`` say that no name and no circuit's end is missing.
    ``probably_meant`` collects the names that misspelt ends resemble.
    """

    boards: dict[str, int] = field(default_factory=dict)
    circuits: dict[int, tuple[str | None, str | None]] = field(default_factory=dict)
    boards_certain: bool = True
    ends_certain: bool = True
    probably_meant: set[str] = field(default_factory=set)
    suggestions_left: int = _MOST_SUGGESTIONS

    @classmethod
    def of(cls, data: Table) -> _Tree:
        tree = cls()
        for number, board in tables(data, "board"):
            name = text(board, "name")
            if name is not None and name not in (ORIGIN, OUTLET):
                tree.boards.setdefault(name, number)
            tree.boards_certain = tree.boards_certain and name is not None
        for number, circuit in tables(data, "circuit"):
            tree.circuits[number] = text(circuit, "starts_at"), text(circuit, "ends_at")
        tree.boards_certain = tree.boards_certain and all_are_tables(data, "board")
        ends = (end for _, end in tree.circuits.values())
        tree.ends_certain = bool(tree.circuits) and all(ends) and all_are_tables(data, "circuit")
        return tree

    def nearest(self, name: str, other: str) -> str | None:
        """Return the board (or the other permitted word) that the name resembles."""
        if self.suggestions_left == 0 or len(self.boards) > _MOST_NAMES_COMPARED:
            return None
        self.suggestions_left -= 1
        by_plain_name = {known.casefold(): known for known in (*self.boards, other)}
        close = difflib.get_close_matches(name.casefold(), by_plain_name, n=1, cutoff=0.7)
        return by_plain_name[close[0]] if close else None


def _repeated_names(data: Table, key: str) -> Iterator[Inconsistency]:
    first: dict[str, int] = {}
    for number, item in tables(data, key):
        name = text(item, "name")
        if name is not None and first.setdefault(name, number) != number:
            expected = f"a name of its own; {key} {first[name] + 1} already has this name"
            yield Inconsistency((key, number, "name"), name, expected)


def _unknown_ends(tree: _Tree) -> Iterator[Inconsistency]:
    for number, (start, end) in tree.circuits.items():
        for key, name, other in (("starts_at", start, ORIGIN), ("ends_at", end, OUTLET)):
            if name is None or name == other or name in tree.boards:
                continue
            if name in (ORIGIN, OUTLET):
                hint = f'; a circuit leads from the "{ORIGIN}" towards the "{OUTLET}"'
            elif tree.boards_certain:
                hint = _hint(tree, name, other)
            else:
                continue
            expected = f'"{other}" or the name of a board{hint}'
            yield Inconsistency(("circuit", number, key), name, expected)


def _hint(tree: _Tree, name: str, other: str) -> str:
    nearest = tree.nearest(name, other)
    if nearest is not None:
        tree.probably_meant.add(nearest)
        return f"; the nearest is {quoted(nearest)}"
    if not tree.boards:
        return "; the survey lists no board"
    if len(tree.boards) <= _MOST_NAMES_LISTED:
        return f"; the boards are {', '.join(quoted(board) for board in tree.boards)}"
    return ""


def _loops(tree: _Tree) -> Generator[Inconsistency, None, frozenset[int]]:
    """Report each circuit that leads back to a board above it, and return their positions.

    A depth-first walk, from the boards fed by the origin first, with a list in place of recursion.
    """
    below: dict[str, list[tuple[int, str]]] = {name: [] for name in tree.boards}
    from_origin: list[str] = []
    for number, (start, end) in tree.circuits.items():
        if end in tree.boards and start in tree.boards:
            below[str(start)].append((number, str(end)))
        elif end in tree.boards and start == ORIGIN:
            from_origin.append(str(end))
    done: set[str] = set()
    closing: set[int] = set()
    for root in (*from_origin, *tree.boards):
        trail: dict[str, Iterator[tuple[int, str]]] = {}
        if root not in done:
            trail[root] = iter(below[root])
        while trail:
            board = next(reversed(trail))
            number, end = next(trail[board], (-1, ""))
            if number < 0:
                done.add(board)
                del trail[board]
            elif end in trail:
                closing.add(number)
                yield Inconsistency(("circuit", number, "ends_at"), end, _loop_text(trail, end))
            elif end not in done:
                trail[end] = iter(below[end])
    return frozenset(closing)


def _loop_text(trail: dict[str, Iterator[tuple[int, str]]], end: str) -> str:
    above: list[str] = []
    for board in reversed(trail):
        above.append(board)
        if board == end or len(above) == _MOST_NAMES_LISTED:
            break
    loop = " - ".join(quoted(board) for board in (*reversed(above), end))
    gap = "" if above[-1] == end else "... - "
    return f"a board that does not itself feed this circuit; the loop is {gap}{loop}"


def _feeds(tree: _Tree, closing: frozenset[int]) -> Iterator[Inconsistency]:
    fed: dict[str, int] = {}
    fed_by_loop: set[str] = set()
    for number, (_, end) in tree.circuits.items():
        if end not in tree.boards or end is None:
            continue
        if number in closing:
            fed_by_loop.add(end)
        elif fed.setdefault(end, number) != number:
            expected = f"a board that no other circuit feeds; circuit {fed[end] + 1} already does"
            yield Inconsistency(("circuit", number, "ends_at"), end, expected)
    if not tree.ends_certain:
        return
    for name, number in tree.boards.items():
        if name not in fed and name not in fed_by_loop and name not in tree.probably_meant:
            expected = "a circuit that ends at this board; without one nothing feeds it"
            yield Inconsistency(("board", number, "name"), name, expected)


def _outlet_circuits(tree: _Tree) -> Iterator[Inconsistency]:
    numbers = [number for number, (_, end) in tree.circuits.items() if end == OUTLET]
    for number in numbers[1:]:
        expected = f'only one circuit that ends at the "{OUTLET}"; circuit {numbers[0] + 1} does'
        yield Inconsistency(("circuit", number, "ends_at"), OUTLET, expected)
    if not numbers and tree.ends_certain and OUTLET not in tree.probably_meant:
        expected = f'one circuit with ends_at = "{OUTLET}"; there is none'
        yield Inconsistency(("circuit",), None, expected)
