"""Time zones, the two changes of the clock, gaps, and dates that could mean two days.

The changes of 2026 in central Europe are those of Directive 2000/84/EC: the last Sundays of March
and October, at 01:00 UTC.
"""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from zoneinfo import ZoneInfo

import pandas as pd
import pytest

from .files import Form, described, only, problems, read, small, text_of, times

VIENNA = ZoneInfo("Europe/Vienna")
SPRING, AUTUMN = dt.date(2026, 3, 29), dt.date(2026, 10, 25)


def local_day(day: dt.date, minutes: int = 15) -> list[dt.datetime]:
    """What a clock that follows daylight saving shows from midnight to midnight."""
    first = pd.Timestamp(day, tz=VIENNA)
    stamps = pd.date_range(
        first, first + pd.Timedelta(days=1, hours=1), freq=f"{minutes}min", inclusive="left"
    )
    return [one.to_pydatetime() for one in stamps if one.date() == day]


def logged(stamps: list[dt.datetime]) -> str:
    return small(*(f"{one:%Y-%m-%d %H:%M};{n}.5;2;3" for n, one in enumerate(stamps)))


@pytest.mark.parametrize(("day", "hours"), [(SPRING, 23), (AUTUMN, 25)])
@pytest.mark.parametrize("minutes", [5, 15, 30, 60])
def test_the_day_of_the_change_has_no_gap_and_no_repeated_time(
    tmp_path: Path, day: dt.date, hours: int, minutes: int
) -> None:
    stamps = local_day(day, minutes)
    assert len(stamps) * minutes == hours * 60
    log = read(tmp_path, logged(stamps), time_zone="Europe/Vienna", interval_s=minutes * 60)
    assert (log.samples, log.gap_count) == (len(stamps), 0)
    assert log.end - log.start == stamps[-1] - stamps[0]
    assert log.of("L1").maximum_at == stamps[-1]  # type: ignore[union-attr]


def test_the_second_of_two_equal_hours_is_told_apart(tmp_path: Path) -> None:
    stamps = local_day(AUTUMN)
    rows = [f"{one:%Y-%m-%d %H:%M};{1 + 9 * (n == 13)};2;3" for n, one in enumerate(stamps)]
    at = read(tmp_path, small(*rows), time_zone="Europe/Vienna").of("L1")
    assert at is not None
    assert at.maximum_at.astimezone(dt.UTC) == dt.datetime(2026, 10, 25, 1, 15, tzinfo=dt.UTC)
    assert at.maximum_at.utcoffset() == dt.timedelta(hours=1)


def test_a_lost_hour_of_the_two_is_a_gap(tmp_path: Path) -> None:
    stamps = local_day(AUTUMN)
    log = read(tmp_path, logged(stamps[:12] + stamps[16:]), time_zone="Europe/Vienna")
    assert (log.gap_count, log.longest_gap_s) == (1, 3600)


def test_a_time_that_the_clock_skipped_is_refused(tmp_path: Path) -> None:
    rows = [f"2026-03-29 0{n // 4}:{n % 4 * 15:02d};1;2;{n}" for n in range(16)]
    found = only(tmp_path, small(*rows), time_zone="Europe/Vienna")
    assert (found.row, found.column, found.value) == (10, "time", "2026-03-29 02:00:00")
    assert "+01:00" in found.expected
    assert read(tmp_path, small(*rows)).gap_count == 0


def test_a_repeated_hour_without_daylight_saving_is_refused_with_a_hint(tmp_path: Path) -> None:
    found = problems(tmp_path, logged(local_day(AUTUMN)))
    assert found[0].row == 14
    assert "the name of its time zone" in found[0].expected


@pytest.mark.parametrize(
    "stamp",
    ["2026-01-13T{:02d}:00:00Z", "2026-01-13 {:02d}:00+00:00", "2026-01-13 {:02d}:00:00.000 +0000"],
)
def test_an_offset_in_the_stamp_counts(tmp_path: Path, stamp: str) -> None:
    rows = [f"{stamp.format(n)};1;2;{n}" for n in range(5)]
    log = read(tmp_path, small(*rows), time_zone="Europe/Vienna", interval_s=3600)
    assert log.start == dt.datetime(2026, 1, 13, tzinfo=dt.UTC)
    assert log.start.utcoffset() == dt.timedelta(hours=1)


def test_offsets_in_some_rows_only_are_refused(tmp_path: Path) -> None:
    rows = ("2026-01-13T00:00Z;1;2;3", "2026-01-13T00:15;1;2;3")
    found = only(tmp_path, small(*rows))
    assert found.row == 3
    assert "every row or in none" in found.expected


