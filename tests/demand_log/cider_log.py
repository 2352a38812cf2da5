"""The log of the shipped cider press: a whole invented year, the same on any machine.

Largest currents of each half-hour in whole tenths of an ampere: what is always on, the workshop on
working days, pressing in autumn, and electric heaters on the evenings of two cold spells. On 60
hours of January the heaters run together with all the rest.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

START = dt.datetime(2025, 1, 1)  # noqa: DTZ001 - the logger's clock, +01:00 all the year
STEP = dt.timedelta(minutes=30)
ROWS = 365 * 48

# Tenths of an ampere on L1, L2, L3.
ALWAYS = (31, 24, 28)
WORKSHOP = (78, 96, 69)
PRESS = (92, 88, 97)
HEATERS = (248, 236, 244)
SCATTER = 32
COLD_EVENINGS = (*range(6, 12), *range(20, 26))
"""Days of January on which the heaters run, from 17 to 22 o'clock: 12 times 5 hours."""


def cider_log() -> bytes:
    """Return the file."""
    lines = ["time,L1,L2,L3", *(f"{time:%Y-%m-%d %H:%M},{cells}" for time, cells in _rows())]
    return ("\n".join(lines) + "\n").encode()


def _rows() -> Iterator[tuple[dt.datetime, str]]:
    state = 20250101
    for number in range(ROWS):
        state = (state * 1103515245 + 12345) % 2**31
        time = START + number * STEP
        tenths = [
            sum(part) + (state >> (8 + 5 * phase)) % SCATTER
            for phase, part in enumerate(zip(*_drawn(time), strict=True))
        ]
        yield time, ",".join(f"{one // 10}.{one % 10}" for one in tenths)


def _drawn(time: dt.datetime) -> Iterator[tuple[int, int, int]]:
    yield ALWAYS
    working = time.weekday() < 5 and 7 <= time.hour < 16
    if working:
        yield WORKSHOP
    if 9 <= time.month <= 11 and time.weekday() < 6 and 8 <= time.hour < 18:
        yield PRESS
    if time.month == 1 and time.day in COLD_EVENINGS and 17 <= time.hour < 22:
        yield HEATERS
        yield WORKSHOP
