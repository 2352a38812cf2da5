"""Does a protective device hold a current that never rests? Four limits, each of its own force.

What the device is rated for is a requirement (``loading``). Beside it stand the maker's own factors
for its enclosure and neighbours (a maker's limit), the share of the rating that practice advises
for a load of days, and the current beyond which a warm device may open although nothing is wrong
(a nuisance), by typical published factors where the maker's own are not known.
"""

from __future__ import annotations

from collections.abc import Sequence

from feasibility import tables
from feasibility.checks.device_band import is_adjustable
from feasibility.checks.loading import device_rating_a, rating_field
from feasibility.checks.question import Check, Run, current_finding
from feasibility.checks.working import given, step
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.installation.resolve import Resolved
from feasibility.result import Finding, Force, Quantity, Step
from feasibility.survey.device_kinds import ADJUSTABLE_BREAKER, FUSE

_OWN = (("temperature_factor", "kt"), ("grouping_factor", "kg"))


def _devices(installation: Installation) -> Sequence[Link]:
    return installation.links_of(LinkKind.DEVICE)


def _rating(run: Run, link: Link) -> tuple[float, Quantity]:
    value = device_rating_a(run, link, high_is_bad=False)
    return value, given(link.data.number(rating_field(link.data)), value, "Ir")


def _with_own_factors(installation: Installation) -> Sequence[Link]:
    return [
        link for link in _devices(installation) if any(link.data.has(field) for field, _ in _OWN)
    ]


def _judge_own(run: Run, link: Link) -> Finding:
    held, rating = _rating(run, link)
    inputs, formula = [rating], "Ir"
    for field, symbol in _OWN:
        if link.data.has(field):
            fact = link.data.number(field)
            factor = run.ends.low_is_bad(fact)
            held *= factor
            inputs.append(given(fact, factor, symbol))
            formula += f" * {symbol}"
    steps = [step("Im", f"what the maker lets {link.name} carry", formula, inputs, held, "A")]
    limit = run.basis.limit("device_makers_factors")
    what = "its maker's current at this temperature and beside its neighbours"
    return current_finding(OWN, link, run, limit, held, steps, what)


def _judge_share(run: Run, link: Link) -> Finding:
    value, rating = _rating(run, link)
    limit = run.basis.limit("device_continuous_share")
    share = limit.quantity("s", "share advised for days of load")
    advised = share.value * value
    steps = [step("Iadv", "advised continuous current", "s * Ir", [share, rating], advised, "A")]
    return current_finding(
        SHARE, link, run, limit, advised, steps, "the advised share of its rating"
    )


def _judge_hold(run: Run, link: Link) -> Finding:
    data = link.data
    limit = run.basis.limit("device_hold")
    what = "its holding current when warm"
    meaning = f"what {link.name} holds for days"
    if data.has("continuous_a"):
        device_rating_a(run, link, high_is_bad=False)
        own = data.number("continuous_a")
        held = run.ends.low_is_bad(own)
        steps = [
            step("Ihold", "maker's continuous current", "I", [given(own, held, "I")], held, "A")
        ]
        return current_finding(HOLD, link, run, limit, held, steps, what)
    held, rating = _rating(run, link)
    inputs, formula, lines = [rating], "Ir", list[Step]()
    for factor, line in (_temperature(run, data), _grouping(run, data)):
        held *= factor.value
        inputs.append(factor)
        formula += f" * {factor.symbol}"
        lines += line
    steps = [*lines, step("Ihold", meaning, formula, inputs, held, "A")]
    return current_finding(HOLD, link, run, limit, held, steps, what)


def _temperature(run: Run, data: Resolved) -> tuple[Quantity, list[Step]]:
    """Return the factor for the temperature in the enclosure: the maker's, else a typical one."""
    if data.has("temperature_factor"):
        fact = data.number("temperature_factor")
        return given(fact, run.ends.low_is_bad(fact), "kt"), []
    kind = run.ends.known(data.word("kind"))
    fact = data.number("enclosure_temperature_c")
    temperature = run.ends.high_is_bad(fact)
    if is_adjustable(data, kind):
        lowest, _ = tables.breaker_ambient_factors(
            device=ADJUSTABLE_BREAKER, temperature_c=temperature
        )
        return lowest.named("kt"), []
    inside = given(fact, temperature, "T")
    basis = run.basis
    above = temperature - basis.number(_reference(data, kind))
    reference = basis.limit(_reference(data, kind)).quantity("T0", "reference temperature")
    if kind == FUSE:
        slope = basis.limit("fuse_factor_per_k").quantity("a", "reduction per kelvin")
        value = 1 - slope.value * max(above, 0.0)
        formula, inputs = "1 - a * max(T - T0, 0)", [slope, inside, reference]
    else:
        per_10k = basis.limit("device_factor_per_10k").quantity("k10", "factor per 10 K")
        value = per_10k.value ** (max(above, 0.0) / 10)
        formula, inputs = "k10 ** (max(T - T0, 0) / 10)", [per_10k, inside, reference]
    meaning = "typical factor for the temperature in the enclosure"
    line = step("kt", meaning, formula, inputs, value, "")
    return Quantity(value=value, unit="", symbol="kt", meaning=meaning), [line]


def _reference(data: Resolved, kind: str) -> str:
    """Return the key of the temperature at which a device is calibrated."""
    if kind == FUSE:
        return "fuse_reference_temperature_c"
    letters = data.word("characteristic").options
    if kind == ADJUSTABLE_BREAKER and set(letters) & {"K", "Z"}:
        return "device_reference_temperature_k_z_c"
    return "device_reference_temperature_c"


def _grouping(run: Run, data: Resolved) -> tuple[Quantity, list[Step]]:
    """Return the factor for loaded neighbours: the maker's, else a typical one; 1 for a fuse."""
    if data.has("grouping_factor"):
        fact = data.number("grouping_factor")
        return given(fact, run.ends.low_is_bad(fact), "kg"), []
    if run.ends.known(data.word("kind")) == FUSE:
        meaning = "no typical factor is published for fuses side by side"
        return Quantity(value=1.0, unit="", symbol="kg", meaning=meaning), []
    neighbours = run.ends.high_is_bad(data.number("loaded_neighbours"))
    return tables.breaker_grouping_factor(units=int(neighbours) + 1).named("kg"), []


OWN = Check(
    name="device-makers-factors",
    question="Does the maker let the device carry the current where it stands?",
    links=_with_own_factors,
    judge=_judge_own,
    depends_on_current=True,
    force=Force.MAKERS_LIMIT,
)
SHARE = Check(
    name="device-share",
    question="Is the device loaded for days within the advised share of its rating?",
    links=_devices,
    judge=_judge_share,
    depends_on_current=True,
    force=Force.PRACTICE,
)
HOLD = Check(
    name="device-hold",
    question="Does the device hold the current for days in its enclosure?",
    links=_devices,
    judge=_judge_hold,
    depends_on_current=True,
    force=Force.NUISANCE,
)

CHECKS = (OWN, SHARE, HOLD)
