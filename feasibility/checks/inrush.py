"""Does the station start without tripping a device? Its inrush against what each device holds."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from feasibility import tables
from feasibility.checks.device_band import band
from feasibility.checks.devices_in_series import ENERGY_TIME_S
from feasibility.checks.question import Check, Run, finding, verdict_of
from feasibility.checks.working import amount, given, step
from feasibility.installation.facts import Fact
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.result import Finding, Force, Step
from feasibility.survey.device_kinds import FUSE

_SQRT2 = math.sqrt(2)


def _devices(installation: Installation) -> Sequence[Link]:
    return installation.links_of(LinkKind.DEVICE)


def inrush(run: Run) -> tuple[float, list[Step]]:
    """Return the inrush as the r.m.s. value of a sine of the same peak, with its working."""
    station = run.installation.station
    if station.has("inrush_peak_a"):
        fact = station.number("inrush_peak_a")
        peak = run.ends.high_is_bad(fact)
        inputs = [given(fact, peak, "ip")]
        value = peak / _SQRT2
        return value, [step("Ii", "inrush, r.m.s.", "ip / sqrt(2)", inputs, value, "A")]
    ratio_fact = station.number("inrush_ratio")
    ratio = run.ends.high_is_bad(ratio_fact)
    drawn = amount("Is", "requested current of the station", run.requested().current_a, "A")
    value = ratio * drawn.value
    inputs = [given(ratio_fact, ratio, "r"), drawn]
    return value, [step("Ii", "inrush, r.m.s.", "r * Is", inputs, value, "A")]


def duration_s(run: Run) -> float:
    """Return for how long the inrush flows, in s."""
    return run.ends.high_is_bad(run.installation.station.number("inrush_duration_ms")) / 1000


def _held(run: Run, link: Link, time_s: float) -> tuple[float, Step]:
    """Return the current that the device surely holds for so long."""
    found, origin, sources = band(run, link, slow_is_bad=False)
    held = found.may_trip_at_a(time_s) or 0.0
    meaning = f"current that {link.name} surely holds: {origin}"
    inputs = [amount("Ih0", f"from its band, for {1000 * time_s:g} ms or longer", held, "A")]
    line = step("Ih", meaning, "Ih0", inputs, held, "A", sources)
    if run.ends.known(link.data.word("kind")) != FUSE:
        return held, line
    rating = run.ends.low_is_bad(link.data.number("rating_a"))
    try:
        energy = tables.fuse_energy(rating_a=rating).prearcing_min.named("E")
    except tables.NotTabulated:
        return held, line
    # Melting needs no less energy in a longer time, so the energy at 0.01 s is sure from there on.
    time = amount("t", "duration of the inrush, at least 0.01 s", time_s, "s")
    by_energy = math.sqrt(energy.value / time_s)
    if by_energy <= held:
        return held, line
    return by_energy, step("Ih", meaning, "sqrt(E / t)", [energy, time], by_energy, "A")


def _judge(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("inrush")
    peak, steps = inrush(run)
    # A longer time is the stricter one, and no device's data begin before 0.01 s.
    held, held_step = _held(run, link, max(duration_s(run), ENERGY_TIME_S))
    others = 0.0
    if not run.operation.carries_only_the_station(link.position):
        others = run.operation.current_through(link.position, 0.0)
    value = peak + others
    inputs = [
        amount("Ii", "inrush, r.m.s.", peak, "A"),
        amount("Ie", "what the site draws through the device meanwhile", others, "A"),
    ]
    passes = value <= held
    words = "is within" if passes else "exceeds"
    return finding(
        INRUSH,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "With the site's load the inrush reaches {value} r.m.s., which " + words + " the {held} "
        "that the device surely holds so long." + ("" if passes else _consequence(run)),
        {"value": amount("I", "", value, "A"), "held": amount("Ih", "", held, "A")},
        working=(*steps, step("I", "through the device", "Ii + Ie", inputs, value, "A"), held_step),
        value=value,
        bound=held,
        unit="A",
        facts=() if passes else _not_known(run),
    )


def _consequence(run: Run) -> str:
    words = " It may trip when the station is switched on"
    if run.installation.station.has("inrush_peak_a"):
        return words + "."
    return words + "; the inrush is not known: the station's maker gives it."


def _not_known(run: Run) -> tuple[Fact[Any], ...]:
    station = run.installation.station
    return () if station.has("inrush_peak_a") else (station.number("inrush_peak_a"),)


INRUSH = Check(
    name="inrush",
    question="Does the station start without tripping the device?",
    links=_devices,
    judge=_judge,
    force=Force.NUISANCE,
)

CHECKS = (INRUSH,)
