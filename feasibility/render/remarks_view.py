"""What must be done, what was assumed, what is open, and what everybody must observe."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from feasibility.render.numbers import message_text, options_text, with_unit
from feasibility.render.survey_values import stated_text
from feasibility.render.words import currents_beside, failed, opened
from feasibility.result import Outcome, Verdict

if TYPE_CHECKING:
    from feasibility.assessment import Assessment

PRECAUTIONS = (
    "Before any work on the installation: isolate it, secure it against being switched on again "
    "and prove it dead at the place of work. No work on live parts (EN 50110-1:2023, dead working; "
    "from memory).",
    "Never pull or insert the plug under load. Stop the station, wait until it draws no current, "
    "switch off, and only then pull the plug.",
    "Only persons skilled in electricity open boards, change devices, connect cables or measure.",
    "The service fuse or service device and everything sealed belong to the network operator; "
    "only the operator opens, changes or operates them.",
    "The station's battery is a second source. Parts of the station stay live when the supply is "
    "off; before work on it follow its maker's procedure.",
    "Unwind the cord completely before use and keep it unwound: coiled cord overheats at a current "
    "that it carries when laid out.",
    "Check the temperature of plug, outlet, terminals, devices and cord at full load after the "
    "first hours, and again after the first weeks. Stop the station if a part is too hot to touch, "
    "discoloured or smells.",
)
"""Common practice of the trade, no source, except where one is named."""

SCOPE = (
    "The report answers one question: whether the links from the service to the terminals of the "
    "station carry its steady current, at the lowest supply voltage and together with what the "
    "site already draws. It says what was checked, on what assumptions, and what was not checked; "
    "it does not say that the installation is free from danger.",
    "It rests on the survey named on every page. It holds only for the installation as surveyed, "
    "and no longer once a device, a cable, a setting or the demand of the site has changed.",
    "It does not replace the inspection and testing of the installation. The national wiring "
    "rules, the conditions of the network operator and the instructions of the makers prevail over "
    "it, and the decision is that of the licensed electrician who signs.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One thing to do before the station is connected."""

    sign: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AssumptionRow:
    """One range that stood for a value."""

    label: str
    fact: str
    range: str
    reason: str
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenFactRow:
    """One fact to find out, and the checks that wait for it."""

    label: str
    fact: str
    blocks: str


def tasks(assessment: Assessment) -> tuple[Task, ...]:
    """Return what must be done: the failed findings by link, then what is to be found out."""
    return (
        *_setting_tasks(assessment),
        *_failed_tasks(assessment),
        *_open_tasks(assessment),
    )


def _setting_tasks(assessment: Assessment) -> tuple[Task, ...]:
    if assessment.verdict is Verdict.CARRIES_REDUCED:
        current = currents_beside(assessment).carried(assessment.carryable_current_a)
        text = (
            f"Set the station's input current to at most {with_unit(current, 'A')} per phase and "
            "lock the setting; or have the links upgraded that are named below."
        )
        return (Task(sign="→", text=text),)
    if assessment.verdict is not Verdict.CARRIES:
        return ()
    setting = assessment.survey.station.setting_a
    kept = f" Keep the station's setting at {stated_text(setting, 'A')}." if setting else ""
    return (Task(sign="→", text=f"Nothing has to be changed.{kept}"),)


def _failed_tasks(assessment: Assessment) -> tuple[Task, ...]:
    by_link: dict[str, list[str]] = {}
    for one in failed(assessment):
        by_link.setdefault(one.link, []).append(message_text(one.reason))
    return tuple(
        Task(sign="✗", text=f"{link}: {' '.join(dict.fromkeys(sentences))}")
        for link, sentences in by_link.items()
    )


def _open_tasks(assessment: Assessment) -> tuple[Task, ...]:
    facts = [
        Task(sign="?", text=f"Find out: {one.label} ({_waiting(len(one.checks))}).")
        for one in assessment.open_facts
    ]
    others = [
        Task(sign="?", text=f"{one.link}: {message_text(one.reason)}")
        for one in opened(assessment)
        if not one.facts
    ]
    return (*facts, *others)


def _waiting(count: int) -> str:
    return "one finding waits for it" if count == 1 else f"{count} findings wait for it"


def assumption_rows(assessment: Assessment) -> tuple[AssumptionRow, ...]:
    """Return the ranges that entered a finding, with reason and author."""
    return tuple(
        AssumptionRow(
            label=one.label,
            fact=one.fact,
            range=options_text(one.options, one.unit),
            reason=one.reason,
            by="surveyor" if one.by_surveyor else "code basis",
        )
        for one in assessment.assumptions
    )


def open_fact_rows(assessment: Assessment) -> tuple[OpenFactRow, ...]:
    """Return the open facts with the checks that wait for each."""
    return tuple(
        OpenFactRow(label=one.label, fact=one.fact, blocks="; ".join(one.checks))
        for one in assessment.open_facts
    )


def cautions(assessment: Assessment) -> tuple[str, ...]:
    """Return the sentences of all cautions."""
    return tuple(message_text(one) for one in assessment.cautions)


def outcome_counts(assessment: Assessment) -> dict[Outcome, int]:
    """Return how many findings have each outcome."""
    found = [one.outcome for one in assessment.findings]
    return {outcome: found.count(outcome) for outcome in Outcome}
