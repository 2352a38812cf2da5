"""Which links a difference points to, how large the resistance is, and what is likely behind it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from feasibility.commissioning.outcome import (
    Agreement,
    DropResult,
    LoopResult,
    Suspect,
    TemperatureResult,
)
from feasibility.result import Message, Quantity

Section = tuple[str, str]

ONE_CONDUCTOR = (
    "A terminal, contact or joint of this conductor alone: loose, oxidised, burnt, or with only "
    "some of the strands clamped. The other conductors read as predicted."
)
ALL_ALIKE = (
    "All conductors are alike: a length or section other than surveyed, a conductor warmer than "
    "assumed or, less likely, a fault of the whole accessory (worn contacts)."
)
LINE_OR_NEUTRAL = (
    "A terminal, contact or joint of line or neutral; or a length or section other than surveyed."
)
PROTECTIVE = (
    "The loop shows more than the load's own drop does: the protective conductor or one of its "
    "terminals; or a test close to a transformer."
)
LOOP_ALONE = (
    "A terminal or joint of line or protective conductor, or a length or section other than "
    "surveyed; the drop under load was not compared here."
)
HOT = "A terminal or contact at this very place; or too little cooling of it."


def suspects(
    drops: Sequence[DropResult],
    loops: Sequence[LoopResult],
    temperatures: Sequence[TemperatureResult],
) -> tuple[Suspect, ...]:
    """Return every place where a resistance is too high, the largest loss first."""
    hot = [one for one in temperatures if one.agreement is Agreement.DIFFERS]
    found: list[Suspect] = []
    more: dict[Section, list[DropResult]] = {}
    for drop in drops:
        if drop.is_more:
            more.setdefault((drop.from_node, drop.to_node), []).append(drop)
    for section, here in more.items():
        read = [d for d in drops if (d.from_node, d.to_node) == section]
        beside = [one for one in loops if one.is_more and _same(one, section)]
        found.append(
            _by_drop(here, read, beside, [one for one in hot if one.link in here[0].links])
        )
    found.extend(_by_loop(loops, drops, more))
    named = {link for one in found for link in one.links}
    found.extend(_by_heat(one) for one in hot if one.link not in named)
    return tuple(sorted(found, key=lambda one: -(one.likely_loss_w or 0.0)))


def _same(loop: LoopResult, section: Section) -> bool:
    return (loop.from_node, loop.to_node) == section


def _by_drop(
    here: Sequence[DropResult],
    read: Sequence[DropResult],
    loops: Sequence[LoopResult],
    hot: Sequence[TemperatureResult],
) -> Suspect:
    worst = max(here, key=lambda one: one.likely_ohm or 0.0)
    hot_links = tuple(dict.fromkeys(one.link for one in hot))
    if len(read) == 1:
        causes = LINE_OR_NEUTRAL
    else:
        causes = ALL_ALIKE if len(here) == len(read) and _alike(here) else ONE_CONDUCTOR
    return Suspect(
        links=hot_links or worst.links,
        conductors=tuple(one.conductors for one in here),
        likely_ohm=worst.likely_ohm,
        likely_loss_w=worst.likely_loss_w,
        evidence=(
            *map(_drop_message, here),
            *map(_loop_message, loops),
            *map(_heat_message, hot),
        ),
        causes=causes,
    )


def _alike(here: Sequence[DropResult]) -> bool:
    """Whether what the conductors show beside the prediction differs by no more than its doubt."""
    levels = [one.measured_v - one.expected_v.high for one in here]
    return max(levels) - min(levels) <= max(one.tolerance_v for one in here)


def _by_loop(
    loops: Iterable[LoopResult],
    drops: Sequence[DropResult],
    explained: dict[Section, list[DropResult]],
) -> Iterator[Suspect]:
    """Yield the sections in which only the loop shows too much, one suspect for each."""
    sections: dict[Section, list[LoopResult]] = {}
    for loop in loops:
        section = (loop.from_node, loop.to_node)
        if loop.is_more and section not in explained:
            sections.setdefault(section, []).append(loop)
    for section, here in sections.items():
        compared = any((one.from_node, one.to_node) == section for one in drops)
        worst = max(here, key=lambda one: one.measured_ohm)
        extra = worst.extra_ohm
        yield Suspect(
            links=worst.links or (worst.to_node,),
            conductors=tuple(f"{one.conductor}-PE" for one in here),
            likely_ohm=None if extra is None else (extra.low + extra.high) / 2,
            likely_loss_w=None,
            evidence=tuple(map(_loop_message, here)),
            causes=PROTECTIVE if compared else LOOP_ALONE,
        )


def _by_heat(hot: TemperatureResult) -> Suspect:
    return Suspect(
        links=(hot.link,),
        conductors=(hot.conductor,) if hot.conductor else (),
        likely_ohm=None,
        likely_loss_w=None,
        evidence=(_heat_message(hot),),
        causes=HOT,
    )


def _of(value: float, unit: str) -> Quantity:
    return Quantity(value=value, unit=unit)


def _drop_message(drop: DropResult) -> Message:
    return Message(
        template="{conductors}: the drop from {start} to {end} is {measured} at {current}; "
        "predicted are {low} to {high}, within {tolerance}",
        values={
            "conductors": drop.conductors,
            "start": drop.from_node,
            "end": drop.to_node,
            "measured": _of(drop.measured_v, "V"),
            "current": _of(drop.current_a, "A"),
            "low": _of(drop.expected_v.low, "V"),
            "high": _of(drop.expected_v.high, "V"),
            "tolerance": _of(drop.tolerance_v, "V"),
        },
    )


def _loop_message(loop: LoopResult) -> Message:
    assert loop.expected_ohm is not None  # noqa: S101 - only such a loop can be more than expected
    start = f"from {loop.from_node} to {loop.to_node}" if loop.from_node else f"at {loop.to_node}"
    return Message(
        template="{conductor}-PE: the loop {place} is {measured}; predicted are {low} to {high}, "
        "within {tolerance}",
        values={
            "conductor": loop.conductor,
            "place": start,
            "measured": _of(loop.measured_ohm, "Ω"),
            "low": _of(loop.expected_ohm.low, "Ω"),
            "high": _of(loop.expected_ohm.high, "Ω"),
            "tolerance": _of(loop.tolerance_ohm, "Ω"),
        },
    )


def _heat_message(hot: TemperatureResult) -> Message:
    words = "{what}: {measured}, which makes {full} at the full current, permitted are {limit}"
    if hot.remark:
        words += " ({remark}, by {above})"
    conductor = f" {hot.conductor}" if hot.conductor else ""
    return Message(
        template=words,
        values={
            "what": f"{hot.link}, {hot.part}{conductor}",
            "measured": _of(hot.measured_c, "°C"),
            "full": _of(hot.at_request, hot.unit),
            "limit": _of(hot.limit, hot.unit),
            "remark": hot.remark,
            "above": _of(hot.above_similar_k, "K"),
        },
    )
