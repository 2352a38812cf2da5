"""The survey resolved: feed path, links in feed order, facts with origin, demands at their node."""

from __future__ import annotations

import datetime as dt

import pytest

from feasibility.code_basis import code_basis
from feasibility.installation.build import build_installation, feed_path
from feasibility.installation.model import SERVICE, LinkKind
from feasibility.installation.resolve import Resolved, unit_of, words_of
from feasibility.survey.circuit import Cable
from feasibility.survey.model import Survey
from feasibility.survey.stated import Stated

from ..checks.sites import GONE, SINGLE, Changes, site

BASIS = code_basis("iec-60364")
FIXED: Changes = {
    "outlet": {"kind": "fixed connection", "rating_a": 32, "poles": "3P+N+E"},
    "cord": GONE,
}


def links_of(name: str, *changes: Changes) -> list[tuple[str, LinkKind, int]]:
    installation = build_installation(site(name, *changes))
    return [(link.name, link.kind, link.position) for link in installation.links]


def test_the_links_run_from_the_service_to_the_station() -> None:
    assert links_of("bakery-yard") == [
        ("contracted capacity", LinkKind.CONTRACT, SERVICE),
        ("service device", LinkKind.DEVICE, SERVICE),
        ("metering place", LinkKind.METERING, SERVICE),
        ("Main cable: cable 1", LinkKind.CABLE, 0),
        ("Yard outlet: device", LinkKind.DEVICE, 1),
        ("Yard outlet: residual-current device", LinkKind.RESIDUAL_CURRENT_DEVICE, 1),
        ("Yard outlet: cable 1", LinkKind.CABLE, 1),
        ("outlet", LinkKind.OUTLET, 2),
        ("plug", LinkKind.PLUG, 2),
        ("cord", LinkKind.CORD, 2),
        ("station", LinkKind.STATION, 2),
    ]


def test_pieces_in_series_are_links_of_their_own() -> None:
    names = [name for name, _, _ in links_of("river-depot")]
    assert names.index("Shed feeder: cable 1") + 1 == names.index("Shed feeder: cable 2")
    assert len(names) == len(set(names))


def test_parts_and_inlet_are_links() -> None:
    part = {
        "circuit[1].part": [{"kind": "contactor", "rating_a": 40}, {"kind": "contactor"}],
        "station.inlet_rating_a": 32,
    }
    found = links_of("bakery-yard", part)
    assert [kind for _, kind, _ in found].count(LinkKind.PART) == 2
    assert ("inlet", LinkKind.INLET, 2) in found
    assert len({name for name, _, _ in found}) == len(found)


def test_a_fixed_connection_has_neither_plug_nor_cord() -> None:
    kinds = {kind for _, kind, _ in links_of("bakery-yard", FIXED)}
    assert not kinds & {LinkKind.PLUG, LinkKind.CORD}


def test_an_outlet_without_a_surveyed_cord_still_has_one() -> None:
    kinds = {kind for _, kind, _ in links_of("bakery-yard", {"cord": GONE})}
    assert {LinkKind.PLUG, LinkKind.CORD} <= kinds


def test_a_circuit_without_a_surveyed_cable_still_has_one() -> None:
    assert ("Yard outlet: cable 1", LinkKind.CABLE, 1) in links_of(
        "bakery-yard", {"circuit[1].cable": []}
    )


@pytest.mark.parametrize(
    ("residual", "is_link"),
    [
        ({"present": True, "combined": False}, True),
        ({"present": True, "combined": True}, False),
        ({"present": True}, True),
        ({"present": "unknown"}, True),
        ({"present": False}, False),
    ],
)
def test_a_residual_current_device_is_a_link_unless_it_is_absent_or_one_with_the_breaker(
    residual: dict[str, object], is_link: bool
) -> None:
    kinds = {
        kind for _, kind, _ in links_of(SINGLE, {"circuit[0].residual_current_device": residual})
    }
    assert (LinkKind.RESIDUAL_CURRENT_DEVICE in kinds) is is_link


def test_a_circuit_from_the_origin_without_its_own_device_rests_on_the_service_device() -> None:
    installation = build_installation(site("bakery-yard"))
    main, last = installation.circuits
    assert (main.own_device, main.device.name) == (False, "service device")
    assert (last.own_device, last.is_final) == (True, True)
    assert installation.final_circuit is last
    assert installation.nodes == ("origin", "Main board", "outlet")


