"""From nothing to the report for signature, on a phone, as somebody who has never seen the page.

The site is invented: a single circuit of 32 A from the service, a station of 11 kW.
"""

from __future__ import annotations

import io
import json
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from pypdf import PdfReader

from feasibility import advice
from feasibility.advice import Advice, advise
from feasibility.assessment import Assessment
from feasibility.cli import main
from feasibility.page import desk
from feasibility.page.answer import NOTHING

from ..checks.sites import without_second_solver
from .browser import BY_HAND, PHONE, entry, field, page_of, saved, served, told

pytest.importorskip("playwright")
from playwright.sync_api import Browser, Locator, Page, expect

MOST_TAPS, LONGEST_S = 25, 120
"""What the page was made for: a first indication in so many taps and so much time."""

FIRST = {
    "outlet.rating_a": "32",
    "circuit[2].device.kind": "IEC 60898-1 circuit-breaker",
    "circuit[2].device.rating_a": "32",
    "circuit[2].cable[1].section_mm2": "6",
    "circuit[2].cable[1].length_m": "25",
    "station.input_power_kw": "11",
}
CABLE = "circuit[1].cable[1]"
ON_THE_WALK = {
    "supply.kind": "public network",
    "supply.earthing_system": "TN-S",
    "supply.nominal_voltage_v": "400",
    "supply.contracted_current_a": "63",
    "supply.metering_continuous_a": "63",
    "supply.prospective_fault_current_ka": "5",
    "supply.external_loop_impedance_ohm": "0,3",
    "supply.other_sources_none": "yes",
    "supply.demand.maximum_a": "15",
    "supply.service_device.kind": "gG fuse",
    "supply.service_device.rating_a": "50",
    "supply.service_device.breaking_capacity_ka": "120",
    "circuit[1].other_outlets_none": "yes",
    "circuit[1].device.characteristic": "C",
    "circuit[1].device.breaking_capacity_ka": "10",
    "circuit[1].residual_current_device.present": "yes",
    "circuit[1].residual_current_device.type": "B",
    "circuit[1].residual_current_device.residual_current_ma": "30",
    "circuit[1].residual_current_device.delay": "none",
    "circuit[1].residual_current_device.rating_a": "40",
    f"{CABLE}.protective_section_mm2": "6",
    f"{CABLE}.conductor": "copper",
    f"{CABLE}.insulation": "PVC",
    f"{CABLE}.construction": "multicore",
    f"{CABLE}.method": "C",
    f"{CABLE}.ambient_c": "25",
    f"{CABLE}.in_sun": "no",
    f"{CABLE}.grouped_circuits": "1",
    "outlet.kind": "IEC 60309",
    "outlet.poles": "3P+N+E",
    "outlet.clock_position": "6",
    "outlet.ip_code": "IP44",
    "outlet.condition": "no damage seen",
    "outlet.vehicle_traffic": "no",
    "outlet.lockable_isolation": "yes",
    "cord.length_m": "8",
    "cord.section_mm2": "6",
    "cord.protective_section_mm2": "6",
    "cord.grade": "60 C rubber",
    "cord.ambient_c": "25",
    "cord.in_sun": "no",
    "cord.layers_on_drum": "0",
    "cord.plug_rating_a": "32",
    "cord.plug_poles": "3P+N+E",
    "cord.plug_clock_position": "6",
    "cord.condition": "no damage seen",
    "cord.plug_condition": "no damage seen",
    "station.phases": "L1L2L3",
    "station.residual_current_kind": "smooth direct",
    "station.third_harmonic_percent": "5",
    "station.can_feed_back": "no",
}
FOLDED_AWAY = {"supply.demand.maximum_a": "Demand"}
AT_THE_END = {
    "site.name": "Boat shed",
    "surveyor.name": "A. Surveyor",
    "surveyor.qualification": "licensed electrician",
    "surveyor.instrument[1].name": "installation tester 1",
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("nothing")


@pytest.fixture(scope="module")
def address(folder: Path) -> Iterator[str]:
    with served(folder) as found:
        yield found


@pytest.fixture(autouse=True)
def _advice_is_worked_out_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The page and the command share what they advise; test_app.py compares them without that."""
    known: dict[str, Advice] = {}

    def once(assessment: Assessment, *others: Any) -> Advice:
        if assessment.survey_sha256 not in known:
            known[assessment.survey_sha256] = advise(assessment, *others)
        return known[assessment.survey_sha256]

    monkeypatch.setattr(desk, "advise", once)
    monkeypatch.setattr(advice, "advise", once)


class Taps:
    """Counts every tap and every key of a person with a phone."""

    def __init__(self, page: Page) -> None:
        self.page, self.count = page, 0

    def tap(self, what: Locator) -> None:
        what.tap()
        self.count += 1

    def type_in(self, place: str, text: str) -> None:
        if place in FOLDED_AWAY:
            self.tap(self.page.get_by_text(FOLDED_AWAY[place], exact=True))
        self.tap(entry(self.page, place))
        self.page.keyboard.type(text)
        self.count += len(text)

    def answer(self, place: str, text: str) -> None:
        """Choose, take a usual figure, or type, whichever the field offers."""
        offered = field(self.page, place).locator(
            f'label.choice:has(input[value="{text}"]), button[data-fill="{text}"]'
        )
        if offered.count():
            self.tap(offered)
        else:
            self.type_in(place, text)


def test_from_nothing_to_the_report_for_signature(
    browser: Browser, address: str, folder: Path
) -> None:
    """Until its last stop the site is assessed without the second solver, for speed."""
    with page_of(browser, address, **BY_HAND) as page:
        page.goto(address)
        taps, begun = Taps(page), time.monotonic()
        with without_second_solver():
            first_indication(taps)
            assert taps.count <= MOST_TAPS
            assert time.monotonic() - begun < LONGEST_S
            without_the_board(taps)
            walk(taps, ON_THE_WALK)
        say_who_and_where(taps, AT_THE_END)
        assert page.locator("#brief").get_attribute("data-verdict") == "carries"
        with page.expect_download() as waiting:
            page.get_by_role("link", name="Report for signature").tap()
        told(page, "#status", "The report is being made")
        report = PdfReader(io.BytesIO(Path(waiting.value.path()).read_bytes()))
    (survey,) = folder.glob("*.toml")
    ran = CliRunner().invoke(main, ["check", str(survey), "--json"])
    assert ran.exit_code == 0
    assert assessment_inside(report) == json.loads(ran.stdout)
    who_and_where = " ".join(one.extract_text() for one in report.pages[:2])
    for words in AT_THE_END.values():
        assert words in who_and_where


def first_indication(taps: Taps) -> None:
    page = taps.page
    with page.expect_navigation(wait_until="domcontentloaded"):
        taps.tap(page.get_by_role("button", name="Start a new survey"))
    page.evaluate("window.stays = true")
    for place, text in FIRST.items():
        taps.answer(place, text)
    told(page, "#brief", "First indication: between")
    saved(page)
    assert page.evaluate("window.stays")
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    answer = page.locator("#answer").inner_text()
    assert "no verdict" in answer
    assert "carries the requested" not in answer


def without_the_board(taps: Taps) -> None:
    """Take away the board that a new survey has: the circuit starts at the origin then."""
    page = taps.page
    taps.tap(page.locator("#walk > summary"))
    with page.expect_navigation(wait_until="domcontentloaded"):
        taps.tap(page.get_by_role("link", name="Board: Main board"))
    with page.expect_navigation(wait_until="domcontentloaded"):
        taps.tap(page.get_by_role("button", name="Take away Board: Main board"))


def walk(taps: Taps, answers: Mapping[str, str]) -> None:
    """Answer at each stop what it asks for, up to the last one.

    There is no connection at the stops, as in a cellar: what was typed goes when it is back.
    """
    page, waiting = taps.page, dict(answers)
    while waiting:
        with unanswered():
            go_on(page)
            is_looked_at = page.locator("h1").inner_text() == "Outlet circuit: cable 1"
            page.context.set_offline(not is_looked_at)
            for place in asked(page):
                if place in waiting:
                    taps.answer(place, waiting.pop(place))
            page.context.set_offline(False)
            if is_looked_at:
                saved(page)
        if is_looked_at:
            every_change_is_answered(taps)
    with unanswered():
        go_on(page)


@contextmanager
def unanswered() -> Iterator[None]:
    """Leave changes without an assessment while nobody looks at the answer."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(desk, "answer_of", lambda *_, **__: NOTHING)
        yield


def go_on(page: Page) -> None:
    with page.expect_navigation(wait_until="domcontentloaded"):
        page.locator(".onward .button").tap()


def asked(page: Page) -> list[str]:
    """Return the places that this stop asks for."""
    fields = page.locator(".field[data-place]")
    return list(fields.evaluate_all("all => all.map(one => one.dataset.place)"))


def say_who_and_where(taps: Taps, answers: Mapping[str, str]) -> None:
    page = taps.page
    assert page.locator("h1").inner_text() == "Site and surveyor"
    with page.expect_navigation(wait_until="domcontentloaded"):
        page.get_by_role("button", name="Add: instrument").tap()
    for place, text in answers.items():
        taps.answer(place, text)
    go_on(page)
    assert page.locator("h1").inner_text() == "All findings"


def every_change_is_answered(taps: Taps) -> None:
    """Too thin a cable, and a slip of the finger, without the page being loaded again."""
    page = taps.page
    brief = page.locator("#brief")
    page.evaluate("window.stays = true")
    taps.answer(f"{CABLE}.section_mm2", "2.5")
    told(page, "#answer-now > .figures div:last-child", "Outlet circuit: cable 1")
    expect(page.locator("#answer .chain li", has_text="weakest")).to_have_count(1)
    important = page.locator("#answer .finding")
    expect(important).to_have_count(3)
    important.first.locator("summary").tap()
    expect(important.first.locator(".equation").first).to_be_visible()
    thin = brief.inner_text()
    taps.answer(f"{CABLE}.section_mm2", "6")
    saved(page)
    expect(brief).not_to_have_text(thin)
    thick = brief.inner_text()
    taps.type_in(f"{CABLE}.length_m", "m")
    wrong = "#f-circuit-1-cable-1-length_m-wrong"
    told(page, wrong, 'circuit 1, cable 1, length_m = "25m": expected a number')
    page.keyboard.press("Backspace")
    expect(page.locator(wrong)).to_be_empty()
    expect(brief).to_have_text(thick)
    assert page.evaluate("window.stays")


def assessment_inside(report: PdfReader) -> Any:
    """Return the assessment that the report carries inside."""
    files = {one.name: one.content for one in report.attachment_list}
    return json.loads(bytes(files["assessment.json"]))
