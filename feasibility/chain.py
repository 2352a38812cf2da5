"""The chain (what each link still lets the station draw) and the feed path for the drawing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.installation.resolve import words_of
from feasibility.result import Finding, Outcome, Quantity
from feasibility.survey.circuit import Cable, Device

_WEAKEST_NAMED = 3

_SEVERITY = (
    Outcome.FAIL,
    Outcome.OPEN,
    Outcome.CAUTION,
    Outcome.PASS,
    Outcome.NOT_APPLICABLE,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainLink:
    """One bar of the chain: the station current that the link still lets through, per phase in A.

    ``carries_a`` counts requirements and makers' limits, ``advised_a`` recommendations and
    practice as well; None where nothing of the kind limits it or it is not known (``outcome``
    is then ``open``).
    """

    name: str
    kind: str
    carries_a: float | None
    advised_a: float | None
    outcome: Outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class WeakLink:
    """A link that holds the current down: by which check, and at which station current in A."""

    name: str
    check: str
    carries_a: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PathElement:
    """One element of the one-line drawing, in feed order.

    ``kind`` is the kind of link or ``board``; ``details`` are surveyed values, shown as they are.
    """

    name: str
    kind: str
    details: tuple[Quantity | str, ...]


def chain_of(installation: Installation, findings: Sequence[Finding]) -> tuple[ChainLink, ...]:
    """Return one entry per link, in feed order."""
    return tuple(_chain_link(link, findings) for link in installation.links)


def weakest_links(findings: Iterable[Finding]) -> tuple[WeakLink, ...]:
    """Return the weakest links, at most three, the weakest one first.

    What is behind the weakest one decides how much a change of it alone can give.
    """
    weakest: dict[str, WeakLink] = {}
    for one in sorted(
        (f for f in findings if f.link and f.force.binds and f.carries_a is not None),
        key=lambda finding: finding.carries_a or 0.0,
    ):
        carries_a = one.carries_a or 0.0
        weakest.setdefault(one.link, WeakLink(name=one.link, check=one.check, carries_a=carries_a))
    return tuple(weakest.values())[:_WEAKEST_NAMED]


def _chain_link(link: Link, findings: Iterable[Finding]) -> ChainLink:
    own = [one for one in findings if one.link == link.name and one.depends_on_current]
    binding = [f.carries_a for f in own if f.force.binds and f.carries_a is not None]
    every = [f.carries_a for f in own if f.carries_a is not None]
    outcomes = {one.outcome for one in findings if one.link == link.name}
    worst = next((o for o in _SEVERITY if o in outcomes), Outcome.NOT_APPLICABLE)
    return ChainLink(
        name=link.name,
        kind=link.kind.value,
        carries_a=min(binding, default=None),
        advised_a=min(every, default=None),
        outcome=worst,
    )


_SHOWN = {
    LinkKind.DEVICE: (
        "kind",
        "description",
        "characteristic",
        "fuse_system",
        "release",
        "rating_a",
        "setting_a",
        "short_time_setting_a",
        "short_time_delay_s",
        "magnetic_setting_a",
        "breaking_capacity_ka",
    ),
    LinkKind.RESIDUAL_CURRENT_DEVICE: ("type", "residual_current_ma", "rating_a"),
    LinkKind.CABLE: ("section_mm2", "conductor", "insulation", "method", "length_m"),
    LinkKind.CORD: ("section_mm2", "grade", "length_m"),
    LinkKind.PLUG: ("plug_rating_a", "plug_poles"),
    LinkKind.OUTLET: ("kind", "rating_a", "poles", "clock_position"),
    LinkKind.PART: ("rating_a",),
    LinkKind.TRANSFORMER: (
        "rated_power_kva",
        "short_circuit_voltage_percent",
        "vector_group",
        "rated_secondary_voltage_v",
    ),
    LinkKind.METERING: ("metering_continuous_a",),
    LinkKind.CONTRACT: ("contracted_current_a", "contracted_power_kva"),
    LinkKind.INLET: ("inlet_rating_a",),
    LinkKind.STATION: ("dc_power_kw", "input_power_kw", "nameplate_current_a", "setting_a"),
}


def path_of(installation: Installation) -> tuple[PathElement, ...]:
    """Return the elements of the one-line drawing from the service to the station."""
    elements: list[PathElement] = []
    position = -1
    for link in installation.links:
        if link.kind is LinkKind.BOARD:
            continue  # named where the circuit that leaves it begins
        if position < link.position < len(installation.circuits) and link.position > 0:
            board = installation.circuits[link.position].starts_at
            elements.append(PathElement(name=board, kind="board", details=()))
        position = max(position, link.position)
        elements.append(PathElement(name=link.name, kind=link.kind.value, details=_details(link)))
    return tuple(elements)


def _details(link: Link) -> tuple[Quantity | str, ...]:
    shown: list[Quantity | str] = []
    for field in _SHOWN.get(link.kind, ()):
        if not link.data.mentions(field):
            continue
        fact = link.data.number(field)
        if len(fact.options) != 1:
            shown.append(f"{words_of(field)} not known")
            continue
        value: object = fact.options[0]
        if isinstance(value, str):
            shown.append(f"fuse system {value}" if field == "fuse_system" else value)
        elif isinstance(value, (int, float)):
            shown.append(Quantity(value=float(value), unit=fact.unit, meaning=fact.label))
    if link.detail:
        shown.insert(0, link.detail)
    return (*shown, *_of_device(link), *_in_parallel(link))


def _of_device(link: Link) -> tuple[str, ...]:
    """Return whose curve counts for a device, and whose it is, where the survey says so."""
    record = link.data.record
    if not isinstance(record, Device):
        return ()
    words = ["with the maker's curve"] if record.curve_point else []
    return (*words, f"owner: {record.owner}") if record.owner else tuple(words)


def _in_parallel(link: Link) -> tuple[str, ...]:
    """Return how many cables lie beside each other, where it is more than one."""
    record = link.data.record
    if not isinstance(record, Cable):
        return ()
    equal = link.data.number("in_parallel").options
    words = [f"{equal[0]} in parallel"] if len(equal) == 1 and equal[0] > 1 else []
    if record.parallel_cable:
        words.append(f"with {len(record.parallel_cable)} unequal in parallel")
    return tuple(words)
