"""The remedy that replaces the end of the feed path: a new circuit with an outlet of its own."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from feasibility import tables
from feasibility.checks.conductor import loaded_conductors
from feasibility.installation.model import Installation, Link, LinkKind, PathCircuit
from feasibility.installation.resolve import Resolved
from feasibility.remedies.of_cables import cord_of_section, of_section
from feasibility.remedies.of_devices import usual_residual_ma
from feasibility.remedies.of_outlet import (
    DEGREES_OF_PROTECTION,
    contacts_for,
    needs_interlock,
    new_outlet,
)
from feasibility.remedies.record import Kind, Part
from feasibility.remedies.values import (
    HYPOTHETICAL,
    Ladder,
    figure,
    known,
    part,
    put,
    without_readings,
    word,
)
from feasibility.survey.changes import Change
from feasibility.survey.circuit import Circuit, Device, OtherOutlet
from feasibility.survey.demand import Demand
from feasibility.survey.device_kinds import FUSE, MINIATURE_BREAKER
from feasibility.survey.model import ORIGIN
from feasibility.survey.stated import Record

_SHIFTS = 5
"""So many sections above the smallest are tried, of cable and cord together."""

_CHARACTERISTIC, _FUSE_SYSTEM = "C", "NH"

_PHASES = ("L1", "L2", "L3")
_PHASE_DEMANDS = ("maximum_l1_a", "maximum_l2_a", "maximum_l3_a")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Design:
    """What is laid and fitted anew: rating of outlet and device, sections of cable and cord."""

    kind: str
    rating_a: float
    section_mm2: float
    cord_mm2: float
    breaking_ka: float


def new_circuit(installation: Installation, requested_a: float) -> Ladder:
    """Return new circuits of the next ratings that reach the requested current.

    It starts where the present final circuit does and takes the same way, laid apart from other
    circuits. Other outlets of the present circuit stay with it; their ratings count at the board.
    """
    circuit = installation.final_circuit
    left_behind = _left_behind(installation, circuit)
    if left_behind is None or not all(link.data.has("length_m") for link in circuit.cables):
        return []
    return [
        _part(installation, circuit, design, left_behind)
        for design in _designs(installation, circuit, requested_a)
    ]


def _designs(
    installation: Installation, circuit: PathCircuit, requested_a: float
) -> Iterator[_Design]:
    outlet_a = [one for one in tables.outlet_ratings() if one >= requested_a][:2]
    present_ka = known(circuit.device.data.number("breaking_capacity_ka")) or 0.0
    for rating in outlet_a:
        cables = _cable_sections(circuit, rating)
        cords = _cord_sections(installation, rating)
        for shift in range(_SHIFTS):
            if shift >= len(cables) or not cords:
                break
            for kind in (MINIATURE_BREAKER, FUSE):
                if rating not in tables.standard_device_ratings(device=kind):
                    continue
                capacities = tables.breaking_capacities(device=kind)
                yield _Design(
                    kind=kind,
                    rating_a=rating,
                    section_mm2=cables[shift],
                    cord_mm2=cords[min(shift, len(cords) - 1)],
                    breaking_ka=next((c for c in capacities if c >= present_ka), capacities[-1]),
                )


def _cable_sections(circuit: PathCircuit, rating_a: float) -> Sequence[float]:
    """Return sections that every piece can have, from the first whose table value is enough."""
    common: set[float] | None = None
    for link in circuit.cables:
        data = link.data
        laid = {
            "conductor": "copper",
            "insulation": word(data.word("insulation")) or "PVC",
            "loaded": 3,
            "method": word(data.word("method")) or "",
            "arrangement": (word(data.word("laid")) or "") if data.mentions("laid") else "",
        }
        try:
            sections = {
                one
                for one in tables.ampacity_sections(**laid)
                if tables.ampacity(section_mm2=one, **laid).value >= rating_a
            }
        except tables.NotTabulated:
            return ()
        common = sections if common is None else common & sections
    standard = tables.standard_sections(conductor="copper")
    return sorted(one for one in common or () if one in standard)


def _cord_sections(installation: Installation, rating_a: float) -> Sequence[float]:
    if installation.cord is None:
        return (0.0,)
    table_set = installation.basis.choices["cord_table_set"]
    grade, link = _cord(installation)
    loaded = loaded_conductors(installation, link)
    return [
        one
        for one in tables.cord_sections(table_set=table_set, cord=grade, loaded=loaded)
        if tables.cord_ampacity(
            table_set=table_set, cord=grade, loaded=loaded, section_mm2=one
        ).value
        >= rating_a
    ]


def _cord(installation: Installation) -> tuple[str, Link]:
    (link,) = installation.links_of(LinkKind.CORD)
    table_set = installation.basis.choices["cord_table_set"]
    return word(link.data.word("grade")) or tables.cord_grades(table_set=table_set)[0], link


def _part(
    installation: Installation,
    circuit: PathCircuit,
    design: _Design,
    left_behind: tuple[Change, ...],
) -> Part:
    (outlet,) = installation.links_of(LinkKind.OUTLET)
    changes = [
        Change(place=f"{circuit.data.path}.device", value=_device(circuit, design)),
        Change(place=f"{circuit.data.path}.residual_current_device", value=_residual(design)),
        Change(place=f"{circuit.data.path}.other_outlet", value=[]),
        Change(place=f"{circuit.data.path}.part", value=[]),
        *put(circuit.data, other_outlets_none=True),
        *left_behind,
        *without_readings(installation, circuit.position + 1),
    ]
    for link in circuit.cables:
        changes += of_section(link, design.section_mm2, "copper")
        changes += put(link.data, grouped_circuits=1, in_parallel=1)
    if installation.cord is not None:
        grade, cord = _cord(installation)
        changes += cord_of_section(installation, cord, design.cord_mm2, grade)
    rating_a = design.rating_a
    changes += new_outlet(installation, outlet, rating_a, DEGREES_OF_PROTECTION[-1])
    length_m = sum(known(link.data.number("length_m")) or 0.0 for link in circuit.cables)
    contacts, interlocked = contacts_for(installation), needs_interlock(installation, rating_a)
    return part(
        Kind.NEW_CIRCUIT,
        circuit.link,
        _WORDS
        + (_WITH_CORD if installation.cord is not None else "")
        + (_INTERLOCKED if interlocked else ".")
        + _PRESENT,
        {
            "start": circuit.starts_at,
            "rating": figure(rating_a, "A"),
            "contacts": contacts[0] if contacts else "contacts as present",
            "device": _DEVICE_WORDS[design.kind],
            "capacity": figure(design.breaking_ka, "kA"),
            "residual": figure(usual_residual_ma(), "mA"),
            "residual_rating": figure(_residual_rating(design), "A"),
            "length": figure(length_m, "m"),
            "section": figure(design.section_mm2, "mm2"),
            "cord": figure(design.cord_mm2, "mm2"),
        },
        changes,
        quantity=length_m,
    )


_WORDS = (
    "Lay a circuit of its own from {start} to a new outlet of {rating}, {contacts}: {device} of "
    "{rating}, {capacity}; residual-current device of type B, {residual}, rated "
    "{residual_rating}; copper cable of {section}, {length} on the present way, apart from other "
    "circuits"
)
_WITH_CORD = "; cord of {cord}"
_INTERLOCKED = "; the outlet interlocked with a switch."
_PRESENT = (
    " The present circuit is left as it is: what is not met there has to be mended, or it is taken "
    "out of use."
)
_DEVICE_WORDS = {
    MINIATURE_BREAKER: f"{MINIATURE_BREAKER} of characteristic {_CHARACTERISTIC}",
    FUSE: f"{FUSE}, fuse system {_FUSE_SYSTEM},",
}


def _assumed(values: dict[str, object]) -> dict[str, object]:
    return {
        key: {"value": value, "known": "assumed", "note": HYPOTHETICAL}
        for key, value in values.items()
    }


def _device(circuit: PathCircuit, design: _Design) -> dict[str, object]:
    values: dict[str, object] = {
        "kind": design.kind,
        "rating_a": design.rating_a,
        "breaking_capacity_ka": design.breaking_ka,
    }
    if design.kind == MINIATURE_BREAKER:
        values |= {"characteristic": _CHARACTERISTIC, "energy_limiting_class": 3}
    else:
        values |= {"fuse_system": _FUSE_SYSTEM}
    device = _assumed(values)
    record = circuit.device.data.record
    for field in ("enclosure_temperature_c", "loaded_neighbours"):
        stated = getattr(record, field, None) if isinstance(record, Device) else None
        if isinstance(stated, Record):
            device[field] = stated.model_dump(exclude_none=True)
    return device


def _residual_rating(design: _Design) -> float:
    return next(one for one in tables.standard_device_ratings() if one >= design.rating_a)


def _residual(design: _Design) -> dict[str, object]:
    return _assumed(
        {
            "present": True,
            "type": "B",
            "residual_current_ma": usual_residual_ma(),
            "rating_a": _residual_rating(design),
            "delay": "none",
            "combined": False,
            "other_leakage_ma": 0,
            "other_direct_current_ma": 0,
        }
    )


def _left_behind(installation: Installation, circuit: PathCircuit) -> tuple[Change, ...] | None:
    """Return what the present circuit, with its other outlets, still draws at its board.

    None where that cannot be said: an outlet of unknown rating, a demand that is not one figure.
    """
    record = circuit.data.record
    outlets = record.other_outlet if isinstance(record, Circuit) else ()
    taps = [one for one in outlets if one.blocked is None or one.blocked.value is not True]
    if not taps:
        return ()
    drawn = _drawn(taps)
    place, demand = _demand_at(installation, circuit.starts_at)
    if drawn is None or demand is None:
        return None
    changes = _with_more(place, demand, drawn)
    board = installation.places[circuit.position]
    return None if changes is None else (*changes, *_one_more_circuit(board))


def _drawn(taps: Sequence[OtherOutlet]) -> list[float] | None:
    drawn = [0.0, 0.0, 0.0]
    for tap in taps:
        if tap.rating_a is None or tap.rating_a.value is None:
            return None
        phases = tap.phases.value if tap.phases is not None and tap.phases.value else "L1L2L3"
        for number, phase in enumerate(_PHASES):
            drawn[number] += tap.rating_a.value if phase in phases else 0.0
    return drawn


def _demand_at(installation: Installation, place: str) -> tuple[str, Demand | None]:
    if place == ORIGIN:
        return "supply.demand", installation.survey.supply.demand
    for number, board in enumerate(installation.survey.board, start=1):
        if board.name == place:
            return f"board[{number}].demand", board.demand
    return "", None


def _with_more(place: str, demand: Demand, drawn: Sequence[float]) -> tuple[Change, ...] | None:
    if demand.diversity_factor is not None:
        return None
    whole, phases = demand.maximum_a, [getattr(demand, field) for field in _PHASE_DEMANDS]
    if whole is not None and whole.value is not None:
        more = {"maximum_a": whole.value + max(drawn)}
    elif all(one is not None and one.value is not None for one in phases):
        more = {
            field: one.value + extra
            for field, one, extra in zip(_PHASE_DEMANDS, phases, drawn, strict=True)
        }
    else:
        return None
    stated = _assumed(dict(more))
    return tuple(Change(place=f"{place}.{field}", value=value) for field, value in stated.items())


def _one_more_circuit(board: Resolved | None) -> tuple[Change, ...]:
    count = None if board is None else known(board.number("loaded_outgoing_circuits"))
    if board is None or count is None:
        return ()
    return put(board, loaded_outgoing_circuits=int(count) + 1)
