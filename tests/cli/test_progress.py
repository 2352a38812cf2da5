"""The bar for what takes longer than a second: on a terminal only, and on standard error."""

from __future__ import annotations

import io
import sys

import pytest

from feasibility.cli.progress import SHOWN_AFTER_S, progress


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


class Clock:
    """Stands for the clock, so that no test waits."""

    now = 100.0

    def monotonic(self) -> float:
        return self.now


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    clock = Clock()
    monkeypatch.setattr("feasibility.cli.progress.time.monotonic", clock.monotonic)
    return clock


def shown(monkeypatch: pytest.MonkeyPatch, clock: Clock, stream: io.StringIO, step_s: float) -> str:
    monkeypatch.setattr(sys, "stderr", stream)
    with progress("Every quarter-hour") as told:
        for done in range(1, 5):
            clock.now += step_s
            told(done, 4)
    return stream.getvalue()


def test_a_quick_answer_shows_no_bar(monkeypatch: pytest.MonkeyPatch, clock: Clock) -> None:
    assert shown(monkeypatch, clock, Terminal(), SHOWN_AFTER_S / 5) == ""


def test_a_slow_one_draws_it_to_the_end(monkeypatch: pytest.MonkeyPatch, clock: Clock) -> None:
    text = shown(monkeypatch, clock, Terminal(), SHOWN_AFTER_S)
    assert "Every quarter-hour" in text
    assert "100%" in text


def test_what_is_no_terminal_stays_clean(monkeypatch: pytest.MonkeyPatch, clock: Clock) -> None:
    assert shown(monkeypatch, clock, io.StringIO(), SHOWN_AFTER_S) == ""
