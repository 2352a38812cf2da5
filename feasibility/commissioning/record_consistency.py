"""Contradictions in a commissioning record, and names that the survey does not know."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from feasibility.survey.plain_data import Inconsistency, KeyPath, Table, quoted, table, tables, text

_PAIRS = ("l1_n_v", "l2_n_v", "l3_n_v", "l1_l2_v", "l2_l3_v", "l3_l1_v")
_LOOPS = ("loop_l1_ohm", "loop_l2_ohm", "loop_l3_ohm")
_WITH, _WITHOUT = "with_station", "without_station"


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What the assessment knows: reference, nodes, link and part of each permitted temperature.

    ``phases`` are those of the station.
    """

    reference: str
    nodes: Collection[str]
    parts: Collection[tuple[str, str]]
    phases: Collection[str]


def record_inconsistencies(data: Table, known: Known) -> Iterator[Inconsistency]:
    """Yield every contradiction in the plain data of a record."""
    reference = text(data, "survey_reference")
    if reference is not None and reference != known.reference:
        expected = f"the reference of the survey, {quoted(known.reference)}"
        yield Inconsistency(("survey_reference",), data["survey_reference"], expected)
    yield from _nodes(data, known)
    yield from _voltages(data)
    yield from _instruments(data)
    yield from _load(data, known)
    yield from _temperatures(data, known)


def _nodes(data: Table, known: Known) -> Iterator[Inconsistency]:
    seen: set[str] = set()
    names = ", ".join(quoted(name) for name in known.nodes)
    for number, node in tables(data, "node"):
        name = text(node, "name")
        if name is None:
            continue
        path: KeyPath = ("node", number, "name")
        if name not in known.nodes:
            yield Inconsistency(path, node["name"], f"a node of the feed path: {names}")
        elif name in seen:
            yield Inconsistency(path, node["name"], "each node only once")
        seen.add(name)


def _voltages(data: Table) -> Iterator[Inconsistency]:
    for number, node in tables(data, "node"):
        both = {part: table(node, part) for part in (_WITH, _WITHOUT)}
        for part, other in ((_WITH, _WITHOUT), (_WITHOUT, _WITH)):
            for pair in _PAIRS:
                if pair in both[part] and pair not in both[other]:
                    expected = f"{other}, {pair} as well: the drop is the difference of the two"
                    yield Inconsistency(("node", number, part, pair), both[part][pair], expected)


def _instruments(data: Table) -> Iterator[Inconsistency]:
    nodes = [node for _, node in tables(data, "node")]
    voltages = any(_WITH in node or _WITHOUT in node for node in nodes)
    loops = any(field in node for node in nodes for field in _LOOPS)
    for used, name, what in (
        (voltages, "voltmeter", "voltages"),
        (voltages, "clamp", "currents"),
        (loops, "loop_tester", "loop impedances"),
        (bool(data.get("temperature")), "thermometer", "temperatures"),
    ):
        if used and name not in data:
            expected = f"a table [{name}] with its accuracy, since {what} were read"
            yield Inconsistency((name,), None, expected)


def _load(data: Table, known: Known) -> Iterator[Inconsistency]:
    nodes = [node for _, node in tables(data, "node")]
    voltages = any(_WITH in node for node in nodes)
    warm = bool(data.get("temperature"))
    if not (voltages or warm):
        return
    load = table(data, "load")
    for phase in known.phases:
        field = f"{phase.lower()}_a"
        if field not in load:
            expected = f"the current of the station in {phase} while the readings were taken"
            yield Inconsistency(("load", field), None, expected)
        elif load[field] == 0:
            yield Inconsistency(
                ("load", field), 0, "a current above 0 in each phase of the station"
            )
    if warm:
        for field, what in (("minutes", "how long it had flowed"), ("ambient_c", "the air there")):
            if field not in load:
                expected = f"{what}, since temperatures were read"
                yield Inconsistency(("load", field), None, expected)


def _temperatures(data: Table, known: Known) -> Iterator[Inconsistency]:
    links = list(dict.fromkeys(link for link, _ in known.parts))
    for number, reading in tables(data, "temperature"):
        link, part = text(reading, "link"), text(reading, "part")
        if link is None or part is None:
            continue
        if link not in links:
            expected = f"a link with a permitted temperature: {', '.join(map(quoted, links))}"
            yield Inconsistency(("temperature", number, "link"), reading["link"], expected)
        elif (link, part) not in known.parts:
            parts = ", ".join(quoted(name) for one, name in known.parts if one == link)
            expected = f"a part of this link: {parts}"
            yield Inconsistency(("temperature", number, "part"), reading["part"], expected)
