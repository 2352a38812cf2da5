"""The first page's answer to "and what do I do now": steps in their order, and what is amiss."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from feasibility.render.finding_out import how_to_find_out
from feasibility.render.numbers import message_text, with_unit
from feasibility.render.sections import NUMBER_OF
from feasibility.render.survey_values import stated_text
from feasibility.render.words import barring, currents_beside, failed, opened
from feasibility.result import Verdict

if TYPE_CHECKING:
    from feasibility.advice import Advice
    from feasibility.assessment import Assessment

STEP, PART = "→", "•"
CAUTIONS_NAMED = 4
"""So many cautions stand on the first page; of more only their number."""

_NOT_YET = "Do not connect the station yet."
_STANDING_DEFECTS = (
    " What is not met may endanger persons now, without the station too: tell the owner in writing "
    "today; the licensed electrician decides whether the circuit may stay in use until it is "
    "mended."
)
_SIGNS = {"✗": "✗ not met", "?": "? not known", "!": "! to be watched"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One line of the first page: a step, a part of it, or what is amiss, told by its sign."""

    sign: str
    text: str


def steps(assessment: Assessment, advice: Advice | None = None) -> tuple[Task, ...]:
    """Return what is to be done next, in this order."""
    of_verdict = {
        Verdict.CARRIES: _as_found,
        Verdict.CARRIES_REDUCED: _reduced,
        Verdict.UPGRADE: _upgrade,
        Verdict.UNDECIDED: _find_out,
    }
    return (*of_verdict[assessment.verdict](assessment, advice), *_in_any_case(assessment))


def _as_found(assessment: Assessment, _advice: Advice | None) -> Iterator[Task]:
    setting = assessment.survey.station.setting_a
    known = setting is not None and not setting.unknown
    kept = f" Keep the station's setting at {stated_text(setting, 'A')}." if known else ""
    yield Task(sign=STEP, text=f"Nothing has to be changed.{kept}")


def _reduced(assessment: Assessment, advice: Advice | None) -> Iterator[Task]:
    current = currents_beside(assessment).carried(assessment.carryable_current_a)
    text = (
        f"Set the station's input current to at most {with_unit(current, 'A')} per phase and lock "
        "the setting; or have the feed upgraded first"
    )
    parts = list(_first_remedy(advice))
    yield Task(sign=STEP, text=f"{text}, with the least disturbance:" if parts else f"{text}.")
    yield from parts


def _upgrade(assessment: Assessment, advice: Advice | None) -> Iterator[Task]:
    defects = _STANDING_DEFECTS if barring(assessment) else ""
    yield Task(sign=STEP, text=f"{_NOT_YET}{defects}")
    parts = list(_first_remedy(advice))
    others = f"section {NUMBER_OF['upgrade']}"
    text = "Have the feed upgraded, surveyed again and assessed again"
    if parts:
        yield Task(sign=STEP, text=f"{text}; with the least disturbance (others: {others}):")
    else:
        yield Task(sign=STEP, text=f"{text}; a licensed electrician has to plan it ({others}).")
    yield from parts


def _first_remedy(advice: Advice | None) -> Iterator[Task]:
    for one in advice.remedies[0].parts if advice is not None and advice.remedies else ():
        yield Task(sign=PART, text=message_text(one.part.words))


def _find_out(_assessment: Assessment, _advice: Advice | None) -> Iterator[Task]:
    text = f"{_NOT_YET} Find out what stands below and have the site assessed again."
    yield Task(sign=STEP, text=text)


def _in_any_case(assessment: Assessment) -> Iterator[Task]:
    yield Task(
        sign=STEP,
        text="Before the station is ordered, ask the network operator whether it must be notified "
        f"or needs consent (figures: section {NUMBER_OF['operator']}).",
    )
    if assessment.expected_readings.verdict_stands:
        yield Task(
            sign=STEP,
            text="Before it draws current, a licensed electrician inspects and tests the feed by "
            f"the sheet of section {NUMBER_OF['commissioning']} and signs section "
            f"{NUMBER_OF['scope']}. Mind the precautions of section {NUMBER_OF['precautions']}.",
        )


def shortfalls(assessment: Assessment) -> tuple[Task, ...]:
    """Return what is not met, by link, then what is not known, then what is to be watched."""
    return (*_failed(assessment), *_open(assessment), *_watched(assessment))


def shortfall_title(found: Sequence[Task]) -> str:
    """Return what the signs mean that stand before these lines."""
    used = {one.sign for one in found}
    return " · ".join(words for sign, words in _SIGNS.items() if sign in used)


def _failed(assessment: Assessment) -> Iterator[Task]:
    by_link: dict[str, list[str]] = {}
    for one in failed(assessment):
        by_link.setdefault(one.link, []).append(message_text(one.reason))
    for link, sentences in by_link.items():
        yield Task(sign="✗", text=f"{link}: {' '.join(dict.fromkeys(sentences))}")


def _open(assessment: Assessment) -> Iterator[Task]:
    for fact in assessment.open_facts:
        yield Task(sign="?", text=f"Find out: {fact.label}. {how_to_find_out(fact.fact)}")
    for one in opened(assessment):
        if not one.facts:
            yield Task(sign="?", text=f"{one.link}: {message_text(one.reason)}")


def _watched(assessment: Assessment) -> Iterator[Task]:
    cautions = assessment.cautions
    if len(cautions) > CAUTIONS_NAMED:
        text = f"{len(cautions)} cautions: section {NUMBER_OF['remarks']}."
        yield Task(sign="!", text=text)
        return
    for one in cautions:
        yield Task(sign="!", text=message_text(one))
