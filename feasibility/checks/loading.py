"""Does each link carry the current? One rating per link, taken from label, table or contract."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from feasibility.checks.carrying_capacity import ampacity
from feasibility.checks.device_band import curve_fact, is_adjustable, makers_points
from feasibility.checks.question import Check, Run, current_finding
from feasibility.checks.working import amount, given, step
from feasibility.installation.facts import Fact, NotKnown
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.installation.resolve import Resolved
from feasibility.result import Finding, Force, Step
from feasibility.survey.device_kinds import OTHER_DEVICE

_CARRY = "Does it carry the current continuously?"


def _links(*kinds: LinkKind) -> Callable[[Installation], Sequence[Link]]:
    def choose(installation: Installation) -> Sequence[Link]:
        return installation.links_of(*kinds)

    return choose


def _rated(run: Run, link: Link, field: str, symbol: str = "In") -> tuple[float, list[Step]]:
    """Return a rating that must be known, and its line in the working."""
    fact = link.data.number(field)
    value = run.ends.low_is_bad(fact)
    meaning = f"rating of {link.name}"
    return value, [step(symbol, meaning, "Ir", [given(fact, value, "Ir")], value, "A")]


def device_rating_a(run: Run, link: Link, *, high_is_bad: bool) -> float:
    """Return the rating of a protective device, or the overload setting of an adjustable one.

    NotKnown where kind, rating or that setting is open, and for a device of another standard
    without its maker's curve: what stands on it is then no rating that a standard vouches for.
    """
    data = link.data
    kind = run.ends.known(data.word("kind"))
    rating = data.number("rating_a")
    take = run.ends.high_is_bad if high_is_bad else run.ends.low_is_bad
    if kind == OTHER_DEVICE and not makers_points(data):
        raise NotKnown((curve_fact(data),))
    if not is_adjustable(data, kind):
        return take(rating)
    run.ends.known(rating)
    return take(data.number("setting_a"))


def _judge_device(run: Run, link: Link) -> Finding:
    value = device_rating_a(run, link, high_is_bad=False)
    rating = given(link.data.number(rating_field(link.data)), value, "Ir")
    factor = run.basis.limit("continuous_load_factor").quantity("fc", "continuous-load factor")
    permitted = value / factor.value
    steps = [
        step("In", f"usable rating of {link.name}", "Ir / fc", [rating, factor], permitted, "A")
    ]
    limit = run.basis.limit("design_current")
    return current_finding(DEVICE, link, run, limit, permitted, steps, "the device's rating")


def rating_field(data: Resolved) -> str:
    """Return the field that counts as the rating: the overload setting where there is one."""
    return "setting_a" if data.has("setting_a") else "rating_a"


def _judge_ampacity(run: Run, link: Link) -> Finding:
    rating = ampacity(run.installation, link, run.ends)
    limit = run.basis.limit("design_current")
    usable, steps = rating.value_a, list(rating.steps)
    factor = run.basis.limit("continuous_load_factor").quantity("fc", "continuous-load factor")
    if factor.value != 1:
        capacity = amount("Iz", "ampacity", rating.value_a, "A")
        usable = rating.value_a / factor.value
        meaning = "ampacity left for a continuous load"
        steps.append(step("Izc", meaning, "Iz / fc", [capacity, factor], usable, "A"))
    return current_finding(AMPACITY, link, run, limit, usable, steps, "the ampacity")


_RATING_FIELD = {
    LinkKind.OUTLET: "rating_a",
    LinkKind.PLUG: "plug_rating_a",
    LinkKind.INLET: "inlet_rating_a",
    LinkKind.PART: "rating_a",
    LinkKind.RESIDUAL_CURRENT_DEVICE: "rating_a",
    LinkKind.BOARD: "rated_current_a",
    LinkKind.METERING: "metering_continuous_a",
    LinkKind.STATION: "input_device_rating_a",
}


def _rated_links(installation: Installation) -> Sequence[Link]:
    """Every link with a rating; the station only where it has an input device of its own."""
    links = installation.links_of(*_RATING_FIELD)
    own = installation.station.mentions("input_device_rating_a")
    return [link for link in links if own or link.kind is not LinkKind.STATION]


def _judge_rating(run: Run, link: Link) -> Finding:
    value, steps = _rated(run, link, _RATING_FIELD[link.kind])
    limit = run.basis.limit("equipment_rating")
    return current_finding(RATING, link, run, limit, value, steps, "its rating")


def _with_continuous(installation: Installation) -> Sequence[Link]:
    links = installation.links_of(LinkKind.OUTLET, LinkKind.PART, LinkKind.DEVICE)
    return [link for link in links if link.data.mentions("continuous_a")]


def _judge_continuous(run: Run, link: Link) -> Finding:
    value, steps = _rated(run, link, "continuous_a", "Ic")
    limit = run.basis.limit("makers_continuous_current")
    what = "the maker's continuous current"
    return current_finding(CONTINUOUS, link, run, limit, value, steps, what)


def _sockets(installation: Installation) -> Sequence[Link]:
    if installation.outlet.word("kind").options == ("fixed connection",):
        return []
    return installation.links_of(LinkKind.OUTLET)


def _judge_share(run: Run, link: Link) -> Finding:
    fact = link.data.number("rating_a")
    rating = run.ends.low_is_bad(fact)
    limit = run.basis.limit("outlet_continuous_share")
    share = limit.quantity("s", "share advised for hours of load")
    advised = share.value * rating
    inputs = [share, given(fact, rating, "In")]
    steps = [step("Iadv", "advised continuous current", "s * In", inputs, advised, "A")]
    what = "the advised share of the outlet's rating"
    return current_finding(SHARE, link, run, limit, advised, steps, what)


def _judge_contract(run: Run, link: Link) -> Finding:
    supply = link.data
    limit = run.basis.limit("contracted_capacity")
    current, power = supply.number("contracted_current_a"), supply.number("contracted_power_kva")
    bounds: list[tuple[float, list[Step]]] = []
    if not current.is_open:
        bounds.append(_rated(run, link, "contracted_current_a", "Ict"))
    if not power.is_open:
        kva = run.ends.low_is_bad(power)
        voltage = run.operation.nominal_voltage_v
        value = 1000 * kva / (3**0.5 * voltage)
        inputs = [
            given(power, kva, "S"),
            given(supply.number("nominal_voltage_v"), voltage, "Un"),
        ]
        formula = "1000 * S / (sqrt(3) * Un)"
        steps = [step("Ict", "contracted current", formula, inputs, value, "A")]
        bounds.append((value, steps))
    if not bounds:
        raise NotKnown((_either(current, power),))
    value, steps = min(bounds, key=lambda bound: bound[0])
    return current_finding(CONTRACT, link, run, limit, value, steps, "the contracted capacity")


def _either(first: Fact[float], second: Fact[float]) -> Fact[float]:
    return Fact(
        path=first.path,
        label=f"{first.label} (or {second.label})",
        unit=first.unit,
        options=(),
    )


DEVICE = Check(
    name="device-rating",
    question=_CARRY,
    links=_links(LinkKind.DEVICE),
    judge=_judge_device,
    depends_on_current=True,
)
AMPACITY = Check(
    name="ampacity",
    question=_CARRY,
    links=_links(LinkKind.CABLE, LinkKind.CORD),
    judge=_judge_ampacity,
    depends_on_current=True,
)
RATING = Check(
    name="link-rating",
    question=_CARRY,
    links=_rated_links,
    judge=_judge_rating,
    depends_on_current=True,
)
CONTINUOUS = Check(
    name="continuous-current",
    question=_CARRY,
    links=_with_continuous,
    judge=_judge_continuous,
    depends_on_current=True,
)
SHARE = Check(
    name="outlet-share",
    question="Is the outlet loaded for hours within the advised share of its rating?",
    links=_sockets,
    judge=_judge_share,
    depends_on_current=True,
    force=Force.PRACTICE,
)
CONTRACT = Check(
    name="contracted-capacity",
    question="Is the site's total within what is contracted?",
    links=_links(LinkKind.CONTRACT),
    judge=_judge_contract,
    depends_on_current=True,
)

CHECKS = (CONTRACT, DEVICE, AMPACITY, RATING, CONTINUOUS, SHARE)
