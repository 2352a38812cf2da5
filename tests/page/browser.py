"""A real browser and a page served by the command itself, as a person would use them."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

NAMES = ("chromium", "chromium-browser", "google-chrome")
PHONE = {"width": 360, "height": 740}
DESKTOP = {"width": 1280, "height": 860}


def chromium() -> str:
    """Return the browser; without one the test is skipped, but never in continuous integration."""
    found = next((path for name in NAMES if (path := shutil.which(name))), None)
    if found is None:
        if os.environ.get("CI"):
            pytest.fail("continuous integration has to install chromium")
        pytest.skip("no chromium is installed on this machine")
    return found


@contextmanager
def served(folder: Path, *options: str) -> Iterator[tuple[str, subprocess.Popen[str]]]:
    """Serve a folder on a free port; yields the address and the process."""
    command = [sys.executable, "-u", "-m", "feasibility", "serve", str(folder), "--no-browser"]
    with subprocess.Popen(
        [*command, *(options or ("--port", "0"))],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    ) as process:
        assert process.stdout is not None
        line = process.stdout.readline()
        try:
            assert "http://" in line, line + process.stdout.read()
            yield line.rsplit(" ", 1)[1].strip().rstrip("/"), process
        finally:
            process.kill()
