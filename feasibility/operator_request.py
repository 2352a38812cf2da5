"""What the network operator will ask for: figures that the survey states or that follow from it.

Nothing is filled in here: what the survey does not give stays not known, even where the checks put
a range in its place. What is calculated is taken at the unfavourable end of all ranges.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from feasibility.checks.harmonic_emission import ratio_of
from feasibility.checks.power_quality import single_phase_unbalance, step_change
from feasibility.checks.question import Run
from feasibility.checks.supply_strength import (
    is_public,
    rated_current,
    supply_strength,
    three_phase,
    to_neutral_v,
)
from feasibility.installation.facts import Fact, NotKnown
from feasibility.installation.model import SERVICE, LinkKind
from feasibility.installation.resolve import Resolved
from feasibility.survey.model import Station, Survey
from feasibility.tables import NotTabulated
from feasibility.units import SQRT3, OutOfRange

CONNECTION = "Connection"
STATION = "Station"
EFFECT = "Effect on the network, calculated"
CALCULATED = "calculated from the survey"
_ALL_PHASES = "L1L2L3"

Value = float | str | bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RequestItem:
    """One figure of the request: its possible values, none where it is not known.

    ``item`` is a fixed name for machines, ``label`` the words for it, ``group`` the heading that it
    belongs under and ``origin`` how it is known.
    """

    item: str
    label: str
    group: str
    options: tuple[Value, ...]
    unit: str = ""
    origin: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OperatorRequest:
    """Everything for the request to the network operator, and what has to be said with it."""

    notice: str
    items: tuple[RequestItem, ...]


_CONNECTION_FIELDS = (
    ("kind", "kind of supply"),
    ("nominal_voltage_v", "nominal voltage between lines"),
    ("earthing_system", "earthing system"),
    ("contracted_current_a", "contracted current now, per phase"),
    ("contracted_power_kva", "contracted power now"),
    ("metering_continuous_a", "continuous current of the metering place"),
    ("prospective_fault_current_ka", "largest three-phase fault current at the origin"),
    ("smallest_fault_current_ka", "smallest three-phase fault current at the origin"),
    ("short_circuit_power_kva", "short-circuit power stated by the network operator"),
)
_STATION_FIELDS = (
    ("phases", "phases"),
    ("needs_neutral", "needs a neutral"),
    ("nameplate_current_a", "rated input current per phase"),
    ("setting_a", "setting of the input current"),
    ("setting_locked", "setting locked"),
    ("power_factor", "power factor"),
    ("third_harmonic_percent", "3rd harmonic of the current"),
    ("harmonic_5_percent", "5th harmonic"),
    ("harmonic_7_percent", "7th harmonic"),
    ("harmonic_9_percent", "9th harmonic"),
    ("harmonic_11_percent", "11th harmonic"),
    ("harmonic_13_percent", "13th harmonic"),
    ("current_distortion_percent", "distortion of the current as a whole (THC)"),
    ("weighted_distortion_percent", "weighted distortion of orders 14 to 40 (PWHC)"),
    ("declared_short_circuit_ratio", "short-circuit ratio Rsce that its maker declares"),
    ("permitted_supply_impedance_ohm", "supply impedance Zmax that its maker permits"),
    ("declared_service_current_a", "service current that its maker declares"),
    ("inrush_peak_a", "peak of the inrush current"),
    ("inrush_duration_ms", "duration of the inrush current"),
    ("largest_step_a", "largest step of the current in operation"),
    ("ramp_s", "time that this step takes"),
    ("can_feed_back", "can feed back into the network"),
    ("feed_back_blocked_by", "feeding back is blocked by"),
    ("remote_limitation", "limitation of its power from outside by"),
    ("storage_capacity_kwh", "usable energy of its battery"),
)


def operator_request(run: Run) -> OperatorRequest:
    """Return the figures for the request, in the order in which operators usually ask."""
    items = (
        *_site(run.installation.survey),
        *_stated(run.installation.supply, _CONNECTION_FIELDS, CONNECTION),
        *_service(run),
        *_demand(run),
        *_station_type(run.installation.survey.station),
        *_rated_power(run),
        *_stated(run.installation.station, _STATION_FIELDS, STATION),
        *_effect(run),
    )
    return OperatorRequest(notice=run.basis.limit("operator_notification").text, items=items)


def _site(survey: Survey) -> Iterator[RequestItem]:
    site, surveyor = survey.site, survey.surveyor
    planned = site.planned_operation
    yield from _texts(
        CONNECTION,
        ("site", "site", site.name),
        ("address", "address", " ".join(site.address.split())),
        ("client", "client", site.client),
        ("metering_point", "number of the metering place", site.metering_point),
        ("surveyor", "surveyed by", surveyor.name),
        ("surveyor_company", "company of the surveyor", surveyor.company),
        ("surveyor_registration", "number in the register of installers", surveyor.registration),
        ("survey_date", "date of the survey", surveyor.date.isoformat()),
        ("planned_operation", "planned start of operation", planned.isoformat() if planned else ""),
    )


def _station_type(station: Station) -> Iterator[RequestItem]:
    yield from _texts(
        STATION,
        ("maker", "maker", station.maker),
        ("type_designation", "type designation", station.type_designation),
    )


def _texts(group: str, *texts: tuple[str, str, str | None]) -> Iterator[RequestItem]:
    for item, label, text in texts:
        yield RequestItem(item=item, label=label, group=group, options=(text,) if text else ())


_EITHER = {
    "contracted_power_kva": "contracted_current_a",
    "permitted_supply_impedance_ohm": "declared_service_current_a",
    "declared_service_current_a": "permitted_supply_impedance_ohm",
}
"""Left out unless the survey speaks of it, where the other one answers the same question."""


def _stated(
    data: Resolved, fields: tuple[tuple[str, str], ...], group: str
) -> Iterator[RequestItem]:
    for field, label in fields:
        answered = field in _EITHER and data.has(_EITHER[field])
        single_phase_only = field == "harmonic_9_percent" and _three_phase_alone(data)
        if data.mentions(field) or not (answered or single_phase_only):
            yield _of_fact(field, label, group, data.number(field))


def _three_phase_alone(device: Resolved) -> bool:
    """Whether the station is known to use all phases: then no limit asks for its 9th harmonic."""
    return device.word("phases").options == (_ALL_PHASES,)


def _of_fact(item: str, label: str, group: str, fact: Fact[Any]) -> RequestItem:
    known = not fact.filled and not fact.is_open
    return RequestItem(
        item=item,
        label=label,
        group=group,
        options=fact.options if known else (),
        unit=fact.unit,
        origin=fact.origin if known else "",
    )


def _service(run: Run) -> Iterator[RequestItem]:
    devices = run.installation.links_of(LinkKind.DEVICE)
    service = next(link for link in devices if link.position == SERVICE)
    for field, label in (
        ("kind", "kind of service device"),
        ("rating_a", "rating of the service device"),
    ):
        yield _of_fact(f"service_device_{field}", label, CONNECTION, service.data.number(field))


def _calculated(
    item: str, label: str, group: str, unit: str, compute: Callable[[], float]
) -> RequestItem:
    """Return a figure that is calculated, or not known where something for it is missing."""
    try:
        options: tuple[Value, ...] = (float(compute()),)
    except (NotKnown, NotTabulated, OutOfRange):
        options = ()
    origin = CALCULATED if options else ""
    return RequestItem(
        item=item, label=label, group=group, options=options, unit=unit, origin=origin
    )


def _demand(run: Run) -> Iterator[RequestItem]:
    through = run.operation.current_through
    yield _calculated(
        "existing_demand_a",
        "greatest existing demand of the worst phase",
        CONNECTION,
        "A",
        lambda: through(SERVICE, 0.0),
    )
    yield _calculated(
        "demand_with_station_a",
        "the same together with the station",
        CONNECTION,
        "A",
        lambda: through(SERVICE, run.requested().current_a),
    )


def _rated_power(run: Run) -> Iterator[RequestItem]:
    def apparent_kva() -> float:
        rated, _ = rated_current(run)
        voltage = SQRT3 * run.operation.nominal_voltage_v if three_phase(run) else to_neutral_v(run)
        return voltage * rated / 1000

    words = "rated apparent power, at nominal voltage"
    yield _calculated("rated_apparent_power_kva", words, STATION, "kVA", apparent_kva)
    words = "requested current per phase, at the lowest voltage"
    yield _calculated("requested_current_a", words, STATION, "A", lambda: run.requested().current_a)


def _effect(run: Run) -> Iterator[RequestItem]:
    if not _applies(run):
        return
    words = "short-circuit power reckoned with at the origin"
    yield _calculated(
        "reckoned_short_circuit_power_kva",
        words,
        EFFECT,
        "kVA",
        lambda: supply_strength(run).short_circuit_va / 1000,
    )
    words = "short-circuit ratio Rsce of the station here"
    yield _calculated("short_circuit_ratio", words, EFFECT, "", lambda: ratio_of(run)[0])
    stated = run.installation.station.has("largest_step_a")
    words = "voltage change of the " + (
        "largest step" if stated else "whole current, no step known"
    )
    yield _calculated("voltage_change_percent", words, EFFECT, "%", lambda: step_change(run)[1])
    words = "voltage unbalance by a station on one phase"
    if run.installation.station.word("phases").options != (_ALL_PHASES,):
        yield _calculated(
            "voltage_unbalance_percent",
            words,
            EFFECT,
            "%",
            lambda: single_phase_unbalance(run)[1],
        )


def _applies(run: Run) -> bool:
    """Whether the supply is, or may be, a public low-voltage network."""
    try:
        return is_public(run)
    except NotKnown:
        return True
