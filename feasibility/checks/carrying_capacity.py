"""The continuous current-carrying capacity of whatever piece of cable a link is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from feasibility.checks.cable_ampacity import cable_ampacity
from feasibility.checks.conductor import Ampacity
from feasibility.checks.cord_ampacity import cord_ampacity
from feasibility.checks.impedance import Impedance, line_impedance_of_equal_cables
from feasibility.checks.parallel_cables import unequal_cables
from feasibility.checks.working import amount, step
from feasibility.citation import Citation
from feasibility.clauses.ampacity import parallel_ampacity_a, parallel_share
from feasibility.installation.facts import Ends
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.result import Quantity, Step

_SHARING = (
    Citation(source="IEC60364-5-52:2009", clause="523.7", note="clause from memory"),
    Citation(source="IEC60364-4-43:2008", clause="433.4 and Annex A", note="clause from memory"),
)


def ampacity(installation: Installation, link: Link, ends: Ends) -> Ampacity:
    """Return Iz of a cable or cord; NotKnown or NotTabulated where it cannot be found.

    Many checks ask for it, and a poorly known cable has hundreds of combinations: each is rated
    once.
    """
    key = ("ampacity", id(installation), link.data.path, link.data.record)
    # The installation is kept with the result, so that no other can come to have its identity.
    return ends.once(key, lambda: (installation, _ampacity(installation, link, ends)))[1]


def _ampacity(installation: Installation, link: Link, ends: Ends) -> Ampacity:
    if link.kind is LinkKind.CORD:
        return cord_ampacity(installation, link, ends)
    others = unequal_cables(link)
    if not others:
        return cable_ampacity(installation, link, ends)
    return _shared_ampacity(installation, link, others, ends)


def _shared_ampacity(
    installation: Installation, link: Link, others: Sequence[Link], ends: Ends
) -> Ampacity:
    """Return the current at which the first of unequal cables in parallel is full.

    The shares follow from the impedances, so section, length and metal of each must be known.
    """
    equal = int(ends.known(link.data.number("in_parallel")))
    branches = (link, *others)
    impedances, shares = sharing(branches, ends)
    beside = (len(others), *(equal + len(others) - 1 for _ in others))
    rated = [
        cable_ampacity(installation, branch, ends, beside=count)
        for branch, count in zip(branches, beside, strict=True)
    ]
    total = parallel_ampacity_a(ampacities_a=[one.value_a for one in rated], shares=shares)
    return Ampacity(
        value_a=total,
        maximum_c=min(one.maximum_c for one in rated),
        ambient_c=max(one.ambient_c for one in rated),
        steps=_working(rated, impedances, shares, total),
    )


def sharing(branches: Sequence[Link], ends: Ends) -> tuple[list[Impedance], list[float]]:
    """Return the impedance of each branch and its share of the current.

    NotKnown where section, length or metal of a branch is open or a range, or its own resistance or
    reactance a range: a branch that takes more relieves the others, so neither end is the worse.
    """
    for branch in branches:
        for field in ("length_m", "section_mm2"):
            ends.known(branch.data.number(field))
        for field in ("resistance_ohm_per_km", "reactance_ohm_per_km"):
            if branch.data.has(field):
                ends.known(branch.data.number(field))
        ends.known(branch.data.word("conductor"))
    impedances = [line_impedance_of_equal_cables(branch, ends) for branch in branches]
    shares = parallel_share(
        impedances_ohm=[complex(one.resistance_20c_ohm, one.reactance_ohm) for one in impedances]
    )
    return impedances, [float(share) for share in shares]


def _working(
    rated: Sequence[Ampacity],
    impedances: Sequence[Impedance],
    shares: Sequence[float],
    total: float,
) -> tuple[Step, ...]:
    numbers = range(1, len(rated) + 1)
    lines = [
        replace(line, symbol=f"Iz{k}" if line.symbol == "Iz" else line.symbol)
        for k, one in zip(numbers, rated, strict=True)
        for line in one.steps
    ]
    lines += [line for one in impedances for line in one.steps]
    parts: list[Quantity] = []
    for k, one in zip(numbers, impedances, strict=True):
        parts.append(amount(f"R{k}", f"resistance of branch {k}", one.resistance_20c_ohm, "Ω"))
        parts.append(amount(f"X{k}", f"reactance of branch {k}", one.reactance_ohm, "Ω"))
    squares = [f"(R{k} ** 2 + X{k} ** 2)" for k in numbers]
    real = " + ".join(f"R{k} / {square}" for k, square in zip(numbers, squares, strict=True))
    imaginary = " + ".join(f"X{k} / {square}" for k, square in zip(numbers, squares, strict=True))
    whole = f"sqrt(({real}) ** 2 + ({imaginary}) ** 2)"
    for k, square, share in zip(numbers, squares, shares, strict=True):
        meaning = f"share of branch {k} by its impedance"
        formula = f"1 / sqrt({square}) / {whole}"
        lines.append(step(f"s{k}", meaning, formula, parts, share, "", _SHARING))
    inputs = [
        quantity
        for k, one, share in zip(numbers, rated, shares, strict=True)
        for quantity in (
            amount(f"Iz{k}", f"ampacity of branch {k}", one.value_a, "A"),
            amount(f"s{k}", f"share of branch {k}", share, ""),
        )
    ]
    formula = "min(" + ", ".join(f"Iz{k} / s{k}" for k in numbers) + ")"
    meaning = "current at which the first of the cables in parallel is full"
    return (*lines, step("Iz", meaning, formula, inputs, total, "A", _SHARING))
