"""Every field of a survey is asked for on exactly one screen of the walk."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from itertools import pairwise
from typing import Any

import pytest

from feasibility.commissioning.record import CommissioningRecord
from feasibility.examples import example_names, example_text
from feasibility.page.editing import new_survey
from feasibility.page.fields import FieldView, part_views
from feasibility.page.pictures import clock_picture
from feasibility.page.places import path_of, place_text
from feasibility.page.screens import circuits_in_order, screen_for, screens_of
from feasibility.page.wording import FIRST, HINTS, METHODS, USUAL
from feasibility.survey.model import Survey
from feasibility.survey_io.wording import FieldType, field_type, fields_of


def every_field(record: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    """Yield the place of every field of the model, lists with one item each."""
    for name, field in fields_of(record).items():
        inner = (*path, name)
        kind = (field.item or field).record
        if kind is None or field.stated:
            yield inner
        else:
            yield from every_field(kind, (*inner, 0) if field.item else inner)


def filled() -> dict[str, Any]:
    """Return a survey with one item in every list that the model knows."""
    data = new_survey()
    for path in every_field(Survey):
        inner: Any = data
        for part, following in pairwise(path):
            if isinstance(part, str):
                inner = inner.setdefault(part, [] if isinstance(following, int) else {})
            else:
                if not inner:
                    inner.append({})
                inner = inner[part]
    return data


def fields_on(data: dict[str, Any]) -> list[FieldView]:
    return [
        one
        for screen in screens_of(data)
        for part in part_views(screen, data, {})
        for one in (*part.first, *part.more)
    ]


def test_every_field_is_asked_for_once() -> None:
    asked = [one.place for one in fields_on(filled())]
    assert len(asked) == len(set(asked))
    wanted = {place_text(path) for path in every_field(Survey)}
    assert len(wanted) > 200
    assert wanted <= set(asked)


def test_every_surveyed_value_can_be_stated_as_not_known_yet() -> None:
    for one in fields_on(filled()):
        field = field_type(path_of(one.place))
        assert field is not None
        assert one.can_be_unknown is field.stated


def test_every_place_is_found_on_its_screen() -> None:
    data = filled()
    screens = screens_of(data)
    for screen in screens:
        for part in part_views(screen, data, {}):
            for one in (*part.first, *part.more):
                assert screen_for(screens, one.place) == screen, one.place


def test_every_list_of_the_model_can_be_added_to() -> None:
    """Boards and circuits, whose screens are in the walk already, are added from these."""
    addable = {one.place for screen in screens_of(filled()) for one in screen.addable}
    lists = {
        place_text(path[: number + 1])
        for path in every_field(Survey)
        for number, part in enumerate(path[1:])
        if isinstance(part, int)
    }
    assert {one.replace("circuit[2]", "circuit[1]") for one in addable} >= lists


@pytest.mark.parametrize("name", example_names())
def test_the_walk_follows_the_feed_path(name: str) -> None:
    data = tomllib.loads(example_text(name))
    order = circuits_in_order(data)
    path = [data["circuit"][number] for number in order]
    assert path[0]["starts_at"] == "origin"
    assert "outlet" in [one["ends_at"] for one in path]
    for before, after in pairwise(path):
        assert after["starts_at"] in (before["ends_at"], "origin") or after is path[-1]
    keys = [one.key for one in screens_of(data)]
    assert keys[0] == "supply"
    assert keys.index("outlet") < keys.index("cord") < keys.index("station") < keys.index("site")


def test_the_words_name_fields_that_there_are() -> None:
    records = {FieldType(root).record for root in (Survey, CommissioningRecord)}
    waiting = list(records)
    while waiting:
        for field in fields_of(waiting.pop()).values():
            kind = (field.item or field).record
            if kind is not None and not field.stated and kind not in records:
                records.add(kind)
                waiting.append(kind)
    known = {one.__name__: set(fields_of(one)) for one in records if one is not None}
    for table, names in FIRST.items():
        assert set(names) <= known[table], table
    for key in (*HINTS, *USUAL):
        table, _, name = key.partition(".")
        assert name in known[table], key
    method = field_type(path_of("circuit[1].cable[1].method"))
    assert method is not None
    from feasibility.page.entries import choices_of

    assert set(METHODS) == set(choices_of(method))


@pytest.mark.parametrize(("hour", "x", "y"), [(12, 0, -9), (3, 9, 0), (6, 0, 9), (9, -9, 0)])
@pytest.mark.parametrize(("poles", "others"), [("2P+E", 2), ("3P+E", 3), ("3P+N+E", 4), ("", 4)])
def test_the_earthing_contact_stands_at_its_hour(
    hour: int, x: float, y: float, poles: str, others: int
) -> None:
    """A clock face: 3 h is to the right, 6 h below (IEC 60309-2, keyway at 6 h, from memory)."""
    picture = clock_picture(hour, poles)
    assert picture.earth == pytest.approx((x, y), abs=0.01)
    assert len(picture.others) == others
