"""Is the neutral large enough? IEC 60364-5-52, 524.2, 524.3 and Annex E.

A station on three phases drives three times its third harmonic through the neutral, and the current
of its auxiliaries. Of the site's other loads the worst phase counts without relief from the others;
their third harmonics are not known and not counted.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from feasibility import tables
from feasibility.checks.carrying_capacity import ampacity
from feasibility.checks.conductor import (
    harmonic_factor,
    loaded_conductors,
    third_harmonic_percent,
    third_harmonic_percents,
)
from feasibility.checks.question import NOISE, Check, Run, current_finding, finding, verdict_of
from feasibility.checks.station_load import worst_auxiliary
from feasibility.checks.working import amount, given, step
from feasibility.clauses.load_current import neutral_third_harmonic_a
from feasibility.code_basis import Limit
from feasibility.installation.facts import NotKnown
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.result import Finding, Outcome, Quantity, Step
from feasibility.survey.circuit import Cable
from feasibility.units import SQRT3

_FULL_UP_TO = {
    "copper": "neutral_full_up_to_copper_mm2",
    "aluminium": "neutral_full_up_to_aluminium_mm2",
}
_ALL_PHASES = "L1L2L3"


def _stated(installation: Installation) -> Sequence[Link]:
    cables = installation.links_of(LinkKind.CABLE)
    return [link for link in cables if link.data.mentions("neutral_section_mm2")]


def _judge_section(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("neutral_section")
    fact = link.data.number("neutral_section_mm2")
    neutral = run.ends.low_is_bad(fact)
    line = run.ends.high_is_bad(link.data.number("section_mm2"))
    passes, words = _permitted(run, link, neutral, line)
    return finding(
        SECTION,
        link,
        limit,
        verdict_of(limit, passes=passes),
        words,
        {
            "neutral": given(fact, neutral, "Sn"),
            "line": amount("S", "line conductor", line, "mm²"),
        },
    )


def _permitted(run: Run, link: Link, neutral: float, line: float) -> tuple[bool, str]:
    if neutral >= line:
        return True, "The neutral of {neutral} is not smaller than the line conductor."
    if neutral == 0:
        return _without(run, link)
    material = run.ends.known(link.data.word("conductor"))
    least = run.basis.number(_FULL_UP_TO[material])
    if loaded_conductors(run.installation, link) == 2 or not neutral >= least:
        return False, "A neutral of {neutral} is not permitted beside line conductors of {line}."
    if third_harmonic_percent(run.installation, run.ends) > run.basis.number(
        "neutral_harmonic_percent"
    ):
        return False, "Third harmonic above 15 %: the neutral of {neutral} must not be reduced."
    return True, "A neutral of {neutral} is permitted beside {line} if it carries its own current."


def _without(run: Run, link: Link) -> tuple[bool, str]:
    needed = run.ends.bad_if(run.installation.station.flag("needs_neutral"), bad=True)
    single = run.ends.known(run.installation.station.word("phases")) != _ALL_PHASES
    if needed or single or not run.operation.carries_only_the_station(link.position):
        return False, "There is no neutral, but the station or the site needs one."
    return True, "There is no neutral and nothing behind it needs one."


def _with_current(installation: Installation) -> Sequence[Link]:
    """Return every cable and the cord whose neutral can carry a current."""
    station = installation.station
    none_of_its_own = station.flag("needs_neutral").options == (False,)
    alike = station.word("phases").options == (_ALL_PHASES,)
    return [
        link
        for link in installation.links_of(LinkKind.CABLE, LinkKind.CORD)
        if link.data.number("neutral_section_mm2").options != (0,)
        and not (none_of_its_own and alike and not _others_behind(installation, link))
    ]


def _others_behind(installation: Installation, link: Link) -> bool:
    return any(demand.node > link.position for demand in installation.demands)


def _judge_current(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("neutral_current")
    iz, capacity_steps = _capacity(run, link)
    if not all(run.operation.phases_of_station()):
        what = "what the neutral carries"
        return current_finding(CURRENT, link, run, limit, iz, capacity_steps, what)
    loads = [_loaded(run, link, iz, share) for share in _shares(run)]
    carries: float | None = min(load.carries_a for load in loads)
    if carries is not None and carries >= ampacity(run.installation, link, run.ends).value_a:
        carries = None  # the line conductors hold the current before the neutral does
    try:
        station_a = run.requested().current_a
    except NotKnown as missing:
        words = "The requested current is not known; not known: {facts}."
        return finding(
            CURRENT,
            link,
            limit,
            Outcome.OPEN,
            words,
            {"facts": str(missing)},
            working=capacity_steps,
            unit="A",
            carries_a=carries,
            facts=missing.facts,
        )
    worst = max(loads, key=lambda load: load.current_a(station_a) / load.capacity_a)
    return _answer(link, limit, worst, station_a, carries, capacity_steps)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Load:
    """What a three-phase station and the site put on a neutral, for one third harmonic in %."""

    percent: Quantity
    site_a: float
    auxiliary_a: float
    auxiliary_steps: tuple[Step, ...]
    ampacity_a: float
    factor: Quantity

    @property
    def capacity_a(self) -> float:
        """What the neutral carries, with the factor of Table E.52.1 for this third harmonic."""
        return self.ampacity_a * self.factor.value

    def current_a(self, station_a: float) -> float:
        """Return the current of the neutral at this station current."""
        triple = neutral_third_harmonic_a(
            line_current_a=station_a, third_harmonic_ratio=self.percent.value / 100
        )
        return self.site_a + self.auxiliary_a + float(triple)

    @property
    def carries_a(self) -> float:
        """Largest station current that the neutral bears."""
        left = self.capacity_a - self.site_a - self.auxiliary_a
        if left < -NOISE * self.capacity_a:
            return 0.0
        if self.percent.value == 0:
            return math.inf
        return max(left, 0.0) / (3 * self.percent.value / 100)

    def steps(self, station_a: float) -> tuple[Step, ...]:
        """Return the working."""
        words = "other loads: the worst phase, as if the other phases drew nothing"
        inputs = [
            amount("Ie", words, self.site_a, "A"),
            amount("Ia", "auxiliaries of the station", self.auxiliary_a, "A"),
            self.percent,
            amount("Is", "requested current of the station", station_a, "A"),
        ]
        meaning = "current of the neutral; third harmonics of other loads not counted"
        formula = "Ie + Ia + 3 * h3 / 100 * Is"
        current = step("In", meaning, formula, inputs, self.current_a(station_a), "A")
        bounds = [amount("Izn", "ampacity of the neutral", self.ampacity_a, "A"), self.factor]
        meaning = "what the neutral carries"
        carried = step("Icn", meaning, "Izn * ch", bounds, self.capacity_a, "A")
        return (*self.auxiliary_steps, current, carried)


@dataclass(frozen=True, slots=True, kw_only=True)
class NeutralLimit:
    """What bounds the current of a neutral under a three-phase station, for one third harmonic.

    site + ``auxiliary_a`` + ``per_station_a`` times the station's current <= ``capacity_a``.
    """

    capacity_a: float
    auxiliary_a: float
    per_station_a: float


def neutral_limits(run: Run, link: Link) -> tuple[NeutralLimit, ...]:
    """Return the bounds that the check of a neutral's current uses, whatever the site draws."""
    iz, _ = _capacity(run, link)
    loads = [_loaded(run, link, iz, share) for share in _shares(run)]
    return tuple(
        NeutralLimit(
            capacity_a=load.capacity_a,
            auxiliary_a=load.auxiliary_a,
            per_station_a=3 * load.percent.value / 100,
        )
        for load in loads
    )


