"""Is a neutral that is smaller than the line conductors permitted? IEC 60364-5-52, 524.2, 524.3."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from feasibility.checks.carrying_capacity import ampacity
from feasibility.checks.conductor import loaded_conductors, third_harmonic_percent
from feasibility.checks.question import Check, Run, finding, verdict_of
from feasibility.checks.working import amount, given
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.result import Finding
from feasibility.survey.circuit import Cable

_FULL_UP_TO = {
    "copper": "neutral_full_up_to_copper_mm2",
    "aluminium": "neutral_full_up_to_aluminium_mm2",
}


def _stated(installation: Installation) -> Sequence[Link]:
    cables = installation.links_of(LinkKind.CABLE)
    return [link for link in cables if link.data.mentions("neutral_section_mm2")]


def _judge(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("neutral_section")
    fact = link.data.number("neutral_section_mm2")
    neutral = run.ends.low_is_bad(fact)
    line = run.ends.high_is_bad(link.data.number("section_mm2"))
    passes, words = _permitted(run, link, neutral, line)
    return finding(
        NEUTRAL,
        link,
        limit,
        verdict_of(limit, passes=passes),
        words,
        {
            "neutral": given(fact, neutral, "Sn"),
            "line": amount("S", "line conductor", line, "mm²"),
        },
    )


def _permitted(run: Run, link: Link, neutral: float, line: float) -> tuple[bool, str]:
    if neutral >= line:
        return True, "The neutral of {neutral} is not smaller than the line conductor."
    if neutral == 0:
        return _without(run, link)
    material = run.ends.known(link.data.word("conductor"))
    least = run.basis.number(_FULL_UP_TO[material])
    if loaded_conductors(run.installation, link) == 2 or line <= least or neutral < least:
        return False, "A neutral of {neutral} is not permitted beside line conductors of {line}."
    if third_harmonic_percent(run.installation, run.ends) > run.basis.number(
        "neutral_harmonic_percent"
    ):
        return False, "Third harmonic above 15 %: the neutral of {neutral} must not be reduced."
    if _neutral_current_a(run, link) > _neutral_capacity_a(run, link):
        return False, "The unbalanced current exceeds what the neutral of {neutral} carries."
    return True, "The neutral of {neutral} carries the unbalanced current of the site."


def _without(run: Run, link: Link) -> tuple[bool, str]:
    needed = run.ends.bad_if(run.installation.station.flag("needs_neutral"), bad=True)
    single = run.ends.known(run.installation.station.word("phases")) != "L1L2L3"
    if needed or single or not run.operation.carries_only_the_station(link.position):
        return False, "There is no neutral, but the station or the site needs one."
    return True, "There is no neutral and nothing behind it needs one."


def _neutral_current_a(run: Run, link: Link) -> float:
    """Return what the neutral may have to carry.

    The greatest demands of the phases are no proof that they draw together: the current of the
    worst phase counts without relief from the others. A three-phase station adds its third
    harmonic only.
    """
    station_a = run.requested().current_a
    three = all(run.operation.phases_of_station())
    unbalanced = run.operation.current_through(link.position, 0.0 if three else station_a)
    percent = third_harmonic_percent(run.installation, run.ends)
    return unbalanced + 3 * percent / 100 * station_a


def _neutral_capacity_a(run: Run, link: Link) -> float:
    record = link.data.record
    assert isinstance(record, Cable)  # noqa: S101 - only cables are asked
    smaller = record.model_copy(update={"section_mm2": record.neutral_section_mm2})
    as_neutral = replace(link, data=replace(link.data, record=smaller))
    return ampacity(run.installation, as_neutral, run.ends).value_a


NEUTRAL = Check(
    name="neutral-section",
    question="Is the neutral large enough?",
    links=_stated,
    judge=_judge,
)

CHECKS = (NEUTRAL,)
