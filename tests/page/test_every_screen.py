"""Every kind of screen, light and dark, on a small phone: accessible, and nothing wider than it.

axe-core, all rules of WCAG 2.0 to 2.2 at levels A and AA and its best practices.
"""

from __future__ import annotations

import urllib.request
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import pytest

from feasibility.examples import example_companions, example_text

from ..checks.sites import without_second_solver
from .browser import BY_HAND, PHONE, page_of, served
from .client import client_of, revision_of, upgrade_example

pytest.importorskip("playwright")
from playwright.sync_api import Browser, Page

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
OF_COLOURS = ["color-contrast", "link-in-text-block"]
"""What another scheme of colours can change."""


UPGRADE, HALL, BEGUN, READ = "/s/upgrade", "/s/market-hall", "/s/begun", "/s/read"
SCREENS = (
    "/",
    "/enter?wrong=1",
    "/no-such-page",
    f"{UPGRADE}/first",
    f"{UPGRADE}/at/board%5B1%5D",
    f"{UPGRADE}/at/circuit%5B1%5D.cable%5B1%5D",
    f"{UPGRADE}/value/cord.length_m",
    f"{UPGRADE}/findings",
    f"{UPGRADE}/versions",
    f"{UPGRADE}/remedies",
    f"{UPGRADE}/remedies/1",
    f"{HALL}/hours",
    f"{BEGUN}/at/cord",
    f"{BEGUN}/report.pdf",
    f"{READ}/record",
    f"{UPGRADE}/record",
    "/s/broken/first",
)
SLOW = (f"{UPGRADE}/remedies", f"{HALL}/hours")
"""What is worked out behind the page, begun before the screens before them are looked at."""

ALL_SHOWN = """() => {
    for (const one of document.querySelectorAll("#conflict")) one.hidden = false;
    for (const one of document.querySelectorAll("details")) one.open = true;
    return document.documentElement.scrollWidth;
}"""
ONE_OF_EACH = """() => {
    const seen = new Set();
    for (const one of document.querySelectorAll("main .field, main .finding, main form.act")) {
        const parts = [one, ...one.querySelectorAll("*")];
        const built = [...new Set(parts.map((part) => part.tagName + part.className))].join();
        if (seen.has(built)) one.remove();
        seen.add(built);
    }
}"""
"""Fields and findings that are built alike are looked at once on each screen."""

LOOK = """async ({without, options}) => {
    const found = await axe.run({exclude: without}, options);
    return {
        looked: found.passes.length,
        amiss: found.violations.map((one) => [one.id, one.nodes[0].html.slice(0, 200)]),
    };
}"""


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    place = tmp_path_factory.mktemp("surveys")
    texts = {
        "upgrade": upgrade_example(),
        "market-hall": example_text("market-hall"),
        "read": example_text("bakery-yard"),
        "read-record": example_companions("bakery-yard")["bakery-yard-record.toml"].decode(),
        "begun": 'survey_version = 1\n[cord]\nlength_m = "8m"\n',
        "broken": "a = [1,\n",
    }
    for name, text in texts.items():
        (place / f"{name}.toml").write_text(text, encoding="utf-8")
    for name, content in example_companions("market-hall").items():
        (place / name).write_bytes(content)
    client_of(place).post(
        "/s/upgrade/change",
        json={
            "revision": revision_of(client_of(place), "upgrade"),
            "entries": [{"place": "site.name", "text": "Kiosk"}],
        },
    )
    with without_second_solver(), served(place) as found:
        for path in SLOW:
            urllib.request.urlopen(found + path).close()  # noqa: S310
        yield found


def looked_at(page: Page, without: Sequence[str], rules: Mapping[str, Any]) -> list[Any]:
    """Return what the checker finds on the page as it stands."""
    options = {"runOnly": rules, "resultTypes": ["violations"], "preload": False}
    found = page.evaluate(LOOK, {"without": without, "options": options})
    assert found["looked"]
    return list(found["amiss"])


def test_no_screen_has_a_barrier_in_light_or_dark(browser: Browser, address: str) -> None:
    """The walk and the answer stand on every screen of a survey and are looked at on the first."""
    checker = pytest.importorskip("axe_playwright_python.base").AXE_SCRIPT
    with page_of(browser, address, **BY_HAND) as page:
        page.add_init_script(checker)
        surveys: set[str] = set()
        for path in SCREENS:
            survey = path.split("/")[2] if path.startswith("/s/") else ""
            seen = ["#answer", ".walk"] if survey in surveys else []
            surveys.add(survey)
            page.goto(address + path)
            page.locator("[data-again], [data-studying]").wait_for(state="detached")
            assert page.evaluate(ALL_SHOWN) <= PHONE["width"], path
            page.evaluate(ONE_OF_EACH)
            page.emulate_media(color_scheme="dark")
            dark = looked_at(page, seen, {"type": "rule", "values": OF_COLOURS})
            page.emulate_media(color_scheme="light")
            light = looked_at(page, seen, {"type": "tag", "values": RULES})
            assert (light, dark) == ([], []), path
