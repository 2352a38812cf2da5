"""The page from the outside: what each address answers and what it saves."""

from __future__ import annotations

import json
import re
import threading
import time
import tomllib
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from starlette.testclient import TestClient

from feasibility.assessment import assess
from feasibility.cli import main
from feasibility.page import reading
from feasibility.page.folder import SurveyFolder
from feasibility.page.sheet import empty_sheet_pdf
from feasibility.render.pdf import pdf_of

from ..render.sites import shipped
from .client import client_of, filled_folder, revision_in, revision_of, upgrade_example

WIRED = "circuit[2].cable[1].length_m"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return filled_folder(tmp_path_factory.mktemp("surveys"))


@pytest.fixture(scope="module")
def client(folder: Path) -> TestClient:
    return client_of(folder)


def changed(client: TestClient, name: str, revision: str, *entries: tuple[str, str]) -> Any:
    body = {"revision": revision, "entries": [{"place": p, "text": t} for p, t in entries]}
    return client.post(f"/s/{name}/change", json=body)


def started_empty(client: TestClient, folder: Path) -> str:
    """Start an empty survey and return its name."""
    before = set(SurveyFolder(folder).names())
    client.post("/new", data={"kind": "empty"})
    (name,) = set(SurveyFolder(folder).names()) - before
    return name


def studied(client: TestClient, name: str) -> Any:
    """Return the answer once nothing is worked out behind it any more."""
    until = time.monotonic() + 240
    while "data-studying" in (now := client.get(f"/s/{name}/answer.json").json())["answer"]:
        assert time.monotonic() < until
        time.sleep(0.1)
    return now


@pytest.mark.parametrize("name", ["bakery-yard", "cider-press", "old-mill"])
def test_the_verdict_on_the_page_is_that_of_the_survey_file(client: TestClient, name: str) -> None:
    verdict = shipped(name).verdict
    now = studied(client, name)
    assert now["verdict"] == verdict
    assert f'<div class="verdict" data-verdict="{verdict}">' in now["answer"]


def test_the_assessment_is_that_of_the_command(client: TestClient, folder: Path) -> None:
    ran = CliRunner().invoke(main, ["check", str(folder / "bakery-yard.toml"), "--json"])
    assert client.get("/s/bakery-yard/assessment.json").json() == json.loads(ran.stdout)


