"""Existing demand along the feed path: boards beside the path count where they branch off."""

from __future__ import annotations

from collections.abc import Mapping

from feasibility.code_basis import CodeBasis
from feasibility.demand_log.record import DemandLog
from feasibility.installation.declared_demand import NOTHING, declared_demands_at
from feasibility.installation.facts import Fact
from feasibility.installation.logged_demand import logged_demand_at
from feasibility.installation.model import DemandAt
from feasibility.installation.resolve import Resolved
from feasibility.survey.demand import Demand
from feasibility.survey.model import ORIGIN, Survey

_ALL_PHASES = "L1L2L3"
_PHASES = ("L1", "L2", "L3")
_NOT_KNOWN: Fact[float] = Fact(path="", label="power factor", unit="", options=())


def demands_along(
    survey: Survey, path: tuple[int, ...], basis: CodeBasis, logs: Mapping[str, DemandLog]
) -> tuple[DemandAt, ...]:
    """Return the demands at the nodes of the path; ``logs`` by their place in the survey."""
    voltage = survey.supply.nominal_voltage_v
    nominal_v = None if voltage is None else voltage.value or voltage.high
    node_of = nodes_on_path(survey, path)
    fed_from = {circuit.ends_at: circuit.starts_at for circuit in survey.circuit}
    demands = [
        one
        for number, board in enumerate(survey.board, start=1)
        for one in _of_board(
            board.demand,
            f"board[{number}].demand",
            board.name,
            node_on_path(board.name, node_of, fed_from),
            basis,
            logs,
            nominal_v,
        )
    ]
    needed = not survey.board or survey.supply.transformer is not None
    if survey.supply.demand is not None or needed:
        # What hangs on the service beside the boards; without any board, and for what else an own
        # transformer feeds, somebody has to say it.
        service = survey.supply.demand
        where = "the supply"
        demands.extend(_of_board(service, "supply.demand", where, 0, basis, logs, nominal_v))
    for index, circuit in enumerate(survey.circuit):
        place = circuit.ends_at if index in path else circuit.starts_at
        demands.extend(_taps(survey, index, node_on_path(place, node_of, fed_from), basis))
    return tuple(demands)


def nodes_on_path(survey: Survey, path: tuple[int, ...]) -> dict[str, int]:
    """Return the number of each node of the path by its name."""
    node_of = {ORIGIN: 0}
    node_of.update({survey.circuit[i].ends_at: n for n, i in enumerate(path, start=1)})
    return node_of


def node_on_path(board: str, node_of: dict[str, int], fed_from: dict[str, str]) -> int:
    """Return the node of the path at which whatever feeds a board branches off."""
    place = board
    while place not in node_of:
        place = fed_from[place]
    return node_of[place]


def _of_board(
    demand: Demand | None,
    path: str,
    where: str,
    node: int,
    basis: CodeBasis,
    logs: Mapping[str, DemandLog],
    nominal_v: float | None,
) -> tuple[DemandAt, ...]:
    data = Resolved(
        record=demand,
        kind="demand",
        path=path,
        label=f"the existing demand of '{where}'",
        basis=basis,
    )
    if demand is not None and demand.log is not None:
        return (logged_demand_at(demand, data, where, node, logs, nominal_v),)
    return declared_demands_at(demand, data, where, node)


def _taps(survey: Survey, index: int, node: int, basis: CodeBasis) -> list[DemandAt]:
    demands = []
    for number, tap in enumerate(survey.circuit[index].other_outlet, start=1):
        data = Resolved(
            record=tap,
            kind="other_outlet",
            path=f"circuit[{index + 1}].other_outlet[{number}]",
            label=f"outlet '{tap.name}'",
            basis=basis,
        )
        if data.flag("blocked").options == (True,):
            continue
        rating = data.number("rating_a")
        phases = data.word("phases").options or (_ALL_PHASES,)
        on = _ALL_PHASES if len(phases) > 1 else phases[0]
        per_phase = [rating if name in on else NOTHING for name in _PHASES]
        demands.append(
            DemandAt(
                node=node,
                where=tap.name,
                phase_a=(per_phase[0], per_phase[1], per_phase[2]),
                power_kw=None,
                power_factor=_NOT_KNOWN,
            )
        )
    return demands
