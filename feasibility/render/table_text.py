"""A table, the list of tables and what confirms the ampacities, as text for a terminal."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby

from feasibility.render.plain_lines import columns_of, padded, wrapped
from feasibility.table_review import Cell, Confirmed, Evidence, Source, TableLine, TablePage

_HOW = {
    "formula": "formula of the standard",
    "second-source": "two or more documents agree",
    "one-source": "ONE DOCUMENT ONLY",
    "memory": "FROM MEMORY, no document opened",
}
_GAP = "  "


def table_list_text(lines: Sequence[TableLine]) -> str:
    """Return the list of tables: name, title, standard, and how many rows are confirmed how."""
    found: list[str] = []
    for line in lines:
        found.append(line.name)
        found.extend(wrapped(f"{line.title}; {line.standard} {line.clause}".rstrip(), first="    "))
        counts = ", ".join(f"{count} {how}" for how, count in line.confirmed.items() if count)
        found.extend(wrapped(f"rows by confirmation: {counts}", first="    "))
    found.append("")
    found.extend(wrapped("'feasibility tables NAME' prints one of them with its sources."))
    return "\n".join(found)


def table_page_text(page: TablePage) -> str:
    """Return a table with a mark beside each value, and below what the marks stand for.

    The lines are as wide as the printed table; everything around it keeps to 80 columns.
    """
    units = ", ".join(unit or "plain number" for unit in dict.fromkeys(page.units))
    about = {
        "table": page.title,
        "standard": f"{page.standard.id}, {page.clause}" if page.clause else page.standard.id,
        "title": page.standard.title,
        "edition": page.edition,
        "unit": units,
        "reference": page.reference,
        "remarks": page.remarks,
        "holds for": ", ".join(
            f"{_words(name)} {_text(value)}"
            for name, value in page.common.items()
            if value is not None
        ),
    }
    lines = [line for name, text in about.items() if text for line in _about(name, text)]
    lines += ["", *_columns(_heads(page) + _body(page)), "", "What the marks stand for:"]
    numbers = _source_numbers(page.evidence)
    for evidence in page.evidence:
        lines.extend(wrapped(_evidence(evidence, numbers), first=f"{evidence.mark:>3}  "))
    lines += ["", "Sources:"]
    for source, number in numbers.items():
        lines.extend(wrapped(f"{source.title} ({source.id})", first=f"{number:>3}  "))
    return "\n".join(lines)


def confirmation_text(tables: Mapping[str, Sequence[Confirmed]], lines: Sequence[TableLine]) -> str:
    """Return how every ampacity stands against Annex D, and how all tables are confirmed."""
    found = wrapped(
        "Tabulated ampacities against the formula of IEC 60364-5-52, Annex D: deviation in "
        "percent of the printed value from the unrounded formula. Up to 20 A the print is rounded "
        "to 0.5 A, above to 1 A. Where the standard has no formula: how many documents print "
        "the same value."
    )
    for name, cells in tables.items():
        found += ["", name, *_columns(_deviations(cells))]
    found += ["", "Rows of every table by what confirms them:"]
    rows = [["table", *(str(how) for how in lines[0].confirmed)]] if lines else []
    rows += [
        [line.name, *(str(count or "") for count in line.confirmed.values())] for line in lines
    ]
    return "\n".join([*found, *_columns(rows)])


def _deviations(cells: Sequence[Confirmed]) -> list[list[str]]:
    """Return a grid: sections down, conductor and method across."""
    heads = list(dict.fromkeys(_column(one) for one in cells))
    names = ["", "", "mm2"]
    grid = [[names[level], *(head[level] for head in heads)] for level in range(3)]
    for section, line in groupby(sorted(cells, key=_section), key=_section):
        by_head = {_column(one): one for one in line}
        grid.append([f"{section:g}", *(_deviation(by_head.get(head)) for head in heads)])
    return grid


def _section(one: Confirmed) -> float:
    return one.row.number("section_mm2")


def _column(one: Confirmed) -> tuple[str, str, str]:
    return one.row.text("conductor"), one.row.text("method"), one.row.text("arrangement")


def _deviation(one: Confirmed | None) -> str:
    if one is None:
        return ""
    if one.deviation_percent is None:
        return f"{len(one.row.source_ids)} print"
    return f"{one.deviation_percent:+.1f}"


def _about(name: str, text: str) -> list[str]:
    return wrapped(text, first=f"{name + ':':<11}")


def _source_numbers(evidence: Iterable[Evidence]) -> dict[Source, int]:
    """Return every source of a table with its number, in the order of the first mark."""
    found = dict.fromkeys(source for one in evidence for source in one.sources)
    return {source: number for number, source in enumerate(found, start=1)}


def _evidence(evidence: Evidence, numbers: Mapping[Source, int]) -> str:
    parts = [
        _HOW[evidence.confirmed_by],
        evidence.note,
        f"others print: {evidence.other_readings}" if evidence.other_readings else "",
        "seen in " + ", ".join(str(numbers[one]) for one in evidence.sources),
    ]
    return ". ".join(part for part in parts if part) + "."


def _heads(page: TablePage) -> list[list[str]]:
    """Return the lines over the columns; the last one also names the labels."""
    levels = list(zip(*page.across, strict=True))
    lines = [["" for _ in page.label_names] + [_head(cell) for cell in level] for level in levels]
    lines = [line for line in lines if any(line)]
    lines[-1][: len(page.label_names)] = [_words(name) for name in page.label_names]
    return lines


def _head(cell: Cell) -> str:
    return _words(cell) if isinstance(cell, str) else _text(cell)


def _body(page: TablePage) -> list[list[str]]:
    return [
        [_text(label) for label in row.labels]
        + [f"{_text(place.value)} {place.mark}" if place else "" for place in row.places]
        for row in page.rows
    ]


def _columns(rows: Sequence[Sequence[str]]) -> list[str]:
    """Return rows of cells as lines, each column as wide as its widest cell."""
    widths = [max(columns_of(cell) for cell in column) for column in zip(*rows, strict=True)]
    return [_GAP.join(map(padded, row, widths)).rstrip() for row in rows]


def _words(name: str) -> str:
    return name.replace("_", " ")


def _text(value: Cell) -> str:
    if value is None:
        return ""
    return value if isinstance(value, str) else f"{value:g}"
