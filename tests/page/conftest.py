"""One browser for all tests of a process: starting one takes longer than most of them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest

from .browser import PATIENCE_MS, chromium

if TYPE_CHECKING:
    from playwright.sync_api import Browser


ARGUMENTS = ["--no-sandbox", "--disable-gpu"]


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    path = chromium()
    playwright_api = pytest.importorskip("playwright.sync_api")
    with playwright_api.sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=path, args=ARGUMENTS)
        playwright_api.expect.set_options(timeout=PATIENCE_MS)
        yield started
        started.close()
