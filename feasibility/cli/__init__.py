"""The command line: parse arguments, call what lies below, map the verdict to an exit code.

Everything but click and the standard library is imported where it is used, so that help and
input errors are immediate.
"""

from __future__ import annotations

import errno
import io
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import click

from feasibility import __version__
from feasibility.cli.assessing import check, report
from feasibility.cli.commissioning import compare
from feasibility.cli.common import EXIT_BAD_INPUT, EXIT_CODE_OF_VERDICT, CannotDo
from feasibility.cli.demonstration import demo
from feasibility.cli.network import network
from feasibility.cli.page import serve
from feasibility.cli.reopening import reopen
from feasibility.cli.sheet import sheet
from feasibility.cli.table_review import tables
from feasibility.resources import DamagedData

__all__ = ["EXIT_BAD_INPUT", "EXIT_CODE_OF_VERDICT", "CannotDo", "main"]


class Commands(click.Group):
    """A group that reports files that cannot be read, written or relied on as a message."""

    def make_context(self, *args: Any, **more: Any) -> click.Context:
        """Read the options; help and version are printed here."""
        with _as_message():
            return super().make_context(*args, **more)

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command."""
        with _as_message():
            return super().invoke(ctx)


@contextmanager
def _as_message() -> Iterator[None]:
    """Turn what a command cannot do into a message; a closed pipe is left to click."""
    try:
        yield
    except OSError as error:
        if error.errno == errno.EPIPE:
            raise
        raise CannotDo(str(error)) from error
    except DamagedData as error:
        message = f"the program's own data are damaged: {error}"
        raise CannotDo(message) from error


@click.group(
    cls=Commands,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Exit codes of check, report and network: 0 carries, 10 carries a reduced current, 20 "
    "upgrade needed, 30 undecided, 2 faulty survey or a file that cannot be read or written. Of "
    "reopen: 0 the same result, 40 another one. Of compare: 0 within what was expected, 40 "
    "differs, 30 the readings cannot tell.",
)
@click.version_option(__version__, prog_name="feasibility")
def main() -> None:
    """Check whether an existing supply carries the steady rectifier current of a charging station.

    The supply is everything from the service to the station's terminals: protective devices,
    cables, boards, socket-outlet, plug and cord. A survey file (TOML) describes it.
    """
    if isinstance(sys.stdout, io.TextIOWrapper):
        # A terminal that lacks a character shows a question mark instead of a traceback.
        sys.stdout.reconfigure(errors="replace")


for _command in (sheet, check, report, network, serve, compare, reopen, demo, tables):
    main.add_command(_command)
