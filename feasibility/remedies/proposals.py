"""Which changes are worth a trial for a question that fails at a link."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from feasibility.installation.model import Installation, Link, LinkKind
from feasibility.remedies import of_cables, of_circuit, of_devices, of_loads, of_outlet
from feasibility.remedies.record import Kind, Part
from feasibility.remedies.trial import Parts, Problem, Trial
from feasibility.remedies.values import Ladder

Generator = Callable[[Installation, Link], Iterator[Ladder]]


def _larger_circuit(installation: Installation, link: Link) -> Iterator[Ladder]:
    yield of_cables.larger_circuit(installation, installation.circuit_of(link))


def _every_larger_circuit(installation: Installation, link: Link) -> Iterator[Ladder]:
    del link
    for circuit in installation.circuits:
        yield of_cables.larger_circuit(installation, circuit)
    for cord in installation.links_of(LinkKind.CORD):
        yield of_cables.other_cord(installation, cord)


def _weaker_before(installation: Installation, link: Link) -> Iterator[Ladder]:
    device = installation.circuit_of(link).device
    yield from of_devices.weaker_device(installation, device)


def _quicker_before(installation: Installation, link: Link) -> Iterator[Ladder]:
    device = installation.circuit_of(link).device
    yield from of_devices.quicker_device(installation, device)


def _other_cord(installation: Installation, link: Link) -> Iterator[Ladder]:
    del link
    for cord in installation.links_of(LinkKind.CORD):
        yield of_cables.other_cord(installation, cord)


def _all_residual(installation: Installation, link: Link) -> Iterator[Ladder]:
    """Yield other residual-current devices where one is, and at the final circuit."""
    del link
    for circuit in installation.circuits:
        place = circuit.residual_current_device
        if circuit.is_final or place.data.flag("present").options == (True,):
            yield from of_devices.residual_current_device(installation, place)


_AT_CABLE: tuple[Generator, ...] = (of_cables.at_cable, of_devices.unblocked_outlets)
_FAULT_ON_CABLE: tuple[Generator, ...] = (_weaker_before, of_cables.at_cable)

# By the question and what kind of link it fails at; None stands for any kind.
_GENERATORS: Mapping[tuple[str, LinkKind | None], tuple[Generator, ...]] = {
    ("ampacity", LinkKind.CABLE): (*_AT_CABLE, of_loads.less_demand),
    ("ampacity", LinkKind.CORD): (of_cables.at_cord,),
    ("neutral-current", LinkKind.CABLE): (*_AT_CABLE, of_loads.less_demand),
    ("neutral-current", LinkKind.CORD): (of_cables.at_cord,),
    ("neutral-section", LinkKind.CABLE): (of_cables.at_cable,),
    ("overload-rating", LinkKind.CABLE): (_weaker_before, *_AT_CABLE),
    ("overload-tripping", LinkKind.CABLE): (_weaker_before, *_AT_CABLE),
    ("overload-rating", LinkKind.CORD): (_weaker_before, of_cables.at_cord),
    ("overload-tripping", LinkKind.CORD): (_weaker_before, of_cables.at_cord),
    ("short-circuit-withstand", LinkKind.CABLE): _FAULT_ON_CABLE,
    ("short-circuit-withstand", LinkKind.CORD): (_weaker_before, of_cables.at_cord),
    ("neutral-withstand", LinkKind.CABLE): _FAULT_ON_CABLE,
    ("protective-conductor", LinkKind.CABLE): (of_cables.at_cable,),
    ("protective-conductor", LinkKind.CORD): (of_cables.at_cord,),
    ("disconnection", None): (_quicker_before, _weaker_before, _all_residual, _larger_circuit),
    ("minimum-voltage", None): (_every_larger_circuit, of_loads.less_demand),
    ("voltage-drop", None): (_every_larger_circuit, of_loads.less_demand),
    ("full-power-voltage", None): (_every_larger_circuit, of_loads.less_demand),
    ("device-rating", LinkKind.DEVICE): (
        of_devices.stronger_device,
        of_devices.unblocked_outlets,
        of_loads.less_demand,
    ),
    ("continuous-current", LinkKind.DEVICE): (of_devices.stronger_device,),
    ("board-diversity", LinkKind.DEVICE): (of_devices.stronger_device, of_loads.less_demand),
    ("upstream-device", None): (_weaker_before,),
    ("breaking-capacity", None): (of_devices.breaking_more,),
    ("link-rating", LinkKind.RESIDUAL_CURRENT_DEVICE): (of_devices.stronger_residual,),
    ("link-rating", LinkKind.PART): (of_devices.stronger_part, of_devices.unblocked_outlets),
    ("continuous-current", LinkKind.PART): (of_devices.stronger_part,),
    ("link-rating", LinkKind.METERING): (of_loads.less_demand,),
    ("link-rating", LinkKind.BOARD): (of_loads.less_demand,),
    ("contracted-capacity", None): (of_loads.less_demand,),
    ("transformer-loading", None): (of_loads.less_demand,),
    ("link-rating", LinkKind.OUTLET): (of_outlet.larger_outlet,),
    ("continuous-current", LinkKind.OUTLET): (of_outlet.same_outlet, of_outlet.larger_outlet),
    ("link-rating", LinkKind.PLUG): (_other_cord, of_outlet.larger_outlet),
    ("accessory-protection", None): (_weaker_before, of_outlet.larger_outlet),
    ("visible-condition", LinkKind.OUTLET): (of_outlet.same_outlet,),
    ("visible-condition", LinkKind.PLUG): (_other_cord,),
    ("visible-condition", LinkKind.CORD): (_other_cord,),
    ("degree-of-protection", LinkKind.OUTLET): (of_outlet.same_outlet,),
    ("outlet-configuration", LinkKind.OUTLET): (of_outlet.same_outlet,),
    ("poles", LinkKind.OUTLET): (of_outlet.same_outlet,),
    ("terminal-range", LinkKind.OUTLET): (of_outlet.same_outlet,),
    ("plug-fit", LinkKind.PLUG): (_other_cord, of_outlet.same_outlet),
    ("isolation", LinkKind.OUTLET): (of_outlet.locked_off, of_outlet.same_outlet),
    ("residual-current-type", None): (_all_residual,),
    ("residual-current-presence", None): (_all_residual,),
    ("direct-current-blinding", None): (_all_residual,),
    ("fire-protection", None): (_all_residual,),
}


def proposed(trial: Trial, parts: Parts, problems: Sequence[Problem]) -> Iterator[Part]:
    """Yield parts that each help against some of the problems of the changed site.

    Of each ladder the first step is taken that is rid of what it was proposed for, and of as many
    other problems at the same link as any step.
    """
    installation = trial.installation(parts)
    if installation is None:
        return
    links = {one: _link(trial, installation, one) for one in problems}
    for problem, link in links.items():
        if link is not None:
            at_link = [one for one in problems if one.link == problem.link]
            for ladder in _ladders(installation, problem, link):
                yield from _smallest(trial, parts, ladder, problem, at_link)
    failing_links = {one.link for one in problems}
    pieces = [one for one in of_loads.service_links(installation) if one.name in failing_links]
    if pieces:
        names = {one.name for one in pieces}
        of_service = [one for one in problems if one.link in names]
        ladder = of_loads.enlarged_service(pieces)
        yield from _smallest(trial, parts, ladder, of_service[0], of_service)
    last = installation.final_circuit.position
    ends = [one for one, link in links.items() if link is not None and _at_the_end(link, last)]
    if ends:
        yield from _new_circuit(trial, parts, installation)


_EASING = (
    Kind.UNWOUND_CORD,
    Kind.BLOCKED_OUTLET,
    Kind.MOVED_LOADS,
    Kind.UNGROUPED_CABLE,
    Kind.RELOCATED_CABLE,
)


def easing(trial: Trial, parts: Parts, problems: Sequence[Problem]) -> Iterator[Part]:
    """Yield parts of little disturbance that ease a problem without being rid of it."""
    installation = trial.installation(parts)
    seen: set[Part] = set()
    for problem in problems:
        link = None if installation is None else _link(trial, installation, problem)
        if installation is None or link is None:
            continue
        for ladder in _ladders(installation, problem, link):
            step = ladder[-1] if ladder and ladder[-1].kind in _EASING else None
            if step is not None and step not in seen and trial.failing((*parts, step), [problem]):
                seen.add(step)
                yield step


def _smallest(
    trial: Trial, parts: Parts, ladder: Ladder, problem: Problem, at_link: Sequence[Problem]
) -> Iterator[Part]:
    """Yield the smallest step that is rid of the problem, and of most others at its link.

    The steps of a ladder help the more the further they go, so half of them is left out each time.
    """
    if not ladder:
        return
    asked = (*at_link, *_own_rating(ladder[0]))

    def left(number: int) -> frozenset[Problem]:
        return trial.failing((*parts, ladder[number]), asked)

    low, high = 0, len(ladder) - 1
    if ladder[0].kind in _NO_BETTER_FURTHER:
        high = next((n for n in range(len(ladder)) if problem not in left(n)), high)
    least = left(high)
    if problem in least or any(one not in at_link for one in least):
        return
    while low < high:
        middle = (low + high) // 2
        if left(middle) <= least:
            high = middle
        else:
            low = middle + 1
    yield ladder[high]


_NO_BETTER_FURTHER = (Kind.OTHER_OUTLET, Kind.OTHER_DEVICE, Kind.RELEASE_SETTING)


def _own_rating(step: Part) -> tuple[Problem, ...]:
    """Return the question whether a changed device still carries the current itself."""
    changed = step.kind in (Kind.OTHER_DEVICE, Kind.RELEASE_SETTING)
    return (Problem("device-rating", step.link),) if changed else ()


def _at_the_end(link: Link, last: int) -> bool:
    return link.position >= last and link.kind is not LinkKind.STATION


def _new_circuit(trial: Trial, parts: Parts, before: Installation) -> Iterator[Part]:
    """Yield the smallest new circuit at which nothing fails from its device on."""
    requested_a = trial.assessment.requested_current_a
    if requested_a is None:
        return
    last = before.final_circuit.position
    for step in of_circuit.new_circuit(before, requested_a):
        changed = (*parts, step)
        installation = trial.installation(changed)
        if installation is None:
            continue
        questions = [
            Problem(check.name, link.name)
            for check in trial.catalogue()
            for link in check.links(installation)
            if _at_the_end(link, last)
        ]
        first = [one for one in questions if one.check in _OF_SIZE]
        if not trial.failing(changed, first) and not trial.failing(changed, questions):
            yield step
            return


_OF_SIZE = ("overload-rating", "overload-tripping", "terminal-range", "upstream-device")
"""Asked first of a new circuit: they need no network, and most sizes end here."""


def _ladders(installation: Installation, problem: Problem, link: Link) -> Iterator[Ladder]:
    by_kind = _GENERATORS.get((problem.check, link.kind), ())
    for generator in (*by_kind, *_GENERATORS.get((problem.check, None), ())):
        yield from generator(installation, link)


def _link(trial: Trial, installation: Installation, problem: Problem) -> Link | None:
    """Return the link that the question is asked of; None if it is not asked of it any more."""
    for check in trial.catalogue():
        if check.name == problem.check:
            for link in check.links(installation):
                if link.name == problem.link:
                    return link
    return None
