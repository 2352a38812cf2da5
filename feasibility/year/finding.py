"""The answer of the study as a finding, so that the time enters the verdict.

The largest figures of all phases at once, which the other checks use, are not always the worst
moment: a load of constant power on one phase alone lowers its own voltage more than three alike do.
"""

from __future__ import annotations

from feasibility.checks.working import amount, step
from feasibility.code_basis import CodeBasis
from feasibility.result import Finding, Message, Outcome, Quantity
from feasibility.year.record import YearStudy

CHECK = "every-quarter-hour"
_QUESTION = "Does the requested current fit in every quarter-hour of the logged or profiled demand?"
_QUARTERS_OF_AN_HOUR = 4


def finding_of(study: YearStudy, basis: CodeBasis) -> Finding:
    """Return pass where no quarter-hour exceeds a limit that binds; else fail.

    A fail at the unfavourable ends of the ranges counts, as for any other check on current.
    """
    limit = basis.limit("design_current")
    path = study.whole_path
    passes = study.hours_exceeded == 0
    template = "The requested current fits in each of the {all} that were studied."
    if not passes:
        template = (
            "The requested current exceeds a limit for {hours} of the {all} that were studied; "
            "least is free on {when}: {least} per phase, held by {link}."
        )
    values: dict[str, Quantity | str] = {
        "hours": amount("t", "time in which a limit is exceeded", study.hours_exceeded, "h"),
        "all": amount("", "time studied", study.hours, "h"),
        "least": amount("I", "least free current", path.lowest_a, "A"),
        "when": f"{path.lowest_at:%Y-%m-%d %H:%M}",
        "link": path.held_by,
    }
    quarters = study.hours_exceeded * _QUARTERS_OF_AN_HOUR
    inputs = [amount("n", "quarter-hours in which a limit is exceeded", quarters, "")]
    meaning = "time in which the requested current exceeds a limit"
    return Finding(
        check=CHECK,
        question=_QUESTION,
        link=path.held_by,
        outcome=Outcome.PASS if passes else Outcome.FAIL,
        force=limit.force,
        reason=Message(template=template, values=values),
        value=study.hours_exceeded,
        limit=0.0,
        unit="h",
        carries_a=study.fixed.current_a,
        depends_on_current=True,
        sources=(limit.citation,),
        working=(step("t", meaning, "n / 4", inputs, study.hours_exceeded, "h"),),
    )
