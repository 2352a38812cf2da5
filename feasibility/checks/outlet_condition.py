"""The outlet as it was found: condition, age, bridge of neutral and protective conductor."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace

from feasibility import tables
from feasibility.checks.question import Check, Run, finding, the_outlet, verdict_of
from feasibility.checks.residual_current import covering
from feasibility.checks.working import amount, step
from feasibility.installation.facts import NotKnown
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.result import Finding, Force, Outcome, Quantity, Step
from feasibility.tables import NotTabulated

_DAYS_IN_A_YEAR = 365.25
_NOBODY_LOOKED = "not inspected"


def _touched(installation: Installation) -> Sequence[Link]:
    return installation.links_of(LinkKind.OUTLET, LinkKind.PLUG, LinkKind.CORD)


_CONDITION_FIELD = {
    LinkKind.OUTLET: "condition",
    LinkKind.PLUG: "plug_condition",
    LinkKind.CORD: "condition",
}


def _judge_condition(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("visible_condition")
    fact = link.data.word(_CONDITION_FIELD[link.kind])
    found = run.ends.known(fact)
    if found == _NOBODY_LOOKED:
        raise NotKnown((replace(fact, options=()),))
    if found != "no damage seen":
        return finding(
            CONDITION,
            link,
            limit,
            verdict_of(limit, passes=False),
            "The survey reports {found}: inspect it dead and locked off, and replace it before "
            "use; hours of load heat a poor contact more each time.",
            {"found": found},
        )
    values, steps = _type_test(run, link)
    words = "The survey reports no visible damage."
    if values:
        words += (
            " New, it passed a test with {current} for {hours} at a temperature rise of at most "
            "{rise}; that says nothing of its contacts today: measure them at full load."
        )
    return finding(CONDITION, link, limit, Outcome.PASS, words, values, working=steps)


def _type_test(run: Run, link: Link) -> tuple[dict[str, Quantity | str], tuple[Step, ...]]:
    """Return the temperature-rise test of the standard, where the rating is one of it."""
    field = {LinkKind.OUTLET: "rating_a", LinkKind.PLUG: "plug_rating_a"}.get(link.kind, "")
    socket = run.installation.outlet.word("kind").options == ("IEC 60309",)
    options = link.data.number(field).options if field and socket else ()
    if len(options) != 1:
        return {}, ()
    condition = f"{options[0]:g} A"
    try:
        current = tables.outlet_rule(
            rule="current of the temperature-rise test", condition=condition
        ).named("I0")
        hours = tables.outlet_rule(
            rule="duration of the temperature-rise test", condition=condition
        ).named("t0")
    except NotTabulated:
        return {}, ()
    rise = tables.outlet_rule(rule="temperature rise of terminals, at most", condition="all").named(
        "dT0"
    )
    steps = (
        step("Itest", "current of the type test", "I0", [current], current.value, "A"),
        step("ttest", "its duration", "t0", [hours], hours.value, "h"),
        step("dTmax", "temperature rise permitted in it", "dT0", [rise], rise.value, "K"),
    )
    return {"current": current, "hours": hours, "rise": rise}, steps


def _judge_bridge(run: Run, link: Link) -> Finding:
    """Judge whether neutral and protective conductor are joined again behind their separation."""
    limit = run.basis.limit("neutral_separation")
    if run.ends.known(link.data.word("poles")) == "3P+E":
        words = "There is no neutral at this outlet."
        return finding(BRIDGE, link, limit, Outcome.NOT_APPLICABLE, words)
    fact = link.data.flag("neutral_earth_bridge")
    if fact.options:
        bridged = run.ends.known(fact)
        words = (
            "Neutral and protective conductor are joined at the outlet: load current flows through "
            "the protective conductor. Find and remove the bridge."
            if bridged
            else "Neutral and protective conductor were found separate at the outlet."
        )
        return finding(BRIDGE, link, limit, verdict_of(limit, passes=not bridged), words)
    devices = covering(run, run.installation.final_circuit)
    if not any(device.data.flag("present").options == (True,) for device in devices):
        raise NotKnown((fact,))
    to_measure = run.basis.limit("test_before_energising")
    words = (
        "Whether neutral and protective conductor are separate at the outlet has not been "
        "measured. A bridge would trip the residual-current device at the first load: measure it "
        "before energising."
    )
    return finding(BRIDGE, link, to_measure, Outcome.CAUTION, words, facts=(fact,))


def _survey_date(run: Run) -> dt.date:
    return run.installation.survey.surveyor.date


def _judge_inspection(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("inspection_interval_years")
    last = run.ends.known(link.data.date("last_inspection"))
    days = (_survey_date(run) - last).days
    years = days / _DAYS_IN_A_YEAR
    longest = limit.quantity("Tmax", "longest usual interval")
    passes = years <= longest.value
    words = "within" if passes else "more than"
    return finding(
        INSPECTION,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "The circuit was last inspected and tested on {date}, {value} before the survey, "
        + words
        + " the usual {bound}.",
        {
            "date": last.isoformat(),
            "value": amount("T", "", years, "years"),
            "bound": longest,
        },
        working=(
            step(
                "T",
                "time since the last inspection",
                "d / dy",
                [
                    amount("d", "days between inspection and survey", days, "d"),
                    amount("dy", "days in a year", _DAYS_IN_A_YEAR, "d"),
                ],
                years,
                "years",
            ),
        ),
        value=years,
        bound=longest.value,
        unit="years",
    )


def _judge_edition(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("edition_year")
    year = run.ends.low_is_bad(link.data.number("erected_year"))
    edition = limit.quantity("Y", "year of the edition").value
    passes = year >= edition
    values = {"year": f"{year:.0f}", "edition": f"{edition:.0f}"}
    words = (
        "Erected in {year}, to the edition of {edition} or a later one, by which it is judged here."
        if passes
        else "Erected in {year} to an earlier edition. Feeding a station for hours every day is a "
        "changed use: it is judged here by the edition of {edition}, not by the one of its time."
    )
    return finding(EDITION, link, limit, verdict_of(limit, passes=passes), words, values)


CONDITION = Check(
    name="visible-condition",
    question="Is it free of damage and traces of heat?",
    links=_touched,
    judge=_judge_condition,
)
BRIDGE = Check(
    name="neutral-earth-bridge",
    question="Are neutral and protective conductor separate at the outlet?",
    links=the_outlet,
    judge=_judge_bridge,
)
INSPECTION = Check(
    name="last-inspection",
    question="Was the circuit inspected and tested not long ago?",
    links=the_outlet,
    judge=_judge_inspection,
    force=Force.PRACTICE,
)
EDITION = Check(
    name="changed-use",
    question="By which edition is the circuit judged?",
    links=the_outlet,
    judge=_judge_edition,
    force=Force.RECOMMENDATION,
)
CHECKS = (CONDITION, BRIDGE, INSPECTION, EDITION)
