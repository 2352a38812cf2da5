"""What everybody must observe at this site, and the steps before any work on it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from feasibility.survey.model import Survey
    from feasibility.survey.source import Source

_DEAD_WORKING = (
    "Before any work on the installation: isolate it, secure it against being switched on again "
    "and prove it dead at the place of work. No work on live parts (EN 50110-1:2023, dead working; "
    "from memory). Tests that need the supply are measuring, not work: by skilled persons alone."
)
_PLUG = (
    "Never pull or insert the plug under load. Stop the station, wait until it draws no current, "
    "switch off, and only then pull the plug."
)
_SKILLED = (
    "Only persons skilled in electricity open boards, change devices, connect cables or measure."
)
_OPERATOR = (
    "The service fuse or service device and everything sealed belong to the network operator; "
    "only the operator opens, changes or operates them."
)
_OWN_TRANSFORMER = (
    "The transformer and everything at high voltage: only persons authorised for high voltage "
    "open, switch, isolate and earth them. Seals are the network operator's."
)
_BATTERY = (
    "The station's battery is a second source. Parts of the station stay live when the supply is "
    "off; before work on it follow its maker's procedure."
)
_CORD = (
    "Unwind the cord completely before use and keep it unwound: coiled cord overheats at a current "
    "that it carries when laid out."
)
_WARM = (
    "Check the temperature of plug, outlet, terminals, devices and cord at full load after the "
    "first hours, and again after the first weeks. Stop the station if a part is too hot to touch, "
    "discoloured or smells."
)
_DAYLIGHT = "Photovoltaic modules and their direct-current cables stay live in daylight."


def precautions(survey: Survey) -> tuple[str, ...]:
    """Return the precautions that concern this site.

    Common practice of the trade, no source, except where one is named.
    """
    return tuple(_precautions(survey))


def _precautions(survey: Survey) -> Iterator[str]:
    yield _DEAD_WORKING
    if survey.cord is not None:
        yield _PLUG
    yield _SKILLED
    yield _OPERATOR if survey.supply.transformer is None else _OWN_TRANSFORMER
    yield _BATTERY
    if named := _own_sources(survey):
        names = ", ".join(named)
        yield f"The site has other sources: {names}. Isolate them too.{_daylight(survey)}"
    if survey.cord is not None:
        yield _CORD
    yield _WARM


def isolation(survey: Survey) -> tuple[str, ...]:
    """Return the steps before work, with every source that the survey names.

    EN 50110-1, dead working, and the trade; from memory.
    """
    network = "the network"
    if survey.supply.transformer is not None:
        network = "the transformer (its high-voltage side by authorised persons alone)"
    sources = ", ".join((network, *_own_sources(survey), "and the station with its battery"))
    return (
        f"Switch off every source on all poles: {sources}.{_daylight(survey)}{_not_looked(survey)}",
        "Secure each of them against being switched on again: a lock, its key with whoever works "
        "here, and a notice.",
        "Prove the indicator with two poles, prove all conductors against each other and against "
        "earth dead with it, and prove the indicator once more.",
        "Earth and short-circuit where the rules for the place ask for it, the earth first.",
        "Cover neighbouring parts that stay live.",
        "Wait for the discharging time on the station's label before its parts are touched.",
    )


def _own_sources(survey: Survey) -> tuple[str, ...]:
    return tuple(f"{one.name} at {where}" for where, one in _sources(survey))


def _sources(survey: Survey) -> Iterator[tuple[str, Source]]:
    """Yield every second source with the place where it feeds in."""
    yield from (("the origin", one) for one in survey.supply.source)
    yield from ((board.name, one) for board in survey.board for one in board.source)
    yield from ((circuit.name, one) for circuit in survey.circuit for one in circuit.source)


def _daylight(survey: Survey) -> str:
    kinds = [one.kind for _, one in _sources(survey)]
    shining = any(one is not None and one.value == "photovoltaic" for one in kinds)
    return f" {_DAYLIGHT}" if shining else ""


def _not_looked(survey: Survey) -> str:
    """Name the places where nobody said whether anything else feeds in."""
    said = [("the origin", survey.supply.source, survey.supply.other_sources_none)]
    said += [(one.name, one.source, one.other_sources_none) for one in survey.board]
    names = [
        where
        for where, sources, none in said
        if not sources and (none is None or none.value is not True)
    ]
    return f" Look first whether anything else feeds in at {', '.join(names)}." if names else ""
