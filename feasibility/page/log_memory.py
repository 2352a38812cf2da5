"""Logs that were read already: a year of rows is read once, not at every change beside it."""

from __future__ import annotations

import hashlib
import stat
from collections import OrderedDict
from pathlib import Path

from feasibility.demand_log.csv_rows import LARGEST_BYTES
from feasibility.demand_log.reading import read_demand_log
from feasibility.demand_log.record import DemandLog, LogDescription, LogProblems

MOST_LOGS = 8

Key = tuple[str, str, str]


class LogMemory:
    """Reads logs, each content once for each description, and keeps those asked for last.

    What is wrong with a log is kept like what was read of it. Not for several threads at a time.
    """

    def __init__(self) -> None:
        self._known: OrderedDict[Key, DemandLog | LogProblems] = OrderedDict()

    def read(self, path: Path, description: LogDescription) -> DemandLog:
        """Return what the file holds now; LogProblems as the reader raises them."""
        digest = _digest(path)
        if digest is None:
            return read_demand_log(path, description)
        key = (path.name, digest, repr(description))
        known = self._known.pop(key, None)
        unchanged = known is not None
        if known is None:
            known = _outcome(path, description)
            unchanged = _digest(path) == digest
        if unchanged:
            self._known[key] = known
        while len(self._known) > MOST_LOGS:
            self._known.popitem(last=False)
        if isinstance(known, LogProblems):
            raise LogProblems(known.problems)
        return known


def _outcome(path: Path, description: LogDescription) -> DemandLog | LogProblems:
    try:
        return read_demand_log(path, description)
    except LogProblems as found:
        return found


def _digest(path: Path) -> str | None:
    """Return the digest of an ordinary file that the reader would read; None for any other."""
    try:
        status = path.stat()
        if not stat.S_ISREG(status.st_mode) or status.st_size > LARGEST_BYTES:
            return None
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except (OSError, ValueError):
        return None
