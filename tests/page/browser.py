"""The page served in this process, and what a person does with it in a real browser."""

from __future__ import annotations

import os
import shutil
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from feasibility.page.app import page_app
from feasibility.page.serve import listening, server_of

if TYPE_CHECKING:
    from playwright.sync_api import Browser, ConsoleMessage, Locator, Page

NAMES = ("chromium", "chromium-browser", "google-chrome")
PHONE = {"width": 360, "height": 740}
DESKTOP = {"width": 1280, "height": 860}
BY_HAND = {"viewport": PHONE, "has_touch": True, "is_mobile": True}
PATIENCE_MS = 20_000


def chromium() -> str:
    """Return the browser; without one the test is skipped, but never in continuous integration."""
    found = next((path for name in NAMES if (path := shutil.which(name))), None)
    if found is None:
        if os.environ.get("CI"):
            pytest.fail("continuous integration has to install chromium")
        pytest.skip("no chromium is installed on this machine")
    return found


@contextmanager
def served(folder: Path, port: int = 0) -> Iterator[str]:
    """Serve a folder on this machine, on a free port by default; yields the address."""
    with listening("127.0.0.1", port) as bound:
        server = server_of(page_app(folder))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [bound]})
        thread.start()
        try:
            yield f"http://127.0.0.1:{bound.getsockname()[1]}"
        finally:
            server.should_exit = server.force_exit = True
            thread.join()


@contextmanager
def page_of(browser: Browser, address: str, **options: Any) -> Iterator[Page]:
    """Open a window; whatever it loads from elsewhere and every error in it fails the test."""
    context = browser.new_context(**({"viewport": DESKTOP} | options))
    context.set_default_timeout(PATIENCE_MS)
    page = context.new_page()
    amiss: list[str] = []
    page.on("request", lambda one: None if one.url.startswith(address) else amiss.append(one.url))
    page.on("pageerror", lambda error: amiss.append(str(error)))
    page.on("console", lambda one: amiss.append(one.text) if _is_fault(one) else None)
    yield page
    context.close()
    assert not amiss


def _is_fault(message: ConsoleMessage) -> bool:
    """Whether the browser complains of the page; not of an answer that the page awaits."""
    return message.type == "error" and not message.text.startswith("Failed to load resource")


def field(page: Page, place: str) -> Locator:
    """Return the field for a place of the survey."""
    return page.locator(f'.field[data-place="{place}"]')


def entry(page: Page, place: str) -> Locator:
    """Return what is typed into or chosen from at a place."""
    return field(page, place).locator(".entry > input, .entry > select, .entry > textarea")


def saved(page: Page) -> None:
    """Wait until everything that was typed stands in the file and is answered."""
    told(page, "#status", "Saved.")


def told(page: Page, where: str, words: str) -> None:
    """Wait for words on the page; looked for at every frame, not at intervals."""
    looked_for = "([where, words]) => document.querySelector(where)?.textContent.includes(words)"
    page.wait_for_function(looked_for, arg=[where, words])
