"""Invented sites for the tests of the renderers: shipped ones, a large one, an unknown one."""

from __future__ import annotations

import copy
import tomllib
from functools import cache
from typing import Any

from feasibility.assessment import Assessment, assess
from feasibility.examples import example_names, example_text
from feasibility.render.plain_lines import visible
from feasibility.survey.model import Survey

from ..demand_log.logs import logs_of
from ..hostile import HOSTILE, Renaming

SHA256 = "0123456789abcdef" * 4
LONG = "Übergabestelle südlicher Größenwahn Ωμέγα Ζυγός øre-ße "
SHOWN = visible(HOSTILE)
"""How a hostile text is printed."""


def example(name: str) -> dict[str, Any]:
    """Return a shipped survey as plain data."""
    return tomllib.loads(example_text(name))


def assessment_of(data: dict[str, Any]) -> Assessment:
    survey = Survey.model_validate(data)
    return assess(survey, sha256=SHA256, demand_logs=logs_of(survey))


@cache
def shipped(name: str) -> Assessment:
    return assessment_of(example(name))


def names() -> tuple[str, ...]:
    return tuple(example_names())


def long_name(start: str) -> str:
    """Return a name of 200 characters."""
    return (f"{start} " + LONG * 5)[:200].rstrip() or start


def large_site() -> dict[str, Any]:
    """Return a site with many links, whose names are as long as the survey permits."""
    data = example("bakery-yard")
    board, yard = long_name("Hauptverteilung"), long_name("Υπόστεγο")
    last = "W" * 200
    main, outlet = data["circuit"]
    data["board"][0]["name"] = board
    main |= {"name": long_name("Zuleitung"), "ends_at": board}
    middle = copy.deepcopy(main)
    middle |= {"name": long_name("Steigleitung"), "starts_at": board, "ends_at": yard}
    middle["device"] = {
        "kind": "gG fuse",
        "rating_a": 50,
        "breaking_capacity_ka": 50,
        "enclosure_temperature_c": 35,
    }
    middle["cable"] = [copy.deepcopy(main["cable"][0]) for _ in range(3)]
    middle["part"] = [
        {"kind": "switch-disconnector", "name": long_name("Trennschalter"), "rating_a": 63},
        {"kind": "contactor", "name": "Schütz K1", "rating_a": 63},
        {"kind": "terminal block", "rating_a": 76},
        {"kind": "busbar", "rating_a": 125},
    ]
    below = copy.deepcopy(middle)
    below |= {"name": last, "starts_at": yard, "ends_at": "Unterverteilung"}
    below["part"] = [{"kind": "changeover switch", "rating_a": 63}, {"kind": "other"}]
    outlet |= {"name": long_name("Steckdose"), "starts_at": "Unterverteilung"}
    outlet["part"] = [{"kind": "interlocked switch", "rating_a": 32}, {"kind": "adapter"}]
    data["board"] += [{"name": yard, "demand": {"maximum_a": 5}, "other_sources_none": True}]
    data["board"] += [
        {"name": "Unterverteilung", "demand": {"maximum_a": 0}, "other_sources_none": True}
    ]
    data["circuit"] = [main, middle, below, outlet]
    data["site"] |= {"name": long_name("Hof"), "reference": "R" * 200, "client": long_name("Frau")}
    data["site"]["address"] = "Straße der Übergänge 1\n" * 40
    data["surveyor"]["name"] = long_name("Prüfer")
    data["station"]["name"] = long_name("Ladestation")
    return data


def unknown_site() -> dict[str, Any]:
    """Return a site of which hardly anything is known."""
    data = example("bakery-yard")
    data["supply"] = {"earthing_system": "unknown", "service_device": {"kind": "unknown"}}
    for circuit in data["circuit"]:
        circuit["cable"] = [{"section_mm2": "unknown"}]
        circuit.pop("residual_current_device")
    data["circuit"][1]["device"] = {"rating_a": "unknown"}
    data["board"][0]["demand"] = {}
    data["outlet"] = {"rating_a": 32}
    data["cord"] = {"length_m": {"low": 3, "high": 12, "note": "not unrolled"}}
    data["station"] = {"name": "Buffered charging station"}
    return data


def hostile_site(renaming: Renaming | None = None) -> dict[str, Any]:
    """Return a site whose texts, all of them, try to be markup, a template and a link."""
    data = example("bakery-yard")
    main, outlet = data["circuit"]
    main["part"] = [{"kind": "contactor", "name": "K1", "rating_a": 63}]
    outlet["device"] |= {"backed_up_by": "fuse", "backed_up_to_ka": 10}
    outlet["device"] |= {"selective_with": "fuse", "selective_up_to_ka": 2}
    data["board"][0]["demand"]["declared_by"] = "the baker"
    return (renaming or Renaming()).of(Survey, data)
