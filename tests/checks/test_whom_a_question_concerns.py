"""Of which links a question is asked, and which fields stand in where the station's own are silent.

What must be asked follows from what can flow there; no table is needed for that.
"""

from __future__ import annotations

from .sites import SINGLE, Changes, asked

BAKERY = "bakery-yard"
NO_NEUTRAL: Changes = {"station.needs_neutral": False}
OWN: Changes = {
    "station.input_device_kind": "IEC 60898-1 circuit-breaker",
    "station.input_device_rating_a": 16,
}


def links_of(check: str, site: str, changes: Changes) -> list[str]:
    return [one.unfavourable.link for one in asked(check, site, changes)]


def test_the_neutral_is_asked_only_where_other_loads_hang_behind_it() -> None:
    # Currents of loads at the far end of a cable flow through it, those at its near end do not.
    assert links_of("neutral-current", BAKERY, NO_NEUTRAL) == ["Main cable: cable 1"]
    at_the_origin = {**NO_NEUTRAL, "supply.demand": {"maximum_a": 10}}
    assert links_of("neutral-current", SINGLE, at_the_origin) == []
    assert links_of("neutral-current", SINGLE, {}) == ["Yard outlet: cable 1", "cord"]


def test_the_stations_own_device_has_the_range_of_any_other_device() -> None:
    # IEC 60898-1: B, C or D where the letter was not read.
    (judged,) = [
        one
        for one in asked("selectivity", SINGLE, OWN)
        if one.unfavourable.link.endswith("station")
    ]
    (letter,) = [fact for fact in judged.facts if fact.is_ranged]
    assert letter.path == "station.input_device_characteristic"
    assert set(letter.options) == {"B", "C", "D"}
    assert "Selective with {upstream} up to" in judged.unfavourable.reason.template
