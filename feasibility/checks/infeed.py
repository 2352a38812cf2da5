"""What else than the network feeds the installation, and whether it carries that as well.

Generation never counts as relief: no current is subtracted for it anywhere.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from feasibility.checks.carrying_capacity import ampacity
from feasibility.checks.loading import device_rating_a
from feasibility.checks.question import Check, Run, finding, the_station, verdict_of
from feasibility.checks.working import amount, given, step
from feasibility.clauses.infeed import greatest_infeed_a
from feasibility.installation.facts import NotKnown
from feasibility.installation.model import (
    FeedingPlace,
    Installation,
    Link,
    LinkKind,
    LoggedDemand,
    SourceAt,
)
from feasibility.result import Finding, Outcome, Quantity, Sense, Step

_PHASES = ("L1", "L2", "L3")


def _places(installation: Installation) -> Sequence[Link]:
    return [_link_of(place) for place in installation.feeding_places]


def _link_of(place: FeedingPlace) -> Link:
    name = "origin" if place.node == 0 and place.on_path else f"board '{place.name}'"
    return Link(name=name, kind=LinkKind.BOARD, position=place.node - 1, data=place.data)


def _place_of(installation: Installation, link: Link) -> FeedingPlace:
    return next(p for p in installation.feeding_places if p.data.path == link.data.path)


def all_sources(installation: Installation) -> tuple[SourceAt, ...]:
    """Return every second source of the survey, on boards and on circuits."""
    of_places = [one for place in installation.feeding_places for one in place.sources]
    return (*of_places, *installation.circuit_sources)


def _at(installation: Installation, place: FeedingPlace) -> tuple[SourceAt, ...]:
    """Return what feeds a place, or a circuit that starts there."""
    return tuple(one for one in all_sources(installation) if one.place == place.name)


def _at_or_behind(installation: Installation, place: FeedingPlace) -> tuple[SourceAt, ...]:
    """Return what feeds a place, or anything that is fed from there: a reading there holds it."""
    fed_from = {one.ends_at: one.starts_at for one in installation.survey.circuit}

    def is_behind(name: str) -> bool:
        while name != place.name and name in fed_from:
            name = fed_from[name]
        return name == place.name

    return tuple(one for one in all_sources(installation) if is_behind(one.place))


def feeds_in_parallel(run: Run, source: SourceAt) -> bool:
    """Whether a source can feed beside the network; NotKnown where nobody looked."""
    return not run.ends.known(source.data.flag("changeover"))


def _judge_known(run: Run, link: Link) -> Finding:
    """Ask what else feeds a place, and refuse what lies beyond the program."""
    limit = run.basis.limit("second_sources")
    place = _place_of(run.installation, link)
    sources = _at(run.installation, place)
    if not sources:
        fact = place.data.flag("other_sources_none")
        if not run.ends.known(fact):
            words = "The survey says that something else feeds in here but lists nothing."
            return finding(KNOWN, link, limit, Outcome.OPEN, words)
        words = "Nothing but the network feeds in here."
        return finding(KNOWN, link, limit, Outcome.PASS, words)
    beyond = [words for source in sources if (words := _beyond(run, source))]
    names = ", ".join(source.name for source in sources)
    if beyond:
        words = "{sources} can feed in here. " + " ".join(dict.fromkeys(beyond))
        return finding(KNOWN, link, limit, Outcome.OPEN, words, {"sources": names})
    beside = ", ".join(source.name for source in sources if feeds_in_parallel(run, source))
    instead = ", ".join(source.name for source in sources if not feeds_in_parallel(run, source))
    words = " ".join(
        words
        for names, words in (
            (beside, "{beside} can feed in here beside the network and is counted."),
            (instead, "{instead} can only feed in place of the network, and not the station."),
        )
        if names
    )
    values = {"beside": beside, "instead": instead}
    return finding(KNOWN, link, limit, Outcome.PASS, words, values)


def _beyond(run: Run, source: SourceAt) -> str:
    """Return why a source is beyond the program, or an empty text."""
    data, known = source.data, run.ends.known
    kind = known(data.word("kind"))
    if kind == "other":
        return "How it feeds is not described: a specialist has to judge it."
    parallel = feeds_in_parallel(run, source)
    # Behind a changeover device it feeds its own board only; without one perhaps the whole site.
    replaces = known(data.flag("islanding")) if parallel else source.on_path
    if replaces and known(data.flag("feeds_station")):
        return (
            "The station can draw from it in place of the network: voltage, fault currents and "
            "disconnection on such a supply are beyond this program and need a specialist."
        )
    if kind == "generator" and parallel:
        return (
            "A generator in parallel with the network raises the fault currents: that is beyond "
            "this program and needs a specialist."
        )
    return ""


def _infeed_a(run: Run, sources: Iterable[SourceAt]) -> tuple[float, tuple[Step, ...]]:
    """Return the largest current per phase of sources that feed in parallel, and its working.

    A source of unknown phases counts in all three.
    """
    per_phase = dict.fromkeys(_PHASES, 0.0)
    used: dict[str, list[Quantity]] = {phase: [] for phase in _PHASES}
    for number, source in enumerate(sources, start=1):
        if not feeds_in_parallel(run, source):
            continue
        fact = source.data.number("rated_current_a")
        value = run.ends.high_is_bad(fact)
        phases = source.data.word("phases").options
        run.ends.note((source.data.word("phases"),))
        for phase in _PHASES:
            if len(phases) != 1 or phase in phases[0]:
                per_phase[phase] += value
                used[phase].append(given(fact, value, f"I{number}"))
    worst = max(_PHASES, key=lambda phase: per_phase[phase])
    total, inputs = per_phase[worst], used[worst]
    if not inputs:
        return 0.0, ()
    formula = " + ".join(one.symbol for one in inputs)
    return total, (step("Ig", "what can feed in, worst phase", formula, inputs, total, "A"),)


def _with_infeed(installation: Installation) -> Sequence[Link]:
    """Return the boards of the path behind which something may feed in in parallel."""
    places = [p for p in installation.feeding_places if p.on_path and p.node > 0]
    return [_link_of(place) for place in places if _behind(installation, place.node)]


def _behind(installation: Installation, node: int) -> tuple[SourceAt, ...]:
    return tuple(one for one in all_sources(installation) if one.node >= node)


def _judge_board(run: Run, link: Link) -> Finding:
    """Judge a board fed from two sides: its rated current against both together."""
    limit = run.basis.limit("infeed_on_a_board")
    infeed, steps = _infeed_a(run, _behind(run.installation, link.position + 1))
    if not steps:
        words = "Nothing feeds in here beside the network."
        return finding(BOARD, link, limit, Outcome.NOT_APPLICABLE, words)
    device = run.installation.circuits[link.position].device
    rating = device_rating_a(run, device, high_is_bad=True)
    fact = link.data.number("rated_current_a")
    board = run.ends.low_is_bad(fact)
    total = rating + infeed
    passes = board >= total
    words = "is not below" if passes else "is below"
    inputs = [
        amount("In", f"rating of {device.name}", rating, "A"),
        amount("Ig", "infeed", infeed, "A"),
    ]
    return finding(
        BOARD,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "The board's rated current of {value} " + words + " the {bound} that network and infeed "
        "can drive through it together.",
        {"value": given(fact, board, "InA"), "bound": amount("Isum", "", total, "A")},
        working=(*steps, step("Isum", "both together", "In + Ig", inputs, total, "A")),
        value=board,
        bound=total,
        unit="A",
        sense=Sense.AT_LEAST,
    )


_RATING = {
    LinkKind.OUTLET: "rating_a",
    LinkKind.PLUG: "plug_rating_a",
    LinkKind.PART: "rating_a",
    LinkKind.RESIDUAL_CURRENT_DEVICE: "rating_a",
    LinkKind.INLET: "inlet_rating_a",
}


def _between(installation: Installation, link: Link) -> tuple[SourceAt, ...]:
    """Return what feeds in between a link and the device that protects its circuit.

    That is whatever feeds the circuit itself (behind its residual-current device); and where only
    the service device protects it, what feeds in at the origin or on a branch from there.
    """
    circuit = installation.circuit_of(link)
    before = link.kind is LinkKind.RESIDUAL_CURRENT_DEVICE
    own = [
        one
        for one in installation.circuit_sources
        if one.on_circuit == circuit.position and not before
    ]
    at_origin = [
        one for one in all_sources(installation) if one.node == 0 and one.on_circuit is None
    ]
    return (*own, *([] if circuit.own_device else at_origin))


def _fed_from_two_sides(installation: Installation) -> Sequence[Link]:
    links = installation.links_of(LinkKind.CABLE, LinkKind.CORD, *_RATING)
    return [link for link in links if link.position >= 0 and _between(installation, link)]


def _judge_circuit(run: Run, link: Link) -> Finding:
    """Judge Iz >= In + Ig of whatever lies behind the device (IEC 60364-5-55, 551.7.2)."""
    limit = run.basis.limit("infeed_behind_a_device")
    circuit = run.installation.circuit_of(link)
    infeed, steps = _infeed_a(run, _between(run.installation, link))
    if not steps:
        words = "Nothing feeds in behind the device beside the network."
        return finding(CIRCUIT, link, limit, Outcome.NOT_APPLICABLE, words)
    rating = device_rating_a(run, circuit.device, high_is_bad=True)
    if link.kind in (LinkKind.CABLE, LinkKind.CORD):
        iz = ampacity(run.installation, link, run.ends)
        capacity, lines = iz.value_a, iz.steps
    else:
        fact = link.data.number(_RATING[link.kind])
        capacity = run.ends.low_is_bad(fact)
        lines = (step("Iz", "rating", "Ir", [given(fact, capacity, "Ir")], capacity, "A"),)
    greatest = float(greatest_infeed_a(ampacity_a=capacity, rating_a=rating))
    passes = infeed <= greatest
    words = "is within" if passes else "exceeds"
    inputs = [
        amount("Iz", "what it carries", capacity, "A"),
        amount("In", f"rating of {circuit.device.name}", rating, "A"),
    ]
    return finding(
        CIRCUIT,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "Behind the device {value} can feed in as well, which " + words + " the {bound} that is "
        "left beside the device's rating.",
        {"value": amount("Ig", "", infeed, "A"), "bound": amount("Igmax", "", greatest, "A")},
        working=(
            *steps,
            *lines,
            step("Igmax", "greatest infeed", "Iz - In", inputs, greatest, "A"),
        ),
        value=infeed,
        bound=greatest,
        unit="A",
    )


def _feeding_back(installation: Installation) -> Sequence[Link]:
    """Return the devices behind which something feeds in."""
    return [
        link
        for link in installation.links_of(LinkKind.DEVICE)
        if _behind(installation, link.position + 1)
    ]


def _judge_back(run: Run, link: Link) -> Finding:
    """Judge the infeed as the current that a device carries backwards (433.1: Ib <= In)."""
    limit = run.basis.limit("design_current")
    infeed, steps = _infeed_a(run, _behind(run.installation, link.position + 1))
    if not steps:
        words = "Nothing feeds back through this device."
        return finding(BACK, link, limit, Outcome.NOT_APPLICABLE, words)
    rating = device_rating_a(run, link, high_is_bad=False)
    passes = infeed <= rating
    words = "is within" if passes else "exceeds"
    return finding(
        BACK,
        link,
        limit,
        verdict_of(limit, passes=passes),
        "Up to {value} can flow back through the device, which "
        + words
        + " its rating of {bound}.",
        {"value": amount("Ig", "", infeed, "A"), "bound": amount("In", "", rating, "A")},
        working=steps,
        value=infeed,
        bound=rating,
        unit="A",
    )


def _with_generation(installation: Installation) -> Sequence[Link]:
    return [
        _link_of(place)
        for place in installation.feeding_places
        if place.demand.record is not None and _at_or_behind(installation, place)
    ]


def _judge_demand(run: Run, link: Link) -> Finding:
    """Ask whether generation hides a part of the demand that is stated."""
    limit = run.basis.limit("demand_without_generation")
    place = _place_of(run.installation, link)
    if not any(feeds_in_parallel(run, one) for one in _at_or_behind(run.installation, place)):
        words = "Nothing feeds in here, or behind it, beside the network."
        return finding(DEMAND, link, limit, Outcome.NOT_APPLICABLE, words)
    logged = _log_of(run.installation, place)
    if logged is not None:
        if logged.lacking is not None:
            raise NotKnown([logged.lacking])
        if logged.log is None or not logged.log.generation_added:
            words = "The log of the demand does not hold what the second source gave."
            return finding(DEMAND, link, limit, Outcome.OPEN, words)
        words = "The demand is by a log to which what the source gave is added back."
        return finding(DEMAND, link, limit, Outcome.PASS, words)
    fact = place.demand.flag("net_of_generation")
    if run.ends.known(fact):
        words = (
            "The demand is stated after what a second source gave at the time. On a dark or idle "
            "day the network has to give all of it: read it again with the source off."
        )
        return finding(DEMAND, link, limit, Outcome.OPEN, words)
    words = "The demand is stated without any relief by the second source."
    return finding(DEMAND, link, limit, Outcome.PASS, words)


def _log_of(installation: Installation, place: FeedingPlace) -> LoggedDemand | None:
    path = f"{place.demand.path}.log"
    return next((one for one in installation.logged if one.path == path), None)


def _judge_feedback(run: Run, link: Link) -> Finding:
    limit = run.basis.limit("station_maker")
    if not run.ends.known(run.installation.station.flag("can_feed_back")):
        words = "The station is declared unable to feed back into the supply."
        return finding(FEEDBACK, link, limit, Outcome.PASS, words)
    words = (
        "The station can feed back into the supply: overload and disconnection with a second "
        "source are beyond this program and need a specialist."
    )
    return finding(FEEDBACK, link, limit, Outcome.OPEN, words)


KNOWN = Check(
    name="second-sources",
    question="Is it known what else than the network feeds in?",
    links=_places,
    judge=_judge_known,
)
BOARD = Check(
    name="infeed-on-board",
    question="Does the board carry network and infeed together?",
    links=_with_infeed,
    judge=_judge_board,
)
CIRCUIT = Check(
    name="infeed-behind-device",
    question="Does what lies behind the device carry its rating and the infeed together?",
    links=_fed_from_two_sides,
    judge=_judge_circuit,
)
BACK = Check(
    name="infeed-backwards",
    question="Does the device carry what flows back?",
    links=_feeding_back,
    judge=_judge_back,
)
DEMAND = Check(
    name="demand-without-generation",
    question="Is the existing demand stated without relief by generation?",
    links=_with_generation,
    judge=_judge_demand,
)
FEEDBACK = Check(
    name="feed-back",
    question="Can the station feed back into the supply?",
    links=the_station,
    judge=_judge_feedback,
)
CHECKS = (KNOWN, BOARD, CIRCUIT, BACK, DEMAND, FEEDBACK)