def test_the_hours_are_studied_behind_and_nothing_carries_before(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """While the study waits, a change is answered, and the study of what it changed is left."""
    from feasibility.page import answer

    go_on, begun = threading.Event(), threading.Event()

    def slow(survey: Any, *, with_year: bool, on_step: Any, **others: Any) -> Any:
        if with_year:
            begun.set()
            assert go_on.wait(60)
            on_step(1, 2)
        return assess(survey, with_year=with_year, on_step=on_step, **others)

    monkeypatch.setattr(answer, "assess", slow)
    client = client_of(folder)
    client.post("/new", data={"kind": "example", "example": "market-hall"})
    name = max(one for one in SurveyFolder(folder).names() if one.startswith("market-hall"))
    first = client.get(f"/s/{name}/first").text
    assert "data-studying" in first
    assert '<div class="verdict" data-verdict="indication">' in first
    assert "carries the requested current" not in first
    assert begun.wait(60)
    after = changed(client, name, revision_in(first), ("cord.length_m", "7"))
    assert after.status_code == 200
    assert after.json()["verdict"] == "indication"
    go_on.set()
    assert studied(client, name)["verdict"] == "carries"
    assert "Largest fixed setting" in client.get(f"/s/{name}/hours").text


def test_the_maps_and_the_curve_of_the_hours_are_shown(client: TestClient) -> None:
    studied(client, "market-hall")
    text = client.get("/s/market-hall/hours").text
    for words in ("Map by weekday and hour", "Duration curve"):
        assert "<svg " in text.split(f'aria-label="{words}">')[1][:60]
    assert "Monday" in text
    assert "Largest fixed setting" in text
    assert "Not studied" in client.get("/s/bakery-yard/hours").text


def test_a_remedy_is_tried_and_the_survey_stays_as_it_is(client: TestClient, folder: Path) -> None:
    file = folder / "upgrade.toml"
    file.write_text(upgrade_example(), encoding="utf-8")
    before = file.read_bytes()
    until = time.monotonic() + 240
    while "data-again" in (text := client.get("/s/upgrade/remedies").text):
        assert time.monotonic() < until
        time.sleep(0.2)
    assert 'href="/s/upgrade/remedies/1"' in text
    tried = client.get("/s/upgrade/remedies/1").text
    assert "On trial, nothing is saved" in tried
    assert "On trial: it would carry" in tried
    assert "as found" not in tried.split("As surveyed</th>")[0]
    assert "report.pdf" not in tried
    verdict = re.search(r'<div class="verdict" data-verdict="([a-z-]+)"', tried)
    assert verdict is not None
    assert verdict[1] in ("carries", "carries-reduced")
    assert '<td class="wrap">The supply must be upgraded' in tried
    assert file.read_bytes() == before
    assert client.get("/s/upgrade/remedies/99").headers["location"].endswith("/remedies")
    name = started_empty(client, folder)
    assert "once there is a verdict" in client.get(f"/s/{name}/remedies").text


def test_the_list_shows_the_verdict_of_what_was_opened(client: TestClient) -> None:
    client.get("/s/river-depot/first")
    line = client.get("/").text.split('href="/s/river-depot/first"')[1].split("</li>")[0]
    assert "River depot" in line
    assert "must be upgraded" in line
    assert re.search(r"\d{4}-\d\d-\d\d", line)


def test_a_range_is_never_shown_without_what_it_is(client: TestClient) -> None:
    page = client.get("/s/old-mill/first").text
    for words in (page.split('id="brief"')[1].split("</a>")[0], client.get("/").text):
        assert re.search(r"Undecided: between [\d.]+\sA and [\d.]+\sA, or less", words)
    assert '<p class="kind">Undecided</p>' in page


def test_every_screen_of_every_example_is_answered(client: TestClient) -> None:
    for name in ("river-depot", "market-hall"):
        start = client.get(f"/s/{name}/first").text
        links = set(re.findall(rf'href="(/s/{name}/(?:at|value)/[^"#]+)', start))
        assert len(links) > 12
        for link in sorted(links):
            answer = client.get(link)
            assert answer.status_code == 200, link
            assert f'href="{link}" aria-current="page"' in answer.text or "/value/" in link


def test_a_change_is_saved_and_answered(client: TestClient, folder: Path) -> None:
    client.post("/new", data={"kind": "example", "example": "bakery-yard"})
    name = SurveyFolder(folder).names()[1]
    assert name == "bakery-yard-2"
    before = revision_of(client, name)
    after = changed(client, name, before, (WIRED, "24,5")).json()
    assert tomllib.loads((folder / f"{name}.toml").read_text())["circuit"][1]["cable"][0][
        "length_m"
    ] == 24.5  # fmt: skip
    assert after["revision"] != before
    assert after["problems"] == {}
    assert "carries" in after["headline"]
    assert after["headline"] in after["answer"]
    undo = client.post(f"/s/{name}/restore", data={"number": "last", "revision": after["revision"]})
    assert undo.status_code == 303
    assert revision_of(client, name) == before


def test_a_mistake_is_shown_at_its_field_in_the_words_of_the_command(
    client: TestClient, folder: Path
) -> None:
    client.post("/new", data={"kind": "example", "example": "camp-site-kiosk"})
    name = "camp-site-kiosk-2"
    after = changed(client, name, revision_of(client, name), ("cord.length_m", "28m")).json()
    ran = CliRunner().invoke(main, ["check", str(folder / f"{name}.toml")])
    assert ran.exit_code == 2
    (text,) = after["problems"]["cord.length_m"]
    assert re.search(rf"^line \d+: {re.escape(text)}$", ran.stderr, re.MULTILINE)
    page = client.get(f"/s/{name}/at/cord").text
    assert 'value="28m"' in page
    assert "cord, length_m" in page.split('id="f-cord-length_m-wrong"')[1].split("</p>")[0]
    assert 'data-verdict="indication"' in page
    refused = client.get(f"/s/{name}/report.pdf")
    assert refused.status_code == 409
    assert "cord, length_m" in refused.text


def test_two_windows_are_told_of_each_other(client: TestClient, folder: Path) -> None:
    name = started_empty(client, folder)
    revision = revision_of(client, name)
    assert changed(client, name, revision, ("outlet.rating_a", "32")).status_code == 200
    other = changed(client, name, revision, ("cord.length_m", "8")).json()
    assert other["alsoChanged"] == ["outlet.rating_a"]
    assert other["values"]["outlet.rating_a"] == {"text": "32", "unknown": False}
    assert other["counts"] == "board=1 circuit=2"
    have = client.get(f"/s/{name}/answer.json", params={"have": revision})
    assert have.json()["revision"] == other["revision"]
    assert client.get(f"/s/{name}/answer.json?have={other['revision']}").status_code == 204
    clash = changed(client, name, revision, ("outlet.rating_a", "63"))
    assert (clash.status_code, clash.json()["places"]) == (409, ["outlet.rating_a"])
    assert clash.json()["values"]["outlet.rating_a"]["text"] == "32"
    assert clash.json()["words"] == {"outlet.rating_a": "Outlet: rated current"}
    assert tomllib.loads((folder / f"{name}.toml").read_text())["outlet"] == {"rating_a": 32}
    mine = changed(client, name, clash.json()["revision"], ("outlet.rating_a", "63"))
    assert mine.status_code == 200


def test_a_form_without_script_is_saved_whole(client: TestClient, folder: Path) -> None:
    name = started_empty(client, folder)
    data = {
        "revision": revision_of(client, name),
        "next": "outlet",
        "v.outlet.rating_a": "32",
        "v.outlet.poles": "unknown",
        "v.cord.length_m": "",
        "u.cord.length_m": "yes",
    }
    answer = client.post(f"/s/{name}/at/outlet", data=data)
    assert (answer.status_code, answer.headers["location"]) == (303, f"/s/{name}/at/outlet")
    held = tomllib.loads((folder / f"{name}.toml").read_text())
    assert held["outlet"] == {"rating_a": 32, "poles": "unknown"}
    assert held["cord"] == {"length_m": "unknown"}
    stale = client.post(f"/s/{name}/at/outlet", data=data | {"v.outlet.rating_a": "16"})
    assert stale.status_code == 409


def test_a_value_is_stated_in_full(client: TestClient, folder: Path) -> None:
    client.post("/new", data={"kind": "example", "example": "old-mill"})
    address = "/s/old-mill-2/value/cord.length_m"
    assert "Value" in client.get(address).text
    data = {
        "revision": revision_of(client, "old-mill-2"),
        "low": "7,5",
        "high": "9",
        "known": "told",
        "instrument": "",
        "date": "2026-03-12",
        "note": "by phone",
    }
    assert client.post(address, data=data).status_code == 303
    held = tomllib.loads((folder / "old-mill-2.toml").read_text())["cord"]["length_m"]
    assert held["low"] == 7.5
    assert str(held["date"]) == "2026-03-12"
    assert "told on 2026-03-12 by phone" in client.get("/s/old-mill-2/at/cord").text


def test_links_are_added_moved_and_taken_away_and_sources_stand_with_the_hours(
    client: TestClient, folder: Path
) -> None:
    client.post("/new", data={"kind": "example", "example": "joinery-hall"})
    name = "joinery-hall-2"
    assert "Second sources over the year" in client.get(f"/s/{name}/hours").text
    screen = client.get(f"/s/{name}/at/board[1]").text
    assert 'name="place" value="board[1].source[1].output"' in screen
    assert "Log of what this source delivered" in screen
    for what, place in (
        ("board", "circuit[2]"),
        ("add", "circuit[2].cable"),
        ("earlier", "board[2]"),
        ("remove", "board[2]"),
        ("later", "circuit[1].cable[1]"),
    ):
        data = {"revision": revision_of(client, name), "what": what, "place": place}
        answer = client.post(f"/s/{name}/structure", data=data)
        assert answer.status_code == 303, (what, answer.text)
        assert client.get(answer.headers["location"]).status_code == 200
    assert len(SurveyFolder(folder).versions(name)) >= 4


def test_a_survey_is_taken_over_from_a_file_and_from_a_report(
    client: TestClient, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """How the report itself is laid out matters nothing here, so a page stands for it."""
    content = (folder / "market-hall.toml").read_bytes()
    taken = client.post(
        "/new", data={"kind": "upload"}, files={"file": ("../My Hall.toml", content)}
    )
    assert taken.headers["location"] == "/s/my-hall/first"
    assert (folder / "my-hall.toml").read_bytes() == content
    monkeypatch.setattr(
        reading, "to_pdf", lambda _assessment, enclosed, _advice: pdf_of("<p>A report.", enclosed)
    )
    report = client.get("/s/market-hall/report.pdf")
    assert report.headers["content-type"] == "application/pdf"
    again = client.post(
        "/new", data={"kind": "upload"}, files={"file": ("report.pdf", report.content)}
    )
    assert (folder / "report.toml").read_bytes() == content
    assert again.headers["location"] == "/s/report/first"


def test_a_log_is_put_beside_the_survey(client: TestClient, folder: Path) -> None:
    client.post("/new", data={"kind": "example", "example": "bakery-yard"})
    name = max(one for one in SurveyFolder(folder).names() if one.startswith("bakery"))
    data = {"revision": revision_of(client, name), "place": "board[1].demand.log"}
    for file, code in (("../../x.csv", 303), ("x.exe", 400), ("x.toml", 400)):
        answer = client.post(f"/s/{name}/log", data=data, files={"file": (file, b"time;L1\n")})
        assert answer.status_code == code
    assert (folder / "x.csv").read_bytes() == b"time;L1\n"
    held = tomllib.loads((folder / f"{name}.toml").read_text())
    assert held["board"][0]["demand"]["log"] == {"file": "x.csv"}


@pytest.mark.parametrize(
    "content", [b"", b"\x89PNG\r\n\xff", b"time;L1\n2026-01-01;3\n", b'currency = "EUR"\n']
)
def test_a_file_that_is_no_survey_is_not_taken(
    client: TestClient, folder: Path, content: bytes
) -> None:
    before = SurveyFolder(folder).names()
    told = client.post("/new", data={"kind": "upload"}, files={"file": ("a.toml", content)})
    assert told.status_code == 400
    assert "this file is no survey" in told.text
    assert SurveyFolder(folder).names() == before


def test_a_file_that_is_no_toml_is_told_of(client: TestClient) -> None:
    client.post("/new", data={"kind": "upload"}, files={"file": ("bad.toml", b"site = [1,\n")})
    page = client.get("/s/bad/first")
    assert page.status_code == 200
    assert "cannot be read as a survey" in page.text
    assert client.get("/s/bad/at/outlet").status_code == 200
    assert changed(client, "bad", revision_in(page.text), ("site.name", "x")).status_code == 409
    assert client.get("/s/bad/report.pdf").status_code == 409


def test_the_empty_sheet_is_there_to_print(client: TestClient) -> None:
    sheet = client.get("/empty-survey.pdf")
    assert sheet.headers["content-type"] == "application/pdf"
    assert sheet.content == empty_sheet_pdf()


def test_what_a_survey_says_is_never_markup(client: TestClient, folder: Path) -> None:
    hostile = '<script>alert(1)</script>{{ 7*7 }}"><img src=x>'
    name = started_empty(client, folder)
    places = ("site.name", "board[1].name", "circuit[1].name", "outlet.ip_code", "cord.length_m")
    after = changed(client, name, revision_of(client, name), *((one, hostile) for one in places))
    for text in (
        after.json()["answer"],
        *(
            client.get(f"/s/{name}/{one}").text
            for one in ("first", "findings", "at/cord", "at/site")
        ),
    ):
        assert "<script>alert" not in text
        assert "<img" not in text
        assert "49" not in text.split("7*7")[0][-5:]


@pytest.mark.parametrize(
    "path",
    ["/s/..%2f..%2fetc%2fpasswd/first", "/s/%2e%2e/first", "/s/a%00b/first", "/static/..%2fx",
     "/static/report.css", "/s/bakery-yard/at/nothing", "/s/bakery-yard/value/site.name",
     "/s/bakery-yard/value/__class__", "/s/none/survey.toml", "/s/.versions/first"],
)  # fmt: skip
def test_what_is_not_there_is_not_found(client: TestClient, path: str) -> None:
    assert client.get(path).status_code == 404
