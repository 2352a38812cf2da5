"""A bar on the terminal for what takes longer than a second."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from collections.abc import Callable

SHOWN_AFTER_S = 1.0


@contextmanager
def progress(label: str) -> Iterator[Callable[[int, int], None]]:
    """Yield what is told how much is done, and of how much.

    Once a second has passed it draws a bar on standard error; nothing where that is no terminal.
    """
    began = time.monotonic()
    shown = sys.stderr.isatty()
    bars: list[Any] = []
    with ExitStack() as stack:

        def told(done: int, everything: int) -> None:
            if not shown or time.monotonic() - began < SHOWN_AFTER_S:
                return
            if not bars:
                bar = click.progressbar(length=everything, label=label, file=sys.stderr)
                bars.append(stack.enter_context(bar))
            bars[0].update(done - bars[0].pos)

        yield told
