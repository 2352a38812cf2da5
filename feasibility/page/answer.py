"""The live answer: verdict or first indication, chain, findings and what to find out next."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from feasibility.assessment import Assessment, assess
from feasibility.demand_evidence import EvidenceKind
from feasibility.indication import FirstValue, with_first_values
from feasibility.page.draft import Draft
from feasibility.page.places import NoSuchPlace, path_of, place_text
from feasibility.render.chain_picture import BARS_FROM, BARS_TO, Bar, chain_picture
from feasibility.render.findings_view import FindingRow, Working, question_groups, workings
from feasibility.render.numbers import carried_text, with_unit
from feasibility.render.remarks_view import AssumptionRow, assumption_rows
from feasibility.render.words import (
    OUTCOME_SIGNS,
    OUTCOME_WORDS,
    currents_beside,
    verdict_reason,
    verdict_sentence,
)
from feasibility.result import Finding, Outcome, Verdict

Progress = Callable[[int, int], None]

MOST_IMPORTANT = 3
MOST_NEXT = 5
_WEIGHT = {Outcome.FAIL: 0, Outcome.OPEN: 1, Outcome.CAUTION: 2}


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkBar:
    """One link of the chain as a row: its bar, and the same in words."""

    number: int
    name: str
    carries: str
    sign: str
    word: str
    weakest: bool
    bar: Bar


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingView:
    """One finding with its question and its working, if it has one."""

    question: str
    row: FindingRow
    working: Working | None


@dataclass(frozen=True, slots=True, kw_only=True)
class NextFact:
    """A fact to find out: its words, its place, and the findings that wait for it."""

    label: str
    place: str
    waiting: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What the page says about one survey as it stands.

    ``is_verdict`` is False for a first indication: values stood in, something is wrong with the
    survey, or the hours of a year are still being studied, and then nothing here says that the
    supply carries. ``assessment`` is None where the survey does not hold together at all.
    """

    assessment: Assessment | None
    is_verdict: bool
    studying: bool = False
    verdict: str
    headline: str
    sentence: str
    requested: str = ""
    carryable: str = ""
    advised: str = ""
    weakest: str = ""
    not_counted: str = ""
    bars: tuple[LinkBar, ...] = ()
    requested_x: float | None = None
    bars_from: float = BARS_FROM
    bars_to: float = BARS_TO
    findings: tuple[FindingView, ...] = ()
    important: tuple[FindingView, ...] = ()
    assumed: tuple[AssumptionRow, ...] = ()
    first_values: tuple[FirstValue, ...] = ()
    next_facts: tuple[NextFact, ...] = ()

    @property
    def brief(self) -> str:
        """The headline where it stands alone: a range never without what it is."""
        if self.decided or self.assessment is None:
            return self.headline
        kind = "Undecided" if self.is_verdict else "First indication"
        return f"{kind}: {self.headline[0].lower()}{self.headline[1:]}"

    @property
    def decided(self) -> bool:
        """Whether it is a verdict and not that nothing can be decided yet."""
        return self.is_verdict and self.verdict != Verdict.UNDECIDED.value


NOTHING = Answer(
    assessment=None,
    is_verdict=False,
    verdict="none",
    headline="No answer yet",
    sentence="The survey does not hold together yet; see what is to be put right.",
)


def answer_of(
    draft: Draft, revision: str, *, with_year: bool, on_step: Progress | None = None
) -> Answer:
    """Assess a draft and return what the page shows of it.

    ``with_year`` studies every quarter-hour too where a demand changes over the time; without it
    such a survey gets an indication only.
    """
    if draft.survey is None:
        return NOTHING
    survey, first_values = with_first_values(draft.survey)
    assessment = assess(
        survey, sha256=revision, demand_logs=draft.logs, with_year=with_year, on_step=on_step
    )
    studying = not with_year and varies(assessment)
    is_verdict = not draft.problems and not first_values and not studying
    shown = currents_beside(assessment)
    picture = chain_picture(assessment, shown)
    findings = _findings(assessment)
    decided = is_verdict and assessment.verdict is not Verdict.UNDECIDED
    return Answer(
        assessment=assessment,
        is_verdict=is_verdict,
        studying=studying,
        verdict=assessment.verdict.value if is_verdict else "indication",
        headline=verdict_sentence(assessment) if decided else between(assessment),
        sentence=_sentence(assessment, is_verdict=is_verdict, studying=studying),
        requested=_amount(assessment.requested_current_a, shown.requested),
        carryable=_offered(assessment.carryable_current_a) if decided else "",
        advised=_offered(assessment.advised_current_a) if decided else "",
        weakest=assessment.weakest_link,
        not_counted=", ".join(assessment.possible.not_counted),
        bars=_bars(assessment, picture.bars),
        requested_x=picture.requested_x,
        findings=findings,
        important=important(findings),
        assumed=assumption_rows(assessment),
        first_values=first_values,
        next_facts=next_facts(assessment),
    )


