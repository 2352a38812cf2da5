"""Readings along the feed path that cannot all be right: a loop only grows away from the supply."""

from __future__ import annotations

from collections.abc import Iterator

from feasibility.survey.model import ORIGIN, OUTLET
from feasibility.survey.plain_data import (
    Inconsistency,
    KeyPath,
    Table,
    is_stated,
    number,
    quoted,
    single,
    table,
    tables,
    text,
)

LOOP = "measured_loop_impedance_ohm"
CURRENT = "measured_fault_current_ka"
BETWEEN = "measured_fault_between"


def reading_inconsistencies(data: Table) -> Iterator[Inconsistency]:
    """Find readings that contradict one another or the place where they were taken."""
    yield from _falling_loops(data)
    yield from _rising_currents(data)
    places = [(("board", position), board) for position, board in tables(data, "board")]
    for path, place in [*places, (("outlet",), table(data, "outlet"))]:
        if is_stated(place, CURRENT) and BETWEEN not in place:
            expected = f'"line-line", "line-neutral" or "unknown", since {CURRENT} is given'
            yield Inconsistency((*path, BETWEEN), single(place, BETWEEN), expected)
    yield from _missing_contacts(table(data, "outlet"))


def _missing_contacts(outlet: Table) -> Iterator[Inconsistency]:
    lacking = {"2P+E": ("line-line", "line-neutral"), "3P+E": ("line-neutral", "line-line")}
    poles, between = text(outlet, "poles"), text(outlet, BETWEEN)
    impossible, possible = lacking.get(str(poles), ("", ""))
    if between is not None and between == impossible:
        expected = f'"{possible}" at an outlet with {poles}'
        yield Inconsistency(("outlet", BETWEEN), between, expected)


def _falling_loops(data: Table) -> Iterator[Inconsistency]:
    before_ohm = number(table(data, "supply"), "external_loop_impedance_ohm")
    before = "outside the installation (external_loop_impedance_ohm)"
    for path, place, words in _along(data):
        ohm = number(place, LOOP)
        if ohm is None:
            continue
        if before_ohm is not None and ohm < before_ohm:
            expected = (
                f"at least the loop impedance {before}, {before_ohm:g} Ω, "
                "of which this loop consists in part"
            )
            yield Inconsistency((*path, LOOP), single(place, LOOP), expected)
        before_ohm, before = ohm, words


def _rising_currents(data: Table) -> Iterator[Inconsistency]:
    before: dict[str, tuple[float, str]] = {}
    for path, place, words in _along(data):
        current_ka, between = number(place, CURRENT), text(place, BETWEEN)
        if current_ka is None or between is None:
            continue
        if between in before and current_ka > before[between][0]:
            nearer_ka, nearer = before[between]
            expected = f"at most the {between} fault current {nearer}, {nearer_ka:g} kA"
            yield Inconsistency((*path, CURRENT), single(place, CURRENT), expected)
        before[between] = current_ka, words


def _along(data: Table) -> list[tuple[KeyPath, Table, str]]:
    """Return the boards on the feed path and the outlet, from the origin on, as far as it goes."""
    boards = {text(board, "name"): (position, board) for position, board in tables(data, "board")}
    feeds = {text(circuit, "ends_at"): circuit for _, circuit in tables(data, "circuit")}
    found: list[tuple[KeyPath, Table, str]] = [
        (("outlet",), table(data, "outlet"), "at the outlet")
    ]
    passed: set[str] = set()
    name: str | None = text(feeds[OUTLET], "starts_at") if OUTLET in feeds else None
    while name is not None and name != ORIGIN and name in boards and name not in passed:
        passed.add(name)
        position, board = boards[name]
        found.append((("board", position), board, f"at board {quoted(name)}"))
        name = text(feeds[name], "starts_at") if name in feeds else None
    return found[::-1]
