"""May a circuit of a board carry the current while others are loaded too? IEC 61439-1, 5.4.

The rated diversity factor is a thermal figure of the board: the share of its rated current that
each of several outgoing circuits may carry at the same time for as long as wanted. It is no
diversity of the demand and concerns only circuits that are loaded together. Declared by the
board's maker it is a limit; where nobody has read it, the standard's assumed loading advises.
"""

from __future__ import annotations

from collections.abc import Sequence

from feasibility import tables
from feasibility.checks.loading import device_rating_a, rating_field
from feasibility.checks.question import Check, Run, current_finding, finding
from feasibility.checks.working import given, step
from feasibility.code_basis import Limit
from feasibility.installation.facts import NotKnown
from feasibility.installation.model import Installation, Link, PathCircuit
from feasibility.installation.resolve import Resolved
from feasibility.result import Finding, Force, Outcome, Quantity

_QUESTION = "May the circuit carry the current while others of its board are loaded too?"
_ALONE = 1


def _outgoing(installation: Installation, *, declared: bool) -> Sequence[Link]:
    """Return the device of each circuit of the feed path that leaves a board."""
    boards = ((circuit, _board(installation, circuit)) for circuit in installation.circuits)
    return [
        circuit.device
        for circuit, board in boards
        if board is not None and board.has("rated_diversity_factor") is declared
    ]


def _board(installation: Installation, circuit: PathCircuit) -> Resolved | None:
    """Return the board that a circuit leaves; None for the one at the origin."""
    return installation.places[circuit.position]


def _board_of(run: Run, link: Link) -> Resolved:
    board = _board(run.installation, run.installation.circuit_of(link))
    if board is None:
        message = f"{link.name} leaves no board"
        raise LookupError(message)
    return board


def _judge_declared(run: Run, link: Link) -> Finding:
    board = _board_of(run, link)
    limit = run.basis.limit("board_declared_diversity")
    if _loaded_together(run, board) == _ALONE:
        return _not_applicable(DECLARED, link, limit)
    fact = board.number("rated_diversity_factor")
    factor = given(fact, run.ends.low_is_bad(fact), "RDF")
    what = "the board maker's current for circuits loaded together"
    return _judge(DECLARED, run, link, limit, factor, what)


def _judge_assumed(run: Run, link: Link) -> Finding:
    board = _board_of(run, link)
    limit = run.basis.limit("board_assumed_loading")
    count = _loaded_together(run, board)
    if count == _ALONE:
        return _not_applicable(ASSUMED, link, limit)
    assembly = board.word("assembly")
    if assembly.is_open:  # a board of an unknown standard has no assumed loading either
        raise NotKnown((board.number("rated_diversity_factor"), assembly))
    factor = tables.assembly_loading_factor(
        assembly=run.ends.known(assembly), circuits=count
    ).named("RDF")
    what = "the current assumed for circuits loaded together (no factor of the board was read)"
    return _judge(ASSUMED, run, link, limit, factor, what)


def _loaded_together(run: Run, board: Resolved) -> int:
    return int(run.ends.high_is_bad(board.number("loaded_outgoing_circuits")))


def _judge(
    check: Check, run: Run, link: Link, limit: Limit, factor: Quantity, what: str
) -> Finding:
    rated = device_rating_a(run, link, high_is_bad=False)
    rating = given(link.data.number(rating_field(link.data)), rated, "Inc")
    permitted = factor.value * rated
    meaning = "current of the circuit while others are loaded"
    steps = [step("Ib2", meaning, "RDF * Inc", [factor, rating], permitted, "A")]
    return current_finding(check, link, run, limit, permitted, steps, what)


def _not_applicable(check: Check, link: Link, limit: Limit) -> Finding:
    words = (
        "No other circuit of the board is loaded at the same time, so its diversity factor does "
        "not concern this one."
    )
    return finding(check, link, limit, Outcome.NOT_APPLICABLE, words)


DECLARED = Check(
    name="board-diversity",
    question=_QUESTION,
    links=lambda installation: _outgoing(installation, declared=True),
    judge=_judge_declared,
    depends_on_current=True,
    force=Force.MAKERS_LIMIT,
)
ASSUMED = Check(
    name="board-assumed-loading",
    question=_QUESTION,
    links=lambda installation: _outgoing(installation, declared=False),
    judge=_judge_assumed,
    depends_on_current=True,
    force=Force.RECOMMENDATION,
)

CHECKS = (DECLARED, ASSUMED)
