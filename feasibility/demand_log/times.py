"""Time stamps of a log: several ways of writing dates, time zones, daylight saving."""

from __future__ import annotations

import datetime as dt
import re
from array import array
from dataclasses import dataclass, field
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np
from numpy.typing import NDArray

from feasibility.demand_log.record import DateOrder, LogProblems, problem

_STAMP = re.compile(
    r"(?P<date>[0-9]{1,4}(?P<sep>[-/.])[0-9]{1,2}(?P=sep)[0-9]{2,4})[T ,]+"
    r"(?P<h>[0-9]{1,2}):(?P<m>[0-9]{2})(?::(?P<s>[0-9]{2})(?:[.,](?P<f>[0-9]{1,9}))?)?"
    r"(?: ?(?P<half>[AaPp][Mm]))? ?(?P<offset>Z|[+-][0-9]{2}:?[0-9]{2})?"
)
_OFFSET = re.compile(r"([+-])([0-9]{2}):?([0-9]{2})")
_WAYS = (
    "a date and time such as 2026-03-29 14:15, 2026-03-29T14:15:00+02:00, 29.03.2026 14:15 or "
    "29/03/2026 14:15"
)
_YEAR_FIRST, _DAY_FIRST, _OPEN_ORDER = "year first", "day first", "order open"
_DAY_MS = 86_400_000
_QUARTER_MS = 900_000
_NO_OFFSET = -32_768
_MOST_CLOCKS = 100_000

Milliseconds = NDArray[np.int64]


