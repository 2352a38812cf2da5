"""Build the installation along the feed path from a consistent survey."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from feasibility.code_basis import CodeBasis, code_basis
from feasibility.demand_log.record import DemandLog
from feasibility.installation.demand import demands_along
from feasibility.installation.model import (
    SERVICE,
    Installation,
    Link,
    LinkKind,
    PathCircuit,
)
from feasibility.installation.resolve import Resolved
from feasibility.installation.sources import feeding_places, sources_on_circuits
from feasibility.survey.circuit import Circuit
from feasibility.survey.model import ORIGIN, OUTLET, Survey
from feasibility.survey.stated import Record

OWN = "own transformer"


def build_installation(
    survey: Survey, demand_logs: Mapping[str, DemandLog] | None = None
) -> Installation:
    """Resolve a survey that passed the consistency rules.

    ``demand_logs`` are the logs it names, of demands and of second sources, by their place in it; a
    demand whose log is not there stays open.
    Raises UnknownCodeBasis when the survey names a code basis that is not there.
    """
    basis = code_basis(survey.code_basis)
    supply = _table(survey.supply, "supply", basis)
    transformer = _transformer(survey, supply)
    path = feed_path(survey)
    service = _service_device(survey, basis)
    circuits = tuple(
        _path_circuit(survey, index, position, service, supply)
        for position, index in enumerate(path)
    )
    outlet = _table(survey.outlet, "outlet", basis)
    station = _table(survey.station, "station", basis)
    cord = _cord(survey, basis)
    logs = demand_logs or {}
    places = _places(survey, circuits, outlet, basis)
    links = (
        *_service_links(supply, transformer, service),
        *(
            link
            for index, c in zip(path, circuits, strict=True)
            for link in _links(c, index, places)
        ),
        *_end_links(outlet, cord, station, supply, len(circuits)),
    )
    return Installation(
        survey=survey,
        basis=basis,
        supply=supply,
        transformer=transformer,
        station=station,
        outlet=outlet,
        cord=cord,
        circuits=circuits,
        links=links,
        demands=demands_along(survey, path, basis, logs),
        places=places,
        feeding_places=feeding_places(survey, path, basis, logs),
        circuit_sources=sources_on_circuits(survey, path, basis, logs),
    )


def _table(record: Record, name: str, basis: CodeBasis) -> Resolved:
    """Return a table of which a survey has one."""
    return Resolved(record=record, kind=name, path=name, label=f"the {name}", basis=basis)


def feed_path(survey: Survey) -> tuple[int, ...]:
    """Return the indices of the circuits from the origin to the outlet, in feed order."""
    by_end = {circuit.ends_at: index for index, circuit in enumerate(survey.circuit)}
    place, path = OUTLET, []
    while place != ORIGIN:
        index = by_end[place]
        path.append(index)
        place = survey.circuit[index].starts_at
    return tuple(reversed(path))


def _places(
    survey: Survey, circuits: tuple[PathCircuit, ...], outlet: Resolved, basis: CodeBasis
) -> tuple[Resolved | None, ...]:
    boards = {board.name: number for number, board in enumerate(survey.board, start=1)}
    ends = (
        outlet if circuit.is_final else _board(survey, boards[circuit.ends_at], basis)
        for circuit in circuits
    )
    return (None, *ends)


def _board(survey: Survey, number: int, basis: CodeBasis) -> Resolved:
    board = survey.board[number - 1]
    return Resolved(
        record=board,
        kind="board",
        path=f"board[{number}]",
        label=f"board '{board.name}'",
        basis=basis,
    )


def _transformer(survey: Survey, supply: Resolved) -> Resolved | None:
    """Return the customer's own transformer, described or not; None where there is surely none."""
    if survey.supply.transformer is None and OWN not in supply.word("kind").options:
        return None
    return Resolved(
        record=survey.supply.transformer,
        kind="transformer",
        path="supply.transformer",
        label="the transformer",
        basis=supply.basis,
    )


def _service_links(supply: Resolved, transformer: Resolved | None, device: Link) -> Iterator[Link]:
    if transformer is not None:
        kind = LinkKind.TRANSFORMER
        yield Link(name="transformer", kind=kind, position=SERVICE, data=transformer)
    yield Link(name="contracted capacity", kind=LinkKind.CONTRACT, position=SERVICE, data=supply)
    yield device
    yield Link(name="metering place", kind=LinkKind.METERING, position=SERVICE, data=supply)