@pytest.mark.parametrize(
    ("name", "hours"), [("UTC", 0), ("+01:00", 1), ("-0330", -3.5), ("America/Halifax", -4)]
)
def test_zones(tmp_path: Path, name: str, hours: float) -> None:
    log = read(tmp_path, logged(times(4)), time_zone=name)
    assert log.start.replace(tzinfo=None) == times(1)[0]
    assert log.start.utcoffset() == dt.timedelta(hours=hours)


@pytest.mark.parametrize("name", ["Europe", "Nowhere/Town", "../etc/passwd", "+15:00", "local"])
def test_a_zone_that_there_is_not_is_refused(tmp_path: Path, name: str) -> None:
    found = only(tmp_path, logged(times(4)), time_zone=name)
    assert found.value == name
    assert "Europe/Vienna" in found.expected


def test_gaps_are_counted_and_a_row_without_a_figure_is_one(tmp_path: Path) -> None:
    stamps = times(40)
    kept = [one for n, one in enumerate(stamps) if n not in (5, 6, 20)]
    rows = [[float(n), None if n == 30 else 2.0, 3.0] for n in range(len(kept))]
    log = read(tmp_path, text_of(kept, rows, Form()))
    assert (log.samples, log.gap_count) == (36, 3)
    assert (log.longest_gap_s, log.gaps_total_s) == (2 * 900, 4 * 900)


def test_a_long_gap_is_refused_and_a_shorter_one_is_not(tmp_path: Path) -> None:
    def with_gap(days: float) -> bytes:
        stamps = times(8)
        stamps += [one + dt.timedelta(days=days) for one in stamps]
        return text_of(stamps, [[n + 1.0, 2.0, 3.0] for n in range(16)], Form())

    assert read(tmp_path, with_gap(7)).gap_count == 1
    found = only(tmp_path, with_gap(31))
    assert found.row == 10
    assert "no gap longer than 7 days" in found.expected
    assert "after row 9" in found.expected


DATES = {"day first": "%d/%m/%Y %H:%M", "month first": "%m/%d/%Y %H:%M"}


@pytest.mark.parametrize("order", DATES)
def test_a_date_that_may_be_two_days_is_refused_unless_the_survey_tells(
    tmp_path: Path, order: str
) -> None:
    stamps = [dt.datetime(2026, 4, 3, 0, n) for n in range(9)]  # noqa: DTZ001
    content = text_of(stamps, [[n + 1.0, 2.0, 3.0] for n in range(9)], Form(stamp=DATES[order]))
    found = only(tmp_path, content, interval_s=60)
    assert found.row == 2
    assert "03/04 may be either" in found.expected
    log = read(tmp_path, content, interval_s=60, date_order=order)
    assert log.start.date() == dt.date(2026, 4, 3)


@pytest.mark.parametrize("order", DATES)
def test_an_order_that_the_file_contradicts_is_refused(tmp_path: Path, order: str) -> None:
    content = text_of(times(4), [[n + 1.0, 2.0, 3.0] for n in range(4)], Form(stamp=DATES[order]))
    (other,) = set(DATES) - {order}
    found = only(tmp_path, content, date_order=other)
    assert found.row == 2
    assert f"the {other}" in found.expected


def test_an_order_that_changes_within_the_file_is_refused(tmp_path: Path) -> None:
    rows = ("13/01/2026 00:00;1;2;3", "01/14/2026 00:00;1;2;3")
    found = only(tmp_path, small(*rows))
    assert found.row == 3
    assert "row 2" in found.expected


def test_midnight_may_end_a_day(tmp_path: Path) -> None:
    rows = [f"13.01.2026 {hour}:00;{hour};2;3" for hour in (22, 23, 24)]
    log = read(tmp_path, small(*rows), interval_s=3600)
    assert log.end.replace(tzinfo=None) == dt.datetime(2026, 1, 14)  # noqa: DTZ001


def test_seasons_are_those_of_the_calendar(tmp_path: Path) -> None:
    stamps = [dt.datetime(2026, 2, 28, 12) + dt.timedelta(hours=n) for n in range(36)]  # noqa: DTZ001
    content = text_of(stamps, [[n + 1.0, 2.0, 3.0] for n in range(36)], Form())
    assert read(tmp_path, content, interval_s=3600).season_days == (0.5, 1.0, 0.0, 0.0)


def test_the_description_names_every_column() -> None:
    assert described(generation_column="PV").columns == ("time", "L1", "L2", "L3", "PV")