@dataclass(slots=True)
class Stamps:
    """Takes the cells of the time column, row by row.

    Dates are kept once each; which of day and month comes first is settled by the whole file.
    """

    column: str
    date_order: DateOrder | None
    _dates: dict[object, int] = field(default_factory=dict)
    _clocks: dict[str, tuple[int, int]] = field(default_factory=dict)
    _date_length: int = 10
    _parts: list[tuple[int, int, int, int]] = field(default_factory=list)
    _written: str = ""
    _date_of: array[int] = field(default_factory=lambda: array("i"))
    _ms_of_day: array[int] = field(default_factory=lambda: array("i"))
    _offsets: array[int] = field(default_factory=lambda: array("h"))

    def take(self, row: int, cell: object) -> None:
        """Add one time stamp; LogProblems where it is none."""
        if isinstance(cell, dt.date):
            self._take_cell(row, cell)
            return
        text = str(cell).strip()
        # Dates and clock times repeat: what was read once is known by its text.
        known, clock = (
            self._dates.get(text[: self._date_length]),
            self._clocks.get(text[self._date_length :]),
        )
        if known is not None and clock is not None:
            self._add(row, cell, known, *clock)
            return
        match = _STAMP.fullmatch(text)
        if match is None:
            raise self._refused(row, cell, _WAYS)
        ms, offset = _clock(match), _offset_minutes(match["offset"])
        if ms is None:
            raise self._refused(row, cell, _WAYS)
        number = self._dates.get(match["date"])
        if number is None:
            number = self._new_date(row, cell, match["date"], match["sep"])
        self._add(row, cell, number, ms, offset)
        self._date_length = len(match["date"])
        if len(self._clocks) < _MOST_CLOCKS:
            self._clocks[text[self._date_length :]] = (ms, offset)

    def _take_cell(self, row: int, cell: dt.date) -> None:
        if not isinstance(cell, dt.datetime):  # midnight
            cell = dt.datetime.combine(cell, dt.time())
        # A sheet keeps a time as a fraction of a day: milliseconds are all it is good for.
        moment = cell + dt.timedelta(microseconds=500)
        number = self._dates.get(moment.date())
        if number is None:
            self._same_way(row, cell, _YEAR_FIRST)
            number = self._dates[moment.date()] = len(self._parts)
            self._parts.append((moment.year, moment.month, moment.day, row))
        second = moment.hour * 3600 + moment.minute * 60 + moment.second
        self._add(row, cell, number, second * 1000 + moment.microsecond // 1000, _NO_OFFSET)

    def _add(self, row: int, cell: object, number: int, ms: int, offset: int) -> None:
        if self._offsets and (self._offsets[0] == _NO_OFFSET) != (offset == _NO_OFFSET):
            expected = "an offset from UTC in every row or in none"
            raise self._refused(row, cell, expected)
        self._date_of.append(number)
        self._ms_of_day.append(ms)
        self._offsets.append(offset)

    def _new_date(self, row: int, cell: object, text: str, mark: str) -> int:
        first, second, third = (int(part) for part in text.split(mark))
        lengths = [len(part) for part in text.split(mark)]
        if lengths[0] == 4 and lengths[2] <= 2:
            way, parts = _YEAR_FIRST, (first, second, third)
        elif lengths[0] <= 2 and mark == "." and lengths[2] in (2, 4):
            way, parts = _DAY_FIRST, (third + (2000 if lengths[2] == 2 else 0), second, first)
        elif lengths[0] <= 2 and lengths[2] == 4:
            way, parts = _OPEN_ORDER, (third, first, second)
        else:
            raise self._refused(row, cell, f"{_WAYS}, the year with four digits")
        self._same_way(row, cell, way)
        self._parts.append((*parts, row))
        self._dates[text] = len(self._parts) - 1
        return len(self._parts) - 1

    def _same_way(self, row: int, cell: object, way: str) -> None:
        if self._written and way != self._written:
            raise self._refused(row, cell, "dates written in one way throughout the file")
        self._written = way

    def _refused(self, row: int | None, value: object, expected: str) -> LogProblems:
        return problem(expected, row=row, column=self.column, value=value)

    def months(self) -> NDArray[np.int64]:
        """Return the calendar month of each row, on the clock of the file."""
        months = [month for _, month, _ in self._calendar()]
        return np.array(months, dtype=np.int64)[self._numbers()]

    def utc_ms(self, time_zone: str, rows: NDArray[np.int64]) -> Milliseconds:
        """Return each row's time in milliseconds since 1970, UTC. LogProblems where it is none."""
        days = np.array([self._day_ms(*date) for date in self._checked()], dtype=np.int64)
        wall = days[self._numbers()] + np.frombuffer(self._ms_of_day, dtype=np.intc)
        offsets = np.frombuffer(self._offsets, dtype=np.int16).astype(np.int64)
        if offsets.size and offsets[0] != _NO_OFFSET:
            return np.asarray(wall - offsets * 60_000)
        zone = zone_of(time_zone)
        if isinstance(zone, dt.timezone):
            return np.asarray(wall - int(zone.utcoffset(None).total_seconds() * 1000))
        return _localised(wall, zone, rows, self.column)

    def _numbers(self) -> NDArray[np.intc]:
        return np.frombuffer(self._date_of, dtype=np.intc)

    @staticmethod
    def _day_ms(year: int, month: int, day: int) -> int:
        return (dt.date(year, month, day).toordinal() - dt.date(1970, 1, 1).toordinal()) * _DAY_MS

    def _checked(self) -> list[tuple[int, int, int]]:
        dates = self._calendar()
        for date, (*_, row) in zip(dates, self._parts, strict=True):
            try:
                dt.date(*date)
            except ValueError:
                shown = "{:04d}-{:02d}-{:02d}".format(*date)
                raise self._refused(row, shown, "a day that the calendar has") from None
            if not 1990 <= date[0] <= 2100:
                raise self._refused(row, date[0], "a year from 1990 to 2100")
        return dates

    def _calendar(self) -> list[tuple[int, int, int]]:
        if self._written != _OPEN_ORDER or self._order() == "month first":
            return [(year, first, second) for year, first, second, _ in self._parts]
        return [(year, second, first) for year, first, second, _ in self._parts]

    def _order(self) -> DateOrder:
        """Return what the first figure of a date such as 03/04/2026 is, if the file tells it."""
        by_day = next((row for _, first, _, row in self._parts if first > 12), None)
        by_month = next((row for _, _, second, row in self._parts if second > 12), None)
        if by_day is not None and by_month is not None:
            expected = f"the same order of day and month as in row {min(by_day, by_month)}"
            raise self._refused(max(by_day, by_month), None, expected)
        found: DateOrder | None = None
        if by_day is not None or by_month is not None:
            found = "day first" if by_day is not None else "month first"
        if found is None and self.date_order is None:
            raise self._refused(
                self._parts[0][3],
                None,
                "dates that tell day and month apart: every figure is 12 or less, so 03/04 may be "
                'either; give date_order = "day first" or "month first"',
            )
        if found is not None and self.date_order not in (None, found):
            row = by_day if by_day is not None else by_month
            raise self._refused(row, None, f"dates with the {self.date_order}, as date_order says")
        return found or self.date_order or "day first"


def _clock(match: re.Match[str]) -> int | None:
    """Return milliseconds since midnight; 24:00 is the end of the day. None where it is no time."""
    hour, minute, second = int(match["h"]), int(match["m"]), int(match["s"] or 0)
    ms = int((match["f"] or "0")[:3].ljust(3, "0"))
    half = (match["half"] or "").lower()
    if half:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if half == "pm" else 0)
    if minute > 59 or second > 59 or hour > 24 or (hour == 24 and (minute or second or ms)):
        return None
    return ((hour * 60 + minute) * 60 + second) * 1000 + ms


