"""Changes to the plain data: single places, links added, moved, taken away; two at a time."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from feasibility.examples import example_names, example_text
from feasibility.page.editing import (
    Conflict,
    Typed,
    board_inserted,
    edit_survey,
    item_added,
    item_moved,
    item_removed,
    new_survey,
    parsed,
    stated_at,
    typed_in,
)
from feasibility.page.folder import SurveyFolder
from feasibility.page.places import (
    NoSuchPlace,
    differences,
    path_of,
    place_text,
    value_at,
    with_value,
)
from feasibility.survey.consistency import inconsistencies
from feasibility.survey_io.toml_writer import to_toml


def example(name: str) -> dict[str, Any]:
    return tomllib.loads(example_text(name))


def ends(data: dict[str, Any]) -> list[tuple[str, str]]:
    return [(one["starts_at"], one["ends_at"]) for one in data["circuit"]]


@pytest.mark.parametrize("text", ["site.name", "circuit[2].cable[1].length_m", "cord", "board[1]"])
def test_a_place_is_read_and_written_alike(text: str) -> None:
    assert place_text(path_of(text)) == text


@pytest.mark.parametrize(
    "text",
    ["", ".", "nothing", "site.nothing", "circuit[0].name", "circuit.name", "__class__",
     "site.name.x", "../etc", "circuit[1]..name", "site[1]", "circuit[99999].name", "a" * 500],
)  # fmt: skip
def test_what_is_no_place_is_refused(text: str) -> None:
    with pytest.raises(NoSuchPlace):
        path_of(text)


def test_tables_on_the_way_are_made_and_go_when_empty() -> None:
    data = new_survey()
    path = path_of("circuit[2].cable[1].length_m")
    filled = with_value(data, path, 25)
    assert value_at(filled, path) == 25
    assert value_at(data, path) is None
    demand = path_of("board[1].demand.maximum_a")
    assert with_value(with_value(data, demand, 5), demand, None) == data


@pytest.mark.parametrize("place", ["circuit[2].cable[2].length_m", "board[7].name"])
def test_an_item_that_is_not_there_is_not_made_up(place: str) -> None:
    with pytest.raises(NoSuchPlace):
        with_value(new_survey(), path_of(place), 1)


@pytest.mark.parametrize("name", example_names())
def test_retyping_what_is_shown_changes_nothing(name: str) -> None:
    from feasibility.page.fields import part_views
    from feasibility.page.screens import screens_of

    data = example(name)
    fields = [
        one
        for screen in screens_of(data)
        for part in part_views(screen, data, {})
        for one in (*part.first, *part.more)
    ]
    assert len(fields) > 200
    typed = [Typed(one.place, one.value, one.unknown) for one in fields]
    assert typed_in(typed)(data) == data


def test_a_ticked_unknown_counts_unless_something_else_was_typed() -> None:
    place = "circuit[1].cable[1].length_m"
    data = example("bakery-yard")
    assert value_at(typed_in([Typed(place, "", True)])(data), path_of(place)) == "unknown"
    assert value_at(typed_in([Typed(place, "14", True)])(data), path_of(place)) == "unknown"
    assert value_at(typed_in([Typed(place, "15", True)])(data), path_of(place)) == 15


def test_a_renamed_board_keeps_its_circuits_and_its_log() -> None:
    data = example("market-hall")
    name = data["board"][0]["name"]
    changed = typed_in([Typed("board[1].name", "Hall board")])(data)
    assert [("Hall board" if a == name else a, "Hall board" if b == name else b)
            for a, b in ends(data)] == ends(changed)  # fmt: skip
    assert changed["board"][0]["demand"]["log"]["measured_at"] == "Hall board"
    assert not inconsistencies(changed)


def test_a_board_is_put_in_moved_and_taken_out_again() -> None:
    data = new_survey()
    more = board_inserted(1)(data)
    assert ends(more) == [
        ("origin", "Main board"),
        ("Main board", "Board 2"),
        ("Board 2", "outlet"),
    ]
    moved = item_moved("board[2]", -1)(more)
    assert ends(moved) == [
        ("origin", "Board 2"),
        ("Board 2", "Main board"),
        ("Main board", "outlet"),
    ]
    assert item_moved("board[2]", 1)(moved)["circuit"] == more["circuit"]
    without = item_removed("board[2]")(more)
    assert ends(without) == [("origin", "Main board"), ("Main board", "outlet")]
    for one in (more, moved, without):
        assert not inconsistencies(one)


def test_cables_are_added_moved_and_taken_away() -> None:
    data = example("river-depot")
    cables = data["circuit"][1]["cable"]
    moved = item_moved("circuit[2].cable[1]", 1)(data)
    assert moved["circuit"][1]["cable"] == [cables[1], cables[0]]
    assert item_moved("circuit[2].cable[1]", -1)(data) == data
    assert item_removed("circuit[2].cable[1]")(data)["circuit"][1]["cable"] == cables[1:]
    assert item_added("circuit[2].cable")(data)["circuit"][1]["cable"] == [*cables, {}]
    assert "cable" not in item_removed("circuit[1].cable[1]")(data)["circuit"][0]


def test_a_value_in_full_replaces_what_stood_there() -> None:
    parts = {"low": 1, "high": 2, "known": "told"}
    changed = stated_at("cord.length_m", parts)(example("bakery-yard"))
    assert changed["cord"]["length_m"] == parts
    with pytest.raises(NoSuchPlace):
        stated_at("site.name", {"value": "x"})


@pytest.fixture
def folder(tmp_path: Path) -> SurveyFolder:
    return SurveyFolder(tmp_path)


def typed(place: str, text: str) -> Any:
    return typed_in([Typed(place, text)])


def test_two_who_change_different_places_both_keep_theirs(folder: SurveyFolder) -> None:
    start = folder.create("a", to_toml(new_survey()).encode())
    edit_survey(folder, "a", start.revision, typed("outlet.rating_a", "32"))
    saved = edit_survey(folder, "a", start.revision, typed("cord.length_m", "8"))
    assert saved.also_changed == ("outlet.rating_a",)
    data = parsed(folder.read("a").content)
    assert (data["outlet"], data["cord"]) == ({"rating_a": 32}, {"length_m": 8})


def test_two_who_change_the_same_place_are_told(folder: SurveyFolder) -> None:
    start = folder.create("a", to_toml(new_survey()).encode())
    edit_survey(folder, "a", start.revision, typed("outlet.rating_a", "32"))
    with pytest.raises(Conflict) as told:
        edit_survey(folder, "a", start.revision, typed("outlet.rating_a", "63"))
    assert told.value.places == ("outlet.rating_a",)
    assert parsed(folder.read("a").content)["outlet"] == {"rating_a": 32}
    again = edit_survey(folder, "a", start.revision, typed("outlet.rating_a", "32"))
    assert again.stored == folder.read("a")


def test_a_link_added_meanwhile_is_no_place_to_type_blindly(folder: SurveyFolder) -> None:
    start = folder.create("a", to_toml(example("river-depot")).encode())
    edit_survey(folder, "a", start.revision, item_removed("circuit[2].cable[1]"))
    with pytest.raises(Conflict):
        edit_survey(folder, "a", start.revision, typed("circuit[2].cable[2].length_m", "9"))


def test_a_link_moved_meanwhile_is_no_place_to_type_blindly(folder: SurveyFolder) -> None:
    start = folder.create("a", to_toml(example("river-depot")).encode())
    edit_survey(folder, "a", start.revision, item_moved("circuit[2].cable[1]", 1))
    with pytest.raises(Conflict):
        edit_survey(folder, "a", start.revision, typed("circuit[2].cable[2].conductor", "unknown"))


@pytest.mark.parametrize("edit", [item_added("circuit[2].cable"), item_removed("circuit[1]")])
def test_what_is_sent_twice_is_done_once(folder: SurveyFolder, edit: Any) -> None:
    start = folder.create("a", to_toml(example("river-depot")).encode())
    once = edit_survey(folder, "a", start.revision, edit)
    assert once.stored.revision != start.revision
    assert edit_survey(folder, "a", start.revision, edit).stored == once.stored


def test_a_whole_form_keeps_what_others_changed_in_fields_left_alone(folder: SurveyFolder) -> None:
    start = folder.create("a", to_toml(example("river-depot")).encode())
    edit_survey(folder, "a", start.revision, typed("cord.length_m", "12"))
    whole = typed_in([Typed("cord.length_m", "10"), Typed("cord.ambient_c", "33")])
    assert example("river-depot")["cord"]["length_m"] == 10
    edit_survey(folder, "a", start.revision, whole)
    cord = parsed(folder.read("a").content)["cord"]
    assert (cord["length_m"], cord["ambient_c"]) == (12, 33)


def test_a_revision_that_nobody_knows_is_refused(folder: SurveyFolder) -> None:
    folder.create("a", to_toml(new_survey()).encode())
    with pytest.raises(Conflict):
        edit_survey(folder, "a", "0" * 64, typed("outlet.rating_a", "32"))


def test_differences_name_values_and_lists_of_another_length() -> None:
    before, after = example("river-depot"), example("river-depot")
    after["outlet"]["rating_a"] = 125
    after["circuit"][1]["cable"].append({})
    found = {place_text(one) for one in differences(before, after)}
    assert found == {"outlet.rating_a", "circuit[2].cable"}
