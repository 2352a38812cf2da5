"""What can be changed and what to find out: remedies, each tried with one tap and undone again."""

from __future__ import annotations

from dataclasses import dataclass, replace

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from feasibility.assessment import Assessment
from feasibility.page.answer import Answer, answer_of
from feasibility.page.desk import Opened
from feasibility.page.draft import Draft
from feasibility.page.guide import address_of, addresses
from feasibility.page.reading import desk_of, frame, opened, page
from feasibility.page.screens import screens_of
from feasibility.remedies.record import Remedy
from feasibility.render.advice_view import advice_view
from feasibility.render.numbers import carried_text, message_text
from feasibility.render.words import OUTCOME_WORDS, verdict_sentence
from feasibility.result import Finding
from feasibility.survey.changes import changed_survey
from feasibility.what_if import changed_findings

NOT_ASKED = "not asked"
_WOULD = {
    "carries": "On trial: it would carry the requested current",
    "carries-reduced": "On trial: it would carry a reduced current",
    "upgrade": "On trial: it would still have to be upgraded",
    "undecided": "On trial: it would still be undecided",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One thing beside itself: as surveyed, and on trial."""

    words: str
    before: str
    after: str


async def remedies(request: Request) -> Response:
    """Return the remedies and the facts by their weight, once they are worked out."""
    found = await opened(request)
    if not found.answer.is_verdict or found.answer.assessment is None:
        return page("remedies", **frame(found, "remedies", view=None, waiting=False))
    advice = desk_of(request).advice_so_far(found)
    if advice is None:
        return page("remedies", **frame(found, "remedies", view=None, waiting=True))
    view = advice_view(found.answer.assessment, advice)
    screens = screens_of(found.draft.data or {})
    weighed = addresses(found.stored.name, screens, [one.fact for one in view.facts])
    return page("remedies", **frame(found, "remedies", view=view, waiting=False, weighed=weighed))


async def trial(request: Request) -> Response:
    """Return what one remedy would give, beside what was surveyed; nothing is saved."""
    found = await opened(request)
    before = found.answer.assessment
    advice = desk_of(request).advice_so_far(found) if found.answer.is_verdict else None
    number = request.path_params["number"]
    listed = () if advice is None else (*advice.remedies, *advice.reduced)
    if before is None or advice is None or not 1 <= number <= len(listed):
        return RedirectResponse(address_of(found.stored.name, "remedies"), 303)
    answer = await run_in_threadpool(_tried, found, before, listed[number - 1])
    changes = [message_text(one.part.words) for one in listed[number - 1].parts]
    rows = _rows(before, answer)
    shown = {"answer": answer, "links": {}, "words": {}, "trial": True}
    return page("trial", **(frame(found, "remedies", changes=changes, rows=rows) | shown))


def _tried(found: Opened, before: Assessment, remedy: Remedy) -> Answer:
    changes = [change for one in remedy.parts for change in one.part.changes]
    survey = changed_survey(before.survey, changes)
    draft = Draft(found.draft.data, survey=survey, logs=found.draft.logs)
    answer = answer_of(draft, found.stored.revision, with_year=True)
    return replace(answer, headline=_WOULD.get(answer.verdict, answer.headline))


def _rows(before: Assessment, answer: Answer) -> tuple[Row, ...]:
    after = answer.assessment
    if after is None:
        return ()
    first = Row(words="Verdict", before=verdict_sentence(before), after=answer.headline)
    weakest = Row(words="Weakest link", before=before.weakest_link, after=after.weakest_link)
    changed = [
        Row(
            words=f"{one.link}: {one.check}", before=_outcome(one.before), after=_outcome(one.after)
        )
        for one in changed_findings(before, after)
    ]
    return (first, weakest, *changed)


def _outcome(finding: Finding | None) -> str:
    if finding is None:
        return NOT_ASKED
    word = OUTCOME_WORDS[finding.outcome]
    return word if finding.carries_a is None else f"{word}, {carried_text(finding.carries_a)}"
