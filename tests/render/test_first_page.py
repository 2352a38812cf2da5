"""The first page: its figures, what to do next, what is amiss, and whether it is one page."""

from __future__ import annotations

from dataclasses import replace

import pytest

from feasibility.advice import advise
from feasibility.assessment import Assessment
from feasibility.importance import DECISIVE
from feasibility.render import first_page, next_steps, remarks_view, view
from feasibility.render.finding_out import how_to_find_out
from feasibility.render.numbers import THIN_SPACE, message_text
from feasibility.render.sections import NUMBER_OF
from feasibility.result import Finding, Message, Outcome, Verdict
from tests.demand_log.logs import logs_of
from tests.render import sites

T = THIN_SPACE
EXAMPLES = sites.names()
PLAIN = Finding(
    check="ampacity",
    question="Does it carry the current?",
    outcome=Outcome.FAIL,
    reason=Message(template="Too small."),
    link="cord",
)


def to_do(assessment: Assessment) -> list[str]:
    return [f"{one.sign} {one.text}" for one in next_steps.steps(assessment)]


def amiss(assessment: Assessment) -> list[str]:
    return [f"{one.sign} {one.text}" for one in next_steps.shortfalls(assessment)]


def test_steps_of_a_site_that_carries() -> None:
    first, ordered, tested = to_do(sites.shipped("bakery-yard"))
    assert first == f"→ Nothing has to be changed. Keep the station's setting at 24{T}A."
    assert "ask the network operator" in ordered
    assert f"section {NUMBER_OF['commissioning']}" in tested
    assert f"section {NUMBER_OF['scope']}" in tested


def test_a_setting_that_nobody_knows_is_not_to_be_kept() -> None:
    data = sites.example("bakery-yard")
    data["station"] |= {"setting_a": "unknown", "nameplate_current_a": 26}
    del data["station"]["settings_a"]
    assessment = sites.assessment_of(data)
    assert assessment.verdict is Verdict.CARRIES
    assert to_do(assessment)[0] == "→ Nothing has to be changed."


def test_steps_of_a_reduced_site_begin_with_the_setting() -> None:
    site = sites.shipped("joinery-hall")
    first, *_ = to_do(site)
    assert first.startswith(f"→ Set the station's input current to at most 32{T}A per phase")
    assert any(one.startswith("✗") for one in amiss(site))


def test_steps_of_a_site_that_must_be_upgraded_name_the_first_remedy_and_no_tests() -> None:
    site = sites.shipped("river-depot")
    advice = advise(site, logs_of(site.survey))
    told = [f"{one.sign} {one.text}" for one in next_steps.steps(site, advice)]
    assert told[0].startswith("→ Do not connect the station yet. What is not met may endanger")
    first = [message_text(one.part.words) for one in advice.remedies[0].parts]
    assert [one for one in told if one.startswith("•")] == [f"• {words}" for words in first]
    assert not any("commissioning" in one or "draws current" in one for one in told)
    assert any("has to plan it" in one for one in to_do(site))


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_failure_and_every_open_fact_stands_on_the_first_page(name: str) -> None:
    assessment = sites.shipped(name)
    lines = amiss(assessment)
    told = "\n".join(lines)
    for finding in assessment.findings:
        if finding.outcome is Outcome.FAIL:
            assert f"✗ {finding.link}: " in told
    for fact in assessment.open_facts:
        assert f"? Find out: {fact.label}. {how_to_find_out(fact.fact)}" in told
    title = next_steps.shortfall_title(next_steps.shortfalls(assessment))
    assert {one[0] for one in title.split(" · ")} == {line[0] for line in lines}


def test_every_field_that_decides_has_its_own_way_to_find_out() -> None:
    """What is read on the part itself needs no more words; all else says where or whom to ask."""
    read = how_to_find_out("nothing.of_the_kind")
    ways = {place: how_to_find_out(place) for place in DECISIVE}
    plain = {place for place, how in ways.items() if how == read}
    assert {place.split(".")[-2] for place in plain} <= {
        "device",
        "outlet",
        "residual_current_device",
    }
    assert "clamp logger" in how_to_find_out("board[2].demand.maximum_l1_a")
    assert "back-up table" in how_to_find_out("circuit[1].device.backed_up_to_ka")


