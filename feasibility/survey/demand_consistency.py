"""Contradictions in what the survey says about the demand of a board."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from feasibility.survey.plain_data import (
    Inconsistency,
    KeyPath,
    Table,
    highest,
    is_stated,
    items,
    lowest,
    number,
    single,
    table,
    tables,
)
from feasibility.survey.year_energy import most_energy_kwh, most_power_kw

_PHASE_DEMANDS = ("maximum_l1_a", "maximum_l2_a", "maximum_l3_a")
_DECLARED = ("diversity_factor", "declared_by")


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
    """Find more energy in a year than the maximum draws if it stands all the time.

    Of bounds the least energy and the largest maximum count: what is found is certain.
    """
    energy = lowest(demand, "annual_energy_kwh")
    if energy is None or single(demand, "net_of_generation") is True:
        return
    power = _greatest_kw(demand, nominal_v)
    if power is not None and energy > most_energy_kwh(power):
        what = "the loads with their shares draw if they stand"
        if not items(demand, "load"):
            what = "the declared maximum draws if it stands"
        expected = f"at most the {most_energy_kwh(power):.0f} kWh that {what} the whole year"
        shown = single(demand, "annual_energy_kwh") or energy
        yield Inconsistency((*path, "annual_energy_kwh"), shown, expected)


def _greatest_kw(demand: Table, nominal_v: float | None) -> float | None:
    """Return the most power that a declared maximum can be, or None where that is not known."""
    each = [_greatest_load_kw(load, nominal_v) for _, load in tables(demand, "load")]
    if not each:
        power_kw = highest(demand, "maximum_kw")
        worst = highest(demand, "maximum_a")
        phases = [highest(demand, key) if worst is None else worst for key in _PHASE_DEMANDS]
        each = [_of_currents(phases, nominal_v) if power_kw is None else power_kw]
    known = [one for one in each if one is not None]
    return _share(demand) * sum(known) if len(known) == len(each) else None


def _greatest_load_kw(load: Table, nominal_v: float | None) -> float | None:
    power_kw = highest(load, "connected_kw")
    if power_kw is None:
        phases = 1 if single(load, "phases") in ("L1", "L2", "L3") else 3
        power_kw = _of_currents([highest(load, "connected_a")] * phases, nominal_v)
    return None if power_kw is None else _share(load) * power_kw


def _of_currents(phases: Sequence[float | None], nominal_v: float | None) -> float | None:
    known = [one for one in phases if one is not None]
    if nominal_v is None or len(known) < len(phases):
        return None
    return most_power_kw(known, nominal_v)


def _share(data: Table) -> float:
    """Return the largest diversity factor that is stated; one that is not known counts as 1."""
    share = highest(data, "diversity_factor")
    return 1.0 if share is None else share
