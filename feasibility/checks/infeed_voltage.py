"""By how much second sources raise the voltage while nothing draws: a bright day without load."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from feasibility import tables
from feasibility.checks.fault_conductors import hottest_c
from feasibility.checks.impedance import Impedance, line_impedance, neutral_impedance
from feasibility.checks.infeed import all_sources, feeds_in_parallel
from feasibility.checks.own_transformer import described
from feasibility.checks.question import Check, Run, finding, the_station, verdict_of
from feasibility.checks.voltage import window_voltage
from feasibility.checks.voltage_band import highest_voltage
from feasibility.checks.working import amount, step
from feasibility.clauses.infeed import voltage_rise_v
from feasibility.installation.facts import Fact, NotKnown
from feasibility.installation.model import Installation, Link, LinkKind, SourceAt
from feasibility.result import Finding, Force, Outcome, Step
from feasibility.units import SQRT3

_PHASES = ("L1", "L2", "L3")
_ALL = "L1L2L3"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Output:
    """What a source feeds in: its current, in which phases, and what comes back in the neutral."""

    source: SourceAt
    current_a: float
    phases: str

    def on(self, phase: str) -> float:
        """Return its current in a phase, in A."""
        return self.current_a if phase in self.phases else 0.0

    def back(self, phase: str) -> float:
        """Return what of that comes back through the neutral: nothing of all three phases."""
        return 0.0 if self.phases == _ALL else self.on(phase)


def _each_source(installation: Installation) -> Sequence[Link]:
    return [_link_of(source) for source in all_sources(installation)]


def _link_of(source: SourceAt) -> Link:
    name = f"second source '{source.name}'"
    return Link(name=name, kind=LinkKind.BOARD, position=source.node - 1, data=source.data)


def _outputs(run: Run) -> list[_Output]:
    """Return what feeds in beside the network, all of it at once and at its rating."""
    sources = all_sources(run.installation)
    return [_output(run, one) for one in sources if feeds_in_parallel(run, one)]


def _output(run: Run, source: SourceAt) -> _Output:
    data = source.data
    phases = run.ends.known(data.word("phases"))
    current, power = data.number("rated_current_a"), data.number("rated_power_kw")
    if not current.is_open:
        return _Output(source=source, current_a=run.ends.high_is_bad(current), phases=phases)
    if power.is_open:
        label = f"{current.label} (or {power.label})"
        raise NotKnown((Fact(path=current.path, label=label, unit="A", options=()),))
    of_each = run.ends.high_is_bad(power) / (3 if phases == _ALL else 1)
    amperes = 1000 * of_each * SQRT3 / run.operation.nominal_voltage_v
    return _Output(source=source, current_a=amperes, phases=phases)


def _before(installation: Installation, source: SourceAt) -> list[Link]:
    """Return the cables from the origin to a source."""
    on_path = [cable for one in installation.circuits[: source.node] for cable in one.cables]
    return [*on_path, *source.branch]


def _rise(
    run: Run, outputs: Sequence[_Output], cables: Sequence[Link], *, between: bool
) -> tuple[float, list[Step]]:
    """Return the rise over cables in V, each with the current of every source behind it.

    To neutral in the worst phase; or ``between`` lines, where it is at most root three times the
    greatest sum of line resistance times current of one phase.
    """
    reach = [{link.data.path for link in _before(run.installation, one.source)} for one in outputs]
    pieces = [
        _Piece.of(run, cable, behind)
        for cable in cables
        if (
            behind := [
                one for one, paths in zip(outputs, reach, strict=True) if cable.data.path in paths
            ]
        )
    ]
    sums = {
        phase: sum(piece.rise_v(phase, with_neutral=not between) for piece in pieces)
        for phase in _PHASES
    }
    worst = max(_PHASES, key=lambda phase: sums[phase])
    steps = [
        line
        for number, piece in enumerate(pieces, start=1)
        for line in piece.steps(number, worst, with_neutral=not between)
    ]
    inputs = [amount(one.symbol, one.meaning, one.result, "V") for one in steps if one.unit == "V"]
    total = sums[worst]
    formula = " + ".join(one.symbol for one in inputs) or "0"
    if between:
        formula, total = f"sqrt(3) * ({formula})", SQRT3 * total
    meaning = f"rise from the origin, {'between lines' if between else 'to neutral'}"
    return total, [*steps, step("dU", meaning, formula, inputs, total, "V")]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Piece:
    """A cable at the highest permitted temperature, and the sources that feed in through it."""

    name: str
    line: Impedance
    neutral: Impedance
    celsius: float
    behind: Sequence[_Output]

    @classmethod
    def of(cls, run: Run, cable: Link, behind: Sequence[_Output]) -> _Piece:
        return cls(
            name=cable.name,
            line=line_impedance(cable, run.ends),
            neutral=neutral_impedance(cable, run.ends),
            celsius=hottest_c(run, cable),
            behind=behind,
        )

    def rise_v(self, phase: str, *, with_neutral: bool) -> float:
        """Return the rise in a phase over this cable, in V."""
        back = sum(one.back(phase) for one in self.behind) if with_neutral else 0.0
        return float(
            voltage_rise_v(
                current_a=sum(one.on(phase) for one in self.behind),
                line_resistance_ohm=self.line.resistance_at(self.celsius),
                return_current_a=back,
                neutral_resistance_ohm=self.neutral.resistance_at(self.celsius),
            )
        )

    def steps(self, number: int, phase: str, *, with_neutral: bool) -> list[Step]:
        """Return the working of one cable: its resistances hot, and the rise."""
        current = sum(one.on(phase) for one in self.behind)
        back = sum(one.back(phase) for one in self.behind) if with_neutral else 0.0
        line = self._hot(f"RL{number}", "line conductor", self.line)
        inputs = [
            amount(f"Ig{number}", f"infeed through {self.name}, {phase}", current, "A"),
            amount(line.symbol, line.meaning, line.result, "Ω"),
        ]
        formula = f"Ig{number} * RL{number}"
        lines = [*self.line.steps, line]
        if back > 0:
            neutral = self._hot(f"RN{number}", "neutral", self.neutral)
            inputs.append(amount(f"In{number}", "what comes back in the neutral", back, "A"))
            inputs.append(amount(neutral.symbol, neutral.meaning, neutral.result, "Ω"))
            formula += f" + In{number} * RN{number}"
            lines += [*self.neutral.steps, neutral]
        value = self.rise_v(phase, with_neutral=with_neutral)
        meaning = f"rise over {self.name}, {phase}"
        return [*lines, step(f"dU{number}", meaning, formula, inputs, value, "V")]

    def _hot(self, symbol: str, what: str, one: Impedance) -> Step:
        inputs = [
            amount("R20", f"{what} at 20 °C", one.resistance_20c_ohm, "Ω"),
            amount("a", "temperature coefficient", one.coefficient_per_k, "1/K"),
            amount("T", "highest permitted conductor temperature", self.celsius, "°C"),
        ]
        meaning = f"{what} of {self.name}, hot"
        formula = "R20 * (1 + a * (T - 20))"
        return step(symbol, meaning, formula, inputs, one.resistance_at(self.celsius), "Ω")


def _at_source(run: Run, link: Link) -> tuple[float, list[Step]] | None:
    """Return the rise up to a source in % of the nominal voltage; None if it never feeds in."""
    sources = all_sources(run.installation)
    source = next(one for one in sources if one.data.path == link.data.path)
    if not feeds_in_parallel(run, source):
        return None
    cables = _before(run.installation, source)
    volts, steps = _rise(run, _outputs(run), cables, between=False)
    inputs = [
        amount("dU", "rise from the origin, to neutral", volts, "V"),
        amount("Un", "nominal voltage", run.operation.nominal_voltage_v, "V"),
    ]
    percent = 100 * SQRT3 * volts / inputs[1].value
    meaning = "rise from the origin in per cent"
    return percent, [*steps, step("u", meaning, "100 * sqrt(3) * dU / Un", inputs, percent, "%")]


def _highest_at_origin(run: Run) -> tuple[float, list[Step]]:
    """Return the highest voltage at the origin, with what infeed raises in an own transformer.

    Between lines for a three-phase station, else to neutral.
    """
    highest, steps = highest_voltage(run)
    own = run.operation.transformer_branch()
    outputs = _outputs(run)
    if own is None or not outputs:
        return highest, steps
    between = all(run.operation.phases_of_station())

    def raised(phase: str) -> tuple[float, float, float]:
        current = sum(one.on(phase) for one in outputs)
        back = 0.0 if between else sum(one.back(phase) for one in outputs)
        volts = voltage_rise_v(
            current_a=current,
            line_resistance_ohm=own.resistance_ohm,
            return_current_a=back,
            neutral_resistance_ohm=own.neutral_resistance_ohm,
        )
        return float(volts), current, back

    volts, current, back = max(raised(phase) for phase in _PHASES)
    inputs = [
        amount("Ua", "without infeed", highest, "V"),
        amount("It", "infeed through the transformer, worst phase", current, "A"),
        amount("Rt", "resistance of its windings", own.resistance_ohm, "Ω"),
    ]
    formula = "Ua + sqrt(3) * It * Rt" if between else "Ua + It * Rt"
    if back > 0:
        inputs.append(amount("Ib", "what comes back in the neutral", back, "A"))
        inputs.append(amount("Rn", "that the neutral adds", own.neutral_resistance_ohm, "Ω"))
        formula += " + Ib * Rn"
    total = highest + volts * (SQRT3 if between else 1.0)
    meaning = "highest voltage at the origin with full infeed"
    return total, [*steps, step("Uh", meaning, formula, inputs, total, "V")]


def _nothing(check: Check, run: Run, link: Link) -> Finding:
    limit = run.basis.limit("infeed_voltage_rise_percent")
    words = "Nothing feeds in here beside the network."
    return finding(check, link, limit, Outcome.NOT_APPLICABLE, words)


def _judge_rise(run: Run, link: Link) -> Finding:
    """Hold the rise over the wiring of the site to what is advised for it."""
    limit = run.basis.limit("infeed_voltage_rise_percent")
    found = _at_source(run, link)
    if found is None:
        return _nothing(RISE, run, link)
    percent, steps = found
    bound = limit.quantity("umax", "advised rise")
    passes = percent <= bound.value
    words = "is within" if passes else "exceeds"
    return finding(
        RISE,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "With everything feeding in and no load the voltage rises by {value} from the origin to "
        "here, which " + words + " the advised {bound}.",
        {"value": amount("u", "rise", percent, "%"), "bound": bound},
        working=steps,
        value=percent,
        bound=bound.value,
        unit="%",
    )


def _judge_place(run: Run, link: Link) -> Finding:
    """Hold the voltage at a source, above the highest of the supply, to what equipment takes."""
    limit = run.basis.limit("infeed_highest_voltage_percent")
    found = _at_source(run, link)
    if found is None:
        return _nothing(PLACE, run, link)
    percent, steps = found
    highest, before = _highest_at_origin(run)
    between = all(run.operation.phases_of_station())
    nominal = run.operation.nominal_voltage_v
    if not between:
        nominal = tables.named_voltage_to_earth_v(line_voltage_v=nominal)
    inputs = [
        amount("Uh", "highest voltage at the origin", highest, "V"),
        amount("Ur", "nominal voltage", nominal, "V"),
        amount("u", "rise from the origin", percent, "%"),
    ]
    value = 100 * highest / nominal + percent
    meaning = "highest voltage here, in per cent of the nominal one"
    bound = limit.quantity("ulim", "highest voltage that equipment is made for")
    passes = value <= bound.value
    words = (
        "no more than the {bound} that equipment is made for."
        if passes
        else "above the {bound} that equipment is made for: the source may switch off by itself. "
        "The voltage measured at the origin on a bright day tells whether the supply leaves room."
    )
    return finding(
        PLACE,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "With everything feeding in, no load and the highest supply voltage there are {value} of "
        "the nominal voltage here, " + words,
        {"value": amount("U", "highest voltage", value, "%"), "bound": bound},
        working=(*before, *steps, step("U", meaning, "100 * Uh / Ur + u", inputs, value, "%")),
        value=value,
        bound=bound.value,
        unit="%",
    )


def _at_station(installation: Installation) -> Sequence[Link]:
    """Return the station where something feeds in behind the origin, or an own transformer."""
    sources = all_sources(installation)
    raised = any(one.node > 0 for one in sources) or (sources and described(installation))
    return the_station(installation) if raised else []


def _judge_station(run: Run, link: Link) -> Finding:
    """Hold the voltage at the idle station to the highest one that its maker permits."""
    limit = run.basis.limit("minimum_operating_voltage")
    cables = [cable for one in run.installation.circuits for cable in one.cables]
    outputs = _outputs(run)
    if not outputs:
        return _nothing(STATION, run, link)
    between = all(run.operation.phases_of_station())
    added, steps = _rise(run, outputs, cables, between=between)
    highest, before = _highest_at_origin(run)
    bound, bound_steps = window_voltage(run, "maximum_voltage_v", high_is_bad=False)
    value = highest + added
    passes = value <= bound
    words = "within" if passes else "above"
    inputs = [
        amount("Uh", "highest voltage at the origin", highest, "V"),
        amount("dU", "rise up to the station", added, "V"),
    ]
    return finding(
        STATION,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "With everything feeding in and no load the idle station may see {value}, "
        + words
        + " the {limit} that it accepts.",
        {"value": amount("U", "", value, "V"), "limit": amount("Umax", "", bound, "V")},
        working=(
            *before,
            *steps,
            step("U", "highest voltage at the station", "Uh + dU", inputs, value, "V"),
            *bound_steps,
        ),
        value=value,
        bound=bound,
        unit="V",
    )


RISE = Check(
    name="infeed-voltage-rise",
    question="Does what feeds in raise the voltage within the advised limit?",
    links=_each_source,
    judge=_judge_rise,
    force=Force.RECOMMENDATION,
)
PLACE = Check(
    name="infeed-highest-voltage",
    question="Does the voltage stay within what equipment takes, with full infeed and no load?",
    links=_each_source,
    judge=_judge_place,
    force=Force.RECOMMENDATION,
)
STATION = Check(
    name="infeed-voltage-at-station",
    question="Does the station accept the highest voltage with full infeed and no load?",
    links=_at_station,
    judge=_judge_station,
    force=Force.MAKERS_LIMIT,
)
CHECKS = (RISE, PLACE, STATION)
