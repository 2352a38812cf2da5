"""Files with samples as the survey describes them: which file, how laid out, of what."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from feasibility.survey.quantities import Name
from feasibility.survey.stated import Record, Stated


class LogFile(Record):
    """A file with one row for each sample (CSV or .xlsx).

    ``file`` lies beside the survey or in a folder below. The columns are named by their headings.
    ``time_zone`` is a name such as ``Europe/Vienna`` where the clock follows daylight saving, a
    fixed offset such as ``+01:00`` where it does not. ``date_order`` is needed only if the dates do
    not tell it themselves. ``interval_s`` is the time between two rows.
    """

    file: Annotated[str, Field(min_length=1, max_length=200)]
    sheet: Name | None = None
    unit: Literal["A", "kW"]
    time_column: Name
    time_zone: Name
    date_order: Literal["day first", "month first"] | None = None
    interval_s: Annotated[float, Field(ge=1, le=3600)]


class MeasuredLog(LogFile):
    """A file with the demand of one board: a column per phase, or ``total_column`` for all three.

    The total is in kW. ``each_sample`` is what a row holds of its interval, the mean unless stated
    otherwise. ``measured_at`` names the place: the board itself, or ``origin``.

    ``generation_behind_meter`` is what feeds in between the place of measurement and the loads: it
    hides what they draw. ``generation_column`` holds what a generator delivered, per phase and in
    the unit of the log (in all for a total); it is added in full to each column.
    """

    l1_column: Name | None = None
    l2_column: Name | None = None
    l3_column: Name | None = None
    total_column: Name | None = None
    generation_column: Name | None = None
    each_sample: Stated[Literal["mean", "maximum"]] | None = None
    measured_at: Name
    instrument: Name | None = None
    generation_behind_meter: Stated[Literal["none", "photovoltaic", "storage"]] | None = None


class OutputLog(LogFile):
    """A file with what a second source delivered: its current in each phase, or in kW all of it."""

    output_column: Name