def _shares(run: Run) -> tuple[Quantity, ...]:
    """Return the third harmonics of the station to look at."""
    fact = run.installation.station.number("third_harmonic_percent")
    return tuple(
        given(fact, percent, "h3")
        for percent in third_harmonic_percents(run.installation, run.ends)
    )


def _loaded(run: Run, link: Link, iz: float, percent: Quantity) -> _Load:
    factor, _ = tables.third_harmonic_factor(third_harmonic_percent=percent.value)
    auxiliary, steps = _auxiliary_a(run)
    return _Load(
        percent=percent,
        site_a=run.operation.current_through(link.position, 0.0),
        auxiliary_a=auxiliary,
        auxiliary_steps=steps,
        ampacity_a=iz,
        factor=factor,
    )


def _auxiliary_a(run: Run) -> tuple[float, tuple[Step, ...]]:
    """Return what the auxiliaries of the worst phase put on the neutral."""
    if not run.ends.bad_if(run.installation.station.flag("needs_neutral"), bad=True):
        return 0.0, ()
    power = worst_auxiliary(run.operation, (True, True, True))
    operation = run.operation
    origin = operation.lowest_source_voltage_v()
    if operation.transformer_branch() is not None:
        origin = operation.origin_voltage_v(run.requested().current_a)
    to_neutral = origin / SQRT3
    current = power.value / to_neutral
    inputs = [power, amount("Uph", "lowest voltage to neutral at the origin", to_neutral, "V")]
    meaning = "auxiliaries of the worst phase"
    return current, (step("Ia", meaning, "Pa / Uph", inputs, current, "A"),)