def test_what_cannot_be_judged_from_the_tables_is_named_too() -> None:
    refused = replace(PLAIN, outcome=Outcome.OPEN, reason=Message(template="Not tabulated."))
    assessment = replace(
        sites.shipped("old-mill"),
        findings=(refused,),
        open_facts=(),
        cautions=(),
        verdict=Verdict.UNDECIDED,
    )
    assert amiss(assessment) == ["? cord: Not tabulated."]


def test_a_caution_is_written_once_with_the_numbers_of_its_findings() -> None:
    watched = replace(PLAIN, outcome=Outcome.CAUTION, reason=Message(template="Look at it."))
    other = replace(watched, link="plug")
    assessment = replace(sites.shipped("bakery-yard"), findings=(watched, PLAIN, other))
    assert remarks_view.cautions(assessment) == ("cord, plug: Look at it. (findings 1, 3)",)


def figures(assessment: Assessment) -> dict[str, str]:
    return {one.title: one.value for one in view.report_view(assessment).first.figures}


def test_figures_of_the_first_page() -> None:
    assert figures(sites.shipped("bakery-yard")) == {
        "Requested current": f"24.48{T}A",
        "Carryable current": f"28{T}A",
        "Advised current": f"25{T}A",
        "Weakest link": "Yard outlet: device",
    }


def test_figures_that_are_not_there_are_said_not_to_be_there() -> None:
    assessment = replace(
        sites.shipped("bakery-yard"),
        requested_current_a=None,
        carryable_current_a=None,
        current_limit_only_a=16.0,
        advised_current_a=0.0,
        weakest_link="",
    )
    assert figures(assessment) == {
        "Requested current": "not known",
        "Carryable current": "not stated",
        "Advised current": "no setting",
        "Weakest link": "not known",
    }
    none = replace(assessment, current_limit_only_a=0.0)
    assert "no setting of the station is low enough" in "".join(view.report_view(none).first.notes)
    undecided = replace(assessment, advised_current_a=16.0, verdict=Verdict.UNDECIDED)
    assert figures(undecided)["Advised current"] == "not stated"


def test_what_keeps_the_figures_from_being_misread() -> None:
    def notes(name: str) -> str:
        return "\n".join(view.report_view(sites.shipped(name)).first.notes)

    requested = view.report_view(sites.shipped("bakery-yard")).first.figures[0]
    assert requested.remark.endswith(f"the setting of 24{T}A with 2{T}% tolerance")
    assert notes("bakery-yard") == ""
    assert f"setting of 50{T}A does not count: it does not survive the loss" in notes("river-depot")
    assert "not known whether it is locked" in notes("old-mill")
    assert f"let 16{T}A per phase through, the others perhaps less" in notes("old-mill")
    advised = view.report_view(sites.shipped("cider-press")).first.figures[2]
    assert advised.remark.endswith("held down by: service device")


def test_a_carried_current_equal_to_the_requested_one_reads_the_same() -> None:
    equal = replace(sites.shipped("bakery-yard"), carryable_current_a=24.48)
    shown = figures(equal)
    assert shown["Carryable current"] == shown["Requested current"]


def fits(tasks: int, picture_height: float = 90.0) -> bool:
    return first_page.fits_one_page(
        title="Yard",
        sentence="The supply carries the requested current as found.",
        reason="No requirement is breached.",
        figures=["24.48 A"],
        notes=[],
        picture_height=picture_height,
        tasks=["Find out: the section of the cable."] * tasks,
    )


def test_the_first_page_has_room_for_a_few_tasks_only() -> None:
    assert fits(5)
    assert not fits(30)
    assert not fits(5, picture_height=200.0)
