"""Second sources: where each feeds in, and which boards were looked at for them."""

from __future__ import annotations

from collections.abc import Mapping

from feasibility.code_basis import CodeBasis
from feasibility.demand_log.record import DemandLog
from feasibility.installation.demand import node_on_path, nodes_on_path
from feasibility.installation.model import FeedingPlace, Link, LinkKind, SourceAt
from feasibility.installation.resolve import Resolved
from feasibility.survey.model import ORIGIN, Board, Supply, Survey
from feasibility.survey.source import Source


def feeding_places(
    survey: Survey, path: tuple[int, ...], basis: CodeBasis, logs: Mapping[str, DemandLog]
) -> tuple[FeedingPlace, ...]:
    """Return the origin and every board of the survey, each with what feeds it."""
    node_of = nodes_on_path(survey, path)
    fed_from = {circuit.ends_at: circuit.starts_at for circuit in survey.circuit}
    records: list[tuple[str, str, Supply | Board, str]] = [
        (ORIGIN, "supply", survey.supply, "the supply")
    ]
    for number, board in enumerate(survey.board, start=1):
        records.append((board.name, f"board[{number}]", board, f"board '{board.name}'"))
    nodes = [node_on_path(name, node_of, fed_from) for name, *_ in records]
    return tuple(
        _place(name, where, record, label, node, basis, logs,
               on_path=name in node_of, branch=_branch(survey, name, node_of, node, basis))
        for (name, where, record, label), node in zip(records, nodes, strict=True)
    )  # fmt: skip


def _place(
    name: str,
    where: str,
    record: Supply | Board,
    label: str,
    node: int,
    basis: CodeBasis,
    logs: Mapping[str, DemandLog],
    *,
    on_path: bool,
    branch: tuple[Link, ...],
) -> FeedingPlace:
    kind = where.partition("[")[0]
    return FeedingPlace(
        name=name,
        data=Resolved(record=record, kind=kind, path=where, label=label, basis=basis),
        demand=Resolved(
            record=record.demand,
            kind="demand",
            path=f"{where}.demand",
            label=f"the existing demand of {label}",
            basis=basis,
        ),
        node=node,
        on_path=on_path,
        sources=tuple(
            SourceAt(
                data=_resolved(source, f"{where}.source[{number}]", source.name, basis),
                name=source.name,
                place=name,
                node=node,
                on_path=on_path,
                on_circuit=None,
                branch=branch,
                output=logs.get(f"{where}.source[{number}].output"),
            )
            for number, source in enumerate(record.source, start=1)
        ),
    )


def sources_on_circuits(
    survey: Survey, path: tuple[int, ...], basis: CodeBasis, logs: Mapping[str, DemandLog]
) -> tuple[SourceAt, ...]:
    """Return what feeds into a circuit itself, behind its device."""
    node_of = nodes_on_path(survey, path)
    fed_from = {circuit.ends_at: circuit.starts_at for circuit in survey.circuit}
    found = []
    for index, circuit in enumerate(survey.circuit):
        inside = index in path
        end = circuit.ends_at if inside else circuit.starts_at
        node = node_on_path(end, node_of, fed_from)
        for number, source in enumerate(circuit.source, start=1):
            where = f"circuit[{index + 1}].source[{number}]"
            found.append(
                SourceAt(
                    data=_resolved(source, where, source.name, basis),
                    name=source.name,
                    place=circuit.starts_at,
                    node=node,
                    on_path=inside,
                    on_circuit=path.index(index) if inside else None,
                    branch=_branch(survey, circuit.ends_at, node_of, node, basis),
                    output=logs.get(f"{where}.output"),
                )
            )
    return tuple(found)


def _branch(
    survey: Survey, place: str, node_of: dict[str, int], node: int, basis: CodeBasis
) -> tuple[Link, ...]:
    """Return the cables from the path to a place beside it, those next to the path first."""
    by_end = {circuit.ends_at: index for index, circuit in enumerate(survey.circuit)}
    links: list[Link] = []
    while place not in node_of:
        index = by_end[place]
        circuit = survey.circuit[index]
        links[:0] = [
            Link(
                name=f"{circuit.name}: cable {number}",
                kind=LinkKind.CABLE,
                position=node,
                data=Resolved(
                    record=cable,
                    kind="cable",
                    path=f"circuit[{index + 1}].cable[{number}]",
                    label=f"cable {number} of '{circuit.name}'",
                    basis=basis,
                ),
            )
            for number, cable in enumerate(circuit.cable or (None,), start=1)
        ]
        place = circuit.starts_at
    return tuple(links)


def _resolved(record: Source, path: str, name: str, basis: CodeBasis) -> Resolved:
    return Resolved(
        record=record,
        kind="source",
        path=path,
        label=f"second source '{name}'",
        basis=basis,
    )