def _offset_minutes(text: str | None) -> int:
    if text is None:
        return _NO_OFFSET
    if text == "Z":
        return 0
    match = _OFFSET.fullmatch(text)
    assert match is not None  # noqa: S101 - the stamp's own pattern found it
    minutes = int(match[2]) * 60 + int(match[3])
    return minutes if match[1] == "+" else -minutes


def zone_of(name: str) -> dt.timezone | ZoneInfo:
    """Return a time zone by its name or fixed offset; LogProblems where there is none."""
    match = _OFFSET.fullmatch(name)
    if name in ("UTC", "Z"):
        return dt.UTC
    if match is not None and int(match[2]) < 15 and int(match[3]) < 60:
        return dt.timezone(dt.timedelta(minutes=_offset_minutes(name)))
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        expected = (
            'a time zone: a name such as "Europe/Vienna" where the clock follows daylight saving, '
            'or a fixed offset such as "+01:00" where it does not'
        )
        raise problem(expected, value=name) from None


def _localised(
    wall: Milliseconds, zone: ZoneInfo, rows: NDArray[np.int64], column: str
) -> Milliseconds:
    """Return UTC of local clock times; the hour that occurs twice is told apart by the order."""
    # Clocks are changed on the quarter hour: the offset is asked for once in each.
    quarters, place_of = np.unique(wall // _QUARTER_MS, return_inverse=True)
    offsets = np.array([_both_offsets_ms(int(one), zone) for one in quarters], dtype=np.int64)
    first, second = offsets[place_of, 0], offsets[place_of, 1]
    lost = np.flatnonzero(first < second)
    if lost.size:
        shown = _clock_time(int(wall[lost[0]])).isoformat(" ")
        expected = (
            f"a time that the clock shows in {zone.key}, where it is put forward over this hour; "
            "a logger that stays on standard time has a fixed offset such as +01:00"
        )
        raise problem(expected, row=int(rows[lost[0]]), column=column, value=shown)
    utc = wall - first
    late = wall - second
    for place in np.flatnonzero(first > second):
        if place > 0 and utc[place] <= utc[place - 1]:
            utc[place] = late[place]
    return np.asarray(utc)


def _both_offsets_ms(quarter: int, zone: ZoneInfo) -> tuple[int, int]:
    """Return the offset from UTC before and after a change of the clock; equal at other times."""
    moment = _clock_time(quarter * _QUARTER_MS).replace(tzinfo=zone)
    before, after = moment.utcoffset(), moment.replace(fold=1).utcoffset()
    assert before is not None  # noqa: S101 - a zone has an offset at every time
    assert after is not None  # noqa: S101
    return int(before.total_seconds() * 1000), int(after.total_seconds() * 1000)


def _clock_time(wall_ms: int) -> dt.datetime:
    return dt.datetime(1970, 1, 1) + dt.timedelta(milliseconds=wall_ms)  # noqa: DTZ001 - no zone yet