def _service_device(survey: Survey, basis: CodeBasis) -> Link:
    data = Resolved(
        record=survey.supply.service_device,
        kind="device",
        path="supply.service_device",
        label="the service device",
        basis=basis,
    )
    return Link(name="service device", kind=LinkKind.DEVICE, position=SERVICE, data=data)


def _path_circuit(
    survey: Survey, index: int, position: int, service: Link, supply: Resolved
) -> PathCircuit:
    circuit: Circuit = survey.circuit[index]

    def link(kind: LinkKind, name: str, record: Record | None, field: str, words: str) -> Link:
        data = Resolved(
            record=record,
            kind=field.partition("[")[0] or "circuit",
            path=f"circuit[{index + 1}]" + (f".{field}" if field else ""),
            label=f"{words} '{circuit.name}'",
            basis=supply.basis,
        )
        return Link(name=name, kind=kind, position=position, data=data)

    cables = [
        link(
            LinkKind.CABLE,
            f"{circuit.name}: cable {number}",
            cable,
            f"cable[{number}]",
            f"cable {number} of",
        )
        for number, cable in enumerate(circuit.cable or (None,), start=1)
    ]
    own_device = circuit.device is not None or circuit.starts_at != ORIGIN
    device_name = f"{circuit.name}: device"
    residual = "residual-current device"
    return PathCircuit(
        position=position,
        name=circuit.name,
        starts_at=circuit.starts_at,
        ends_at=circuit.ends_at,
        device=link(LinkKind.DEVICE, device_name, circuit.device, "device", "the device of")
        if own_device
        else service,
        own_device=own_device,
        residual_current_device=link(
            LinkKind.RESIDUAL_CURRENT_DEVICE,
            f"{circuit.name}: {residual}",
            circuit.residual_current_device,
            "residual_current_device",
            f"the {residual} of",
        ),
        link=link(LinkKind.CIRCUIT, f"circuit '{circuit.name}'", circuit, "", "circuit"),
        cables=tuple(replace(one, frequency=supply.number("frequency_hz")) for one in cables),
        is_final=circuit.ends_at == OUTLET,
    )


def _links(circuit: PathCircuit, index: int, places: Sequence[Resolved | None]) -> list[Link]:
    links = [circuit.device] if circuit.own_device else []
    rcd = circuit.residual_current_device
    separate = rcd.data.flag("combined").options != (True,)
    if rcd.data.record is not None and rcd.data.flag("present").options != (False,) and separate:
        links.append(rcd)
    record = circuit.data.record
    parts = record.part if isinstance(record, Circuit) else ()
    for number, part in enumerate(parts, start=1):
        name = f"part {number}, {part.name or part.kind}"
        links.append(
            Link(
                name=f"{circuit.name}: {name}",
                kind=LinkKind.PART,
                position=circuit.position,
                detail=part.kind,
                data=Resolved(
                    record=part,
                    kind="part",
                    path=f"circuit[{index + 1}].part[{number}]",
                    label=f"{name} of '{circuit.name}'",
                    basis=circuit.data.basis,
                ),
            )
        )
    return [*links, *circuit.cables, *_board_link(circuit, places[circuit.position + 1])]


def _board_link(circuit: PathCircuit, place: Resolved | None) -> Iterator[Link]:
    """Yield the board that a circuit feeds where its rated current was read."""
    if place is not None and not circuit.is_final and place.has("rated_current_a"):
        kind = LinkKind.BOARD
        yield Link(name=place.label, kind=kind, position=circuit.position, data=place)


def _cord(survey: Survey, basis: CodeBasis) -> Resolved | None:
    fixed = survey.outlet.kind is not None and survey.outlet.kind.value == "fixed connection"
    if fixed and survey.cord is None:
        return None
    return Resolved(record=survey.cord, kind="cord", path="cord", label="the cord", basis=basis)


def _end_links(
    outlet: Resolved,
    cord: Resolved | None,
    station: Resolved,
    supply: Resolved,
    position: int,
) -> list[Link]:
    fixed = outlet.word("kind").options == ("fixed connection",)
    links = [Link(name="outlet", kind=LinkKind.OUTLET, position=position, data=outlet)]
    if cord is not None:
        if not fixed:
            links.append(Link(name="plug", kind=LinkKind.PLUG, position=position, data=cord))
        links.append(
            Link(
                name="cord",
                kind=LinkKind.CORD,
                position=position,
                data=cord,
                frequency=supply.number("frequency_hz"),
            )
        )
    if station.mentions("inlet_rating_a"):
        links.append(Link(name="inlet", kind=LinkKind.INLET, position=position, data=station))
    links.append(Link(name="station", kind=LinkKind.STATION, position=position, data=station))
    return links
