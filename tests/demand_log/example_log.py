"""The log of the shipped market hall: invented, in whole numbers only, the same on any machine."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from zoneinfo import ZoneInfo

START = dt.datetime(2026, 3, 2, tzinfo=ZoneInfo("Europe/Vienna"))
DAYS = 35
STEP = dt.timedelta(minutes=15)
LOST = range(1300, 1309)
"""Rows that the logger did not write: somebody had unplugged it."""

# Tenths of an ampere on L1, L2, L3: what is always on, and what the stalls add while open.
ALWAYS = (42, 35, 38)
OPEN = (88, 71, 79)
SCATTER = 40


def example_log() -> bytes:
    """Return the file: a mark at the start, two lines on the logger, decimal commas, CRLF."""
    lines = ["Logger 7;Market hall, main board", "", "Time;I L1 (A);I L2 (A);I L3 (A)"]
    lines += [f"{time:%d.%m.%Y %H:%M};{cells}" for time, cells in _rows()]
    return ("\ufeff" + "\r\n".join(lines) + "\r\n").encode()


def _rows() -> Iterator[tuple[dt.datetime, str]]:
    state = 20260302
    first = START.astimezone(dt.UTC)
    for number in range(DAYS * 96):
        state = (state * 1103515245 + 12345) % 2**31
        local = (first + number * STEP).astimezone(START.tzinfo)
        if number in LOST:
            continue
        working = local.weekday() < 6 and 6 <= local.hour < 14
        tenths = [
            always + (busy if working else 0) + (state >> (8 + 5 * place)) % SCATTER
            for place, (always, busy) in enumerate(zip(ALWAYS, OPEN, strict=True))
        ]
        yield local, ";".join(f"{one // 10},{one % 10}" for one in tenths)
