"""Contradictions in what the survey says about the demand of a board."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from feasibility.survey.plain_data import (
    Inconsistency,
    KeyPath,
    Table,
    is_stated,
    items,
    number,
    single,
    table,
    tables,
)

_PHASE_DEMANDS = ("maximum_l1_a", "maximum_l2_a", "maximum_l3_a")
_DECLARED = ("diversity_factor", "declared_by")
_LONGEST_YEAR_H = 8784
_HIGHEST_VOLTAGE = 1.1
"""Above the nominal voltage a current draws more power: up to 10 % (IEC 60038)."""


def demand_inconsistencies(data: Table) -> Iterator[Inconsistency]:
    """Yield every contradiction of this kind in the plain data of a survey."""
    supply = table(data, "supply")
    nominal_v = number(supply, "nominal_voltage_v")
    demands: list[tuple[KeyPath, Table]] = [
        (("board", position, "demand"), table(board, "demand"))
        for position, board in tables(data, "board")
    ]
    demands.append((("supply", "demand"), table(supply, "demand")))
    for path, demand in demands:
        yield from _one_way(path, demand)
        yield from _beside_a_log(path, demand)
        yield from _loads(path, demand)
        yield from _energy(path, demand, nominal_v)


def _one_way(path: KeyPath, demand: Table) -> Iterator[Inconsistency]:
    ways = [key for key in ("maximum_a", "maximum_kw") if is_stated(demand, key)]
    ways += [key for key in _PHASE_DEMANDS if is_stated(demand, key)][:1]
    ways += ["load"] if items(demand, "load") else []
    ways += ["log"] if isinstance(demand.get("log"), Mapping) else []
    for key in ways[1:]:
        expected = f"the demand in one way only; {ways[0]} already gives it"
        shown = None if key in ("load", "log") else single(demand, key)
        yield Inconsistency((*path, key), shown, expected)


def _beside_a_log(path: KeyPath, demand: Table) -> Iterator[Inconsistency]:
    """Find what has no place beside a log, which shows what was drawn."""
    if not isinstance(demand.get("log"), Mapping):
        return
    for key in _DECLARED:
        stated = single(demand, key)
        if stated is not None:
            expected = "nothing here beside a log, which shows what was drawn"
            yield Inconsistency((*path, key), stated, expected)


def _loads(path: KeyPath, demand: Table) -> Iterator[Inconsistency]:
    for position, load in tables(demand, "load"):
        if is_stated(load, "connected_a") and is_stated(load, "connected_kw"):
            expected = "the load in one way only; connected_a already gives it"
            shown = single(load, "connected_kw")
            yield Inconsistency((*path, "load", position, "connected_kw"), shown, expected)


def _energy(path: KeyPath, demand: Table, nominal_v: float | None) -> Iterator[Inconsistency]:
    """Find more energy in a year than the maximum draws if it stands all the time."""
    energy = number(demand, "annual_energy_kwh")
    if energy is None or single(demand, "net_of_generation") is True:
        return
    power = _greatest_kw(demand, nominal_v)
    if power is not None and energy > power * _LONGEST_YEAR_H:
        expected = (
            f"at most the {power * _LONGEST_YEAR_H:.0f} kWh that the declared maximum "
            "draws if it stands the whole year"
        )
        shown = single(demand, "annual_energy_kwh")
        yield Inconsistency((*path, "annual_energy_kwh"), shown, expected)


def _greatest_kw(demand: Table, nominal_v: float | None) -> float | None:
    """Return the most power that a declared maximum can be, or None where that is not known."""
    share = number(demand, "diversity_factor") if is_stated(demand, "diversity_factor") else 1.0
    power_kw = number(demand, "maximum_kw")
    if power_kw is None and nominal_v is not None:
        worst = number(demand, "maximum_a")
        each = [number(demand, key) if worst is None else worst for key in _PHASE_DEMANDS]
        known = [one for one in each if one is not None]
        if len(known) == len(each):
            power_kw = sum(known) * _HIGHEST_VOLTAGE * nominal_v / 3**0.5 / 1000
    return None if power_kw is None or share is None else share * power_kw
