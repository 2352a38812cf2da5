"""Contradictions in what the survey says about the output of second sources over the year."""

from __future__ import annotations

from collections.abc import Iterator

from feasibility.survey.log_consistency import column_twice, described_logs, file_outside
from feasibility.survey.plain_data import (
    Inconsistency,
    KeyPath,
    Table,
    is_stated,
    single,
    table,
    tables,
    text,
)

_COLUMNS = ("time_column", "output_column")


def described_sources(data: Table) -> Iterator[tuple[KeyPath, Table]]:
    """Yield key path and table of every second source in the plain data of a survey."""
    places: list[tuple[KeyPath, Table]] = [(("supply",), table(data, "supply"))]
    for key in ("board", "circuit"):
        places += [((key, position), one) for position, one in tables(data, key)]
    for path, place in places:
        for position, source in tables(place, "source"):
            yield (*path, "source", position), source


def described_outputs(data: Table) -> Iterator[tuple[KeyPath, Table, Table]]:
    """Yield key path of its file, source and file of every source that names one."""
    for path, source in described_sources(data):
        output = table(source, "output")
        if output:
            yield (*path, "output"), source, output


def described_files(data: Table) -> Iterator[tuple[KeyPath, Table]]:
    """Yield key path and table of every log that a survey names, of a demand or an output."""
    yield from ((path, log) for path, _, log in described_logs(data))
    yield from ((path, output) for path, _, output in described_outputs(data))


def source_inconsistencies(data: Table) -> Iterator[Inconsistency]:
    """Yield every contradiction of this kind in the plain data of a survey."""
    for path, source in described_sources(data):
        profile = single(source, "output_profile")
        kind = text(source, "kind")
        if profile is not None and kind is not None and kind != "photovoltaic":
            expected = f"nothing here: the sun drives no source of kind {kind}"
            yield Inconsistency((*path, "output_profile"), profile, expected)
        if is_stated(source, "output_profile") and table(source, "output"):
            expected = "the output in one way only; output_profile already gives it"
            yield Inconsistency((*path, "output"), None, expected)
    for path, _, output in described_outputs(data):
        yield from file_outside(path, output)
        yield from column_twice(path, output, _COLUMNS)
