"""What-if values: bad ones named with what was expected, good ones as a file would give them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from feasibility.examples import example_path
from feasibility.survey_io.problems import Problem, describe
from feasibility.survey_io.set_values import SetProblems, with_values
from feasibility.survey_io.toml_file import LoadedSurvey, read_survey

BAKERY = read_survey(example_path("bakery-yard"))
HALL = read_survey(example_path("market-hall"))


def problems_of(*assignments: str, loaded: LoadedSurvey = BAKERY) -> list[str]:
    with pytest.raises(SetProblems) as refused:
        with_values(loaded, assignments)
    return [describe(one) for one in refused.value.problems]


@pytest.mark.parametrize(
    ("assignment", "expected"),
    [
        (
            "circuit[2].cable[1].section_mm2=10mm",
            'circuit 2, cable 1, section_mm2 = "10mm": expected a number greater than 0 and at '
            "most 1000 (mm²)",
        ),
        (
            "circuit[2].cable[1].sektion_mm2=10",
            "circuit 2, cable 1, sektion_mm2 = 10: expected a known field; the nearest is "
            "section_mm2",
        ),
        (
            "circuit[7].name=x",
            "circuit[7].name: expected circuit[1] to circuit[2], or circuit[3] for a new one",
        ),
        ("station.setting_a", "station.setting_a: expected a value: station.setting_a=VALUE"),
        ("station.setting_a=", "station.setting_a: expected a value: station.setting_a=VALUE"),
        (
            "station.setting_a=17",
            "station, setting_a = 17: expected one of settings_a: 10, 13, 16, 20, 24, 25, 28, 32",
        ),
        (
            "supply.earthing_system=TNS",
            'supply, earthing_system = "TNS": expected one of "TN-S", "TN-C-S", "TN-C", "TT", '
            '"IT", or "unknown"',
        ),
        (
            "surveyor.date=soon",
            'surveyor, date = "soon": expected a date such as 2026-03-02, without quotation marks',
        ),
    ],
)
def test_a_mistake_is_named_with_what_was_expected(assignment: str, expected: str) -> None:
    assert problems_of(assignment) == [expected]


def test_all_mistakes_are_named_at_once() -> None:
    found = problems_of("outlet.rating_a=-3", "a b=1", "station.setting_a=16", "cord.length_m=x")
    assert [one.partition(":")[0] for one in found] == [
        "a b",
        "outlet, rating_a = -3",
        'cord, length_m = "x"',
    ]


@pytest.mark.parametrize(
    ("assignment", "value"),
    [
        ("outlet.condition=worn contacts", "worn contacts"),
        ('outlet.condition="worn contacts"', "worn contacts"),
        (" outlet.condition = damaged ", "damaged"),
        ("outlet.condition=unknown", None),
    ],
)
def test_a_text_may_stand_without_quotation_marks(assignment: str, value: str | None) -> None:
    condition = with_values(BAKERY, [assignment]).survey.outlet.condition
    assert condition is not None
    assert condition.value == value
    assert condition.unknown == (value is None)


def test_a_value_may_be_a_range_with_all_that_a_file_can_say() -> None:
    text = 'cord.length_m={ low = 5, high = 9, known = "told" }'
    cord = with_values(BAKERY, [text]).survey.cord
    assert cord is not None
    assert cord.length_m is not None
    assert (cord.length_m.low, cord.length_m.high, cord.length_m.known) == (5, 9, "told")


def test_one_value_cannot_bring_in_a_second_field() -> None:
    changed = with_values(BAKERY, ["site.address=\nname = 3"])
    assert changed.survey.site.address == "name = 3"
    assert changed.survey.site.name == BAKERY.survey.site.name


def test_digest_and_content_stay_those_of_the_file() -> None:
    changed = with_values(BAKERY, ["cord.length_m=9"])
    assert (changed.sha256, changed.content) == (BAKERY.sha256, BAKERY.content)
    assert changed.survey != BAKERY.survey


def test_logs_are_read_again_only_where_one_is_concerned() -> None:
    assert with_values(HALL, ["cord.length_m=9"]).demand_logs is HALL.demand_logs
    found = problems_of("board[1].demand.log.file=absent.csv", loaded=HALL)
    assert len(found) == 1
    assert "absent.csv" in found[0]


@given(st.lists(st.text(max_size=40), min_size=1, max_size=3))
def test_whatever_is_given_ends_in_a_survey_or_in_named_problems(texts: list[str]) -> None:
    found: list[Problem] = []
    try:
        with_values(BAKERY, texts)
    except SetProblems as refused:
        found.extend(refused.problems or [Problem(None, None, "", "", "")])
    assert all(one.expected for one in found)
    assert all(describe(one).isprintable() for one in found)
