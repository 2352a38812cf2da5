"""A commissioning record compared with its assessment, as text for a terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from feasibility.commissioning.outcome import (
    Agreement,
    Comparison,
    DropResult,
    LoopResult,
    Suspect,
    TemperatureResult,
)
from feasibility.render.numbers import EN_DASH, NOT_KNOWN, amount_text, message_text, number_text
from feasibility.render.plain_lines import wrapped
from feasibility.result import Span

_HEADLINES = {
    Agreement.WITHIN: "Within what was expected",
    Agreement.DIFFERS: "Differs from what was expected",
    Agreement.CANNOT_TELL: "Cannot tell",
}
SUSPECTS = "Where a resistance is too high"
MEANING = {
    Agreement.WITHIN: "Every reading that could be compared agrees with the assessment within its "
    "tolerance. What was not read was not compared.",
    Agreement.DIFFERS: "At least one reading does not agree with the assessment. Find the reason "
    "before the station is left to run.",
    Agreement.CANNOT_TELL: "Nothing differs beyond its tolerance, but the readings leave room for "
    "a fault that they cannot show: read what is named as not compared, or again with a finer "
    "instrument or at a larger current.",
}


@dataclass(frozen=True, slots=True)
class Result:
    """One result in words, and what speaks for it."""

    words: str
    evidence: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ResultSection:
    """All results of one kind."""

    title: str
    results: tuple[Result, ...]


def headline(comparison: Comparison) -> str:
    """Return in a few words whether the readings agree."""
    return _HEADLINES[comparison.agreement]


def introduction(comparison: Comparison) -> tuple[str, str]:
    """Return what the agreement means, and whose readings of what were compared."""
    whose = (
        f"{comparison.site} ({comparison.reference}), read on {comparison.date.isoformat()} by "
        f"{comparison.read_by}. Losses hold for {amount_text(comparison.in_operation_a, 'A')}, "
        "what the station draws in operation."
    )
    return MEANING[comparison.agreement], whose


def result_sections(comparison: Comparison) -> tuple[ResultSection, ...]:
    """Return every result in words, by kind; kinds without a result are left out."""
    sections = (
        ResultSection(SUSPECTS, tuple(_suspect(one) for one in comparison.suspects)),
        _section("Drop under load", [_drop(one) for one in comparison.drops]),
        _section("Earth-fault loop", [_loop(one) for one in comparison.loops]),
        _section("Current of the station", list(_currents(comparison))),
        _section("Temperature", [_temperature(one) for one in comparison.temperatures]),
        _section("Not compared", comparison.not_compared),
        _section("Notes", comparison.notes),
    )
    return tuple(one for one in sections if one.results)


def commissioning_text(comparison: Comparison) -> str:
    """Return a comparison as text of at most 80 columns."""
    top = [headline(comparison).upper()]
    for words in introduction(comparison):
        top.extend(wrapped(words))
    sections = [top, *(list(_lines(one)) for one in result_sections(comparison))]
    return "\n\n".join("\n".join(lines) for lines in sections)


def _lines(section: ResultSection) -> Iterator[str]:
    yield section.title.upper()
    for number, one in enumerate(section.results, start=1):
        mark = f"{number}. " if section.title == SUSPECTS else "  - "
        yield from wrapped(one.words, first=mark)
        for words in one.evidence:
            yield from wrapped(words, first="   - ")


def _section(title: str, lines: Sequence[str]) -> ResultSection:
    return ResultSection(title, tuple(Result(line) for line in lines))


def _suspect(suspect: Suspect) -> Result:
    evidence = (f"{message_text(words)}." for words in suspect.evidence)
    return Result(_place(suspect), (*evidence, suspect.causes))


def _place(suspect: Suspect) -> str:
    where = ", or ".join(suspect.links)
    words = f"{where} ({', '.join(suspect.conductors)})" if suspect.conductors else where
    if suspect.likely_ohm is not None:
        words += f": about {milliohm(suspect.likely_ohm)} too much"
    if suspect.likely_loss_w is not None:
        words += f", {amount_text(suspect.likely_loss_w, 'W', 2)} of heat"
    return words


def milliohm(ohm: float) -> str:
    """Return a small resistance in milliohm, to two digits."""
    return amount_text(1000 * ohm, "mΩ", 2)


def _span(span: Span | None) -> str:
    if span is None:
        return NOT_KNOWN
    low, high = number_text(span.low), number_text(span.high)
    return low if low == high else f"{low}{EN_DASH}{high}"


def _drop(one: DropResult) -> str:
    words = (
        f"{one.conductors}, {one.from_node} to {one.to_node}: {amount_text(one.measured_v, 'V')}, "
        f"expected {_span(one.expected_v)} V ± {amount_text(one.tolerance_v, 'V', 2)}: "
        f"{one.agreement.value}"
    )
    if one.extra_ohm is not None:
        extra = f"{number_text(1000 * one.extra_ohm.low, 2)}{EN_DASH}{milliohm(one.extra_ohm.high)}"
        return f"{words}; {extra} too much"
    if one.agreement is Agreement.DIFFERS:
        return f"{words}: less than expected, so a length or section is not as surveyed"
    hidden = amount_text(one.hidden_loss_w, "W", 2)
    return f"{words}; a joint of up to {milliohm(one.hidden_ohm)} or {hidden} would not show"


def _loop(one: LoopResult) -> str:
    place = f"{one.from_node} to {one.to_node}" if one.from_node else f"up to {one.to_node}"
    words = (
        f"{one.conductor}-PE, {place}: {amount_text(one.measured_ohm, 'Ω')}, expected "
        f"{_span(one.expected_ohm)} Ω ± {amount_text(one.tolerance_ohm, 'Ω', 2)}: "
        f"{one.agreement.value}"
    )
    if one.is_above_permitted:
        words += f"; the whole loop of {amount_text(one.read_ohm, 'Ω')} exceeds the permitted "
        words += amount_text(one.permitted_ohm, "Ω")
    elif one.advised_ohm is not None and one.read_ohm > one.advised_ohm:
        words += f"; the whole loop of {amount_text(one.read_ohm, 'Ω')} exceeds the advised "
        words += amount_text(one.advised_ohm, "Ω")
    return words


def _currents(comparison: Comparison) -> Iterator[str]:
    for one in comparison.currents:
        yield (
            f"{one.phase}: {amount_text(one.measured_a, 'A')}, assessed for at most "
            f"{amount_text(one.assessed_a, 'A')} ± {amount_text(one.tolerance_a, 'A', 2)}: "
            f"{one.agreement.value}"
        )


def _temperature(one: TemperatureResult) -> str:
    what = f"{one.link}, {one.part}" + (f", {one.conductor}" if one.conductor else "")
    kind = "a rise of " if one.unit == "K" else ""
    remark = f" ({one.remark})" if one.remark else ""
    return (
        f"{what}: {amount_text(one.measured_c, '°C')}, at the full current {kind}"
        f"{amount_text(one.at_request, one.unit)}, permitted {amount_text(one.limit, one.unit)}: "
        f"{one.agreement.value}{remark}"
    )