def between(assessment: Assessment) -> str:
    """Return the range in which the current lies as far as the links are described.

    Links that are not counted yet can only lower it, so its lower end promises nothing then.
    """
    possible = assessment.possible
    if possible.highest_a is None or possible.lowest_a is None:
        return "Nothing can be said of the current yet"
    low, high = carried_text(possible.lowest_a), carried_text(possible.highest_a)
    if low == high:
        return f"At most {high}"
    return f"Between {low} and {high}{', or less' if possible.not_counted else ''}"


def varies(assessment: Assessment) -> bool:
    """Whether a demand of the survey changes over the time, so that its hours can be studied."""
    return any(one.kind is EvidenceKind.LOG or one.profile for one in assessment.demands)


def _sentence(assessment: Assessment, *, is_verdict: bool, studying: bool) -> str:
    if is_verdict:
        reason = verdict_reason(assessment)
        undecided = assessment.verdict is Verdict.UNDECIDED
        return f"{verdict_sentence(assessment)} {reason}" if undecided else reason
    if studying:
        return "By the largest demand alone; the hours of the time that is known are being studied."
    return (
        "First indication, no verdict: as far as the links are described, with everything else at "
        "its worst and at its best."
    )


def _amount(value: float | None, text: str) -> str:
    return "not known yet" if value is None else with_unit(text, "A")


def _offered(current_a: float | None) -> str:
    if current_a is None:
        return ""
    return carried_text(current_a) if current_a else "no setting"


def _bars(assessment: Assessment, bars: Sequence[Bar]) -> tuple[LinkBar, ...]:
    return tuple(
        LinkBar(
            number=bar.number,
            name=link.name,
            carries="not known" if bar.carries == "not known" else with_unit(bar.carries, "A"),
            sign=OUTCOME_SIGNS[link.outcome],
            word=OUTCOME_WORDS[link.outcome],
            weakest=bar.weakest,
            bar=bar,
        )
        for link, bar in zip(assessment.chain, bars, strict=True)
    )


def _findings(assessment: Assessment) -> tuple[FindingView, ...]:
    shown = {one.number: one for one in workings(assessment)}
    groups = question_groups(assessment.findings)
    found = [
        FindingView(question=group.question, row=row, working=shown.get(row.number))
        for group in groups
        for row in group.rows
    ]
    order = {id(one): _order(assessment.findings[int(one.row.number) - 1]) for one in found}
    return tuple(sorted(found, key=lambda one: order[id(one)]))


def _order(finding: Finding) -> tuple[int, bool, float]:
    """Failures first, among them those that no lower current mends, then by what still passes."""
    carries = finding.carries_a if finding.carries_a is not None else float("inf")
    return (_WEIGHT.get(finding.outcome, 3), finding.depends_on_current, carries)


def important(findings: Iterable[FindingView]) -> tuple[FindingView, ...]:
    """Return the most important findings: what fails, then what is open, then the cautions."""
    weighty = [one for one in findings if one.row.outcome in {key.value for key in _WEIGHT}]
    return tuple(weighty[:MOST_IMPORTANT])


def next_facts(assessment: Assessment) -> tuple[NextFact, ...]:
    """Return the facts to find out next: what most findings wait for, first those on current."""
    deciding = set(assessment.possible.deciding)
    ranked = sorted(
        assessment.open_facts, key=lambda one: (one.fact not in deciding, -len(one.checks))
    )
    found = []
    for one in ranked:
        place = place_of(one.fact)
        count = len(one.checks)
        waiting = "one question waits for it" if count == 1 else f"{count} questions wait for it"
        found.append(NextFact(label=one.label, place=place, waiting=waiting))
    return tuple(found[:MOST_NEXT])


def place_of(fact: str) -> str:
    """Return the place of a fact in the survey, or that of the table that it is derived from."""
    while fact:
        try:
            return place_text(path_of(fact))
        except NoSuchPlace:
            fact = fact.rpartition(".")[0]
    return ""
