"""What is asked of a log file, what was found in it, and what can be wrong with it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from feasibility.demand_log.quarters import QuarterHours

PHASES = ("L1", "L2", "L3")
TOTAL = "total"
OUTPUT = "output"
"""What a second source delivered, where the log is not of a demand."""

Unit = Literal["A", "kW"]
DateOrder = Literal["day first", "month first"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LogDescription:
    """How the file is laid out.

    ``value_columns`` maps ``L1``, ``L2``, ``L3`` or ``total`` to a column heading; in the log of a
    second source it maps ``output`` to the only one. What the generation column holds is added in
    full to each value column. ``time_zone`` is a name such as ``Europe/Vienna`` (clocks follow its
    daylight saving) or a fixed offset such as ``+01:00``.
    """

    unit: Unit
    time_column: str
    value_columns: Mapping[str, str]
    time_zone: str
    interval_s: float
    generation_column: str | None = None
    date_order: DateOrder | None = None
    sheet: str | None = None

    @property
    def columns(self) -> tuple[str, ...]:
        """Every heading that has to be in the file."""
        generation = () if self.generation_column is None else (self.generation_column,)
        return (self.time_column, *self.value_columns.values(), *generation)


@dataclass(frozen=True, slots=True, kw_only=True)
class LoggedValues:
    """The values of one phase, of the total or of an output, in the log's unit.

    Generation is added back to those of a demand.
    """

    name: str
    maximum: float
    maximum_at: dt.datetime
    mean: float
    lowest: float

    @property
    def moves(self) -> bool:
        """Whether the values differ; one that never moves tells nothing of a demand."""
        return self.lowest < self.maximum


@dataclass(frozen=True, slots=True, kw_only=True)
class DemandLog:
    """One log as it was read. Times carry their zone; a gap is the time that is missing.

    ``season_days`` is how many days were logged in December to February, March to May, June to
    August, September to November. ``quarter_hours`` holds the largest figures through the time.
    ``formulas`` counts cells of the sheet that hold a formula, whose
    last calculated value counts.
    """

    file: str
    sha256: str
    unit: Unit
    interval_s: float
    start: dt.datetime
    end: dt.datetime
    samples: int
    gap_count: int
    longest_gap_s: float
    gaps_total_s: float
    season_days: tuple[float, float, float, float]
    values: tuple[LoggedValues, ...]
    generation_added: bool = False
    formulas: int = 0
    quarter_hours: QuarterHours | None = field(default=None, compare=False, repr=False)

    @property
    def covered_days(self) -> float:
        """What the samples cover together, gaps left out."""
        return self.samples * self.interval_s / 86_400

    @property
    def longest_gap_h(self) -> float:
        """The longest gap in hours."""
        return self.longest_gap_s / 3600

    @property
    def gaps_total_h(self) -> float:
        """All gaps together in hours."""
        return self.gaps_total_s / 3600

    def of(self, name: str) -> LoggedValues | None:
        """Return the values of a phase or the total, or None where the log has none."""
        return next((one for one in self.values if one.name == name), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class LogProblem:
    """One mistake: in which row (counted from 1) and column, what stands there, what should."""

    expected: str
    row: int | None = None
    column: str = ""
    value: object = None


class LogProblems(Exception):
    """What is wrong with one log file."""

    def __init__(self, problems: Iterable[LogProblem]) -> None:
        self.problems = tuple(problems)
        super().__init__("; ".join(one.expected for one in self.problems))


def problem(
    expected: str, *, row: int | None = None, column: str = "", value: object = None
) -> LogProblems:
    """Return a single mistake, ready to be raised."""
    return LogProblems([LogProblem(expected=expected, row=row, column=column, value=value)])
