"""What leads a person on: where each fact is asked for, and what is left to do at each stop."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from urllib.parse import quote

from feasibility.page.answer import place_of
from feasibility.page.desk import Opened
from feasibility.page.fields import id_of
from feasibility.page.places import NoSuchPlace, path_of
from feasibility.page.screens import Screen, screen_for
from feasibility.page.wording import label_of
from feasibility.survey_io.wording import field_type


def address_of(name: str, *parts: str) -> str:
    """Return the address of a page of a survey."""
    return "/s/" + "/".join(quote(part, safe="") for part in (name, *parts))


def fact_address(name: str, screens: Sequence[Screen], fact: str) -> str:
    """Return the address of the field for a fact, or an empty text where there is none."""
    place = place_of(fact)
    screen = screen_for(screens, place) if place else None
    if screen is None:
        return ""
    return f"{address_of(name, 'at', screen.key)}#{id_of(place)}"


def addresses(name: str, screens: Sequence[Screen], facts: Iterable[str]) -> Mapping[str, str]:
    """Return the addresses of the fields for those of the facts that have one."""
    found = {fact: fact_address(name, screens, fact) for fact in facts}
    return {fact: address for fact, address in found.items() if address}


def words_of(screens: Sequence[Screen], fact: str) -> str:
    """Return a fact in the words of the form, ``Outlet: clock position``; empty if not asked."""
    place = place_of(fact)
    screen = screen_for(screens, place) if place else None
    if screen is None:
        return ""
    try:
        path = path_of(place)
    except NoSuchPlace:
        return ""
    field, around = field_type(path), field_type(path[:-1])
    if field is None or around is None or around.record is None or not isinstance(path[-1], str):
        return screen.title
    if not field.stated and (field.item or field).record is not None:
        return screen.title
    return f"{screen.title}: {label_of(around.record.__name__, path[-1])}"


def stop_marks(found: Opened, screens: Sequence[Screen]) -> Mapping[str, str]:
    """Return what is left to do at each screen: mistakes and missing answers, facts to find out."""
    wrong = _counted(screens, {place: len(texts) for place, texts in found.problems.items()})
    assessment = found.answer.assessment
    facts = () if assessment is None else assessment.open_facts
    places = {place: 1 for one in facts if (place := place_of(one.fact))}
    wanted = _counted(screens, {place: 1 for place in places if place not in found.problems})
    marks: dict[str, str] = {}
    for screen in screens:
        words = []
        if count := wrong.get(screen.key):
            words.append(f"✗ {count} to answer or put right")
        if count := wanted.get(screen.key):
            words.append(f"? {count} to find out")
        marks[screen.key] = ", ".join(words)
    return marks


def _counted(screens: Sequence[Screen], places: Mapping[str, int]) -> dict[str, int]:
    counts: dict[str, int] = {}
    for place, count in places.items():
        screen = screen_for(screens, place)
        if screen is not None:
            counts[screen.key] = counts.get(screen.key, 0) + count
    return counts
