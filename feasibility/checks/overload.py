"""Is every cable and accessory protected against overload by the device before it?

IEC 60364-4-43, 433.1: In <= Iz and I2 <= 1.45 Iz. Accessories (outlet, plug, switch, unprotected
residual-current device) carry no protection of their own: the device must not exceed them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from feasibility.checks import withstand
from feasibility.checks.carrying_capacity import ampacity
from feasibility.checks.device_band import conventional_multiple
from feasibility.checks.loading import device_rating_a, rating_field
from feasibility.checks.question import Check, Run, finding, verdict_of
from feasibility.checks.working import amount, given, step
from feasibility.clauses.overload import conventional_current_a
from feasibility.code_basis import Limit
from feasibility.installation.facts import Fact
from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.result import Finding, Outcome, Quantity, Step
from feasibility.survey.device_kinds import FUSE

_CABLE_QUESTION = "Is the cable protected against overload?"

_KIND_NOT_KNOWN = "station's own device"

_FIELDS = {
    LinkKind.OUTLET: "rating_a",
    LinkKind.PLUG: "plug_rating_a",
    LinkKind.PART: "rating_a",
    LinkKind.RESIDUAL_CURRENT_DEVICE: "rating_a",
    LinkKind.BOARD: "rated_current_a",
    LinkKind.INLET: "inlet_rating_a",
}


def _cables(installation: Installation) -> Sequence[Link]:
    return installation.links_of(LinkKind.CABLE, LinkKind.CORD)


def _protecting_rating(run: Run, link: Link) -> tuple[float, Step, str]:
    """Return the rating of the device that protects a cable or cord against overload."""
    device = run.installation.circuit_of(link).device
    kind = run.ends.known(device.data.word("kind"))
    value = device_rating_a(run, device, high_is_bad=True)
    rating = given(device.data.number(rating_field(device.data)), value, "Ir")
    own = run.installation.station.number("input_device_rating_a")
    if link.kind is LinkKind.CORD and not own.is_open and run.ends.high_is_bad(own) < value:
        at_station = run.ends.high_is_bad(own)
        meaning = "rating of the station's own device at the end of the cord"
        line = step("In", meaning, "Ir", [given(own, at_station, "Ir")], at_station, "A")
        return at_station, line, _KIND_NOT_KNOWN
    return value, step("In", f"rating of {device.name}", "Ir", [rating], value, "A"), kind


def _far_end_protection(run: Run, link: Link, kind: str, iz_a: float) -> Outcome:
    """Return the outcome for a cord whose overload protection sits at its far end.

    IEC 60364-4-43, 433.2.2: permitted where nothing branches off and the cord is protected against
    short-circuit, or is at most 3 m long and runs no particular risk (from memory).
    """
    device = run.installation.circuit_of(link).device
    before = device_rating_a(run, device, high_is_bad=True)
    if kind is not _KIND_NOT_KNOWN or before <= iz_a:
        return Outcome.PASS
    if withstand.LINE.judge(run, link).outcome is Outcome.PASS:
        return Outcome.PASS
    short = run.ends.high_is_bad(link.data.number("length_m")) <= run.basis.number("short_cord_m")
    return Outcome.CAUTION if short else Outcome.OPEN


def _judge_rating(run: Run, link: Link) -> Finding:
    rating, line, kind = _protecting_rating(run, link)
    iz = ampacity(run.installation, link, run.ends)
    limit = run.basis.limit("design_current")
    passes = rating <= iz.value_a
    words = "does not exceed" if passes else "exceeds"
    outcome = verdict_of(limit, passes=passes)
    template = "The protective device's rating of {rating} " + words + " the ampacity of {iz}."
    if passes and (outcome := _far_end_protection(run, link, kind, iz.value_a)) is not Outcome.PASS:
        template += " It sits at the far end: short-circuit protection of the cord must be shown."
    return finding(
        CABLE_RATING,
        link,
        limit,
        outcome,
        template,
        {
            "rating": amount("In", "rating", rating, "A"),
            "iz": amount("Iz", "ampacity", iz.value_a, "A"),
        },
        working=(line, *iz.steps),
        value=rating,
        bound=iz.value_a,
        unit="A",
    )


def _multiple(run: Run, link: Link, kind: str, rating_a: float) -> Quantity:
    if kind == _KIND_NOT_KNOWN:
        return run.basis.limit("fuse_conventional").quantity("k2", "largest usual multiple")
    return conventional_multiple(run, run.installation.circuit_of(link).device, rating_a)


def _judge_conventional(run: Run, link: Link) -> Finding:
    rating, line, kind = _protecting_rating(run, link)
    iz = ampacity(run.installation, link, run.ends)
    limit = run.basis.limit("overload_conventional")
    multiple = _multiple(run, link, kind, rating).named("k2")
    tripping = float(conventional_current_a(rating_a=rating, multiple=multiple.value))
    allowance = limit.quantity("g", "permitted overload of the cable")
    bound = allowance.value * iz.value_a
    device = amount("In", "rating", rating, "A")
    capacity = amount("Iz", "ampacity", iz.value_a, "A")
    steps = (
        line,
        *iz.steps,
        step("I2", "conventional tripping current", "k2 * In", [multiple, device], tripping, "A"),
        step("Imax", "limit for it", "g * Iz", [allowance, capacity], bound, "A"),
    )
    passes = tripping <= bound
    words = "does not exceed" if passes else "exceeds"
    outcome = verdict_of(limit, passes=passes)
    template = (
        "The device surely trips at {i2}, which " + words + " {g} times the ampacity, {bound}."
    )
    if kind == FUSE and not passes and rating <= iz.value_a:
        limit, outcome, words = _between_two_readings(run)
        template += words
    return finding(
        CABLE_CONVENTIONAL,
        link,
        limit,
        outcome,
        template,
        {
            "i2": amount("I2", "", tripping, "A"),
            "g": allowance,
            "bound": amount("Imax", "", bound, "A"),
            "rating": device,
            "iz": capacity,
        },
        working=steps,
        value=tripping,
        bound=bound,
        unit="A",
    )


def _between_two_readings(run: Run) -> tuple[Limit, Outcome, str]:
    """Return what a fuse between 1.45 / 1.6 Iz and Iz is by the code basis, and the other reading.

    The product standard tests a gG fuse on a cable at 1.45 Iz, so some codes deem In <= Iz enough.
    """
    rule = run.basis.choices["gg_fuse_overload"]
    if rule == "rated current":
        limit = run.basis.limit("fuse_deemed")
        words = (
            " This code basis deems a gG fuse enough where its rating of {rating} does not exceed "
            "the ampacity of {iz}; by its conventional current it would not be."
        )
        return limit, Outcome.CAUTION, words
    if rule != "conventional current":
        raise KeyError(rule)
    limit = run.basis.limit("overload_conventional")
    words = (
        " Some codes deem a gG fuse enough where its rating of {rating} does not exceed the "
        "ampacity of {iz}; this code basis does not."
    )
    return limit, verdict_of(limit, passes=False), words


def _accessories(installation: Installation) -> Sequence[Link]:
    fixed = installation.outlet.word("kind").options == ("fixed connection",)
    return [
        *(
            link
            for link in installation.links_of(*_FIELDS)
            if not (fixed and link.kind is LinkKind.OUTLET)
        ),
        *_unread_boards(installation),
    ]


def _judge_accessory(run: Run, link: Link) -> Finding:
    fact = link.data.number(_FIELDS[link.kind])
    if link.kind is LinkKind.BOARD and fact.is_open:
        return _board_not_read(run, link, fact)
    device = run.installation.circuit_of(link).device
    run.ends.known(device.data.word("kind"))
    value = device_rating_a(run, device, high_is_bad=True)
    bound = run.ends.low_is_bad(fact)
    limit = run.basis.limit("accessory_protection")
    passes = value <= bound
    words = "does not exceed" if passes else "exceeds"
    inputs = [given(device.data.number(rating_field(device.data)), value, "Ir")]
    return finding(
        ACCESSORY,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "The device before it is rated {device}, which " + words + " its own rating of {rating}.",
        {
            "device": amount("In", "", value, "A"),
            "rating": amount("Ir", "", bound, "A"),
        },
        working=(
            step("In", f"rating of {device.name}", "Ir", inputs, value, "A"),
            step("Ia", f"rating of {link.name}", "Ir", [given(fact, bound, "Ir")], bound, "A"),
        ),
        value=value,
        bound=bound,
        unit="A",
    )


def _unread_boards(installation: Installation) -> Iterator[Link]:
    """Yield the boards that the feed path feeds and of which nobody has read the rated current."""
    for circuit in installation.circuits:
        board = None if circuit.is_final else installation.places[circuit.position + 1]
        if board is not None and not board.has("rated_current_a"):
            kind = LinkKind.BOARD
            yield Link(name=board.label, kind=kind, position=circuit.position, data=board)


def _board_not_read(run: Run, link: Link, fact: Fact[float]) -> Finding:
    run.needed[fact.path] = fact
    limit = run.basis.limit("board_rating_is_known")
    words = (
        "The rated current of the board (InA) was not read, and so not checked: read its label. It "
        "has to be at least the rating of the device before it."
    )
    return finding(ACCESSORY, link, limit, Outcome.CAUTION, words, facts=(fact,))


CABLE_RATING = Check(
    name="overload-rating", question=_CABLE_QUESTION, links=_cables, judge=_judge_rating
)
CABLE_CONVENTIONAL = Check(
    name="overload-tripping", question=_CABLE_QUESTION, links=_cables, judge=_judge_conventional
)
ACCESSORY = Check(
    name="accessory-protection",
    question="Is the accessory protected at its own rating by the device before it?",
    links=_accessories,
    judge=_judge_accessory,
)

CHECKS = (CABLE_RATING, CABLE_CONVENTIONAL, ACCESSORY)
