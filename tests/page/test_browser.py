"""The page in a real browser: mistakes, two windows, a dropped connection, keyboard, no script."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from feasibility.examples import example_text
from feasibility.page import desk
from feasibility.page.answer import NOTHING
from feasibility.page.editing import Edit, Typed, edit_survey, item_removed, typed_in
from feasibility.page.folder import SurveyFolder

from ..checks.sites import without_second_solver
from .browser import entry, field, page_of, saved, served, told

pytest.importorskip("playwright")
from playwright.sync_api import Browser, expect

NAMES = ("camp-site-kiosk", "old-mill")
REACHED = "(e.name || e.getAttribute('href') || e.textContent).trim()"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("surveys")
    for name in NAMES:
        (place / f"{name}.toml").write_text(example_text(name), encoding="utf-8")
    return place


@pytest.fixture(scope="module")
def address(folder: Path) -> Iterator[str]:
    with without_second_solver(), served(folder) as found:
        yield found


def held(folder: Path, name: str) -> dict[str, Any]:
    """Return what the file of a survey holds."""
    return tomllib.loads((folder / f"{name}.toml").read_text(encoding="utf-8"))


def test_what_was_typed_stays_and_what_nobody_knows_replaces_it(
    browser: Browser, address: str, folder: Path
) -> None:
    with page_of(browser, address) as page:
        page.goto(f"{address}/s/old-mill/at/cord")
        length, wrong = entry(page, "cord.length_m"), page.locator("#f-cord-length_m-wrong")
        length.fill("28m")
        length.blur()
        saved(page)
        expect(length).to_have_attribute("aria-invalid", "true")
        page.reload()
        expect(length).to_have_value("28m")
        expect(wrong).to_contain_text('cord, length_m = "28m": expected')
        field(page, "cord.length_m").get_by_label("not known yet").check()
        saved(page)
        expect(wrong).to_be_empty()
        expect(length).to_have_value("")
    assert held(folder, "old-mill")["cord"]["length_m"] == "unknown"


def test_two_windows_never_overwrite_each_other_silently(
    browser: Browser, address: str, folder: Path
) -> None:
    with page_of(browser, address) as one, page_of(browser, address) as other:
        for page in (one, other):
            page.goto(f"{address}/s/camp-site-kiosk/at/outlet")
        rating = [entry(page, "outlet.rating_a") for page in (one, other)]
        rating[0].fill("63")
        rating[0].blur()
        saved(one)
        other.get_by_label("outdoors").first.check()
        other.get_by_label("indoors").first.check()
        told(other, "#status", "Changed by others meanwhile: rated current")
        rating[0].fill("125")
        rating[0].blur()
        saved(one)
        rating[1].fill("16")
        rating[1].blur()
        told(other, "#conflict-words", "rated current")
        expect(other.locator("#conflict")).to_be_visible()
        assert held(folder, "camp-site-kiosk")["outlet"]["rating_a"] == 125
        expect(rating[1]).to_have_value("16")
        other.get_by_role("button", name="Save mine over it").click()
        saved(other)
    outlet = held(folder, "camp-site-kiosk")["outlet"]
    assert (outlet["rating_a"], outlet["location"]) == (16, "indoors")


def test_a_dropped_connection_and_a_restart_bring_everything_back(
    browser: Browser, tmp_path: Path
) -> None:
    (tmp_path / "a.toml").write_text(example_text("camp-site-kiosk"), encoding="utf-8")
    with served(tmp_path) as address:
        port = int(address.rsplit(":", 1)[1])
    with page_of(browser, address) as page:
        with served(tmp_path, port):
            page.goto(f"{address}/s/a/at/cord")
        entry(page, "cord.length_m").fill("11")
        entry(page, "cord.length_m").blur()
        told(page, "#status", "no connection")
        told(page, "#brief", "No answer yet to what was typed last")
        expect(page.locator("#answer .verdict h2")).to_be_hidden()
        with served(tmp_path, port):
            saved(page)
            told(page, "#brief", "The supply carries")
    assert held(tmp_path, "a")["cord"]["length_m"] == 11


def test_what_waited_for_the_connection_meets_what_others_changed_meanwhile(
    browser: Browser, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(desk, "answer_of", lambda *_, **__: NOTHING)
    (tmp_path / "a.toml").write_text(example_text("river-depot"), encoding="utf-8")
    folder, cable = SurveyFolder(tmp_path), "circuit[2].cable[2]"

    def other_changes(edit: Edit) -> None:
        edit_survey(folder, "a", folder.read("a").revision, edit)

    with served(tmp_path) as address, page_of(browser, address) as page:
        page.goto(f"{address}/s/a/at/cord")
        page.context.set_offline(True)
        entry(page, "cord.length_m").fill("9")
        entry(page, "cord.ambient_c").fill("33")
        page.context.set_offline(False)
        other_changes(typed_in([Typed("cord.length_m", "12")]))
        page.reload()
        told(page, "#conflict-typed", "length: 9")
        assert held(tmp_path, "a")["cord"]["length_m"] == 12
        page.get_by_role("button", name="Leave what stands there").click()
        expect(entry(page, "cord.length_m")).to_have_value("12")
        saved(page)
        assert held(tmp_path, "a")["cord"]["ambient_c"] == 33

        page.goto(f"{address}/s/a/at/{cable}")
        other_changes(item_removed("circuit[2].cable[1]"))
        entry(page, f"{cable}.length_m").fill("77")
        told(page, "#conflict-typed", "length: 77")
        expect(page.get_by_role("button", name="Save mine over it")).to_be_hidden()
        page.goto(f"{address}/s/a/at/cord")
        page.get_by_role("button", name="Leave what stands there").click()
        other_changes(typed_in([Typed("cord.length_m", "13")]))
        entry(page, "cord.ambient_c").fill("34")
        saved(page)
        expect(entry(page, "cord.length_m")).to_have_value("13")
    assert held(tmp_path, "a")["cord"]["ambient_c"] == 34


def test_by_keyboard_alone(browser: Browser, address: str) -> None:
    with page_of(browser, address) as page:
        page.goto(f"{address}/s/old-mill/at/circuit%5B1%5D.cable%5B1%5D")
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.className") == "skip"
        reached: list[str] = []
        for _ in range(200):
            page.keyboard.press("Tab")
            reached.append(page.evaluate(f"(e => {REACHED})(document.activeElement)"))
            if reached[-1].endswith("assessment.json"):
                break
        names = [one for one in reached if one.startswith("v.")]
        assert names[0].endswith("length_m")
        assert any(one.endswith("method") for one in names)
        assert reached[-1].endswith("assessment.json")
        box = page.evaluate("(e => getComputedStyle(e).outlineStyle)(document.activeElement)")
        assert box == "solid"


def test_a_fact_to_find_out_leads_to_its_field_even_where_it_is_folded_away(
    browser: Browser, address: str
) -> None:
    place = "supply.electrode_resistance_ohm"
    with page_of(browser, address) as page:
        page.goto(f"{address}/s/old-mill/at/supply")
        expect(entry(page, place)).to_be_hidden()
        page.goto(f"{address}/s/old-mill/at/supply#f-supply-electrode_resistance_ohm")
        expect(entry(page, place)).to_be_visible()
        expect(entry(page, place)).to_be_focused()


def test_without_script_the_form_saves_all_the_same(
    browser: Browser, address: str, folder: Path
) -> None:
    with page_of(browser, address, java_script_enabled=False) as page:
        page.goto(f"{address}/s/old-mill/at/station")
        page.locator("input[name='v.station.setting_a']").fill("40")
        page.get_by_role("button", name="Save and go on").click()
        expect(page.locator("h1")).to_have_text("Site and surveyor")
    assert held(folder, "old-mill")["station"]["setting_a"] == 40