def test_a_circuit_from_a_board_never_rests_on_a_device_that_was_not_surveyed() -> None:
    installation = build_installation(site("bakery-yard", {"circuit[1].device": GONE}))
    device = installation.final_circuit.device
    assert device.data.number("rating_a").is_open
    assert device.name == "Yard outlet: device"


def shuffled() -> Survey:
    survey = site("river-depot")
    return survey.model_copy(update={"circuit": survey.circuit[::-1]})


def test_the_path_does_not_depend_on_the_order_of_the_file() -> None:
    assert feed_path(site("river-depot")) == (0, 1, 2)
    assert feed_path(shuffled()) == (2, 1, 0)
    names = [circuit.name for circuit in build_installation(shuffled()).circuits]
    assert names == ["Main cable", "Shed feeder", "Shed outlets"]


def test_demands_stand_at_their_nodes() -> None:
    installation = build_installation(site("river-depot"))
    at = {demand.where: demand.node for demand in installation.demands}
    assert at == {
        "Main board: boat lift": 1,
        "Main board: compressor": 1,
        "Main board: workshop": 1,
        "Shed board": 2,
        "welding outlet beside it": 3,
    }


def test_facts_count_from_1_and_say_how_they_are_known() -> None:
    installation = build_installation(site("bakery-yard"))
    (link,) = [one for one in installation.links if one.name == "Yard outlet: cable 1"]
    length = link.data.number("length_m")
    assert (length.path, length.unit, length.options) == (
        "circuit[2].cable[1].length_m",
        "m",
        (22,),
    )
    assert "cable 1 of 'Yard outlet'" in length.label
    loop = installation.supply.number("external_loop_impedance_ohm")
    assert loop.origin == "measured with installation tester 1 on 2026-03-12"
    told = installation.supply.number("contracted_current_a")
    assert told.origin == "told"


def resolved(**fields: object) -> Resolved:
    record = Cable.model_validate(fields)
    return Resolved(record=record, kind="cable", path="c", label="the cable", basis=BASIS)


def test_a_gap_is_filled_by_a_range_with_its_reason_or_stays_open() -> None:
    ambient = resolved().number("ambient_c")
    assert (ambient.options, ambient.filled) == ((15.0, 40.0), True)
    assert ambient.reason
    assert resolved(ambient_c="unknown").number("ambient_c").options == ambient.options
    assert resolved().number("section_mm2").is_open
    assert resolved(section_mm2="unknown").number("section_mm2").is_open
    ground = resolved().number("ambient_c", fill="cable.ground_c")
    assert ground.options == (10.0, 25.0)


def test_bounds_of_the_surveyor_stand_before_the_range_of_the_code_basis() -> None:
    stated = {"low": 20, "high": 33, "note": "felt warm", "known": "assumed"}
    ambient = resolved(ambient_c=stated).number("ambient_c")
    assert (ambient.options, ambient.filled) == ((20.0, 33.0), False)
    assert (ambient.reason, ambient.origin) == ("felt warm", "assumed by the surveyor")


def test_has_and_mentions_tell_silence_unknown_and_values_apart() -> None:
    said, unknown, silent = resolved(ampacity_a=30), resolved(ampacity_a="unknown"), resolved()
    assert [one.has("ampacity_a") for one in (said, unknown, silent)] == [True, False, False]
    assert [one.mentions("ampacity_a") for one in (said, unknown, silent)] == [True, True, False]


def test_origins_are_put_together() -> None:
    stated = {
        "value": 3,
        "known": "measured",
        "instrument": "tape",
        "date": dt.date(2026, 3, 2),
        "method": "twice",
    }
    origin = resolved(length_m=stated).number("length_m").origin
    assert origin == "measured with tape on 2026-03-02 (twice)"
    assert isinstance(resolved(length_m=stated).record, Cable)
    assert Stated[float](value=3).known is None


@pytest.mark.parametrize(
    ("field", "unit", "words"),
    [
        ("rating_a", "A", "rating"),
        ("breaking_capacity_ka", "kA", "breaking capacity"),
        ("section_mm2", "mm²", "section"),
        ("length_m", "m", "length"),
        ("residual_current_ma", "mA", "rated residual current"),
        ("soil_resistivity_k_m_per_w", "K·m/W", "soil resistivity"),
        ("auxiliary_l1_w", "W", "auxiliary power on L1"),
        ("contracted_power_kva", "kVA", "contracted power"),
        ("present", "", "presence"),
    ],
)
def test_units_come_from_the_name_of_a_field_and_words_where_it_reads_well(
    field: str, unit: str, words: str
) -> None:
    assert unit_of(field) == unit
    assert words_of(field) == words
