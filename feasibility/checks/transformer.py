"""The customer's own transformer: does it carry the load, do other statements agree with it?"""

from __future__ import annotations

from collections.abc import Sequence

from feasibility.checks.fault_sources import EARTH_LOOP, LEVEL, of_transformer, voltage_factors
from feasibility.checks.own_transformer import described
from feasibility.checks.own_transformer_faults import line_at_transformer, loop_at_transformer
from feasibility.checks.question import Check, Run, current_finding, finding, verdict_of
from feasibility.checks.working import amount, given, step
from feasibility.clauses.fault_current import three_phase_fault_a
from feasibility.clauses.load_current import three_phase_current_a
from feasibility.installation.facts import NotKnown
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.result import Finding, Force, Outcome, Step


def _transformer(installation: Installation) -> Sequence[Link]:
    return installation.links_of(LinkKind.TRANSFORMER)


def _judge_loading(run: Run, link: Link) -> Finding:
    kind = run.installation.supply.word("kind")
    if described(run.installation) is None and kind.is_ranged:
        raise NotKnown((kind,))
    power_fact = link.data.number("rated_power_kva")
    voltage_fact = link.data.number("rated_secondary_voltage_v")

    def rated(power_kva: float, voltage_v: float) -> float:
        apparent = 1000 * power_kva
        return float(three_phase_current_a(apparent_va=apparent, line_voltage_v=voltage_v))

    power, voltage = run.ends.worst_of((power_fact, voltage_fact), rated)
    value = rated(power, voltage)
    inputs = [given(power_fact, power, "Sr"), given(voltage_fact, voltage, "Ur")]
    formula = "1000 * Sr / (sqrt(3) * Ur)"
    steps = [step("Ir", "rated current, low-voltage side", formula, inputs, value, "A")]
    limit = run.basis.limit("transformer_rated_current")
    what = "the transformer's rated current"
    return current_finding(LOADING, link, run, limit, value, steps, what)


def _with_statements(installation: Installation) -> Sequence[Link]:
    """Ask where the survey states a fault current or loop beside the transformer's data."""
    own = described(installation)
    stated = [installation.supply.number(field) for field in (LEVEL, EARTH_LOOP)]
    if own is None or all(fact.is_open for fact in stated):
        return []
    return _transformer(installation)


def _judge_agreement(run: Run, link: Link) -> Finding:
    supply = run.installation.supply
    pieces = []
    if not supply.number(LEVEL).is_open:
        pieces.append(_level(run))
    systems = supply.word("earthing_system").options
    if not supply.number(EARTH_LOOP).is_open and systems and systems[0].startswith("TN"):
        pieces.append(_loop(run))
    limit = run.basis.limit("transformer_agreement_percent")
    bound = limit.quantity("dlim", "usual deviation of readings and rounded statements")
    if not pieces:
        words = "Nothing that is stated beside the transformer can be compared with its data."
        return finding(AGREEMENT, link, limit, Outcome.NOT_APPLICABLE, words)
    value, what, steps = max(pieces, key=lambda piece: piece[0])
    passes = value <= bound.value
    words = (
        f"The {what} that is stated deviates by {{value}} from what the transformer's data make, "
    )
    words += (
        "which is within the usual {limit}."
        if passes
        else "more than the usual {limit}: one of the two is wrong, and the worse one counts for "
        "each question."
    )
    return finding(
        AGREEMENT,
        link,
        limit,
        verdict_of(limit, passes=passes),
        words,
        {"value": amount("d", "deviation", value, "%"), "limit": bound},
        working=steps,
        value=value,
        bound=bound.value,
        unit="%",
    )


_Piece = tuple[float, str, list[Step]]


def _level(run: Run) -> _Piece:
    """Compare a stated largest fault current with the band that the transformer gives."""
    fact = run.installation.supply.number(LEVEL)
    stated = 1000 * run.ends.high_is_bad(fact)
    band, steps = [], []
    for largest, index, symbol in ((False, 1, "Ikmin"), (True, 0, "Ikmax")):
        source = of_transformer(run, line_at_transformer, largest_fault=largest)
        assert source is not None  # noqa: S101 - the check is asked only where there is one
        factor, voltage = voltage_factors(run)[index], run.operation.nominal_voltage_v
        current = float(
            three_phase_fault_a(
                voltage_factor=factor.value, line_voltage_v=voltage, impedance_ohm=source.ohm
            )
        )
        inputs = [
            factor,
            given(run.installation.supply.number("nominal_voltage_v"), voltage, "Un"),
            source.as_input,
        ]
        formula = f"{factor.symbol} * Un / (sqrt(3) * {source.as_input.symbol})"
        meaning = f"{'largest' if largest else 'smallest'} three-phase fault current at the origin"
        steps += [*source.steps, step(symbol, meaning, formula, inputs, current, "A")]
        band.append(current)
    inputs = [
        given(fact, stated / 1000, "Ikq"),
        amount("Ikmin", "smallest by the transformer", band[0], "A"),
        amount("Ikmax", "largest by the transformer", band[1], "A"),
    ]
    formula = "100 * max(0, 1000 * Ikq / Ikmax - 1, 1 - 1000 * Ikq / Ikmin)"
    value = 100 * max(0, stated / band[1] - 1, 1 - stated / band[0])
    steps.append(step("d", "deviation from the nearer end", formula, inputs, value, "%"))
    return value, "fault current", steps


def _loop(run: Run) -> _Piece:
    """Compare a stated earth-fault loop with the band that the transformer gives."""
    fact = run.installation.supply.number(EARTH_LOOP)
    stated = run.ends.high_is_bad(fact)
    ends, steps = [], []
    for largest, symbol in ((True, "Zlo"), (False, "Zhi")):
        source = of_transformer(run, loop_at_transformer, largest_fault=largest)
        assert source is not None  # noqa: S101 - the check is asked only where there is one
        word = "smallest" if largest else "largest"
        inputs = [source.as_input]
        formula = source.as_input.symbol
        steps += [*source.steps, step(symbol, f"{word} loop", formula, inputs, source.ohm, "Ω")]
        ends.append(source.ohm)
    inputs = [
        given(fact, stated, "Ze"),
        amount("Zlo", "smallest by the transformer", ends[0], "Ω"),
        amount("Zhi", "largest by the transformer", ends[1], "Ω"),
    ]
    formula = "100 * max(0, Ze / Zhi - 1, 1 - Ze / Zlo)"
    value = 100 * max(0, stated / ends[1] - 1, 1 - stated / ends[0])
    steps.append(step("d", "deviation from the nearer end", formula, inputs, value, "%"))
    return value, "earth-fault loop", steps


LOADING = Check(
    name="transformer-loading",
    question="Does it carry the current of the whole site continuously?",
    links=_transformer,
    judge=_judge_loading,
    depends_on_current=True,
    force=Force.MAKERS_LIMIT,
)
AGREEMENT = Check(
    name="transformer-agreement",
    question="Do stated fault currents and loops agree with the transformer's data?",
    links=_with_statements,
    judge=_judge_agreement,
    force=Force.PRACTICE,
)

CHECKS = (LOADING, AGREEMENT)