def _answer(
    link: Link,
    limit: Limit,
    load: _Load,
    station_a: float,
    carries_a: float | None,
    capacity_steps: Sequence[Step],
) -> Finding:
    value, bound = load.current_a(station_a), load.capacity_a
    outcome = verdict_of(limit, passes=value <= bound * (1 + NOISE))
    if outcome is Outcome.PASS and carries_a is not None:
        carries_a = max(carries_a, station_a)
    words = "The neutral has to carry {value}, which "
    within = outcome is Outcome.PASS
    words += ("is within" if within else "exceeds") + " the {limit} that it carries."
    if load.site_a:
        words += " Third harmonics of the site's other loads are not known and not counted."
    return finding(
        CURRENT,
        link,
        limit,
        outcome,
        words,
        {
            "value": amount("In", "current of the neutral", value, "A"),
            "limit": amount("Icn", "what the neutral carries", bound, "A"),
        },
        working=(*capacity_steps, *load.steps(station_a)),
        value=value,
        bound=bound,
        unit="A",
        carries_a=carries_a,
    )


def _capacity(run: Run, link: Link) -> tuple[float, list[Step]]:
    """Return the ampacity of the neutral conductor, not reduced for third harmonics."""
    rating = ampacity(run.installation, _as_neutral(run, link), run.ends)
    factor = harmonic_factor(run.installation, link, run.ends)
    steps = list(rating.steps)
    if factor is None:
        return rating.value_a, steps
    found = rating.value_a / factor.value
    inputs = [
        amount("Iz", "ampacity with the third-harmonic factor", rating.value_a, "A"),
        factor.named("cl", "third-harmonic factor on the line current"),
    ]
    meaning = "ampacity of the neutral without that factor"
    steps.append(step("Izn", meaning, "Iz / cl", inputs, found, "A"))
    return found, steps


def _as_neutral(run: Run, link: Link) -> Link:
    """Return the link as if its line conductors had the section of its neutral."""
    record = link.data.record
    if not isinstance(record, Cable) or not link.data.has("neutral_section_mm2"):
        return link
    neutral = run.ends.low_is_bad(link.data.number("neutral_section_mm2"))
    if neutral >= run.ends.low_is_bad(link.data.number("section_mm2")):
        return link
    # A data-sheet ampacity belongs to the line conductors, not to a smaller neutral.
    changed = {"section_mm2": record.neutral_section_mm2, "ampacity_a": None}
    return replace(link, data=replace(link.data, record=record.model_copy(update=changed)))


SECTION = Check(
    name="neutral-section",
    question="Is the neutral large enough?",
    links=_stated,
    judge=_judge_section,
)
CURRENT = Check(
    name="neutral-current",
    question="Does the neutral carry its current, third harmonics included?",
    links=_with_current,
    judge=_judge_current,
    depends_on_current=True,
)

CHECKS = (SECTION, CURRENT)
