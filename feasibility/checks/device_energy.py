"""The energy that a surveyed device lets through, by its maker, its class or its standard."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from feasibility import tables
from feasibility.checks.device_band import band
from feasibility.checks.let_through import Ceiling, Opening, Passage
from feasibility.checks.question import Run
from feasibility.checks.working import amount, given, step
from feasibility.curves.bands import ContradictoryBandError, CurvePoint, TripBand
from feasibility.installation.facts import Fact, NotKnown
from feasibility.installation.model import Link, LinkKind, PathCircuit
from feasibility.result import Quantity
from feasibility.survey.device_kinds import FUSE, MINIATURE_BREAKER
from feasibility.tables import NotTabulated
from feasibility.units import OutOfRange

_GATE_S = 0.1


def passage_of(run: Run, device: Link) -> Passage:
    """Return what is known of the energy that an overcurrent device lets through.

    NotKnown and NotTabulated as for its band.
    """
    known_band, origin, sources = band(run, device)
    if run.ends.known(device.data.word("kind")) == FUSE:
        ceilings = tuple(_fuse_ceilings(run, device, known_band))
        return Passage(
            name=device.name, band=known_band, origin=origin, sources=sources, ceilings=ceilings
        )
    return Passage(
        name=device.name,
        band=known_band,
        origin=origin,
        sources=sources,
        ceilings=tuple(_breaker_ceilings(run, device)),
        opening=_opening(run),
    )


def passages_before(run: Run, circuit: PathCircuit) -> tuple[Passage, ...]:
    """Return the devices before that of a circuit, as far as enough is known of them."""
    found = []
    for device in run.installation.links_of(LinkKind.DEVICE):
        if device.position < circuit.device.position:
            try:
                found.append(passage_of(run, device))
            except (NotKnown, NotTabulated, OutOfRange, ContradictoryBandError):
                continue  # it can only help
    return tuple(found)


def residual_passage(run: Run, device: Link) -> Passage | None:
    """Return a residual-current device as what ends an earth fault.

    IEC 61008-1: break times at one and five times the rated residual current; it breaks residual
    currents up to ten times its rated current, and 500 A at least. None for an adjustable one: its
    break time is the maker's.
    """
    residual_a = run.ends.high_is_bad(device.data.number("residual_current_ma")) / 1000
    delay = run.ends.worst(
        device.data.word("delay"), lambda word: -float(("none", "S", "adjustable").index(word))
    )
    if delay == "adjustable":
        return None
    kind = "type S" if delay == "S" else "general type"
    points = {
        multiple: tables.residual_current_rule(
            rule=f"trip time, {kind}, at most", condition=f"{multiple} x rated residual current"
        )
        for multiple in (1, 5)
    }
    trips = tuple(
        CurvePoint(multiple * residual_a, time.value) for multiple, time in points.items()
    )
    return Passage(
        name=device.name,
        band=TripBand(trips=trips, holds=()),
        origin=f"{kind}, {residual_a * 1000:g} mA",
        sources=tuple(source for time in points.values() for source in time.sources),
        opening=_opening(run),
        up_to_a=_residual_breaking_a(run, device),
    )


def _residual_breaking_a(run: Run, device: Link) -> float:
    least = run.basis.number("residual_breaking_least_a")
    rating = device.data.number("rating_a")
    if rating.is_open:
        return least
    multiple = run.basis.number("residual_breaking_multiple")
    return max(least, multiple * run.ends.low_is_bad(rating))


def deciding_facts(run: Run, device: Link) -> tuple[Fact[Any], ...]:
    """Return the facts that could show that a device lets less through than its bounds say."""
    data = device.data
    facts: list[Fact[Any]] = []
    if not data.has("let_through_a2s"):
        facts.append(data.number("let_through_a2s"))
    if data.word("kind").options == (MINIATURE_BREAKER,):
        classified = data.has("energy_limiting_class")
        if not classified:
            facts.append(data.number("energy_limiting_class"))
        elif not data.has("breaking_capacity_ka"):
            facts.append(data.number("breaking_capacity_ka"))
    run.needed.update({fact.path: fact for fact in facts})
    return tuple(facts)


def _opening(run: Run) -> Opening:
    factor = run.basis.limit("peak_factor").quantity("kappa", "greatest peak factor")
    frequency = run.ends.low_is_bad(run.installation.supply.number("frequency_hz"))
    return Opening(peak_factor=factor, frequency_hz=frequency)


def _fuse_ceilings(run: Run, device: Link, melting: TripBand) -> Iterator[Ceiling]:
    """Give what a gG fuse lets through from the current on that melts it within 0.1 s.

    The energy to melt it falls towards higher currents: there it is greatest. What the arc adds
    lies within the operating limit of its standard, or within what the maker states; NotKnown
    without either.
    """
    gate_a = melting.surely_trips_at_a(_GATE_S)
    if gate_a is None:
        return
    stated = device.data.has("let_through_a2s")
    energies = _stated_energy(run, device) if stated else _limits_of_fuse(run, device)
    inputs = [
        amount("Ig", "current that surely melts it within tg", gate_a, "A"),
        amount("tg", "time", _GATE_S, "s"),
        *energies,
    ]
    names = ", ".join(one.symbol for one in energies)
    value = max(gate_a**2 * _GATE_S, *(one.value for one in energies))
    meaning = f"energy let through by {device.name} from {gate_a:g} A on, at most"
    formula = f"max(Ig ** 2 * tg, {names})"
    working = step("I2t", meaning, formula, inputs, value, "A²s")
    yield Ceiling(working=working, by_maker=stated)


def _stated_energy(run: Run, device: Link) -> list[Quantity]:
    fact = device.data.number("let_through_a2s")
    return [given(fact, run.ends.high_is_bad(fact), "E1")]


def _limits_of_fuse(run: Run, device: Link) -> list[Quantity]:
    rating = run.ends.high_is_bad(device.data.number("rating_a"))
    try:
        melting, operating = tables.greatest_fuse_energies(rating_a=rating)
    except NotTabulated as refused:
        raise NotKnown((device.data.number("let_through_a2s"),)) from refused
    return [melting.named("E1"), operating.named("E2")]


def _breaker_ceilings(run: Run, device: Link) -> Iterator[Ceiling]:
    if device.data.has("let_through_a2s"):
        fact = device.data.number("let_through_a2s")
        value = run.ends.high_is_bad(fact)
        meaning = f"let-through energy of {device.name} by its maker"
        inputs = [given(fact, value, "E")]
        yield Ceiling(working=step("I2t", meaning, "E", inputs, value, "A²s"), by_maker=True)
    found = _energy_class(run, device)
    if found is not None:
        energy, up_to_a = found
        meaning = f"energy let through by {device.name}, at most"
        working = step("I2t", meaning, "E", [energy.named("E")], energy.value, "A²s")
        yield Ceiling(working=working, up_to_a=up_to_a)


def _energy_class(run: Run, device: Link) -> tuple[Quantity, float] | None:
    """Return the limit of a stated energy class and the current up to which it holds, or None.

    None where the class sets no limit: class 1, type D, above 40 A, other breaking capacities.
    """
    data, ends = device.data, run.ends
    wanted = ("energy_limiting_class", "breaking_capacity_ka", "rating_a")
    if data.word("kind").options != (MINIATURE_BREAKER,) or not all(
        data.has(one) for one in wanted
    ):
        return None
    letters = data.word("characteristic")
    capacities = data.number("breaking_capacity_ka")
    number = ends.worst(data.number("energy_limiting_class"), lambda one: one)
    ends.note((letters, capacities))
    rating = ends.high_is_bad(data.number("rating_a"))
    try:
        energies = [
            tables.let_through_energy(
                characteristic=letter,
                energy_class=int(number),
                rating_a=rating,
                breaking_capacity_ka=capacity,
            )
            for letter in letters.options
            for capacity in capacities.options
        ]
    except NotTabulated:
        return None
    if not energies or not math.isfinite(rating):
        return None
    greatest = max(energies, key=lambda one: one.value)
    return greatest, 1000 * min(capacities.options)
