"""How unbalanced the voltages stand where the station is connected, by the load flow."""

from __future__ import annotations

from feasibility.checks.question import Check, Run, finding, the_station, verdict_of
from feasibility.checks.working import amount, step
from feasibility.clauses.power_quality import sequence_unbalance_percent
from feasibility.installation.model import Link
from feasibility.network.solution import Solution
from feasibility.result import Finding, Force, Outcome, Quantity, Step

_NOISE_V = 1e-6
"""Below this a negative-sequence voltage is what the solver leaves of none."""


def _judge(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("voltage_unbalance_percent")
    operation = run.operation
    node = operation.three_phase_node()
    loaded, idle = operation.state(run.requested().current_a), operation.state(0.0)
    if loaded is None or idle is None:
        words = "Cannot be judged: the voltage collapses."
        return finding(UNBALANCE, link, limit, Outcome.CAUTION, words)
    value, steps = _unbalance(loaded, idle, node)
    bound = limit.quantity("ulim", "voltage unbalance of the supply")
    passes = value <= bound.value
    shown: dict[str, Quantity | str] = {
        "place": operation.words_of(node),
        "value": amount("u", "voltage unbalance", value, "%"),
        "part": amount("us", "part of it by the station", steps[-1].result, "%"),
        "limit": bound,
    }
    before = "transformer" if operation.transformer_branch() is not None else "origin"
    words = (
        "At the requested current the voltages at {place} are unbalanced by {value}, of which the "
        "station makes {part}; that " + ("is within" if passes else "exceeds") + " the {limit} of "
        f"public networks. What the network before the {before} adds is not in it."
    )
    return finding(
        UNBALANCE,
        link,
        limit,
        verdict_of(limit, passes=passes),
        words,
        shown,
        working=steps,
        value=value,
        bound=bound.value,
        unit="%",
    )


def _unbalance(loaded: Solution, idle: Solution, node: str) -> tuple[float, list[Step]]:
    """Return the unbalance in percent, and the part of the station as difference of phasors."""
    _, positive, negative = loaded.sequence_voltages_v(node)
    _, _, without = idle.sequence_voltages_v(node)
    parts = [0.0 if one < _NOISE_V else one for one in (abs(negative), abs(negative - without))]
    found = [
        float(sequence_unbalance_percent(negative_v=one, positive_v=abs(positive))) for one in parts
    ]
    base = amount("U1", "positive-sequence voltage", abs(positive), "V")
    whole = [amount("U2", "negative-sequence voltage", parts[0], "V"), base]
    meaning = "negative-sequence voltage with the station less that without it, as phasors"
    part = [amount("U2s", meaning, parts[1], "V"), base]
    return found[0], [
        step("u", "voltage unbalance by the load flow", "100 * U2 / U1", whole, found[0], "%"),
        step("us", "part of it by the station", "100 * U2s / U1", part, found[1], "%"),
    ]


UNBALANCE = Check(
    name="unbalance-at-station",
    question="Do the voltages at the station stay balanced?",
    links=the_station,
    judge=_judge,
    force=Force.RECOMMENDATION,
)

CHECKS = (UNBALANCE,)
