"""What second sources feed in at their rating, and the voltage that this raises in the cables."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from feasibility import tables
from feasibility.checks.fault_conductors import hottest_c
from feasibility.checks.impedance import Impedance, line_impedance, neutral_impedance
from feasibility.checks.infeed import all_sources, feeds_in_parallel
from feasibility.checks.own_transformer import described
from feasibility.checks.question import Run
from feasibility.checks.working import amount, step
from feasibility.clauses.infeed import voltage_rise_v
from feasibility.installation.facts import Fact, NotKnown
from feasibility.installation.model import Installation, Link, LinkKind, SourceAt
from feasibility.network.records import Branch
from feasibility.result import Step
from feasibility.units import SQRT3, FloatArray, Number

PHASES = ("L1", "L2", "L3")
ALL_PHASES = "L1L2L3"


@dataclass(frozen=True, slots=True, kw_only=True)
class Output:
    """What a source feeds in: its current, in which phases, and what comes back in the neutral."""

    source: SourceAt
    current_a: float
    phases: str

    def on(self, phase: str) -> float:
        """Return its current in a phase, in A."""
        return self.current_a if phase in self.phases else 0.0

    def back(self, phase: str) -> float:
        """Return what of that comes back through the neutral: nothing of all three phases."""
        return 0.0 if self.phases == ALL_PHASES else self.on(phase)


def link_of(source: SourceAt) -> Link:
    """Return what findings on a source refer to."""
    name = f"second source '{source.name}'"
    return Link(name=name, kind=LinkKind.BOARD, position=source.node - 1, data=source.data)


def outputs_of(run: Run) -> list[Output]:
    """Return what feeds in beside the network, all of it at once and at its rating."""
    sources = all_sources(run.installation)
    return [_output(run, one) for one in sources if feeds_in_parallel(run, one)]


def _output(run: Run, source: SourceAt) -> Output:
    data = source.data
    phases = run.ends.known(data.word("phases"))
    current, power = data.number("rated_current_a"), data.number("rated_power_kw")
    if not current.is_open:
        return Output(source=source, current_a=run.ends.high_is_bad(current), phases=phases)
    if power.is_open:
        label = f"{current.label} (or {power.label})"
        raise NotKnown((Fact(path=current.path, label=label, unit="A", options=()),))
    of_each = run.ends.high_is_bad(power) / (3 if phases == ALL_PHASES else 1)
    amperes = 1000 * of_each * SQRT3 / run.operation.nominal_voltage_v
    return Output(source=source, current_a=amperes, phases=phases)


def cables_before(installation: Installation, source: SourceAt) -> list[Link]:
    """Return the cables from the origin to a source."""
    on_path = [cable for one in installation.circuits[: source.node] for cable in one.cables]
    return [*on_path, *source.branch]


def power_kw(run: Run, output: Output, *, at_least: bool = False) -> float:
    """Return the rated power of a source in kW: as stated, else its current at nominal voltage.

    The high end of a range, or with ``at_least`` the low one.
    """
    stated = output.source.data.number("rated_power_kw")
    if not stated.is_open:
        return run.ends.low_is_bad(stated) if at_least else run.ends.high_is_bad(stated)
    volts = run.operation.nominal_voltage_v / SQRT3
    return output.current_a * volts * (3 if output.phases == ALL_PHASES else 1) / 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A cable at the highest permitted temperature, and the sources that feed in through it."""

    name: str
    line: Impedance
    neutral: Impedance
    celsius: float
    behind: Sequence[Output]

    @classmethod
    def of(cls, run: Run, cable: Link, behind: Sequence[Output]) -> Piece:
        """Return a cable of the installation; NotKnown where a fact of it is open."""
        return cls(
            name=cable.name,
            line=line_impedance(cable, run.ends),
            neutral=neutral_impedance(cable, run.ends),
            celsius=hottest_c(run, cable),
            behind=behind,
        )

    def rise_v(self, phase: str, *, with_neutral: bool) -> float:
        """Return the rise in a phase over this cable, in V."""
        return sum(self.rise_by_v(one, phase, with_neutral=with_neutral) for one in self.behind)

    def rise_by_v(self, output: Output, phase: str, *, with_neutral: bool) -> float:
        """Return the rise in a phase that one source behind it makes at its rating, in V."""
        return float(
            voltage_rise_v(
                current_a=output.on(phase),
                line_resistance_ohm=self.line.resistance_at(self.celsius),
                return_current_a=output.back(phase) if with_neutral else 0.0,
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


def cables_of_path(installation: Installation) -> list[Link]:
    """Return the cables from the origin to the outlet."""
    return [cable for one in installation.circuits for cable in one.cables]


def pieces_of(run: Run, outputs: Sequence[Output], cables: Sequence[Link]) -> list[Piece]:
    """Return those of the cables through which something feeds in, with what does."""
    reach = [
        {link.data.path for link in cables_before(run.installation, one.source)} for one in outputs
    ]
    return [
        Piece.of(run, cable, behind)
        for cable in cables
        if (
            behind := [
                one for one, paths in zip(outputs, reach, strict=True) if cable.data.path in paths
            ]
        )
    ]


def between_lines(run: Run) -> bool:
    """Whether the voltages of the station are those between lines: it has three phases."""
    return all(run.operation.phases_of_station())


def rises_by_v(
    run: Run, outputs: Sequence[Output], cables: Sequence[Link], *, between: bool
) -> FloatArray:
    """Return the rise over cables that each source makes at its rating: source, phase; in V.

    To neutral; or ``between`` lines, root three times that of the line alone, which the sums of
    the worst phase never fall short of. The rise is linear in the output of each source.
    """
    pieces = pieces_of(run, outputs, cables)
    found = np.zeros((len(outputs), len(PHASES)))
    for row, one in enumerate(outputs):
        for column, phase in enumerate(PHASES):
            found[row, column] = sum(
                piece.rise_by_v(one, phase, with_neutral=not between)
                for piece in pieces
                if one in piece.behind
            )
    return found * (SQRT3 if between else 1.0)


def rises_in_transformer_v(run: Run, outputs: Sequence[Output], own: Branch) -> FloatArray:
    """Return the rise in an own transformer that each source makes at its rating, likewise."""
    between = between_lines(run)
    found = np.array(
        [
            [
                voltage_rise_v(
                    current_a=one.on(phase),
                    line_resistance_ohm=own.resistance_ohm,
                    return_current_a=0.0 if between else one.back(phase),
                    neutral_resistance_ohm=own.neutral_resistance_ohm,
                )
                for phase in PHASES
            ]
            for one in outputs
        ]
    )
    return found * (SQRT3 if between else 1.0)


def rise_percent(run: Run, volts_to_neutral: Number) -> Number:
    """Return a rise to neutral in per cent of the nominal voltage."""
    return 100 * SQRT3 * volts_to_neutral / run.operation.nominal_voltage_v


def compared_voltage_v(run: Run) -> float:
    """Return the nominal voltage that a highest one is compared with, as the station sees it."""
    nominal = run.operation.nominal_voltage_v
    if between_lines(run):
        return nominal
    return tables.named_voltage_to_earth_v(line_voltage_v=nominal)


def raises_at_station(installation: Installation) -> bool:
    """Whether something feeds in behind the origin, or behind an own transformer."""
    sources = all_sources(installation)
    return any(one.node > 0 for one in sources) or (
        bool(sources) and described(installation) is not None
    )
