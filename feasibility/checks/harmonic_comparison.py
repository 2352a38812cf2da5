"""Each harmonic of the station beside its limit, stated or bounded by the distortion as a whole."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from feasibility import tables
from feasibility.checks.question import Run
from feasibility.checks.working import amount, given, step
from feasibility.clauses.power_quality import (
    greatest_weighted_distortion_percent,
    limit_between_ratios_percent,
)
from feasibility.installation.facts import Fact
from feasibility.result import Quantity, Step

WHOLE = "current_distortion_percent"
FIELDS: Mapping[str, str] = {
    "i3": "third_harmonic_percent",
    "i5": "harmonic_5_percent",
    "i7": "harmonic_7_percent",
    "i9": "harmonic_9_percent",
    "i11": "harmonic_11_percent",
    "i13": "harmonic_13_percent",
    "thc": WHOLE,
    "pwhc": "weighted_distortion_percent",
}
_WORDS: Mapping[str, str] = {
    "i3": "3rd harmonic",
    "i5": "5th harmonic",
    "i7": "7th harmonic",
    "i9": "9th harmonic",
    "i11": "11th harmonic",
    "i13": "13th harmonic",
    "thc": "distortion as a whole (THC)",
    "pwhc": "weighted distortion of orders 14 to 40 (PWHC)",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Emission:
    """One harmonic of the station in percent: as stated, or the most it can be."""

    name: str
    fact: Fact[float]
    percent: Quantity
    stated: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """A harmonic beside its limit, both in the same unit, with the line of the working."""

    emission: Emission
    value: float
    limit: float
    unit: str
    line: Step

    @property
    def exceeds(self) -> bool:
        """Whether it is above its limit."""
        return not self.value <= self.limit

    @property
    def share(self) -> float:
        """Share of the limit that it uses."""
        return self.value / self.limit

    @property
    def words(self) -> str:
        """What it is called."""
        return _WORDS[self.emission.name]


Compare = Callable[[Emission], Compared]


def emissions(run: Run, names: Iterable[str]) -> tuple[list[Emission], list[Fact[float]]]:
    """Return what is known of these harmonics, and the facts of those of which nothing is.

    No single harmonic exceeds the distortion as a whole, and the weighted distortion at most the
    root of 40 times as much.
    """
    device = run.installation.station
    found: list[Emission] = []
    missing: list[Fact[float]] = []
    for name in names:
        fact = device.number(FIELDS[name])
        symbol = f"h{name.removeprefix('i')}"
        if device.has(FIELDS[name]):
            percent = given(fact, run.ends.high_is_bad(fact), symbol)
            found.append(Emission(name=name, fact=fact, percent=percent, stated=True))
        elif device.has(WHOLE):
            percent = amount(symbol, *_most(run, name), "%")
            found.append(Emission(name=name, fact=fact, percent=percent, stated=False))
        else:
            missing.append(fact)
    return found, missing


def _most(run: Run, name: str) -> tuple[str, float]:
    whole = run.ends.high_is_bad(run.installation.station.number(WHOLE))
    most = whole
    if name == "pwhc":
        most = float(greatest_weighted_distortion_percent(distortion_percent=whole))
    return f"{_WORDS[name]}: not more than a distortion of {whole:g} % as a whole allows", most


def in_amperes(rated_a: float, bounds: Mapping[str, Quantity]) -> Compare:
    """Compare with limits in amperes, at the rated input current."""

    def compare(emission: Emission) -> Compared:
        order = emission.name.removeprefix("i")
        limit = bounds[emission.name].named(f"L{order}")
        value = emission.percent.value / 100 * rated_a
        line = step(
            f"u{order}",
            f"share of its limit that the {_WORDS[emission.name]} uses",
            f"{emission.percent.symbol} / 100 * Iequ / {limit.symbol}",
            [emission.percent, amount("Iequ", "rated input current", rated_a, "A"), limit],
            value / limit.value,
            "",
        )
        return Compared(emission=emission, value=value, limit=limit.value, unit="A", line=line)

    return compare


def in_percent(
    ratio: float, lower: tables.HarmonicLimits, upper: tables.HarmonicLimits | None
) -> Compare:
    """Compare with limits in percent, between two rows of the table where there are two."""

    def compare(emission: Emission) -> Compared:
        order = emission.name.removeprefix("i")
        limit, formula, inputs = _limit_at(emission.name, ratio, lower, upper)
        value = emission.percent.value
        line = step(
            f"u{order}",
            f"share of its limit that the {_WORDS[emission.name]} uses",
            f"{emission.percent.symbol} / {formula}",
            [emission.percent, *inputs],
            value / limit,
            "",
        )
        return Compared(emission=emission, value=value, limit=limit, unit="%", line=line)

    return compare


def _limit_at(
    name: str, ratio: float, lower: tables.HarmonicLimits, upper: tables.HarmonicLimits | None
) -> tuple[float, str, list[Quantity]]:
    below = lower.percent[name].named("Ll")
    if upper is None:
        return below.value, "Ll", [below]
    above = upper.percent[name].named("Lu")
    limit = float(
        limit_between_ratios_percent(
            ratio=ratio,
            lower_ratio=lower.ratio_from,
            upper_ratio=upper.ratio_from,
            lower_percent=below.value,
            upper_percent=above.value,
        )
    )
    inputs = [
        below,
        above,
        amount("Rsce", "short-circuit ratio", ratio, ""),
        amount("Rl", "lower ratio of the table", lower.ratio_from, ""),
        amount("Ru", "upper ratio of the table", upper.ratio_from, ""),
    ]
    return limit, "(Ll + (Lu - Ll) * (Rsce - Rl) / (Ru - Rl))", inputs
