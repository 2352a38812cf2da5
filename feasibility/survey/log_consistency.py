"""Contradictions in what the survey says about logs of a demand."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import PurePosixPath, PureWindowsPath

from feasibility.survey.plain_data import (
    Inconsistency,
    KeyPath,
    Table,
    quoted,
    single,
    table,
    tables,
    text,
)

_ORIGIN = "origin"
_PHASE_COLUMNS = ("l1_column", "l2_column", "l3_column")
_COLUMNS = ("time_column", *_PHASE_COLUMNS, "total_column", "generation_column")


def described_logs(data: Table) -> Iterator[tuple[KeyPath, str, Table]]:
    """Yield key path, place and table of every log in the plain data of a survey."""
    for position, board in tables(data, "board"):
        log = table(table(board, "demand"), "log")
        if log:
            yield ("board", position, "demand", "log"), text(board, "name") or "", log
    log = table(table(table(data, "supply"), "demand"), "log")
    if log:
        yield ("supply", "demand", "log"), _ORIGIN, log


def log_inconsistencies(data: Table) -> Iterator[Inconsistency]:
    """Yield every contradiction of this kind in the plain data of a survey."""
    for path, place, log in described_logs(data):
        yield from file_outside(path, log)
        yield from _columns(path, log)
        yield from _generation(path, log)
        yield from _sources(path, log, list(_parallel_kinds(data, place)))
        yield from _net(path, data)
        at = text(log, "measured_at")
        if at is not None and place and at != place:
            expected = (
                f"{quoted(place)}, whose demand this is; a log taken elsewhere holds other loads"
            )
            yield Inconsistency((*path, "measured_at"), at, expected)


def file_outside(path: KeyPath, log: Table) -> Iterator[Inconsistency]:
    """Find a log file that lies neither beside the survey nor in a folder below it."""
    name = text(log, "file")
    if name is None:
        return
    outside = PurePosixPath(name).is_absolute() or bool(PureWindowsPath(name).anchor)
    if outside or "\\" in name or "\x00" in name or ".." in PurePosixPath(name).parts:
        expected = "a file beside the survey or in a folder below it, such as logs/main-board.csv"
        yield Inconsistency((*path, "file"), name, expected)


def _columns(path: KeyPath, log: Table) -> Iterator[Inconsistency]:
    named = {key: column for key in _COLUMNS if (column := text(log, key)) is not None}
    phases = [key for key in _PHASE_COLUMNS if key in named]
    if not phases and "total_column" not in named:
        expected = "a column per phase (l1_column, l2_column, l3_column), or total_column"
        yield Inconsistency(path, None, expected)
    if phases and "total_column" in named:
        expected = f"the demand in one way only; {phases[0]} already gives it"
        yield Inconsistency((*path, "total_column"), named["total_column"], expected)
    if "total_column" in named and log.get("unit") == "A":
        expected = '"kW" beside total_column; currents are logged per phase'
        yield Inconsistency((*path, "unit"), "A", expected)
    yield from column_twice(path, log, _COLUMNS)


def column_twice(path: KeyPath, log: Table, fields: tuple[str, ...]) -> Iterator[Inconsistency]:
    """Find a heading that stands for two columns of a log."""
    named = {key: column for key in fields if (column := text(log, key)) is not None}
    keys = list(named)
    for position, key in enumerate(keys):
        first = next((k for k in keys[:position] if named[k] == named[key]), None)
        if first is not None:
            expected = f"a column of its own; {first} already names this one"
            yield Inconsistency((*path, key), named[key], expected)


def _generation(path: KeyPath, log: Table) -> Iterator[Inconsistency]:
    kind = single(log, "generation_behind_meter")
    column = text(log, "generation_column")
    if column is not None and kind is not None and kind != "photovoltaic":
        expected = f"nothing here beside generation_behind_meter = {quoted(str(kind))}"
        yield Inconsistency((*path, "generation_column"), column, expected)


def _sources(path: KeyPath, log: Table, kinds: list[str]) -> Iterator[Inconsistency]:
    """Hold what is said of the log to the second sources that the survey lists at its place."""
    stated = single(log, "generation_behind_meter")
    others = [kind for kind in kinds if kind != "photovoltaic"]
    expected = ""
    if stated == "none" and kinds:
        expected = f"what feeds in here: the survey lists a second source ({kinds[0]})"
    elif stated == "photovoltaic" and others:
        expected = f'"storage": beside photovoltaics the survey lists another source ({others[0]})'
    if expected:
        yield Inconsistency((*path, "generation_behind_meter"), stated, expected)


def _parallel_kinds(data: Table, place: str) -> Iterator[str]:
    """Yield the kinds of the sources that feed beside the network at or behind a place."""
    circuits = [circuit for _, circuit in tables(data, "circuit")]
    behind = {place}
    for _ in circuits:
        behind |= {
            text(one, "ends_at") or "" for one in circuits if text(one, "starts_at") in behind
        }
    fed = [board for _, board in tables(data, "board") if text(board, "name") in behind]
    fed += [circuit for circuit in circuits if text(circuit, "starts_at") in behind]
    fed += [table(data, "supply")] if place == _ORIGIN else []
    for one in fed:
        for _, source in tables(one, "source"):
            if single(source, "changeover") is not True:
                yield text(source, "kind") or "of unknown kind"


def _net(path: KeyPath, data: Table) -> Iterator[Inconsistency]:
    place = table(data, "supply")
    if path[0] == "board":
        place = next(board for position, board in tables(data, "board") if position == path[1])
    stated = single(table(place, "demand"), "net_of_generation")
    if stated is not None:
        expected = "nothing here beside a log; its generation_behind_meter says so"
        yield Inconsistency((*path[:-1], "net_of_generation"), stated, expected)
